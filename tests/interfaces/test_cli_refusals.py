"""What the command line refuses: a sentence with field, value and remedy, and status 2."""

from __future__ import annotations

import os
import subprocess
import sys
import tracemalloc

import pytest

from tests.process.shed import LESSONS, SHED, demo_path

REED = SHED / "moulds" / "reed-130.toml"
BENCH = SHED / "bench.toml"


@pytest.fixture
def broken(tmp_path):
    """Return a demo file, beside the demo's shelf, with one thing in it written otherwise."""

    def write(name: str, old: str, new: str):
        (tmp_path / "shelf.toml").write_bytes((SHED / "shelf.toml").read_bytes())
        text = (SHED / name).read_text("utf-8")
        assert old in text
        path = tmp_path / "broken.toml"
        path.write_text(text.replace(old, new, 1), "utf-8")
        return path

    return write


RECIPE = "recipes/peat-over-chalk-1.toml"
BROKEN = {
    "negative drops": (RECIPE, '"3 drops"', '"-3 drops"', "back.load[0].per_100_g", "-3"),
    "350 in °C": (RECIPE, '"163 °C"', '"350 °C"', "handling.start", "350 °F"),
    "degrees of no kind": (RECIPE, '"163 °C"', '"163"', "handling.start", "163 °C"),
    "unknown colourant": (RECIPE, '"Peat"', '"Peet"', "back.load[0].supply", "Peat"),
    "unknown grade": (RECIPE, '"soft"', '"sofd"', "back.grade", "soft"),
    "half a cup": (RECIPE, '"0.25 g"', '"½ cup"', "back.load[1].per_100_g", "cup"),
    "bare oz": (RECIPE, '"0.25 g"', '"0.25 oz"', "back.load[1].per_100_g", "oz (weight)"),
    "decimal comma": (RECIPE, '"0.25 g"', '"0,25 g"', "back.load[1].per_100_g", "0.25"),
    "drops of flake": (RECIPE, '"0.25 g"', '"3 drops"', "back.load[1].per_100_g", "in g"),
    "hiding above all": (RECIPE, "hiding = 0.90", "hiding = 1.90", "wanted.hiding", "0 to 1"),
    "misspelt key": (RECIPE, "push =", "pusch =", "handling.pusch", "push"),
    "no stations": (
        "moulds/fry-75.toml", "[[stations]]", "[[ignored]]", "ignored", "stations",
    ),
    "negative width": ("moulds/fry-75.toml", '"11 mm"', '"-11 mm"', "stations[0].width", "-11"),
    "inch without unit": ("moulds/fry-75.toml", '"11 mm"', '"11"', "stations[0].width", "mm"),
    "no cavities": ("moulds/fry-75.toml", "cavities = 6", "cavities = 0", "cavities", "1 to 500"),
    "all are rejects": ("bench.toml", '"7 %"', '"100 %"', "reject_share", "90"),
    "a glass in cups": ("bench.toml", '"500 mL"', '"2 cups"', "vessel.capacity", "metric cup"),
    "a pint": ("bench.toml", '"500 mL"', '"1 pint"', "vessel.capacity", "pint"),
}  # fmt: skip


@pytest.mark.parametrize("fault", BROKEN)
def test_check_names_the_field_the_value_and_the_remedy(run, broken, fault):
    name, old, new, field, words = BROKEN[fault]
    path = broken(name, old, new)
    ran = run("check", path)
    assert ran.status == 2
    assert ran.out == ""
    assert field in ran.err
    assert words in ran.err
    assert "Traceback" not in ran.err
    told = run("check", path, "--json")
    assert told.status == 2
    problems = told.json["error"]["problems"]
    assert field in [each["field"] for each in problems]


def test_every_fault_is_named_at_once(run, broken):
    path = broken(RECIPE, '"3 drops"', '"-3 drops"')
    path.write_text(path.read_text("utf-8").replace('"163 °C"', '"350 °C"'), "utf-8")
    ran = run("check", path, "--json")
    assert len(ran.json["error"]["problems"]) == 2


def test_an_empty_station_is_refused(run, tmp_path):
    path = tmp_path / "mould.toml"
    text = (SHED / "moulds" / "fry-75.toml").read_text("utf-8")
    path.write_text(text + "\n[[stations]]\n", "utf-8")
    ran = run("check", path, "--json")
    assert ran.status == 2
    fields = {each["field"] for each in ran.json["error"]["problems"]}
    assert any(field.startswith("stations[3]") for field in fields)


def test_a_cup_that_would_be_mostly_loading_is_refused_by_check_already(run, broken):
    path = broken(RECIPE, '"0.25 g"', '"58 g"')
    ran = run("check", path)
    assert ran.status == 2
    assert "less than half would be plastisol" in ran.err


def test_a_gigabyte_is_refused_unread(run, tmp_path):
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(1_000_000_000)  # sparse: a size without bytes
    tracemalloc.start()
    ran = run("check", path)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert ran.status == 2
    assert "1,000,000 kB" in ran.err
    assert most < 50_000_000  # it was not read


