"""`partline photo-card` and `partline photo`: what they write, say and refuse."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import pytest
from PIL import Image

from tests.interfaces.command import Run
from tests.studies.photo_laid import LAID, laid_photo


@pytest.fixture(scope="module")
def photo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("photos") / "on the card.jpg"
    file.write_bytes(laid_photo())
    return file


def test_the_card_is_written_and_says_what_to_do(run: Run, tmp_path):
    made = run("photo-card", "-o", tmp_path / "card.pdf", "--paper", "letter")
    assert made.status == 0
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF")
    assert "100 %" in made.out
    assert "ruler" in made.out


def test_a_card_of_no_paper_or_no_number_is_refused(run: Run, tmp_path):
    for words in (("--paper", "a5"), ("--number", 99)):
        refused = run("photo-card", "-o", tmp_path / "card.pdf", *words)
        assert refused.status == 2
        assert not (tmp_path / "card.pdf").exists()


@pytest.mark.slow
def test_a_slice_is_told_with_ranges_and_origins(run: Run, photo):
    told = run("photo", photo, "--kind", "slice", "--line", "100 mm", "--json")
    assert told.status == 0
    line = told.json["line_width_mm"]
    assert line["low"] <= LAID.line * 1e3 + 0.3
    assert line["value"] == pytest.approx(LAID.line * 1e3, abs=0.3)  # the goal
    assert line["origin"] == "measured"
    assert told.json["photo"]["sha256"] == hashlib.sha256(photo.read_bytes()).hexdigest()
    assert told.json["halves"]["verdict"] == "strong"
    spoken = run("photo", photo, "--kind", "slice")
    assert "Line, 10 to 90 %" in spoken.out
    assert "2 %" in spoken.out  # nobody measured the line


@pytest.mark.slow
def test_a_bait_is_told_and_a_copy_without_its_place_is_written(run: Run, photo, tmp_path):
    exif = Image.Exif()
    exif[0x010F] = "Camera of mine"
    exif.get_ifd(0x8825).update({1: "N", 2: (59.0, 19.0, 45.0)})
    told_where = tmp_path / "where.jpg"
    Image.open(photo).save(told_where, quality="keep", exif=exif)
    before = told_where.read_bytes()
    told = run("photo", told_where, "--stripped", tmp_path / "copy.jpg")
    assert told.status == 0
    assert "Back against belly" in told.out
    assert told_where.read_bytes() == before
    assert b"Camera of mine" in before
    assert b"Camera of mine" not in (tmp_path / "copy.jpg").read_bytes()
    refused = run("photo", told_where, "--stripped", told_where)
    assert refused.status == 2
    assert told_where.read_bytes() == before


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"Peat 9 drops\n", "whatever its name says"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", "HEIC"),
    ],
)
def test_no_photo_is_refused_in_a_sentence(run: Run, tmp_path, content, words):
    file = tmp_path / "bait.jpg"
    file.write_bytes(content)
    refused = run("photo", file, "--json")
    assert refused.status == 2
    assert words in refused.json["error"]["message"]
    assert refused.json["error"]["reason"] == "no photo"
    assert file.read_bytes() == content


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--kind", "lure"), "bait, slice or sprue"),
        (("--line", "60 mm"), "100 mm"),
        (("--tap", "here"), "1210,860"),
        (("--tap", "1,2", "--tap", "3,4", "--tap", "5,6"), "3 taps"),
    ],
)
def test_what_is_typed_wrong_is_said_to_be(run: Run, tmp_path, words, said):
    file = tmp_path / "bait.jpg"
    file.write_bytes(b"\xff\xd8\xff")
    refused = run("photo", file, *words)
    assert refused.status == 2
    assert said in refused.err


def test_a_file_that_is_not_there_is_named(run: Run, tmp_path):
    refused = run("photo", tmp_path / "none.jpg")
    assert refused.status == 2
    assert "none.jpg" in refused.err


def test_without_the_library_it_says_what_to_install(run: Run, photo, monkeypatch):
    monkeypatch.setitem(sys.modules, "cv2", None)
    refused = run("photo", photo)
    assert refused.status == 2
    assert "partline[photo]" in refused.err
