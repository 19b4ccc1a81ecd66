"""Rules that decision records name and that no room's own tests hold."""

from __future__ import annotations

import pickle
import re
from pathlib import Path

import pytest

from partline.process.amounts import plan_amounts
from partline.services.look import look_as_json, preview_look
from tests.process.shed import bench, demo, mould, shelf

ROOT = Path(__file__).parents[2]
WEB = ROOT / "src" / "partline" / "interfaces" / "web"


def test_questions_and_answers_cross_a_process_border_unchanged():
    asked = (demo(1), mould(), bench(), shelf())
    recipe, body, desk, stock = pickle.loads(pickle.dumps(asked))
    assert (recipe, body, desk, stock) == asked
    amounts = plan_amounts(recipe, body, desk, stock, good=40)
    assert pickle.loads(pickle.dumps(amounts)) == amounts
    answer = preview_look(recipe, body, stock, draws=4)
    assert look_as_json(pickle.loads(pickle.dumps(answer))) == look_as_json(answer)


@pytest.mark.parametrize("name", ["requirements.lock", "requirements-dev.lock"])
def test_lock_files_are_hashed_and_name_no_address(name):
    text = (ROOT / name).read_text("utf-8")
    assert "://" not in text
    pinned = re.findall(r"^[\w.-]+(?:\[[\w,-]+\])?==[^\n]+", text, flags=re.MULTILINE)
    assert pinned
    blocks = re.split(r"\n(?=\w)", text.strip())
    assert len(blocks) == len(pinned)
    assert all("--hash=sha256:" in block for block in blocks)


@pytest.mark.parametrize(
    "path",
    sorted([*WEB.rglob("*.html"), *WEB.rglob("*.js"), *WEB.rglob("*.css"), *WEB.rglob("*.svg")]),
    ids=lambda path: path.name,
)
def test_no_page_asks_for_anything_from_elsewhere(path):
    text = path.read_text("utf-8")
    addresses = set(re.findall(r"\b(?:https?:)?//[\w.-]+\.\w+[^\s\"')]*", text))
    # The name of a format is no address: nothing fetches it.
    assert {each for each in addresses if "www.w3.org/2000/svg" not in each} == set()
    assert not re.search(r"<script(?![^>]*\bsrc=)[^>]*>|\sstyle=|\son\w+=\"", text)
