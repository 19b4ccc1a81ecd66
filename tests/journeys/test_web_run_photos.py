"""Photos of a run through the web app: measured, pointed at, told, handed on; and bad ones."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from typing import Any

import httpx
import pytest
from PIL import Image

from partline.interfaces.web import create_app
from partline.process.run import Kind
from partline.services.runs.photo_events import photo_measures
from partline.studies.photo_card import Pocket
from tests.journeys.visiting import AS_JSON, Client, Site
from tests.services.photo_hand import PhotoHand, with_photos
from tests.studies.photo_slices import CARD, bomb, middle_of, of_nothing, slices, with_exif

HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"


@pytest.fixture(scope="module")
def shed(tmp_path_factory) -> Iterator[tuple[PhotoHand, Site]]:
    with with_photos(tmp_path_factory.mktemp("web")) as hand:
        yield hand, Site(client=Client(create_app(hand.workshop)), workshop=hand.workshop)


@pytest.fixture
def hand(shed) -> PhotoHand:
    """Begin another run of the shed's, poured today."""
    begun = shed[0].another()
    begun.pour(0.2)
    return begun


@pytest.fixture
def place(shed) -> Site:
    return shed[1]


def send(place: Site, hand: PhotoHand, content: bytes, **asked: Any) -> httpx.Response:
    """As the page's script sends a photo: the body itself."""
    return place.client.post(
        f"/runs/{hand.code}/photos/measured",
        params={"subject": "sprue", "name": "sprue.jpg", **asked},
        content=content,
        headers={"X-Partline-Token": place.token(), **AS_JSON},
    )


def press(place: Site, address: str, **fields: Any) -> httpx.Response:
    return place.client.post(f"{address}?token={place.token()}", data=fields)


def kept(hand: PhotoHand) -> int:
    return len(hand.workshop.photos.of_run(hand.code))


@pytest.mark.slow
def test_a_sprue_slice_is_measured_offered_told_and_read_on_the_verdicts_page(hand, place):
    photo = with_exif(slices(0.6, 2.4))
    answer = send(place, hand, photo, shot="2").json()
    page = place.get(f"/runs/{hand.code}/photos").text
    assert "a crisp one is under 1 mm (common practice, no source): not crisp." in page
    assert "Sprue slice, day 0, shot 2" in page
    assert "Line of card 7" in page
    assert not re.search(r"<script(?![^>]*\bsrc=)|\sstyle=|\son\w+=\"", page)
    told = press(place, f"/runs/{hand.code}/photos/look", look="sprue_crisp")
    assert told.status_code == 303
    assert "Told to the run." in place.get(f"/runs/{hand.code}/photos").text
    verdict = place.get(f"/runs/{hand.code}/verdict").text
    assert re.search(r'name="sprue_crisp" value="no" checked', verdict)
    assert f"/runs/{hand.code}/photos" in verdict
    assert answer["refused"] is None
    hand.tell("judge", good=1, moulded=8)
    assert f'href="/runs/{hand.code}/photos"' in place.get(f"/runs/{hand.code}").text


@pytest.mark.slow
def test_a_card_line_is_kept_and_a_tap_measures_the_same_photo_again(hand, place):
    photo = slices(0.6, 2.4)
    code = send(place, hand, photo).json()["photo"]
    answer = press(place, f"/runs/{hand.code}/photos/line", number=str(CARD), line="99.2 mm")
    assert answer.status_code == 303
    page = place.get(f"/runs/{hand.code}/photos/{code}").text
    assert "Card 7, its line 99.2 mm." in page
    x, y = middle_of(photo, Pocket.SPRUE)
    asked = {"subject": "sprue", "pointed": {"sprue": {"tap": [x, y]}}}
    assert place.post(f"/runs/{hand.code}/photos/{code}/measure", asked).status_code == 200
    assert "where you pointed" in place.get(f"/runs/{hand.code}/photos/{code}").text
    standing = photo_measures(hand.workshop.runs.events(hand.code))
    assert len(standing) == 1
    told = [each.kind for each in hand.workshop.runs.events(hand.code)]
    assert told.count(Kind.PHOTO_MEASURE) == 3  # as found, with the line, as pointed
    asked["pointed"] = {"sprue": {"tap": [3, 3]}}
    refused = place.post(f"/runs/{hand.code}/photos/{code}/measure", asked)
    assert refused.status_code == 422
    assert "outside the card’s “sprue” pocket" in refused.json()["error"]["message"]
    assert photo_measures(hand.workshop.runs.events(hand.code)) == standing
    back = press(place, f"/runs/{hand.code}/photos/{code}/take-back", measure=standing[0].event)
    assert back.status_code == 303
    assert "Nothing was measured in this photo yet." in place.get(back.headers["location"]).text


@pytest.mark.slow
def test_what_is_shown_and_handed_on_carries_no_place_and_the_original_stays(hand, place):
    photo = with_exif(slices(0.6, 2.4))
    code = send(place, hand, photo).json()["photo"]
    copy = place.get(f"/photos/{code}/copy")
    assert copy.headers["content-disposition"].startswith("attachment")
    assert b"Camera of mine" in photo
    for address in ("copy", "small", "pocket/sprue"):
        served = place.get(f"/photos/{code}/{address}")
        assert served.headers["content-type"] == "image/jpeg"
        assert b"Camera of mine" not in served.content
        with Image.open(BytesIO(served.content)) as picture:
            assert not picture.getexif().get_ifd(0x8825)
    assert hand.workshop.photos.get(code)[1] == photo
    page = place.get(f"/runs/{hand.code}/photos").text
    assert "an archive of the whole workshop, which you make yourself, holds the originals" in page


