"""The page of answers names every key of what is said of a run's photos, and no other."""

from __future__ import annotations

import pytest

from partline.interfaces.cli.run_photos import Typed, keep_photo, tell_due, tell_photos
from tests.house.test_docs_answers import documented, is_met, paths, printed, unknown
from tests.services.photo_hand import with_photos
from tests.studies.photo_slices import of_nothing, slices


@pytest.fixture(scope="module")
def shed(tmp_path_factory):
    """A run of today and one of a week ago, with a photo measured and one refused."""
    folder = tmp_path_factory.mktemp("photos")
    file, nothing = folder / "sprue.jpg", folder / "nothing.jpg"
    file.write_bytes(slices(0.6, 2.4))
    nothing.write_bytes(of_nothing())
    with with_photos(folder) as hand:
        hand.pour(7.5)
        hand.says("sprue", 0, line_width_mm=(0.4, 0.5, 0.6))
        other = hand.another()
        other.pour(3.0)
        other.says("slice", 0, line_width_mm=(0.4, 0.5, 0.6))
        code = hand.code
    return folder / "shed", code, file, nothing


def typed(code: str) -> Typed:
    return Typed(run=code, kind="sprue", day="8", shot="", baits="", line="", keeps_refused=True)


def check(answers, title, *, may_be_null=()):
    known = documented(title)
    found = set().union(*(unknown(answer, known) for answer in answers))
    assert not found - set(may_be_null)
    met = {path.removesuffix("[]") for answer in answers for path in paths(answer)}
    assert not {path for path in known if not is_met(path, met)}


@pytest.mark.slow
def test_every_key_of_a_runs_photos_is_on_the_page(shed, capsys):
    folder, code, file, nothing = shed
    tell_due(folder, as_json=True)
    due = printed(capsys)
    check([due], "`partline photo-due`")
    answers = []
    for each in (file, nothing):
        keep_photo(each, typed(code), folder, pointed={}, stripped=None, as_json=True)
        answers.append(printed(capsys))
    known = documented("`partline photo --run`")
    assert all(set(each) == {key.removesuffix("[]") for key in known} for each in answers)
    tell_photos(code, folder, as_json=True)
    nulls = (
        "photos[].measures[].refused", "photos[].measures[].figures", "due",
        "creep[].days[].change",
    )  # fmt: skip
    check([printed(capsys)], "`partline run photos`", may_be_null=nulls)
