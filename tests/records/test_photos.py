"""Photos: known by their first bytes, kept untouched, never changed, never too large."""

from __future__ import annotations

import hashlib
import sqlite3
from contextlib import closing
from datetime import timedelta
from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from sqlalchemy import event, update

from partline.errors import InputError, NotFound, OutOfRange, RecordError
from partline.records.models import PhotoRow
from partline.records.photos import LARGEST_PHOTO, PhotoKind, media_type_of

JPEG = b"\xff\xd8\xff\xe0 the rest"


@pytest.fixture
def mould(workshop, plan):
    """Code of a mould."""
    return workshop.moulds.named("reed-130").version.document_id


@pytest.mark.parametrize("kind", ["jpeg", "png", "webp"])
def test_what_an_image_library_writes_is_known_by_its_first_bytes(kind):
    """Reference: Pillow writes each form; 12 bytes are enough."""
    file = BytesIO()
    Image.new("RGB", (3, 2)).save(file, kind)
    assert media_type_of(file.getvalue()) == f"image/{kind}"
    assert media_type_of(file.getvalue()[:12]) == f"image/{kind}"


@pytest.mark.parametrize("kind", ["gif", "bmp", "tiff", "ppm", "pdf"])
def test_other_pictures_are_refused_by_their_bytes(kind):
    file = BytesIO()
    Image.new("RGB", (3, 2)).save(file, kind)
    with pytest.raises(InputError, match=r"whatever its name says.*Save the picture as JPEG"):
        media_type_of(file.getvalue())


@pytest.mark.parametrize(
    "content",
    [b"", b"\xff\xd8", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"RIFF\0\0\0\0WAVEfmt ",
     b"<html>", b"GIF89a", b"\0\0\0\x18ftypheic", b" \xff\xd8\xff"],
)  # fmt: skip
def test_what_a_browser_could_run_or_cannot_show_is_refused(content):
    with pytest.raises(InputError, match="no photo"):
        media_type_of(content)


@given(st.binary(max_size=40))
def test_no_bytes_at_all_provoke_anything_but_a_type_or_a_sentence(content):
    try:
        found = media_type_of(content)
    except InputError as refusal:
        found = refusal.field
    assert found in {"photo", "image/jpeg", "image/png", "image/webp"}


def test_a_photo_comes_back_as_it_was_given(workshop, mould, now):
    kept = workshop.photos.add(mould, PhotoKind.SLICE, JPEG, name="C:\\bench\\a\0b.jpg", now=now)
    facts, content = workshop.photos.get(kept.id)
    assert content == JPEG
    assert facts == kept
    assert (facts.name, facts.media_type, facts.size) == ("ab.jpg", "image/jpeg", len(JPEG))
    assert facts.sha256 == hashlib.sha256(JPEG).hexdigest()


def test_photos_are_listed_newest_first_by_mould_and_kind(workshop, mould, now):
    other = workshop.moulds.named("fry-75").version.document_id
    for minutes, (document, kind) in enumerate(
        [(mould, PhotoKind.SLICE), (other, PhotoKind.SLICE), (mould, PhotoKind.BOTTOM_MARK)]
    ):
        at = now + timedelta(minutes=minutes)
        workshop.photos.add(document, kind, JPEG + bytes([minutes]), name=f"{minutes}", now=at)
    assert [each.name for each in workshop.photos.listed(mould)] == ["2", "0"]
    assert [each.name for each in workshop.photos.listed(mould, PhotoKind.SLICE)] == ["0"]


def test_a_list_of_photos_never_reads_their_bytes(workshop, mould, now):
    workshop.photos.add(mould, PhotoKind.SLICE, JPEG, name="", now=now)
    asked: list[str] = []
    event.listen(
        workshop.database.engine, "before_cursor_execute", lambda *seen: asked.append(seen[2])
    )
    assert len(workshop.photos.listed(mould)) == 1
    assert asked
    assert not any("content" in each for each in asked)


def test_the_same_photo_twice_is_kept_once_until_another_came_between(workshop, mould, now):
    def add(content: bytes, minutes: int) -> str:
        at = now + timedelta(minutes=minutes)
        return workshop.photos.add(mould, PhotoKind.SLICE, content, name="", now=at).id

    first = add(JPEG, 0)
    assert add(JPEG, 1) == first
    assert add(JPEG + b"!", 2) != first
    assert add(JPEG, 3) != first  # chosen again: it is the newest now
    assert len(workshop.photos.listed(mould)) == 3


def test_a_photo_too_large_is_refused_with_what_was_given_and_what_is_allowed(
    workshop, mould, now
):
    large = JPEG + bytes(LARGEST_PHOTO - len(JPEG) + 1)
    with pytest.raises(OutOfRange, match=r"is 20 MB; at most 20 MB is taken: .* one file"):
        workshop.photos.add(mould, PhotoKind.SLICE, large, name="", now=now)
    assert workshop.photos.listed(mould) == ()
    workshop.photos.add(mould, PhotoKind.SLICE, large[:-1], name="", now=now)


def test_a_photo_of_no_document_is_refused(workshop, plan, now):
    with pytest.raises(NotFound):
        workshop.photos.add("NOWHERE", PhotoKind.SLICE, JPEG, name="", now=now)
    with pytest.raises(NotFound):
        workshop.photos.get("NOWHERE")


def test_a_photo_is_never_changed_or_removed_by_the_program(workshop, mould, now):
    kept = workshop.photos.add(mould, PhotoKind.SLICE, JPEG, name="", now=now)
    with pytest.raises(TypeError, match="never changed"), workshop.database.writing() as session:
        session.get_one(PhotoRow, kept.id).name = "other"
    with pytest.raises(TypeError, match="never changed"), workshop.database.writing() as session:
        session.delete(session.get_one(PhotoRow, kept.id))
    with pytest.raises(TypeError, match="never changed"), workshop.database.writing() as session:
        session.execute(update(PhotoRow).values(name="other"))
    assert workshop.photos.get(kept.id) == (kept, JPEG)


def test_a_photo_whose_bytes_were_changed_behind_our_back_is_told(workshop, mould, now):
    kept = workshop.photos.add(mould, PhotoKind.SLICE, JPEG, name="", now=now)
    with closing(sqlite3.connect(workshop.database.path)) as file, file:
        file.execute("UPDATE photo SET content = ?", (JPEG + b"!",))
    with pytest.raises(RecordError, match=r"is damaged.*Take it again"):
        workshop.photos.get(kept.id)
