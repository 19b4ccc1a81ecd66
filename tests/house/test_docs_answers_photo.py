"""The page of answers names every key of the answers about photos, and no other."""

from __future__ import annotations

from pathlib import Path

import pytest

from partline.interfaces.cli.photo import print_photo_card, tell_photo
from partline.studies.photo import Reason
from tests.house.test_docs_answers import PAGE, documented, is_met, paths, printed, unknown
from tests.studies.photo_laid import laid_photo


def test_every_key_of_a_photo_card_is_on_the_page(capsys, tmp_path: Path):
    print_photo_card(tmp_path / "card.pdf", "letter", 3, as_json=True)
    answer = printed(capsys)
    known = documented("`partline photo-card`")
    assert set(answer) == set(known)


@pytest.mark.slow
def test_every_key_of_a_photo_is_on_the_page(capsys, tmp_path: Path):
    file = tmp_path / "all.jpg"
    file.write_bytes(laid_photo())
    answers = []
    for kind in ("bait", "slice"):
        tell_photo(file, kind, "99.2 mm", [], None, as_json=True)
        answers.append(printed(capsys))
    known = documented("`partline photo`")
    assert not set().union(*(unknown(answer, known) for answer in answers))
    met = {path.removesuffix("[]") for answer in answers for path in paths(answer)}
    assert not {path for path in known if not is_met(path, met)}


def test_every_reason_of_a_refusal_is_on_the_page():
    line = next(each for each in PAGE.splitlines() if each.startswith("| `error.reason`"))
    for reason in Reason:
        assert f"`{reason.value}`" in line, reason
