"""Opening times in the maker's words: the worked demo, ranges, notes, refusals."""

from dataclasses import replace

import pytest

from partline.errors import Ambiguous, Impossible, InputError
from partline.services.opening import minutes, open_mould, opening_as_json, shot_mass_of
from tests.process.shed import bench, mould

ASKED = {"from": "163C", "wall": "40C", "open-at": "60C"}


def answer(given=None, **more):
    return opening_as_json(open_mould(mould(), bench(), given or ASKED, **more))


def test_the_demos_body_opens_after_about_three_minutes_ten():
    # 190 s by one term and a perfect contact (demo); a real contact adds some seconds.
    found = answer()
    assert found["station"] == "belly"
    assert 188 <= found["open_s"]["value"] <= 200
    assert found["open_s"]["low"] < 190 < found["open_s"]["high"]


def test_nothing_said_is_the_usual():
    assert answer({})["open_s"] == answer()["open_s"]


def test_a_run_lengthens_and_says_what_would_help():
    found = answer(shots=6)
    times = [each["open_s"]["value"] for each in found["run"]]
    assert len(times) == 6
    assert times == sorted(times)
    assert any("fan" in note for note in found["notes"])
    weighed = answer(ASKED | {"mould-mass": "4 kg"}, shots=6)
    assert weighed["mould_mass_g"]["origin"] == "entered"
    assert weighed["run"][5]["open_s"]["value"] < times[5]


def test_a_bench_that_reads_fahrenheit_is_told_fahrenheit():
    there = replace(bench(), reads_fahrenheit=True)
    found = opening_as_json(open_mould(mould(), there, {"from": "325F"}))
    assert found["from"]["shown"] == "325 °F"
    assert found["open_at"]["shown"] == "140 °F"


def test_a_bare_number_is_asked_about_and_never_guessed():
    with pytest.raises((Ambiguous, InputError)):
        open_mould(mould(), bench(), {"from": "163"})
    with pytest.raises(Ambiguous, match="350"):
        open_mould(mould(), bench(), {"from": "350C"})
    with pytest.raises(Impossible, match="60 °C"):
        open_mould(mould(), bench(), {"wall": "60C"})


def test_a_shot_weighs_its_baits_and_its_sprue():
    assert shot_mass_of(mould()) == pytest.approx(4 * 0.0102 + 0.009, rel=1e-12)


def test_minutes_read_as_on_a_clock():
    assert [minutes(each) for each in (0, 59.6, 194)] == ["0:00", "1:00", "3:14"]