@pytest.mark.parametrize("name", ['say "when"', "#strong[x]", "<b>bold</b>", "it's", "a\\b", "💧"])
def test_a_recipe_named_with_quotes_or_markup_is_checked_looked_at_and_planned(
    run, tmp_path, broken, name
):
    from dataclasses import replace

    from partline.records.exchange import read_file, read_recipe, write_recipe

    recipe = replace(read_recipe(read_file(demo_path(1))), name=name)
    path = broken(RECIPE, "First try", "First try")
    path.write_text(write_recipe(recipe), "utf-8")
    assert name in run("check", path).out
    assert run("look", path, "--mould", REED, "--json").json["recipe"]["name"] == name


@pytest.mark.slow
def test_a_card_prints_a_name_that_looks_like_markup_as_it_is(run, tmp_path, broken):
    from io import BytesIO

    from pypdf import PdfReader

    path = broken(RECIPE, 'name = "peat-over-chalk"', "name = '#set \"page\"() <b> $x$'")
    output = tmp_path / "card.pdf"
    words = ["--mould", REED, "--bench", BENCH, "--count", 8, "-o", output]
    assert run("card", path, *words).status == 0
    text = PdfReader(BytesIO(output.read_bytes())).pages[0].extract_text()
    assert "<b>" in text.replace("\u200b", "")
    assert "$x$" in text.replace("\u200b", "")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "cannot"),
        (b"name = ", "The end of the document"),
        (b'name = "x"\n[back', "The end of the document"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"just words", "Line 1"),
        (b"x = " + b"[" * 5000, "nested"),
        (b'x = "y"', "recipe"),
        (b"\x00\x01\x02", "TOML"),
    ],
    ids=["empty", "half a line", "open bracket", "binary", "prose", "brackets", "no kind", "nul"],
)
def test_what_is_no_document_is_refused_with_a_sentence(run, tmp_path, content, words):
    path = tmp_path / "odd.toml"
    path.write_bytes(content)
    ran = run("check", path)
    assert ran.status == 2
    assert words in ran.err
    assert "Traceback" not in ran.err


@pytest.mark.parametrize("path", ["no-such.toml", ".", "/dev/zero"])
def test_what_is_no_file_is_refused(run, path):
    ran = run("check", path)
    assert ran.status == 2
    assert path in ran.err


def test_refusals_are_json_when_json_is_asked(run):
    error = run("check", "no-such.toml", "--json").json["error"]
    assert error["kind"] == "NotFound"
    assert "no-such.toml" in error["message"]


@pytest.mark.parametrize("count", [0, -5, 10_001])
def test_a_nonsense_count_is_refused_with_its_limits(run, count):
    words = ["plan", demo_path(1), "--mould", REED, "--bench", BENCH, f"--count={count}"]
    ran = run(*words, "--json")
    assert ran.status == 2
    error = ran.json["error"]
    assert (error["field"], error["low"], error["high"]) == ("count", 1, 10_000)


@pytest.mark.parametrize("count", ["many", "4.5", ""])
def test_a_count_that_is_no_number_is_refused(run, count):
    words = ["plan", demo_path(1), "--mould", REED, "--bench", BENCH, "--count", count]
    ran = run(*words)
    assert ran.status == 2
    assert "--count" in ran.err


def test_a_missing_option_is_named(run):
    ran = run("look", demo_path(1))
    assert ran.status == 2
    assert "--mould" in ran.err


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("look", demo_path(1)), "--mould"),
        (("plan", demo_path(1), "--mould", REED, "--bench", BENCH, "--count", "many"), "--count"),
        (("look", demo_path(1), "--mould", REED, "--colour", "red"), "--colour"),
        (("loook",), "loook"),
    ],
)
def test_words_that_are_no_command_are_refused_as_json_where_json_is_asked_for(run, words, named):
    ran = run(*words, "--json")
    assert ran.status == 2
    assert named in ran.json["error"]["message"]
    assert "--help" in ran.json["error"]["remedy"]


def test_a_name_that_is_not_kept_is_refused(run, tmp_path):
    ran = run("look", "nothing-like-it", "--mould", REED, "--workshop", tmp_path / "empty")
    assert ran.status == 2
    assert "nothing-like-it" in ran.err
    assert "keep one first" in ran.err


@pytest.mark.parametrize(
    "name", ["peat@0", "peat@x", "peat@-1", "peat@²", "peat@", "peat@9999999999999999999999"]
)
def test_a_version_that_is_no_number_is_refused(run, tmp_path, name):
    ran = run("look", name, "--mould", REED, "--workshop", tmp_path / "empty")
    assert ran.status == 2
    assert "no version number" in ran.err


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("look", REED, "--mould", REED), "is a mould; a recipe is asked for here"),
        (("look", demo_path(1), "--mould", BENCH), "is a bench; a mould is asked for here"),
        (
            ("plan", demo_path(1), "--mould", REED, "--bench", REED, "--count", 8),
            "is a mould; a bench is asked for here",
        ),
        (
            ("look", demo_path(1), "--mould", REED, "--shelf", REED),
            "is a mould; a shelf is asked for here",
        ),
    ],
)
def test_one_file_in_place_of_another_is_called_what_it_is(run, words, sentence):
    ran = run(*words)
    assert ran.status == 2
    assert sentence in ran.err
    assert "things to put right" not in ran.err


