"""The live look in a scene, and the fine picture that is made meanwhile, as the page asks."""

from __future__ import annotations

from base64 import b64decode
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from partline.interfaces.web.pages import recipes
from partline.physics.response import Grid
from partline.physics.response.making import Making
from partline.records.response_files import ResponseCache
from partline.services.tables import Medium, TableKeeper
from tests.process.shed import demo

VIEWS = ["back", "side", "belly", "turned"]


def looked(site, **scene: object):
    """What the page is told."""
    answer = site.post("/look", site.question(demo(3), scene=scene))
    assert answer.status_code == 200, answer.text
    return answer.json()


def pixels(told, name: str = "back") -> np.ndarray:
    """One of the pictures."""
    with Image.open(BytesIO(b64decode(told["pictures"][name]))) as image:
        return np.array(image.convert("RGB"), dtype=int)


def test_without_a_scene_it_is_air_and_a_pale_card(site):
    told = site.post("/look", site.question(demo(3))).json()
    assert list(told["pictures"]) == VIEWS
    scene = told["scene"]
    assert (scene["in"], scene["card"], scene["light"], scene["gloss"]) == (
        "air", "pale", "daylight", False,
    )  # fmt: skip
    assert scene["turn_degrees"] == 45
    assert scene["stands_out"] is None
    assert told["table"]["is_busy"] is False  # nothing is made that this server does not make


def test_the_card_and_the_light_are_in_the_picture(site):
    pale, grey, dark = (looked(site, card=card) for card in ("pale", "grey", "dark"))
    corner = [pixels(told)[0, 0].mean() for told in (pale, grey, dark)]
    assert corner[0] > corner[1] + 40 > corner[2] + 80
    lamp = looked(site, light="lamp")
    assert lamp["scene"]["light"] == "lamp"
    assert np.ptp(pixels(lamp)[0, 0]) <= 3  # an eye used to it sees the card as a card
    assert np.abs(pixels(lamp) - pixels(pale)).max() > 3


def test_turned_by_90_degrees_is_the_side(site):
    told = looked(site, turn="90")
    assert told["pictures"]["turned"] == told["pictures"]["side"]
    assert looked(site, turn="300")["scene"]["turn_degrees"] == 60


def test_in_a_lake_each_view_comes_twice_with_its_words(site):
    told = looked(site, around="lake", lake="tea-stained", secchi="1 m", depth="50 cm")
    assert list(told["pictures"]) == [*VIEWS, *(f"unadapted-{view}" for view in VIEWS)]
    assert (told["scene"]["in"], told["scene"]["card"]) == ("water", None)
    assert (told["scene"]["depth_m"], told["scene"]["distance_m"]) == (0.5, 0.5)
    assert any("what a fish sees" in note for note in told["scene"]["notes"])
    used, cast = (pixels(told, name)[0, 0] for name in ("back", "unadapted-back"))
    assert cast[0] - cast[2] > used[0] - used[2] + 20


@pytest.mark.parametrize(
    ("scene", "field", "said"),
    [
        ({"card": "plaid"}, "card", "pale, dark, grey"),
        ({"light": "moon"}, "light", "daylight"),
        ({"turn": "-3"}, "turn", "0 to 360"),
        ({"around": "lake", "depth": "deep"}, "depth", ""),
        ({"around": "lake", "secchi": "-1 m"}, "secchi", "Secchi"),
        ({"around": "lake", "secchi": "30 cm", "depth": "60 m"}, "depth", "no light is left"),
    ],
)
def test_a_scene_that_cannot_be_is_asked_about_beside_its_field(site, scene, field, said):
    answer = site.post("/look", site.question(demo(3), scene=scene))
    assert answer.status_code == 422
    told = answer.json()["error"]
    assert told["field"] == field
    assert said in told["message"]


@pytest.fixture
def quick(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> TableKeeper:
    """A keeper of quick tables in place of the program's own."""
    made = TableKeeper(
        ResponseCache(folder=tmp_path / "tables"),
        workers=1,
        making=lambda medium: Making(
            index=Medium(medium).relative_index, along=3, angles=(0.0, np.pi / 2, np.pi),
            passes=(8, 100_000), rank=12, grid=Grid(scattering=5, absorption=5),
        ),
    )  # fmt: skip
    monkeypatch.setattr(recipes, "keeper", lambda: made)
    return made


def test_the_fine_picture_is_told_asked_for_and_stopped(site, quick):
    address = f"/moulds/{site.id_of('moulds', 'reed-130')}/table"
    told = site.get(address).json()
    assert (told["stage"], told["percent"], told["is_busy"]) == ("not asked", 0, False)
    begun = site.post(address, {"around": "air"}).json()
    assert begun["is_busy"] is True
    assert site.get(f"{address}?around=lake").json()["stage"] == "not asked"
    stopped = site.post(address, {"around": "air", "stop": True}).json()
    assert (stopped["stage"], stopped["is_busy"]) == ("stopped", False)


def test_the_fine_picture_of_no_mould_and_in_no_water_is_refused(site, quick):
    assert site.get("/moulds/none/table").status_code == 404
    address = f"/moulds/{site.id_of('moulds', 'reed-130')}/table"
    refused = site.get(f"{address}?around=soup", headers={"Accept": "application/json"})
    assert refused.status_code == 422
    assert "air, lake, sea" in refused.json()["error"]["message"]
