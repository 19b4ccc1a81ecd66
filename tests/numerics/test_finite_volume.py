"""Networks keep what they store, and settle as they must."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from partline.errors import InputError, OutOfRange
from partline.numerics.finite_volume import Network, modes, shells, value_at_core


@st.composite
def networks(draw, leaks: bool):
    count = draw(st.integers(2, 6))
    positive = st.floats(0.01, 100)
    link = draw(arrays(float, (count, count), elements=st.floats(0, 10)))
    leak = draw(arrays(float, count, elements=positive)) if leaks else np.zeros(count)
    return Network(
        capacity=draw(arrays(float, count, elements=positive)),
        conductance=np.triu(link, 1) + np.triu(link, 1).T,
        leak=leak,
        outside=draw(st.floats(-50, 50)),
    )


def starts(network):
    return np.linspace(-3.0, 40.0, len(network.capacity))


@settings(deadline=None)
@given(networks(leaks=False), st.floats(0, 1e4))
def test_a_closed_network_keeps_what_it_stores(network, time):
    start = starts(network)
    after = modes(network).after(start, time)
    scale = float(network.stored(np.abs(start))) + 1.0
    assert network.stored(after) == pytest.approx(network.stored(start), abs=1e-9 * scale)


@settings(deadline=None)
@given(networks(leaks=False), st.floats(0, 1e3), st.floats(-5, 5))
def test_what_is_put_in_is_stored(network, time, power):
    start, source = starts(network), np.zeros(len(network.capacity))
    source[0] = power
    after = modes(network).after(start, time, source)
    gained = float(network.stored(after) - network.stored(start))
    scale = float(network.stored(np.abs(start))) + abs(power * time) + 1.0
    assert gained == pytest.approx(power * time, abs=1e-8 * scale)


@settings(deadline=None)
@given(networks(leaks=True), st.floats(0, 100))
def test_no_node_leaves_the_span_of_start_and_outside(network, time):
    start = starts(network)
    after = modes(network).after(start, time)
    low, high = min(start.min(), network.outside), max(start.max(), network.outside)
    room = 1e-8 * (high - low + 1)
    assert np.all(after >= low - room)
    assert np.all(after <= high + room)


@settings(deadline=None)
@given(networks(leaks=True), st.floats(0.01, 10), st.floats(0.01, 10))
def test_two_stretches_of_time_are_one(network, first, second):
    found = modes(network)
    start = starts(network)
    halfway = found.after(start, first)
    assert found.after(halfway, second) == pytest.approx(
        found.after(start, first + second), rel=1e-7, abs=1e-7
    )


def test_two_nodes_meet_where_their_heat_is_shared():
    link = np.array([[0.0, 2.0], [2.0, 0.0]])
    pair = Network(capacity=np.array([1.0, 3.0]), conductance=link, leak=np.zeros(2))
    after = modes(pair).after([80.0, 20.0], [0.0, 1e6])
    assert after[0] == pytest.approx([80.0, 20.0], abs=1e-12)
    assert after[1] == pytest.approx([35.0, 35.0], abs=1e-9)


@pytest.mark.parametrize("bend", [0.0, 0.4, 1.0, 2.0])
def test_shells_fill_the_body_and_end_at_its_surface(bend):
    cut = shells(bend, 12)
    assert cut.volume.sum() == pytest.approx(1.0, abs=1e-14)
    assert cut.area == bend + 1
    assert np.all(np.diff(cut.link) >= 0)


def test_the_core_of_a_parabola_is_its_top():
    assert float(value_at_core(5 - 0.5**2, 5 - 1.5**2)) == pytest.approx(5.0, abs=1e-14)


def test_a_network_that_makes_no_sense_is_refused():
    one_way = np.array([[0.0, 1.0], [2.0, 0.0]])
    both = np.array([[0.0, 1.0], [1.0, 0.0]])
    with pytest.raises(InputError, match="both ways"):
        modes(Network(capacity=np.ones(2), conductance=one_way, leak=np.zeros(2)))
    with pytest.raises(InputError, match="above 0"):
        modes(Network(capacity=np.zeros(2), conductance=both, leak=np.zeros(2)))
    with pytest.raises(OutOfRange, match="below 0"):
        modes(Network(capacity=np.ones(2), conductance=both, leak=np.zeros(2))).after(
            [1.0, 1.0], -1.0
        )
    with pytest.raises(OutOfRange, match="two shells"):
        shells(1.0, 1)
