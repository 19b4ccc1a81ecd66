"""Water against printed tables, and against rules that it was not made from."""

from pathlib import Path

import numpy as np
import pytest

from partline.data.cie import WAVELENGTHS
from partline.data.water import JERLOV, PURE_WATER
from partline.physics.water_column import (
    WaterOptics,
    diffuse_attenuation,
    lake_of_clarity,
    sea_optics,
    sea_particles,
    secchi_depth,
    water_scattering,
)
from partline.physics.water_sight import open_water_radiance, through_water

NM = np.round(WAVELENGTHS * 1e9).astype(int)
AT_490 = int(np.searchsorted(NM, 490))
OPEN = ("I", "IA", "IB", "II", "III")
TABLE = Path(__file__).parent / "tables" / "austin_petzold_1986.csv"


@pytest.mark.published(
    law="Jerlov's water types",
    source="Jerlov, Marine Optics, 1976, Table XXVII (as transcribed in public code files)",
    where="I, III, 1C and 9C at 400, 450, 500, 550, 600, 650 and 700 nm",
)
@pytest.mark.parametrize(
    ("kind", "printed"),
    [
        ("I", [0.028, 0.019, 0.027, 0.063, 0.235, 0.360, 0.56]),
        ("III", [0.185, 0.135, 0.115, 0.120, 0.295, 0.445, 0.66]),
        ("1C", [0.51, 0.25, 0.14, 0.12, 0.30, 0.45, 0.65]),
        ("9C", [2.4, 1.6, 0.99, 0.63, 0.60, 0.76, 1.1]),
    ],
)
def test_the_types_of_sea_water_are_the_printed_ones(deviation, kind, printed):
    worst = np.abs(JERLOV[kind][::5] - printed).max()
    deviation(worst)
    assert worst < 1e-12


@pytest.mark.published(
    law="Jerlov's open types by another formula",
    source="Austin and Petzold, Opt. Eng. 25 (1986) 471 (table seen in a transcription)",
    where="Kd = M (Kd(490) − Kw(490)) + Kw, types I to III, 420 to 680 nm",
)
@pytest.mark.parametrize("kind", OPEN)
def test_the_open_sea_follows_from_its_attenuation_at_490(deviation, kind):
    table = np.genfromtxt(TABLE, delimiter=",", names=True)
    at_490 = JERLOV[kind][AT_490] - table["kw"][AT_490]
    theirs = table["m"] * at_490 + table["kw"]
    inside = (NM >= 420) & (NM <= 680)
    off = np.abs(np.log(JERLOV[kind] / theirs))[inside]
    deviation(off.max())
    assert off.max() < 0.40  # ours are read off 25 nm apart, across water's step at 590 nm
    assert np.median(off) < 0.08


@pytest.mark.published(
    law="Absorption of pure water",
    source="Pope and Fry, Appl. Opt. 36 (1997) 8710, Table 3 (as transcribed in a public file)",
    where="least at 418 nm; 0.0204, 0.0565, 0.340, 0.624 /m at 500, 550, 650, 700 nm",
)
def test_pure_water_absorbs_as_printed(deviation):
    printed = dict(zip([500, 550, 650, 700], [0.0204, 0.0565, 0.340, 0.624], strict=True))
    worst = max(abs(PURE_WATER[nm == NM].item() - each) for nm, each in printed.items())
    deviation(worst)
    assert worst < 1e-12
    assert NM[PURE_WATER.argmin()] in (410, 420)


@pytest.mark.published(
    law="Diffuse attenuation of pure water",
    source="Austin and Petzold, Opt. Eng. 25 (1986) 471: Kw, the clearest sea (table seen)",
    where="520 to 700 nm",
)
def test_the_clearest_sea_is_pure_water(deviation):
    table = np.genfromtxt(TABLE, delimiter=",", names=True)
    ours = diffuse_attenuation(PURE_WATER, water_scattering(WAVELENGTHS), 0.95)
    off = np.abs(np.log(ours / table["kw"]))[NM >= 520]
    deviation(off.max())
    assert off.max() < 0.25  # two laboratories 16 years apart


@pytest.mark.published(
    law="Secchi depth",
    source="Poole and Atkins 1929: 1.7; Holmes 1970: 1.44 (both from memory), rules of their own",
    where="clearest Kd × Secchi depth of all ten of Jerlov's types",
)
def test_the_disk_goes_out_of_sight_where_the_older_rules_say(deviation):
    found = []
    for attenuation in JERLOV.values():
        optics = sea_optics(attenuation, sea_particles(attenuation[AT_490]))
        found.append(secchi_depth(optics) * attenuation.min())
    deviation(max(abs(np.log(np.array(found) / 1.55))))
    assert all(1.1 < each < 1.8 for each in found)


@pytest.mark.published(
    law="Secchi depth",
    source="Preisendorfer, Limnol. Oceanogr. 31 (1986) 909 (abstract; figure from memory)",
    where="grey water: Z = 8.7/(c + Kd)",
)
def test_in_grey_water_the_disk_follows_the_printed_rule(deviation):
    flat = np.ones(31)
    grey = WaterOptics(diffuse=0.3 * flat, beam=1.1 * flat, absorption=0.2 * flat,
                       backscattering=0.01 * flat)  # fmt: skip
    deviation(secchi_depth(grey) / (8.7 / 1.4) - 1)
    assert secchi_depth(grey) == pytest.approx(8.7 / 1.4, rel=1e-9)


@pytest.mark.published(
    law="Visibility of a black thing",
    source="Davies-Colley, Limnol. Oceanogr. 33 (1988) 616: 4.8/c on the level (from memory)",
    where="threshold contrast between 0.5 and 2 %",
)
def test_a_black_disk_goes_out_of_sight_where_it_was_measured_to(deviation):
    lake = lake_of_clarity(3.0, 0.15, 0.06, 0.04, 1.0)
    veil = open_water_radiance(lake)
    clearest = int(lake.beam.argmin())
    seen = through_water(np.zeros(31), veil, lake, 4.8 / lake.beam[clearest])
    contrast = abs(seen[clearest] / veil[clearest] - 1)
    deviation(contrast)
    assert 0.005 < contrast < 0.02


@pytest.mark.published(
    law="Reflectance of deep water",
    source="Morel and Prieur, Limnol. Oceanogr. 22 (1977) 709: 0.33 bb/(a + bb) (from memory)",
    where="straight down, as radiance with Q of 3.5 to 5",
)
def test_water_looked_into_from_above_is_as_bright_as_printed(deviation):
    sea = sea_optics(JERLOV["II"], sea_particles(JERLOV["II"][AT_490]))
    ratio = open_water_radiance(sea, -1.0) / (
        sea.backscattering / (sea.absorption + sea.backscattering)
    )
    deviation(np.abs(ratio / (0.33 * np.pi / 4) - 1).max())
    assert np.all((ratio > 0.33 * np.pi / 5) & (ratio < 0.33 * np.pi / 3.5 * 1.1))
