"""Photos of a mould through the web app: streamed in, served as they came, never a danger."""

from __future__ import annotations

import os
import re
import signal
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import httpx
import pytest

from partline.services.workshop import open_at
from tests.browser.driving import serving
from tests.journeys.visiting import AS_JSON
from tests.process.shed import SHED

JPEG = b"\xff\xd8\xff\xe0" + bytes(range(256))
MEGABYTE = 1_000_000
TOO_LARGE = (
    "This photo is 200 MB; at most 20 MB is taken: photos are kept in the workshop's one file, "
    "which must stay small enough to copy. Nothing was kept of it, and nothing else on the page "
    "was lost. Take it again at a lower resolution, or crop it to the slice or the mark."
)


@pytest.fixture
def mould(site):
    return site.id_of("moulds", "fry-75")


def address(mould: str, kind: str = "slice", name: str = "slice.jpg") -> str:
    return f"/moulds/{mould}/photos?kind={kind}&name={name}"


def send(site, mould, content, kind="slice", name="slice.jpg", **headers):
    """As the page's script sends a photo: the body itself."""
    sent = {"X-Partline-Token": site.token(), **AS_JSON, **headers}
    return site.client.post(address(mould, kind, name), content=content, headers=sent)


async def streamed(megabytes: int) -> AsyncIterator[bytes]:
    """A body that hides its length; no more than a megabyte of it is ever held."""
    yield JPEG
    for _ in range(megabytes):
        yield bytes(MEGABYTE)


def test_a_photo_is_kept_shown_on_the_page_and_served_as_it_came(site, mould):
    kept = send(site, mould, JPEG, "bottom_mark", "half%20mark.png").json()
    assert (kept["media_type"], kept["bytes"]) == ("image/jpeg", len(JPEG))
    page = site.get(f"/moulds/{mould}").text
    assert f'<img src="/photos/{kept["code"]}"' in page
    assert "the half that carries it goes down" in page
    served = site.get(f"/photos/{kept['code']}")
    assert served.content == JPEG
    assert served.headers["content-type"] == "image/jpeg"
    assert served.headers["x-content-type-options"] == "nosniff"
    assert served.headers["content-security-policy"].startswith("default-src 'none'")
    assert served.headers["content-disposition"] == "inline; filename*=UTF-8''half%20mark.png"


def test_the_page_says_where_a_photo_stays_and_what_an_archive_holds(site, mould):
    page = site.get(f"/moulds/{mould}").text
    assert "Photos stay on this computer" in page
    assert "an archive of the workshop holds that original" in page
    assert "blade away from your fingers" in page
    assert not re.search(r"<script(?![^>]*\bsrc=)|\sstyle=|\son\w+=\"", page)
    assert "Save the mould once" in site.get("/moulds/new").text


@pytest.mark.parametrize("content", [b"", b"<svg onload='alert(1)'/>", b"<html><script>"])
def test_what_is_no_photo_is_refused_whatever_it_calls_itself(site, mould, content):
    answer = send(site, mould, content, **{"Content-Type": "image/jpeg"})
    assert answer.status_code == 422
    assert "whatever its name says" in answer.json()["error"]["message"]
    assert site.workshop.photos.listed(mould) == ()


def test_a_photo_of_no_mould_or_no_kind_is_refused(site, mould):
    assert send(site, "AAAAAAAAAAAA", JPEG).status_code == 404
    assert send(site, site.id_of("recipes", "peat-over-chalk"), JPEG).status_code == 404
    assert send(site, mould, JPEG, "holiday").status_code == 422
    assert site.get("/photos/none").status_code == 404


def test_a_photo_needs_the_pages_token_and_comes_from_no_other_site(site, mould):
    assert site.client.post(address(mould), content=JPEG).status_code == 403
    assert send(site, mould, JPEG, **{"Sec-Fetch-Site": "cross-site"}).status_code == 403
    assert site.workshop.photos.listed(mould) == ()


def test_200_mb_are_refused_by_what_they_say_of_themselves(site, mould):
    answer = send(site, mould, streamed(200), **{"Content-Length": str(200 * MEGABYTE)})
    assert answer.status_code == 413
    assert answer.text == TOO_LARGE


def test_200_mb_that_hide_their_length_are_refused_while_they_come(site, mould):
    taken = 0

    async def counted() -> AsyncIterator[bytes]:
        nonlocal taken
        async for part in streamed(200):
            taken += len(part)
            yield part

    answer = send(site, mould, counted())
    assert answer.status_code == 413
    message = answer.json()["error"]["message"]
    assert message.startswith("This photo is larger than 20 MB: photos are kept in")
    assert message.endswith("crop it to the slice or the mark.")
    assert site.workshop.photos.listed(mould) == ()


@pytest.mark.parametrize(
    "address",
    ["/moulds", "/moulds/trace", "/moulds/AAAAAAAAAAAA/photos/", "/moulds/a/photos",
     "/moulds/AAAAAAAAAAAA/photos/more", "/documents"],
)  # fmt: skip
def test_only_the_photos_own_address_takes_more_than_a_document(site, address):
    sent = {"X-Partline-Token": site.token(), **AS_JSON}
    answer = site.client.post(address, content=bytes(400_000), headers=sent)
    assert answer.status_code == 413
    assert "300 kB" in answer.text


def memory_of(process: int) -> float:
    """Largest memory that a process has held. [MB]"""
    status = Path(f"/proc/{process}/status").read_text()
    found = re.search(r"VmHWM:\s+(\d+) kB", status)
    assert found
    return int(found[1]) / 1000


