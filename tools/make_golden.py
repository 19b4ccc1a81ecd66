"""Remake the golden run card. Run by ``make golden``; read the diff before you commit it."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

# The ready tables alone: what is printed must not hang on what this machine has traced.
os.environ["PARTLINE_TABLES"] = tempfile.mkdtemp()
ROOT = Path(__file__).parents[1]


def main() -> None:
    """Write what the demo's card says today."""
    sys.path.insert(0, str(ROOT))
    from tests.cards.demo_card import GOLDEN, demo_card_text

    GOLDEN.write_text(demo_card_text(), encoding="utf-8")


if __name__ == "__main__":
    main()
