"""The run card on paper: what stands on it, that nothing is lost, and that it reads in grey."""

from __future__ import annotations

import copy
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
import segno
from pypdf import PdfReader

from partline.errors import InputError
from partline.interfaces.cards import Paper, run_card
from tests.cards.demo_card import (
    CODE,
    GOLDEN,
    HEAT,
    LINK,
    PRINTED,
    Json,
    Material,
    demo_card_text,
    material,
    pages_of,
    print_card,
)

MM = 72 / 25.4  # points
PIXELS_PER_MM = 8
NASTY = '#x *y* $z$ "q" <b> \\ `c` @d ~e _f_ // [g] {h} = 60 chars long'


@pytest.fixture(scope="module")
def demo() -> Material:
    return material("vessary-shed/recipes/peat-over-chalk-3.toml")


@pytest.fixture(scope="module")
def single() -> Material:
    return material("lessons/one-colour.toml")


@pytest.fixture(scope="module")
def demo_pdf(demo: Material) -> bytes:
    return print_card(demo)


@pytest.fixture(scope="module")
def demo_text(demo_pdf: bytes) -> str:
    return " ".join(pages_of(demo_pdf))


def grey(pdf: bytes, page: int = 0) -> np.ndarray:
    """A page as a grey printer would put it down, rows by columns, 0 black."""
    document = pypdfium2.PdfDocument(pdf)
    image = document[page].render(scale=PIXELS_PER_MM / MM).to_pil().convert("L")
    document.close()
    return np.asarray(image)


def crowded(made: Material) -> Material:
    """Eight ingredients a side with names that nobody should give."""
    plan = copy.deepcopy(made.plan)
    plan["recipe"]["name"] = NASTY
    plan["bottom_mark"] = "a notch beside the second clamp hole, #1 *painted* " * 2
    for melt in plan["melt_plan"]:
        for cup in "AB":
            own = [each for each in melt["ingredients"] if each["cup"] == cup]
            for number in range(8 - len(own)):
                name = ["Unbroken" * 8, f"{NASTY} {number}", "<b>&amp;", "café λ"][number % 4]
                melt["ingredients"].append(own[number % len(own)] | {"supply": name})
    plan["ingredients"] = [
        each | {"melt": melt["melt"]} for melt in plan["melt_plan"] for each in melt["ingredients"]
    ]
    return made.with_plan(plan)


# 0.1 mm: a PDF counts in points of 0.35 mm and typst rounds none of them.
@pytest.mark.published(source="ISO 216 (from memory)", where="A4: 210 mm by 297 mm")
def test_a4_card_is_an_a4_sheet(demo: Material) -> None:
    box = PdfReader(BytesIO(print_card(demo, Paper.A4))).pages[0].mediabox
    assert float(box.width) / MM == pytest.approx(210, abs=0.1)
    assert float(box.height) / MM == pytest.approx(297, abs=0.1)


@pytest.mark.published(source="ASME Y14.1 (from memory)", where="size A: 8.5 in by 11 in")
def test_letter_card_is_a_letter_sheet(demo: Material) -> None:
    box = PdfReader(BytesIO(print_card(demo, Paper.LETTER))).pages[0].mediabox
    assert float(box.width) / 72 == pytest.approx(8.5, abs=0.004)
    assert float(box.height) / 72 == pytest.approx(11, abs=0.004)


@pytest.mark.parametrize("paper", list(Paper))
def test_demo_run_fits_one_sheet(demo: Material, paper: Paper) -> None:
    assert len(pages_of(print_card(demo, paper))) == 1


@pytest.mark.parametrize("paper", list(Paper))
def test_every_amount_and_caution_of_the_plan_is_on_the_card(demo: Material, paper: Paper) -> None:
    text = " ".join(pages_of(print_card(demo, paper)))
    wanted = [f"Cup {cup}, " for cup in "AB"]
    for melt in demo.plan["melt_plan"]:
        wanted += [f"{melt['cup_a_g']} g", f"{melt['cup_b_g']} g"]
    for part in demo.plan["ingredients"]:
        digits = 1 if part["kind"] == "grade" else 2
        grams = f"{part['grams']:.{digits}f} g"
        wanted += [part["supply"], part["when"], grams]
        if part["drops"] is not None:
            wanted.append(f"{part['drops']} drops {grams}")
        if part["caution"]:
            wanted.append(part["caution"])
    wanted += [*demo.plan["cautions"], demo.plan["bottom_mark"], *demo.look["notes"]]
    assert [each for each in wanted if each not in text] == []


def test_each_caution_stands_as_often_as_its_ingredient(demo: Material, demo_text: str) -> None:
    given = [part["caution"] for part in demo.plan["ingredients"] if part["caution"]]
    assert given
    for caution in set(given):
        assert demo_text.count(caution) == given.count(caution)


