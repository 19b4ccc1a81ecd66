"""Benches and shelves as files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError, Invalid
from partline.materials.shelf import Shelf
from partline.materials.spectrum import Spectrum
from partline.materials.supply import Clarity, Colourant, FlakeShape
from partline.quantities.estimate import Origin
from partline.records.exchange import read_bench, read_shelf, write_bench, write_shelf

EXAMPLES = Path(__file__).parents[3] / "examples" / "vessary-shed"
BENCH = (EXAMPLES / "bench.toml").read_text("utf-8")
SHELF = (EXAMPLES / "shelf.toml").read_text("utf-8")
NM = 1e-9


def problems(read: Callable[[str], object], text: str) -> dict[str, InputError]:
    with pytest.raises(Invalid) as refusal:
        read(text)
    return {problem.field: problem for problem in refusal.value.problems}


def test_the_demo_bench_says_what_its_file_says():
    bench = read_bench(BENCH)
    assert bench.reject_share == 0.07
    assert bench.vessel.limit == pytest.approx(300e-6, rel=1e-12)  # 60 % of 500 mL
    assert bench.syringes.usable == pytest.approx(90e-6, rel=1e-12)  # 90 % of 100 mL
    assert bench.syringes.preheat == 403.15
    assert bench.block_loss.value == 0.0015
    assert bench.oven is not None
    assert (bench.oven.share.low, bench.oven.share.high) == (0.3, 0.5)
    assert bench.oven.share.origin is Origin.PRACTICE
    assert bench.thermometer is not None
    assert bench.thermometer.between_cups == 1.0  # a difference: no zero is added


def test_a_bench_comes_back_exactly_as_it_was_written():
    bench = read_bench(BENCH)
    assert read_bench(write_bench(bench)) == bench


def test_a_bench_needs_neither_oven_nor_thermometer():
    short = BENCH[: BENCH.index("[oven]")]
    bench = read_bench(short)
    assert bench.oven is None
    assert bench.thermometer is None
    assert read_bench(write_bench(bench)) == bench


@pytest.mark.parametrize(
    ("old", "new", "field", "says"),
    [
        ('"7 %"', "0.07", "reject_share", "“7 %”"),
        ('"7 %"', "7", "reject_share", "“7 %”"),
        ('"7 %"', '"107 %"', "reject_share", "0 to 90 %"),
        ('"22 °C"', '"22"', "room", "22 °C"),
        ('"22 °C"', '"72 °C"', "room", "72 °F"),
        ('fill_limit = "60 %"', "", "vessel.fill_limit", "missing"),
        ('"500 mL"', '"500 g"', "vessel.capacity", "volume"),
        ('"500 mL"', '"2 cups"', "vessel.capacity", "US cup"),
        ("shots_per_draw = 1", "shots_per_draw = 0", "syringes.shots_per_draw", "1 to 50"),
        ("[block]", "[blok]", "blok", "Did you mean “block”"),
        ("[block]", "", "block", "missing"),
        (', low = "30 %"', "", "oven.share", "one end"),
        ('low = "30 %"', 'low = "45 %"', "oven.share", "rising order"),
        ("emissivity = 0.95", "emissivity = 95", "thermometer.emissivity", "0.05 to 1"),
    ],
)
def test_what_a_bench_cannot_be_is_said_beside_its_field(old, new, field, says):
    assert old in BENCH
    assert says in str(problems(read_bench, BENCH.replace(old, new))[field])


def test_the_demo_shelf_holds_every_supply():
    shelf = read_shelf(SHELF)
    assert [supply.name for supply in shelf] == [
        "soft", "medium", "Peat", "Chalk", "Rind", "Soot", "Penny", "Moss", "Ink", "fine salt",
    ]  # fmt: skip


def test_a_shelf_comes_back_exactly_as_it_was_written():
    shelf = read_shelf(SHELF)
    assert read_shelf(write_shelf(shelf)) == shelf


def test_a_colourants_coefficients_become_those_of_a_unit_mass_share():
    peat = read_shelf(SHELF).find("Peat")
    assert isinstance(peat, Colourant)
    assert peat.clarity is Clarity.CLEAR
    # One 30 mg drop in 100 g is a share of 3e-4 and adds 0.07/mm at 400 nm (demo data).
    share = 0.030 / 100
    assert peat.optics is not None
    added = peat.optics.absorption.at(np.array([400 * NM])) * share
    assert added[0] == pytest.approx(70.0, rel=1e-12)  # [1/m]; rounding only


def test_coefficients_for_a_gram_do_not_hang_on_the_drop():
    gram = SHELF.replace('per = "drop in 100 g"', 'per = "g in 100 g"')
    other = gram.replace('value = "30 mg", low = "28.6 mg"', 'value = "29 mg", low = "28.6 mg"')
    assert other != gram
    first, second = read_shelf(gram).find("Peat"), read_shelf(other).find("Peat")
    assert isinstance(first, Colourant)
    assert isinstance(second, Colourant)
    assert first.optics == second.optics


def test_plain_plastic_keeps_its_own_coefficients():
    soft = read_shelf(SHELF).grade("soft")
    assert soft.optics.scattering.at(np.array([550 * NM]))[0] == pytest.approx(20.0, rel=1e-12)
    assert soft.gel_line == 404.15


def test_what_the_label_leaves_out_is_never_shown_as_measured():
    peat = read_shelf(SHELF).find("Peat")
    salt = read_shelf(SHELF).find("fine salt")
    assert peat.density.origin is Origin.DEFAULT
    assert peat.density.low < peat.density.value < peat.density.high
    assert peat.density.narrows
    assert salt.density.origin is Origin.MEMORY


def test_a_sampled_spectrum_is_read_in_order():
    sampled = '[{ shape = "sampled", values = [0.1, 0.2, 0.4] }]'
    text = SHELF.replace(
        '[{ shape = "decay", height = 0.07, place = 400, spread = 110 }]', sampled
    )
    assert text != SHELF
    shelf = read_shelf(text)
    peat = shelf.find("Peat")
    assert isinstance(peat, Colourant)
    assert peat.optics is not None
    at = peat.optics.absorption.at(np.array([400, 550, 700]) * NM) * 0.030 / 100
    assert at == pytest.approx([100, 200, 400], rel=1e-12)
    assert read_shelf(write_shelf(shelf)) == shelf


@pytest.mark.parametrize(
    ("old", "new", "field", "says"),
    [
        ('clarity = "clear"', 'clarity = "cleer"', "colourant[0].clarity", "“clear”"),
        (
            'value = "30 mg", low',
            'value = "30 g", low',
            "colourant[0].drop.value",
            "0.002 to 0.2 g",
        ),
        ("height = 0.62", "height = 1.62", "flake[0].reflectance", "at most 1"),
        ("height = -0.34", "height = -0.94", "flake[0].reflectance", "below zero"),
        ('shape = "decay"', 'shape = "decy"', "colourant[0].absorption[0].shape", "“decay”"),
        ("place = 400", "place = 400e-9", "colourant[0].absorption[0].place", "nm"),
        ('"Moss"', '"penny"', "flake[1].name", "Two supplies"),
        ('band = ["150 °C", "165 °C"]', 'band = ["150 °C"]', "grade[0].band", "two ends"),
        ('band = ["150 °C", "165 °C"]', 'band = ["165 °C", "150 °C"]', "grade[0].band", "lower"),
        ('"25 µm"\nmetal = true', '"25 µm"\nmetal = "yes"', "flake[0].metal", "true or false"),
    ],
)
def test_what_a_supply_cannot_be_is_said_beside_its_field(old, new, field, says):
    assert old in SHELF
    assert says in str(problems(read_shelf, SHELF.replace(old, new, 1))[field])


def test_a_label_whose_ceiling_lies_below_its_band_is_asked_for_again():
    text = SHELF.replace('ceiling = "185 °C"', 'ceiling = "160 °C"', 1)
    assert "below its band or target" in str(problems(read_shelf, text)["grade[0].ceiling"])


def test_what_was_measured_of_plain_plastic_and_film_comes_back_and_a_guess_needs_no_word():
    stock = read_shelf(SHELF)
    assert {each.optics_origin for each in stock.grades} == {Origin.DEFAULT}
    assert {each.thickness_origin for each in stock.flakes} == {Origin.LABEL}
    assert "thickness_origin" not in write_shelf(stock)
    read = replace(
        stock,
        grades=tuple(replace(each, optics_origin=Origin.MEASURED) for each in stock.grades),
        flakes=tuple(replace(each, thickness_origin=Origin.MEASURED) for each in stock.flakes),
    )
    assert read_shelf(write_shelf(read)) == read


def test_an_empty_shelf_is_a_shelf():
    assert read_shelf("") == Shelf()


@pytest.mark.parametrize("shape", FlakeShape)
def test_a_flakes_shape_comes_back_and_a_hexagon_needs_no_word(shape):
    flake = replace(read_shelf(SHELF).flakes[0], shape=shape)
    text = write_shelf(Shelf(flakes=(flake,)))
    assert read_shelf(text).flakes == (flake,)
    assert (f'shape = "{shape}"' in text) is (shape is not FlakeShape.HEXAGON)
    assert read_shelf(SHELF).flakes[0].shape is FlakeShape.HEXAGON


def test_a_flake_of_an_unknown_shape_is_asked_for_again():
    text = SHELF.replace('"25 µm"\nmetal = true', '"25 µm"\nmetal = true\nshape = "hexagone"')
    assert text != SHELF
    assert "“hexagon”" in str(problems(read_shelf, text)["flake[0].shape"])


@settings(deadline=None)  # no timed assertions
@given(st.lists(st.floats(0, 1, allow_subnormal=False), min_size=2, max_size=31))
def test_any_measured_reflectance_comes_back_exactly(values):
    shelf = read_shelf(SHELF)
    flake = replace(shelf.flakes[0], reflectance=Spectrum(sampled=tuple(values)))
    kept = Shelf(flakes=(flake,))
    assert read_shelf(write_shelf(kept)) == kept