@pytest.mark.slow
def test_the_running_program_refuses_200_mb_keeps_its_memory_and_survives_being_killed(tmp_path):
    folder = tmp_path / "killed"
    with serving("serve", folder) as server:
        page = server.upload("mould.toml", (SHED / "moulds" / "fry-75.toml").read_text("utf-8"))
        code = page.rpartition("/")[2]
        headers = {"X-Partline-Token": server.token, **AS_JSON}
        goal = f"{server.address}{address(code).removeprefix('/')}"

        def body() -> Iterator[bytes]:
            yield JPEG
            for _ in range(200):
                yield bytes(MEGABYTE)

        before = memory_of(server.process)
        hidden = httpx.post(goal, content=body(), headers=headers, timeout=60)
        assert hidden.status_code == 413
        assert "larger than 20 MB" in hidden.text
        honest = {**headers, "Content-Length": str(200 * MEGABYTE + len(JPEG))}
        told = httpx.post(goal, content=body(), headers=honest, timeout=60)
        assert (told.status_code, told.text) == (413, TOO_LARGE)
        assert memory_of(server.process) - before < 60  # 20 MB taken in, twice at most

        kept = httpx.post(goal, content=JPEG, headers=headers).json()
        os.kill(server.process, signal.SIGKILL)
    with open_at(folder) as workshop:
        facts, content = workshop.photos.get(kept["code"])
        assert content == JPEG
        assert facts.document_id == code


def points(**change):
    asked = {
        "scale": [[100, 900], [900, 900]],
        "outline": [[1020, 420], [910, 247], [690, 247], [580, 420], [690, 559], [910, 559]],
        "line": [[580, 420], [1020, 420]],
        "back": [[800, 320]],
        "distance": "20 mm",
        "coarseness": 1.5,
    }
    return asked | change


def test_a_traced_slice_goes_into_a_station_with_its_doubt_and_the_second_editor_is_told(
    site, mould
):
    answer = site.post("/moulds/trace", points()).json()
    nearest, outline = (each["fields"] for each in answer["choices"])
    assert (answer["proposed"], nearest["shape"], outline["shape"]) == (
        "nearest", "elliptic", "outline",
    )  # fmt: skip
    fields = nearest
    assert fields["width"].startswith("11.0")
    assert "each may be off by" in answer["told"]
    form = site.workshop.moulds.named("fry-75").content.stations
    rows = [{"was": str(place)} for place in range(len(form))]
    rows[0] |= fields | {"traced": "PH0T0000000A"}
    asked = {"id": mould, "based_on": 1, "fields": {"stations": rows}}
    assert site.post("/moulds", asked).json()["number"] == 2
    station = site.workshop.moulds.named("fry-75").content.stations[0]
    assert station.origin.value == "measured"
    assert station.width == pytest.approx(11e-3, rel=0.01)
    assert f"{station.doubt * 100:g} %" == fields["doubt"]
    assert site.post("/moulds", asked).status_code == 409
    shown = site.get(f"/moulds/{mould}").text
    assert "measured; typing a size makes it entered" in shown


def test_a_traced_outline_is_drawn_kept_and_told_point_by_point(site, mould):
    answer = site.post("/moulds/trace", points()).json()
    outline = answer["choices"][1]["fields"]
    count = len(site.workshop.moulds.named("fry-75").content.stations)
    rows = [{"was": str(place)} for place in range(count)]
    rows[0] |= outline | {"traced": "PH0T0000000A"}
    asked = {"id": mould, "based_on": 1, "fields": {"stations": rows}}
    drawn = site.post("/moulds/sketch", asked).json()
    assert len(drawn["cuts"]) == count
    assert "Cut at the belly: 11.0 mm wide" in drawn["cuts"][0]
    listed = [
        ", ".join(f"{size:.2f} mm" for size in point)
        for point in drawn["told"]["stations"][0]["points_mm"]
    ]
    assert listed == outline["points"].splitlines()
    assert site.post("/moulds", asked).json()["number"] == 2
    station = site.workshop.moulds.named("fry-75").content.stations[0]
    assert station.shape.value == "outline"
    assert len(station.points) == len(listed)
    assert "# traced in photo PH0T0000000A" in site.workshop.moulds.named("fry-75").version.text


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"distance": ""}, "distance"),
        ({"distance": "20"}, "distance"),
        ({"distance": "0 mm"}, "distance"),
        ({"distance": "20 g"}, "distance"),
        ({"distance": 20}, "distance"),
        ({"scale": [[1, 1]]}, "scale"),
        ({"scale": [[1, 1], [1, 1]]}, "scale"),
        ({"line": []}, "line"),
        ({"back": [[1, 2], [3, 4]]}, "back"),
        ({"outline": [[1, 1], [2, 2]]}, "outline"),
        ({"outline": [[k, k] for k in range(9)]}, "outline"),
        ({"outline": "no"}, "outline"),
        ({"outline": [[1, "x"]] * 9}, "outline"),
        ({"outline": [[1, 1e300]] * 9}, "outline"),
        ({"outline": [[0, 0]] * 2000}, "outline"),
        ({"coarseness": 0}, "coarseness"),
        ({"coarseness": True}, "coarseness"),
    ],
)
def test_what_cannot_be_traced_is_a_sentence_at_its_step(site, change, field):
    answer = site.post("/moulds/trace", points(**change))
    assert answer.status_code == 422
    error = answer.json()["error"]
    assert error["field"] == field
    assert error["message"].endswith(".")


def test_photos_travel_with_the_workshop_through_its_pages(site, empty, mould):
    kept = send(site, mould, JPEG).json()
    archive = site.get("/keeping/export").content
    taken = empty.upload("/keeping/import", "workshop.zip", archive)
    assert taken.status_code == 303
    assert empty.get(f"/photos/{kept['code']}").content == JPEG
