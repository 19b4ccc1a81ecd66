"""What a photo says, as an event: kept where it is whole, refused with its field where not."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import InputError
from partline.services.runs.photo_events import FIGURES, check_photo_measure

SAID = {
    "photo": "ABC123", "subject": "slice", "day": 0,
    "figures": {"line_width_mm": {"low": 2.2, "value": 2.4, "high": 2.6}},
}  # fmt: skip


def test_a_whole_one_is_kept():
    check_photo_measure(SAID)
    check_photo_measure(SAID | {"shot": 3, "card": 7, "line": "99.2 mm", "pointed": None})
    refused = {"reason": "glare", "text": "A lamp mirrors."}
    check_photo_measure({**SAID, "figures": {}, "refused": refused})


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"photo": ""}, "data.photo"),
        ({"photo": 7}, "data.photo"),
        ({"subject": "lure"}, "data.subject"),
        ({"subject": ["slice"]}, "data.subject"),
        ({"day": None}, "data.day"),
        ({"day": 1.5}, "data.day"),
        ({"day": True}, "data.day"),
        ({"day": -1}, "data.day"),
        ({"shot": 0}, "data.shot"),
        ({"figures": {}}, "data.figures"),
        ({"figures": {"weight": SAID["figures"]}}, "data.figures"),
        ({"refused": {"reason": "glare"}}, "data.figures"),  # both
        ({"figures": {"halves": {"low": 3, "value": 2, "high": 4}}}, "data.figures.halves"),
        ({"figures": {"halves": {"low": 1, "value": 2}}}, "data.figures.halves"),
        ({"figures": {"height_mm": {"low": 1, "value": 999, "high": 999}}},
         "data.figures.height_mm"),
    ],
)  # fmt: skip
def test_what_cannot_be_kept_is_said_by_its_field(change, field):
    with pytest.raises(InputError) as refused:
        check_photo_measure(SAID | change)
    assert refused.value.field == field


JUNK = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=4),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["low", "value", "high", "reason", *FIGURES]), inner, max_size=3
        )
    ),
    max_leaves=8,
)


@given(st.dictionaries(st.sampled_from([*SAID, "refused", "shot", "card"]), JUNK, max_size=6))
def test_no_junk_provokes_anything_but_a_sentence(junk):
    field = "data."
    try:
        check_photo_measure(SAID | junk)
    except InputError as refused:
        field = refused.field
    assert field.startswith("data.")
