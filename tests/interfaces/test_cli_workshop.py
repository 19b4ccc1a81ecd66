"""`partline mould`, `bench`, `keep`: shown as text and as JSON, kept as versions."""

from __future__ import annotations

import pytest

from tests.process.shed import SHED

FRY = SHED / "moulds" / "fry-75.toml"
BENCH = SHED / "bench.toml"


def test_a_mould_is_shown_with_its_stations_and_both_volumes(run):
    ran = run("mould", FRY)
    assert (ran.status, ran.err) == (0, "")
    for words in ("6 cavities", "4.10 g (4.06–4.14, entered)", "tail root", "by its weighing",
                  "BOTTOM mark: a red dot", "Note: By its stations"):  # fmt: skip
        assert words in ran.out
    told = run("mould", FRY, "--json").json
    assert [each["name"] for each in told["stations"]] == ["belly", "tail root", "tail"]
    assert told["volume_by_weighing_ml"] == pytest.approx(4.1 / 1.025, abs=0.005)


def test_an_outline_is_shown_point_by_point_and_a_hollow_in_it_refused(run, tmp_path):
    sizes = 'shape = "elliptic"\nwidth = "11 mm"\nback_half = "4 mm"\nbelly_half = "4 mm"\n'
    text = FRY.read_text("utf-8")
    assert text.count(sizes) == 1
    points = [(0, 4), (3.4, 3.4), (5.5, 0.5), (4.5, -2), (0, -4)]
    listed = ", ".join(f'{{ across = "{a} mm", up = "{u} mm" }}' for a, u in points)
    file = tmp_path / "outlined.toml"
    file.write_text(text.replace(sizes, f'shape = "outline"\npoints = [{listed}]\n'), "utf-8")
    ran = run("mould", file)
    assert (ran.status, ran.err) == (0, "")
    assert "outline           11.0     4.0     4.0" in ran.out
    assert "down a flank: 0/4, 3.4/3.4, 5.5/0.5, 4.5/-2, 0/-4 mm" in ran.out
    told = run("mould", file, "--json").json["stations"]
    assert [each["points_mm"] for each in told[:2]] == [[list(each) for each in points], []]
    file.write_text(file.read_text("utf-8").replace('"5.5 mm"', '"3.5 mm"'), "utf-8")
    ran = run("check", file)
    assert ran.status == 2
    assert "stations[0].points[2].across: Point 3 of “belly” lies" in ran.err
    assert "The nearest that would do is" in ran.err


def test_a_bench_tells_its_guesses_and_speaks_its_own_degrees(run, tmp_path):
    text = BENCH.read_text("utf-8").replace('room = "22 °C"', 'room = "22 °C"\nfahrenheit = true')
    file = tmp_path / "bench.toml"
    file.write_text('guesses = ["vessel.capacity"]\n' + text, "utf-8")
    shown = run("bench", file).out
    assert "room 71.6 °F" in shown
    assert "Guessed, not measured: what a cup holds" in shown
    assert run("bench", file, "--json").json["guesses"] == ["vessel.capacity"]


def test_a_bench_is_shown_with_what_stays_behind(run):
    ran = run("bench", BENCH)
    assert (ran.status, ran.err) == (0, "")
    for words in ("Block keeps 1.50 g (1.46–1.54, entered)", "30–50, practice", "130 °C"):
        assert words in ran.out
    assert run("bench", BENCH, "--json").json["cup"]["capacity_ml"] == 500


def test_a_file_is_kept_and_then_found_by_its_name(run, tmp_path):
    home = ("--workshop", tmp_path / "home")
    assert "mould “fry-75”, version 1" in run("keep", FRY, *home).out
    corrected = tmp_path / "fry.toml"
    corrected.write_text(FRY.read_text("utf-8").replace('"5 mm"', '"4 mm"', 1), "utf-8")
    kept = run("keep", corrected, *home, "--json").json
    assert kept == {"kind": "mould", "name": "fry-75", "version": 2}
    assert run("mould", "fry-75", *home, "--json").json["gate_mm"] == 4
    assert run("mould", "FRY-75@1", *home, "--json").json["gate_mm"] == 5


def test_a_photo_of_a_kept_mould_is_added_and_listed(run, tmp_path):
    home = ("--workshop", tmp_path / "home")
    run("keep", FRY, *home)
    photo = tmp_path / "slice.jpg"
    photo.write_bytes(b"\xff\xd8\xff and more")
    told = run("mould", "fry-75", "--photo", photo, "--shows", "slice", *home, "--json").json
    assert (told["kind"], told["media_type"], told["bytes"]) == ("slice", "image/jpeg", 12)
    assert f"Photo {told['code']}: slice, slice.jpg" in run("mould", "fry-75", *home).out
    assert "BOTTOM mark, 0.0 MB" in run("mould", "fry-75", "--photo", photo, *home).out


def test_a_file_that_is_no_photo_or_too_large_is_refused_in_a_sentence(run, tmp_path):
    home = ("--workshop", tmp_path / "home")
    run("keep", FRY, *home)
    huge = tmp_path / "huge.jpg"
    with huge.open("wb") as file:
        file.truncate(200_000_000)  # a hole: it takes no room
    for photo, says in (
        (huge, "This photo is 200 MB; at most 20 MB is taken"),
        (FRY, "whatever its name says"),
        (tmp_path / "none.jpg", "There is no file"),
    ):
        ran = run("mould", "fry-75", "--photo", photo, *home)
        assert ran.status == 2
        assert says in ran.err
    assert run("mould", "fry-75", "--photo", huge, "--shows", "cat", *home).status == 2
    assert "Photo" not in run("mould", "fry-75", *home).out


def test_a_faulty_file_is_not_kept(run, tmp_path):
    home = ("--workshop", tmp_path / "home")
    faulty = tmp_path / "fry.toml"
    faulty.write_text(FRY.read_text("utf-8").replace('"11 mm"', '"-11 mm"'), "utf-8")
    ran = run("keep", faulty, *home)
    assert ran.status == 2
    assert "stations[0].width" in ran.err
    assert run("mould", "fry-75", *home).status == 2


def test_a_ceiling_is_not_locked_and_unlocked_in_one_breath(run, tmp_path):
    home = ("--workshop", tmp_path / "home")
    run("keep", BENCH, *home)
    refused = run("bench", "Vessary Shed", "--lock", "175 °C", "--unlock", *home)
    assert refused.status == 2
    assert "left as it is" in refused.err.replace("\n", " ")
    assert "not locked" not in (shown := run("bench", "Vessary Shed", *home)).out
    assert "175" not in shown.out