def test_look_is_told_in_words_with_its_range(demo: Material, demo_text: str) -> None:
    for seen in demo.look["distinctness"].values():
        assert f"{seen['verdict']} ΔE00 {seen['value']:.0f} ({seen['low']:.0f}–" in demo_text


def test_picture_is_marked_provisional_only_while_it_is(demo: Material) -> None:
    assert "Provisional picture" in pages_of(print_card(demo))[0]
    look = copy.deepcopy(demo.look)
    look["picture"]["provisional"] = False
    assert "rovisional" not in pages_of(print_card(demo.with_look(look)))[0]


def test_markup_in_a_name_is_printed_as_it_stands(demo: Material) -> None:
    plan = copy.deepcopy(demo.plan)
    plan["recipe"]["name"] = '#x *y* $z$ "q" <b>'
    assert pages_of(print_card(demo.with_plan(plan)))[0].startswith('#x *y* $z$ "q" <b> version')


@pytest.mark.parametrize("paper", list(Paper))
def test_crowded_card_loses_nothing(demo: Material, paper: Paper) -> None:
    made = crowded(demo)
    pages = pages_of(print_card(made, paper))
    text = " ".join(pages)
    assert all(NASTY in page for page in pages)
    for part in made.plan["ingredients"]:
        # A long word is broken where the line ends, and read back with a blank there.
        assert part["supply"].replace(" ", "") in text.replace(" ", "")
    assert text.count("drops ") == sum(
        part["drops"] is not None for part in made.plan["ingredients"]
    )


def test_a_letter_without_a_shape_leaves_the_rest_of_a_name_standing(demo: Material) -> None:
    plan = copy.deepcopy(demo.plan)
    plan["recipe"]["name"] = "reed 🎣 café"
    text = pages_of(print_card(demo.with_plan(plan)))[0]
    assert text.startswith("reed")
    assert "café version 3" in text


@pytest.mark.parametrize("paper", list(Paper))
def test_nothing_reaches_the_edge_a_printer_leaves_white(demo: Material, paper: Paper) -> None:
    pdf = print_card(crowded(demo), paper, code="X" * 40, link=LINK + "x" * 150)
    edge = 6 * PIXELS_PER_MM  # home printers leave 4 to 6 mm: common practice, no source
    for page in range(len(pages_of(pdf))):
        sheet = grey(pdf, page)
        assert sheet[edge:-edge, edge:-edge].min() == 0
        rim = [sheet[:edge], sheet[-edge:], sheet[:, :edge], sheet[:, -edge:]]
        assert min(part.min() for part in rim) == 255


def of_melts(made: Material, count: int) -> Material:
    """The same run with its first melt poured `count` times."""
    plan: Json = copy.deepcopy(made.plan)
    first = plan["melt_plan"][0]
    plan["melt_plan"] = [copy.deepcopy(first) | {"melt": number} for number in range(1, count + 1)]
    plan["melts"], plan["shots"] = count, count * first["shots"]
    plan["moulded"] = plan["shots"] * 4
    plan["ingredients"] = [
        each | {"melt": melt["melt"]} for melt in plan["melt_plan"] for each in melt["ingredients"]
    ]
    return made.with_plan(plan)


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("melts", range(1, 7))
def test_further_melts_take_further_pages_under_the_same_head(
    demo: Material, melts: int, paper: Paper
) -> None:
    made = of_melts(demo, melts)
    pages = pages_of(print_card(made, paper))
    assert len(pages) == 1 + (melts > 2) + (melts > 5)
    text = " ".join(pages)
    assert [text.count(f"Melt {n} of {melts}") for n in range(1, melts + 1)] == [1] * melts
    assert [text.count(f"shot {n} ") for n in range(1, made.plan["shots"] + 1)] == [1] * (
        made.plan["shots"]
    )
    for number, page in enumerate(pages, start=1):
        assert page.startswith("peat-over-chalk version 3")
        assert CODE in page
        assert demo.plan["bottom_mark"] in page
        assert page.endswith(f"page {number} of {len(pages)}")
    assert demo.plan["cautions"][0] in pages[0]
    assert all("Cautions: page 1" in page for page in pages[1:])


@pytest.mark.parametrize("paper", list(Paper))
def test_one_colour_has_one_cup(single: Material, paper: Paper) -> None:
    text = " ".join(pages_of(print_card(single, paper)))
    assert "Cup A, whole bait" in text
    assert "Cup B" not in text
    assert "B °C" not in text
    assert "back half" not in text


def test_drops_of_an_unweighed_bottle_are_marked(single: Material, demo_text: str) -> None:
    guessed = " ".join(pages_of(print_card(single)))
    assert "≈ 17 drops" in guessed
    assert "not weighed on this bench" in guessed
    assert "≈ 15" not in demo_text
    assert "not weighed" not in demo_text


