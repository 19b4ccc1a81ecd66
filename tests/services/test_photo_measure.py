"""What a page may send about a photo, and what is asked back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import InputError
from partline.records.photos import LARGEST_PHOTO
from partline.services.photo_measure import (
    Subject,
    measure_photo,
    pointed_at,
    ruled_line,
    subject_named,
)
from partline.studies.photo import Pointed
from partline.studies.photo_card import Pocket


def test_a_ruled_line_scales_every_length_and_keeps_its_doubt():
    known = ruled_line("99.2 mm")
    assert known is not None
    assert known.value == pytest.approx(0.992)
    assert known.high - known.low == pytest.approx(0.006)  # ±0.3 mm of a ruler
    assert ruled_line("  ") is None
    inch = ruled_line("3.94 in")
    assert inch is not None
    assert inch.value == pytest.approx(1.00076)


@pytest.mark.parametrize("typed", ["60 mm", "130 mm", "long", "100 g", "1,5"])
def test_a_line_that_no_print_has_is_asked_about(typed):
    with pytest.raises(InputError) as refused:
        ruled_line(typed)
    assert refused.value.field == "line"


def test_the_subject_is_one_of_three():
    assert subject_named(" Slice ") is Subject.SLICE
    with pytest.raises(InputError, match="lure"):
        subject_named("lure")


def test_a_tap_and_an_outline_are_read_as_they_are_sent():
    assert pointed_at({"tap": [3, 4.5]}).tap == (3.0, 4.5)
    outline = pointed_at({"outline": [[0, 0], [9, 0], [4, 7]]}).outline
    assert outline is not None
    assert np.array_equal(outline, [[0, 0], [9, 0], [4, 7]])


JUNK = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=4),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.sampled_from(["tap", "outline", "x"]), inner, max_size=2)
    ),
    max_leaves=12,
)


@given(JUNK)
def test_whatever_else_is_sent_is_refused_with_its_field(junk):
    found, field = None, "pointed"
    try:
        found = pointed_at(junk)
    except InputError as refused:
        field = refused.field
    assert field.startswith("pointed")
    assert found is None or found.tap is not None or found.outline is not None


def test_a_tap_into_another_subjects_pocket_is_refused():
    pointed = {Pocket.SPRUE: Pointed(tap=(1.0, 1.0))}
    with pytest.raises(InputError, match="sprue"):
        measure_photo(b"", Subject.SLICE, pointed=pointed)


def test_more_bytes_than_are_ever_kept_are_not_opened():
    with pytest.raises(InputError, match="20 MB"):
        measure_photo(bytes(LARGEST_PHOTO + 1), Subject.BAIT)
