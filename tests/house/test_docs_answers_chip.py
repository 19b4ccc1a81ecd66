"""The page of answers names every key of the answers about chips and checks, and no other."""

from __future__ import annotations

import pytest

from partline.interfaces.cli.checking import tell_grade, tell_instrument
from partline.interfaces.cli.chip import Said, tell_chip
from partline.interfaces.cli.workshop import keep_file
from tests.house.test_docs_answers import documented, is_met, paths, printed, unknown
from tests.process.shed import SHED

STEPS = ("1 mm: 80 3 22 / 22 1 4", "2 mm: 73 7 36 / 20 2 6", "4 mm: 62 14 50 / 16 3 8")


def check(answers, title, *, inside: tuple[str, ...]) -> None:
    """Every key is named; what lies inside some keys is told elsewhere, or differs by kind."""

    def shown(answer):
        return {key: None if key in inside else value for key, value in answer.items()}

    known = documented(title)
    plain = [shown(answer) for answer in answers]
    assert not set().union(*(unknown(answer, known) for answer in plain))
    met = {path.removesuffix("[]") for answer in plain for path in paths(answer)}
    assert not {path for path in known if not is_met(path, met)}


def test_every_key_of_a_chip_is_on_the_page(capsys, tmp_path):
    file = tmp_path / "shelf.toml"
    file.write_text((SHED / "shelf.toml").read_text("utf-8"), "utf-8")
    answers = []
    for lot, against in (("", ""), ("R9", "R0211-C1")):
        said = Said(bottle="Peat", lot=lot, loading="3 drops", steps=STEPS, against=against)
        tell_chip(said, file, None, as_json=True)
        answer = printed(capsys)
        told = documented("`partline bottle`")
        for when in ("before", "after"):
            bottle = answer["chip"].pop(when)
            assert not unknown(bottle, told)
            answer["chip"][when] = None
        evidence = answer["chip"].pop("evidence")
        assert not {f"lot_chips[].{path}" for path in paths(evidence)} - {
            each.removesuffix("[]") for each in told
        }
        answer["chip"]["evidence"] = None
        answers.append(answer)
    check(answers, "`partline chip`", inside=())


INSTRUMENTS = {
    "thermometer": ["readings=95.9, 95.6 °C"],
    "scale": ["readings=99.3 g", "known=100 g"],
    "oven": ["water=1 kg", "vessel=450 g", "before=10 °C", "after=20 °C", "time=50 s"],
}
GRADES = {
    "yellowing": ["fresh=4", "heated=10", "thickness=4 mm", "temperature=175 °C", "time=30 min"],
    "viscosity": ["volume=50 mL", "time=40 s", "bore=8 mm", "length=40 mm", "head_before=100 mm",
                  "head_after=75 mm", "temperature=172 °C"],
}  # fmt: skip


@pytest.fixture
def workshop(tmp_path, capsys):
    for name in ("bench", "shelf"):
        keep_file(SHED / f"{name}.toml", tmp_path / "w", as_json=True)
    capsys.readouterr()
    return tmp_path / "w"


def test_every_key_of_a_check_of_an_instrument_is_on_the_page(capsys, workshop):
    answers = []
    for kind, said in INSTRUMENTS.items():
        tell_instrument(kind, said, "", workshop, keeps=True, as_json=True)
        answers.append(printed(capsys))
        tell_instrument(kind, said, "", workshop, keeps=False, as_json=True)
        answers.append(printed(capsys))
    check(answers, "`partline instrument`", inside=("evidence",))


def test_every_key_of_a_check_of_a_grade_is_on_the_page(capsys, workshop):
    answers = []
    for kind, said in GRADES.items():
        tell_grade(kind, said, "soft", workshop, keeps=False, as_json=True)
        answers.append(printed(capsys))
    check(answers, "`partline grade`", inside=("evidence",))
