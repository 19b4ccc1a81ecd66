"""Asking for help must not wait for the numbers' libraries."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

HEAVY = {
    "numpy", "scipy", "numba", "sqlalchemy", "alembic", "fastapi", "starlette", "uvicorn",
    "jinja2", "typst", "PIL", "segno", "tomli_w", "partline.physics", "partline.records",
}  # fmt: skip
SCRIPT = """
import json, sys
from partline.interfaces.cli import main
sys.argv = ["partline", *json.loads(sys.argv[1])]
try:
    main()
except SystemExit as leave:
    status = leave.code
print("\\n" + json.dumps({"status": status, "modules": sorted(sys.modules)}))
"""


@pytest.mark.parametrize("words", [["--help"], ["look", "--help"], ["plan", "--help"]])
def test_help_loads_nothing_heavy(words):
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, json.dumps(words)],
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    told = json.loads(done.stdout.splitlines()[-1])
    assert told["status"] in (0, None)
    assert "Usage" in done.stdout
    loaded = set(told["modules"])
    assert {name for name in HEAVY if name in loaded} == set()


def test_every_command_of_the_issue_is_there():
    done = subprocess.run(
        [sys.executable, "-m", "partline.interfaces.cli.main", "--help"],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    if not done.stdout:  # the module is no script; the entry point is
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT, json.dumps(["--help"])],
            capture_output=True, text=True, check=True, timeout=60,
        )  # fmt: skip
    for command in ("demo", "serve", "check", "look", "plan", "card", "shelf"):
        assert f"  {command} " in done.stdout