@pytest.mark.slow
def test_a_wrong_orientation_tag_changes_no_figure(hand, place):
    """The card's own corners tell which way up it is."""
    for orientation in (1, 3, 6):
        assert send(place, hand, with_exif(slices(0.6, 2.4), orientation=orientation)).is_success
    measures = photo_measures(hand.workshop.runs.events(hand.code))
    widths = [each.figures["line_width_mm"].value for each in measures]
    assert len(widths) == 3
    assert max(widths) - min(widths) < 0.03  # another grid of pixels, a tenth of what is asked


BAD = {
    "text named .jpg": (lambda: b"Peat 9 drops\n", "whatever its name says", "no photo"),
    "HEIC": (lambda: HEIC, "most compatible", "no photo"),
    "a photo cut off": (lambda: b"\xff\xd8\xff\xe0\x00\x10JFIF", "breaks off", "no photo"),
    "an image bomb": (bomb, "It was not opened.", "too large"),
    "60 megapixels": (lambda: of_nothing(10_000, 6_000), "60 million", "too large"),
    "nothing": (of_nothing, "No photo card was found", "no card"),
    "an empty pocket": (lambda: slices(0.6, 2.4), "back", "nothing there"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_photo_is_refused_in_a_sentence_and_nothing_is_lost(name, hand, place):
    make, words, reason = BAD[name]
    content = make()
    events = len(hand.workshop.runs.events(hand.code))
    asked = {"subject": "bait"} if name == "an empty pocket" else {}
    refused = send(place, hand, content, **asked)
    assert refused.status_code == 422
    error = refused.json()["error"]
    assert words in error["message"]
    assert error["reason"] == reason
    assert error["remedy"]
    assert kept(hand) == 0
    assert len(hand.workshop.runs.events(hand.code)) == events
    again = send(place, hand, content, keep="yes", **asked)
    if reason == "no photo" and name != "a photo cut off":
        assert again.status_code == 422
        assert kept(hand) == 0
        return
    assert again.json()["refused"]["reason"] == reason
    code = again.json()["photo"]
    assert hand.workshop.photos.get(code)[1] == content
    for address in (f"/runs/{hand.code}/photos", f"/runs/{hand.code}/photos/{code}", "/defects"):
        page = place.get(address)
        assert page.status_code == 200
        is_shown = f'<img src="/photos/{code}' in page.text or "data-image" in page.text
        assert is_shown is (reason not in ("too large", "no photo"))
    if reason == "too large":
        assert place.get(f"/photos/{code}/small").status_code == 404
        assert place.get(f"/photos/{code}/copy").status_code == 422


@pytest.mark.parametrize(
    ("asked", "words"),
    [({"subject": "lure"}, "bait, slice or sprue"), ({"day": "soon"}, "no day"),
     ({"shot": "0"}, "no shot")]
)  # fmt: skip
def test_what_was_typed_wrong_is_said_and_nothing_is_kept(asked, words, hand, place):
    refused = send(place, hand, of_nothing(), **asked)
    assert refused.status_code == 422
    assert words in refused.json()["error"]["message"]
    assert kept(hand) == 0


def test_more_than_is_ever_kept_is_turned_away_while_it_comes_in(hand, place):
    refused = send(place, hand, b"\xff\xd8\xff" + bytes(20_000_000))
    assert refused.status_code == 413
    assert "at most 20 MB" in refused.text
    assert kept(hand) == 0


def test_nonsense_addresses_and_foreign_posts_change_nothing(hand, place):
    number = len(hand.workshop.runs.events(hand.code))
    assert place.get("/runs/0000000000/photos").status_code == 404
    assert place.get(f"/runs/{hand.code}/photos/NOWHERE").status_code == 404
    assert place.get("/photos/NOWHERE/small").status_code == 404
    assert press(place, f"/runs/{hand.code}/photos/look", look="smell").status_code == 404
    assert press(place, f"/runs/{hand.code}/photos/line", number="x", line="").status_code == 422
    bare = place.client.post(f"/runs/{hand.code}/photos/look", data={"look": "sprue_crisp"})
    assert bare.status_code == 403
    assert len(hand.workshop.runs.events(hand.code)) == number


def test_a_line_that_cannot_be_read_is_said_on_the_page_with_what_was_typed(hand, place):
    answer = press(place, f"/runs/{hand.code}/photos/line", number="8", line="200 mm")
    assert answer.status_code == 422
    assert "it must lie in 80 to 120 mm" in answer.text
    assert 'value="200 mm"' in answer.text
    assert "Take one in" in answer.text


def test_the_photo_card_comes_as_pdf_and_no_card_has_such_a_number(place):
    card = place.get("/photo-card.pdf?paper=letter&number=12")
    assert card.content.startswith(b"%PDF")
    assert card.headers["content-type"] == "application/pdf"
    assert place.get("/photo-card.pdf?number=99").status_code == 422
    assert place.get("/photo-card.pdf?paper=a5").status_code == 422


def test_what_is_due_stands_on_the_start_page_and_on_the_page_of_runs(hand, place):
    for address in ("/", "/runs"):
        page = place.get(address).text
        assert "Photos that are due" in page
        assert f'<a href="/runs/{hand.code}/photos">' in page


def test_the_days_stand_side_by_side_with_their_change(hand, place):
    hand.says("slice", 0, line_width_mm=(0.4, 0.5, 0.6))
    hand.says("slice", 7, line_width_mm=(2.2, 2.4, 2.6))
    page = place.get(f"/runs/{hand.code}/photos").text
    assert "+1.90 <small>(1.68 to 2.12)</small> <strong>moved</strong>" in page
    assert "It was fine on the day and is worse now." in page


def test_without_any_photo_the_gallery_says_how_one_gets_there(empty):
    page = empty.get("/defects").text
    assert "photo card for A4" in page
    assert "sprue slice on the card" in page