def test_spoon_measure_is_marked_with_its_range_and_origin(demo_text: str) -> None:
    assert "≈ ⅛ US tsp (0.10–0.27, a guess, practice)" in demo_text


def test_each_shot_has_its_blanks_and_its_cavities(demo: Material, demo_text: str) -> None:
    assert demo_text.count("1 2 3 4") == demo.plan["shots"]
    assert demo_text.count("push, seconds") == demo.plan["melts"]
    assert demo_text.count("A °C") == demo_text.count("B °C") == demo.plan["melts"]


def test_unknown_label_leaves_blanks(demo: Material) -> None:
    pdf = run_card(
        demo.plan, demo.look, {}, heat={"ceiling": None}, code=CODE, link=LINK,
        paper=Paper.A4, printed=PRINTED,
    )  # fmt: skip
    text = pages_of(pdf)[0]
    assert "____ °C working band ____–____ °C ceiling: never past ____ °C" in text


def test_heat_box_shows_the_label(demo_text: str) -> None:
    assert f"target (fused) {HEAT['target']:.0f} °C" in demo_text
    assert f"working band {HEAT['band_low']:.0f}–{HEAT['band_high']:.0f} °C" in demo_text
    assert f"never past {HEAT['ceiling']:.0f} °C" in demo_text


def test_main_grams_are_set_in_at_least_24_points(demo: Material, demo_pdf: bytes) -> None:
    sizes: dict[str, float] = {}

    def note(text: str, _: object, matrix: list[float], __: object, size: float) -> None:
        sizes[text.strip()] = max(sizes.get(text.strip(), 0), abs(matrix[3]) * size)

    PdfReader(BytesIO(demo_pdf)).pages[0].extract_text(visitor_text=note)
    for part in demo.plan["ingredients"]:
        if part["kind"] == "grade":
            assert max(size for text, size in sizes.items() if f"{part['grams']}" in text) >= 24


@pytest.mark.parametrize("link", [LINK, LINK + "?plan=" + "9" * 120])
def test_printed_qr_carries_the_address(demo: Material, link: str) -> None:
    sheet = grey(print_card(demo, link=link))
    # The code's field: right of the head, above the version code.
    corner = sheet[7 * PIXELS_PER_MM : 30 * PIXELS_PER_MM, -40 * PIXELS_PER_MM :] < 128
    rows, columns = np.flatnonzero(corner.any(axis=1)), np.flatnonzero(corner.any(axis=0))
    symbol = corner[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    wanted = np.array(
        [list(row) for row in segno.make_qr(link, error="q", boost_error=False).matrix]
    )
    size = len(wanted)
    rows, columns = (
        ((np.arange(size) + 0.5) * length / size).astype(int) for length in symbol.shape
    )
    assert np.array_equal(symbol[np.ix_(rows, columns)], wanted)


def test_cups_are_told_apart_in_grey(demo_pdf: bytes) -> None:
    sheet = grey(demo_pdf)
    width = (210 - 2 * 8.5 - 2) / 2

    def edges(left: float) -> int:
        """Steps between dark and light down the band's edge, beside the first melt's cups."""
        column = sheet[95 * PIXELS_PER_MM : 125 * PIXELS_PER_MM, round(left * PIXELS_PER_MM)]
        return int(np.count_nonzero(np.diff(column < 128)))

    assert edges(8.5 + 1.0) == 0  # cup A: solid
    assert edges(8.5 + width + 2 + 1.0) > 20  # cup B: striped, a stripe each 2.4 mm


def test_same_plan_prints_the_same_bytes(demo: Material, demo_pdf: bytes) -> None:
    assert print_card(demo) == demo_pdf


@pytest.mark.parametrize("link", ["", "   ", "x" * 5000])
def test_address_that_no_qr_holds_is_refused(demo: Material, link: str) -> None:
    with pytest.raises(InputError) as refusal:
        print_card(demo, link=link)
    assert refusal.value.field == "link"
    assert refusal.value.remedy


def test_banned_words_are_not_on_the_card(demo_text: str) -> None:
    assert "bleed" not in demo_text.lower()
    assert "batch" not in demo_text.lower()


def test_words_of_the_demo_card_are_as_kept() -> None:
    assert demo_card_text() == GOLDEN.read_text(encoding="utf-8")


def test_each_melt_says_where_to_start_and_how_long_to_push(demo_text: str) -> None:
    # demo.md, run 3: start 163 °C, push 6 s.
    assert demo_text.count("start at 163 °C, push 6 s") == 2


def test_a_recipe_that_names_no_start_leaves_it_out(demo: Material) -> None:
    silent = {"start_celsius": None, "push_s": None}
    for plan in (demo.plan | {"handling": silent}, {**demo.plan}):
        if plan == demo.plan:
            del plan["handling"]  # a plan that was kept before it had one
        assert "start at" not in " ".join(pages_of(print_card(demo.with_plan(plan))))
