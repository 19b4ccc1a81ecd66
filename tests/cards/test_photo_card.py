"""The photo card on paper: at its true size, with white where the reader takes white."""

from __future__ import annotations

from datetime import date
from functools import cache
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from pypdf import PdfReader

from partline.errors import OutOfRange
from partline.interfaces.cards import Paper, photo_card
from partline.studies.photo.library import vision
from partline.studies.photo_card import (
    GREY_STEPS,
    GROUND,
    HEIGHT,
    MM,
    POCKETS,
    RULED,
    WHITE_SPOTS,
    WIDTH,
    Box,
    Pocket,
    marker_boxes,
    marker_ids,
    printed_grey,
)

PRINTED = date(2026, 3, 14)
SIZES = {Paper.A4: (297.0, 210.0), Paper.LETTER: (279.4, 215.9)}
FINE = 10  # pixels a millimetre


@cache
def pdf(paper: Paper, number: int = 7) -> bytes:
    return photo_card(number=number, paper=paper, printed=PRINTED)


@cache
def drawn(paper: Paper) -> np.ndarray:
    """The card's own part of the sheet, 0 black to 255."""
    document = pypdfium2.PdfDocument(pdf(paper))
    sheet = np.asarray(document[0].render(scale=FINE * 25.4 / 72).to_pil().convert("L"))
    document.close()
    left = round((SIZES[paper][0] - WIDTH / MM) / 2 * FINE)
    top = round((SIZES[paper][1] - HEIGHT / MM) / 2 * FINE)
    return sheet[top : top + round(HEIGHT / MM * FINE), left : left + round(WIDTH / MM * FINE)]


def pixels(paper: Paper, box: Box) -> np.ndarray:
    rows = slice(round(box.top / MM * FINE), round(box.bottom / MM * FINE))
    return drawn(paper)[rows, round(box.left / MM * FINE) : round(box.right / MM * FINE)]


@pytest.mark.parametrize("paper", Paper)
def test_it_is_one_lying_page_of_its_paper(paper):
    (page,) = PdfReader(BytesIO(pdf(paper))).pages
    size = [float(each) / 72 * 25.4 for each in page.mediabox[2:]]
    assert size == pytest.approx(SIZES[paper], abs=0.1)


@pytest.mark.parametrize("paper", Paper)
def test_paper_is_bare_wherever_the_reader_takes_white(paper):
    for spot in WHITE_SPOTS:
        assert pixels(paper, spot).min() == 255, spot


@pytest.mark.parametrize("paper", Paper)
def test_greys_and_grounds_are_printed_as_planned(paper):
    for step in GREY_STEPS:
        assert np.all(np.abs(pixels(paper, step.box.inset(1 * MM)).astype(int) - step.grey) <= 1)
    for pocket in (Pocket.BACK, Pocket.BELLY, Pocket.SLICE, Pocket.SPRUE):
        inside = pixels(paper, POCKETS[pocket].inset(1 * MM)).astype(int)
        assert np.all(np.abs(inside - printed_grey(GROUND)) <= 1)


@pytest.mark.parametrize("paper", Paper)
def test_the_library_finds_the_markers_at_their_places(paper):
    cv2 = vision()
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_50), cv2.aruco.DetectorParameters()
    )
    corners, ids, _ = detector.detectMarkers(drawn(paper))
    found = dict(zip(ids.ravel().tolist(), corners, strict=True))
    assert set(found) == set(marker_ids(7))
    for marker, box in zip(marker_ids(7), marker_boxes(), strict=True):
        # Two pixels: found on whole pixels, and the card's middle lies between two.
        off = (found[marker].reshape(4, 2) + 0.5) / FINE - box.corners / MM
        assert np.abs(off).max() < 0.2


def test_the_line_to_be_measured_is_as_long_as_it_says():
    document = pypdfium2.PdfDocument(pdf(Paper.A4))
    sheet = np.asarray(document[0].render(scale=FINE * 25.4 / 72).to_pil().convert("L"))
    document.close()
    foot = sheet[-15 * FINE :] < 128
    runs = [
        run for row in foot for run in np.split(row, np.flatnonzero(np.diff(row)) + 1) if run[0]
    ]
    long = max(len(run) for run in runs)
    assert long / FINE == pytest.approx(RULED / MM, abs=0.3)  # the end ticks are 0.25 mm thick


def test_the_card_says_its_number_and_how_it_is_used():
    text = PdfReader(BytesIO(pdf(Paper.A4))).pages[0].extract_text()
    for words in ("Photo card 7", "100 %", "ruler", "BACK up", "BELLY up", "Prints vary"):
        assert words in text, words


def test_the_same_card_is_the_same_file():
    assert photo_card(number=7, paper=Paper.A4, printed=PRINTED) == pdf(Paper.A4)


def test_a_number_beyond_the_markers_is_refused():
    with pytest.raises(OutOfRange, match="1 to 46"):
        photo_card(number=47, paper=Paper.A4, printed=PRINTED)
