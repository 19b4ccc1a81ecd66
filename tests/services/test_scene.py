"""Where a bait is looked at: what a form says, what is refused, what stands beside a picture."""

from __future__ import annotations

from functools import cache
from math import degrees, pi, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import Error, InputError, OutOfRange
from partline.physics.illuminant import Illuminant
from partline.process.composition import compose
from partline.process.rendering import Backdrop, PictureError, Quality
from partline.process.slab_renderer import SlabRenderer
from partline.process.traced import TracedRenderer
from partline.process.water import Lake, LakeColour, Sea, SeaType
from partline.services.scene import Scene, draw, medium_of, scene_as_json, scene_of
from partline.services.tables import Medium
from tests.physics.response.bodies import quick_table, spindle
from tests.process.shed import demo, mould_of, shelf, station

BODY = mould_of(station(6.6, 3.3, 3.3), length=0.04)


@cache
def traced() -> TracedRenderer:
    """A renderer of a small bait, from a quick table."""
    return TracedRenderer(
        body=spindle(), response=quick_table(), quality=Quality.FINAL,
        error=PictureError(median=1.0, high=2.8, source="a quick table"),
    )  # fmt: skip


def drawn(renderer=None, *, version=3, **given):
    """A demo bait in a scene."""
    plastics = [compose(side, shelf()) for side in demo(version).sides]
    return draw(renderer or traced(), plastics, BODY, scene_of(given))


def test_what_is_left_out_is_as_usual():
    assert scene_of({}) == Scene()
    assert scene_of({"card": "", "turn": "", "around": None}) == Scene()
    assert scene_of({}).medium is Medium.AIR


def test_a_scene_in_air_is_read_as_it_is_chosen():
    scene = scene_of({"card": "grey", "light": "warm led", "gloss": True, "turn": "120"})
    assert (scene.card, scene.light) == (Backdrop.GREY, Illuminant.WARM_LED)
    assert scene.gloss
    assert degrees(scene.turn) == pytest.approx(120)
    assert scene.water is None


@pytest.mark.parametrize(
    ("field", "given", "allowed"),
    [
        ("card", "plaid", "pale, dark, grey"),
        ("light", "moon", "daylight, overcast, shade, lamp, warm led, cool led"),
        ("around", "soup", "air, lake, sea"),
        ("lake", "purple", "clear, green, tea-stained, muddy"),
        ("sea", "IV", "I, IA, IB, II, III, 1C, 3C, 5C, 7C, 9C"),
    ],
)
def test_a_word_that_is_none_of_those_is_refused_with_what_can_be_said(field, given, allowed):
    asked = {"around": {"lake": "lake", "sea": "sea"}.get(field, "air"), field: given}
    with pytest.raises(InputError) as refusal:
        scene_of(asked)
    assert f"“{given}”" in str(refusal.value)
    assert allowed in str(refusal.value)
    assert refusal.value.field == field


@pytest.mark.parametrize("given", ["-1", "361", "nan", "inf", "about 40", "1e9"])
def test_a_turn_is_counted_from_0_to_360_degrees(given):
    with pytest.raises(InputError, match="0 to 360") as refusal:
        scene_of({"turn": given})
    assert refusal.value.field == "turn"


@given(st.floats(0, 180))
def test_the_far_flank_looks_as_the_near_one(turn):
    assert scene_of({"turn": 360 - turn}).turn == pytest.approx(scene_of({"turn": turn}).turn)
    assert 0 <= scene_of({"turn": turn}).turn <= pi


def test_a_turn_may_be_written_with_its_sign():
    assert scene_of({"turn": "300°"}).turn == pytest.approx(radians(60))


@pytest.mark.parametrize(
    ("written", "metres"), [("50 cm", 0.5), ("2 m", 2.0), ("800 mm", 0.8), ("1.5 m", 1.5)]
)
def test_lengths_are_written_with_their_units(written, metres):
    scene = scene_of({"around": "lake", "secchi": written, "depth": written, "distance": written})
    assert scene.water is not None
    assert isinstance(scene.water.body, Lake)
    assert scene.water.body.secchi.value == pytest.approx(metres)
    assert (scene.water.depth, scene.water.distance) == pytest.approx((metres, metres))


@pytest.mark.parametrize("field", ["depth", "distance", "secchi"])
@pytest.mark.parametrize("given", ["-1 m", "deep", "3 drops", "5 km"])
def test_a_length_that_cannot_be_is_refused_beside_its_field(field, given):
    with pytest.raises(Error) as refusal:
        scene_of({"around": "lake", field: given})
    assert getattr(refusal.value, "field", "") == field


def test_a_lake_is_its_colour_and_a_reading_with_its_doubt():
    scene = scene_of({"around": "lake", "lake": "muddy", "secchi": "40 cm"})
    assert scene.medium is Medium.WATER
    assert scene.water is not None
    assert isinstance(scene.water.body, Lake)
    assert scene.water.body.colour is LakeColour.MUDDY
    secchi = scene.water.body.secchi
    assert secchi.low < secchi.value < secchi.high


def test_a_sea_is_its_type():
    scene = scene_of({"around": "sea", "sea": "3C", "lake": "muddy"})
    assert scene.water is not None
    assert scene.water.body == Sea(kind=SeaType.C3)