@pytest.mark.parametrize(
    ("words", "option"),
    [
        (("--depth", "3 m"), "--depth"),
        (("--distance", "2 m"), "--distance"),
        (("--secchi", "1 m"), "--secchi"),
        (("--in", "sea", "--secchi", "1 m"), "--secchi"),
        (("--in", "lake", "--sea", "3C"), "--sea"),
        (("--in", "lake", "--card", "dark"), "--card"),
        (("--light", "lamp"), "--light"),
        (("--turn", "90"), "--turn"),
        (("--gloss",), "--gloss"),
    ],
)
def test_an_option_that_would_change_nothing_is_asked_about(run, words, option):
    ran = run("look", demo_path(1), "--mould", REED, *words, "--json")
    assert ran.status == 2
    assert f"{option} would change nothing" in ran.json["error"]["message"]
    assert ran.json["error"]["remedy"]
    assert ran.json["error"]["field"] == option[2:]


@pytest.mark.slow
@pytest.mark.parametrize("as_json", [(), ("--json",)])
def test_a_listener_who_leaves_early_is_left_in_peace(as_json):
    program = [sys.executable, "-c", "from partline.interfaces.cli import main; main()"]
    for words in (["check", str(REED)], ["check", "no-such-file.toml"]):
        read, write = os.pipe()
        os.close(read)  # nobody listens any more
        ran = subprocess.run(
            [*program, *words, *as_json],
            stdout=write, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
        os.close(write)
        assert ran.returncode in (1, 2)
        assert "Traceback" not in ran.stderr


@pytest.mark.slow
@pytest.mark.parametrize("as_json", [(), ("--json",)])
def test_an_answer_that_finds_no_room_is_a_sentence_and_not_our_fault(as_json):
    words = ["check", str(REED), *as_json]
    with open("/dev/full", "w") as full:  # noqa: PTH123 (a device, not a path of ours)
        ran = subprocess.run(
            [sys.executable, "-c", "from partline.interfaces.cli import main; main()", *words],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
    assert ran.returncode == 2
    assert "cannot be written where it was sent" in ran.stderr
    assert len(ran.stderr.splitlines()) == 1


def test_a_recipe_whose_supplies_are_on_another_shelf_is_refused_by_name(run):
    ran = run(
        "look", LESSONS / "opaque-pair.toml", "--mould", REED, "--shelf", SHED / "shelf.toml"
    )
    assert ran.status == 2
    assert "Brick" in ran.err


@pytest.mark.slow
@pytest.mark.parametrize("where", ["no/such/folder/card.pdf", "."])
def test_a_card_that_cannot_be_written_is_said_so_and_is_not_our_fault(run, tmp_path, where):
    output = tmp_path / where
    words = ["--mould", REED, "--bench", BENCH, "--count", 8, "-o", output]
    ran = run("card", demo_path(1), *words)
    assert ran.status == 2
    assert "cannot be written" in ran.err


def test_an_unknown_paper_is_refused(run, tmp_path):
    words = ["--mould", REED, "--bench", BENCH, "--count", 8, "-o", tmp_path / "card.pdf"]
    ran = run("card", demo_path(1), *words, "--paper", "a0")
    assert ran.status == 2
    assert "a4 or letter" in ran.err


def test_pictures_that_cannot_be_written_are_said_so(run, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("in the way", "utf-8")
    ran = run("look", demo_path(1), "--mould", REED, "--picture", blocked / "inside")
    assert ran.status == 2
    assert "cannot be written" in ran.err


def test_a_workshop_that_is_a_file_is_refused(run, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("in the way", "utf-8")
    ran = run("look", "peat", "--mould", "reed", "--workshop", blocked)
    assert ran.status == 2
    assert "Traceback" not in ran.err


def test_a_port_that_cannot_be_used_is_refused(run, tmp_path):
    ran = run("serve", "--port", 70000, "--no-open", "--workshop", tmp_path)
    assert ran.status == 2
    assert "0 to 65535" in ran.err
    assert "--port" in ran.err


def test_a_bug_is_called_ours_with_status_1(run, monkeypatch):
    def broken_inside(*_: object, **__: object) -> None:
        raise ZeroDivisionError("inside")

    monkeypatch.setattr("partline.interfaces.cli.answers.check_document", broken_inside)
    ran = run("check", REED)
    assert ran.status == 1
    assert "our fault" in ran.err
    assert "ZeroDivisionError" in ran.err


def test_no_words_at_all_show_the_help(run):
    ran = run()
    assert ran.status == 2
    assert "look" in ran.out + ran.err