@pytest.mark.parametrize(("word", "medium"), [("air", "air"), ("lake", "water"), ("sea", "water")])
def test_lake_and_sea_have_one_table(word, medium):
    assert medium_of(word).value == medium
    assert medium_of(None) is Medium.AIR


def test_where_no_light_is_left_is_refused():
    with pytest.raises(OutOfRange, match="no light is left") as refusal:
        drawn(around="lake", lake="muddy", secchi="20 cm", depth="40 m")
    assert refusal.value.field == "depth"


def test_in_air_four_views_are_drawn_and_no_more():
    found = drawn(turn="70")
    assert list(found.views) == ["back", "side", "belly", "turned"]
    assert found.unadapted == {}
    assert found.stands_out is None
    assert found.notes == ()


@pytest.mark.parametrize(("turn", "same"), [("0", "back"), ("90", "side"), ("180", "belly")])
def test_the_turned_view_passes_through_the_others(turn, same):
    views = drawn(turn=turn, version=1).views
    np.testing.assert_allclose(views["turned"], views[same], atol=1e-9)


def test_gloss_is_shown_in_air_and_never_under_water():
    assert scene_of({"gloss": "on"}).setting(0.0).has_gloss
    assert not scene_of({"gloss": "on", "around": "sea"}).setting(0.0).has_gloss


def test_under_water_each_view_is_shown_to_two_eyes():
    found = drawn(around="lake", lake="tea-stained", secchi="1 m", depth="1 m")
    assert found.views.keys() == found.unadapted.keys()
    used, cast = (each["back"][0, 0] for each in (found.views, found.unadapted))
    assert cast[0] - cast[2] > used[0] - used[2] + 0.1  # tea is brown until one is used to it


def test_how_a_bait_stands_out_has_a_range_that_holds_it():
    found = drawn(around="lake", secchi="2 m").stands_out
    assert found is not None
    assert found.low <= found.value <= found.high
    assert found.low < found.high
    assert found.narrows


def test_a_pale_bait_stands_out_more_than_a_brown_one():
    plain = drawn(around="lake").stands_out
    far = drawn(around="lake", distance="3 m").stands_out
    assert plain is not None
    assert far is not None
    # Duntley's law: contrast falls with the distance, exp(−(c)r), and keeps its sign.
    assert abs(far.value) < abs(plain.value)
    assert far.value * plain.value > 0


def test_slabs_do_not_say_how_a_bait_stands_out():
    assert drawn(SlabRenderer(), around="lake").stands_out is None


def test_a_maker_is_told_that_no_fish_was_asked():
    notes = [note.text for note in drawn(around="sea").notes]
    assert any("nothing is said of what a fish sees" in each for each in notes)


def test_deep_down_colours_are_said_to_fade():
    notes = [note.text for note in drawn(around="lake", secchi="1 m", depth="9 m").notes]
    assert any("sees little colour" in each for each in notes)


def test_a_scene_is_told_with_all_its_keys():
    scene = scene_of({"around": "lake", "depth": "50 cm", "turn": "300", "gloss": True})
    plastics = [compose(side, shelf()) for side in demo(3).sides]
    told = scene_as_json(scene, draw(traced(), plastics, BODY, scene))
    assert (told["in"], told["depth_m"], told["distance_m"]) == ("water", 0.5, 0.5)
    assert (told["card"], told["gloss"], told["turn_degrees"]) == (None, False, 60)
    air = scene_as_json(Scene(), drawn())
    assert (air["in"], air["card"], air["depth_m"], air["stands_out"]) == (
        "air", "pale", None, None,
    )  # fmt: skip
    assert air["quality"] == "final"


def test_differences_and_the_line_have_ranges_that_hold_them():
    for around in ("air", "lake"):
        found = drawn(around=around)
        assert found.differences is not None
        assert found.line is not None
        for each in (*found.differences, found.line):
            assert 0 <= each.low <= each.value <= each.high
            assert each.low < each.high


def test_murky_water_leaves_more_open_than_air():
    spans = [drawn(around=around, distance="1 m").differences[1] for around in ("air", "lake")]
    relative = [(each.high - each.low) / each.value for each in spans]
    assert relative[1] > relative[0]


def test_one_colour_has_no_line():
    plastic = compose(demo(3).sides[0], shelf())
    found = draw(traced(), [plastic], BODY, scene_of({}))
    assert (found.differences, found.line) == (None, None)


def test_bubbles_and_heat_change_the_picture_and_what_cannot_be_is_refused():
    plain = drawn().views["side"]
    for happened in ({"bubbles": "many"}, {"heated": "40 min", "heat": "190 °C"}):
        assert np.abs(drawn(**happened).views["side"] - plain).max() > 0.005
    with pytest.raises(Error, match="250 °C"):
        scene_of({"heated": "20 min", "heat": "900 °C"})


def test_a_bait_too_far_off_is_said_to_be_out_of_sight():
    near, far = (
        [note.text for note in drawn(around="lake", distance=distance).notes]
        for distance in ("0.2 m", "20 m")
    )
    assert not any("out of sight" in text for text in near)
    assert any("out of sight" in text for text in far)
