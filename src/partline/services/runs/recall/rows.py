"""The facts of a run as rows to read: what, its value in words, and the figure with its unit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from partline.process.bench import Bench
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.units import Kind
from partline.services.runs.recall.differing import step_text, stir_text
from partline.services.runs.recall.facts import HeatFacts, RunFacts
from partline.services.runs.recall.fields import Field
from partline.studies.diagnosis import LOOKS

Json = dict[str, Any]


def fact_rows(run: RunFacts) -> list[Json]:
    """Return what is known of a run, flat; temperatures in °C beside the bench's own scale."""
    return list(_rows(run))


def _row(key: str, what: str, text: str, value: object = None, unit: str = "") -> Json:
    return {"key": key, "what": what, "text": text, "value": value, "unit": unit or None}


def _rows(run: RunFacts) -> Iterator[Json]:
    poured, state = run.poured, run.state
    recipe = poured.recipe
    yield _row("recipe", "Recipe", f"{recipe.name}, version {recipe.version}", recipe.name)
    yield _row("version", "Version", f"{recipe.version}", recipe.version)
    yield _row("mould", "Mould", poured.mould, poured.mould)
    yield _row("bench", "Bench", poured.bench.name, poured.bench.name)
    yield _warm("room", "Room", poured.bench.room, poured.bench)
    for half, blend in poured.blends.items():
        yield _row(f"{half.value} plastisol", f"Plastisol, {half.value}", blend, blend)
    for each in poured.loaded:
        what = f"{each.supply}, {each.half.value}"
        unit = f"{each.measure.value} per 100 g"
        yield _row(f"{each.half.value} {each.supply}", what, each.text, each.amount, unit)
    for heat in run.heats:
        yield from _of_heat(heat, poured.bench)
    for key, value in (
        ("heats", len(run.heats)), ("moulds", run.moulds), ("shots", len(state.shots)),
        ("moulded", run.moulded),
    ):  # fmt: skip
        yield _row(key, key.capitalize(), f"{value}", value)
    good = "not judged" if state.good is None else f"{state.good}"
    yield _row("good", "Good", good, state.good)
    wrong = ", ".join(run.wrong) or "nothing"
    yield _row("wrong", "Marked as wrong", wrong, list(run.wrong))
    looks = [LOOKS[key].question for key in run.seen if key in LOOKS]
    yield _row("look", "Seen", " ".join(looks) or "nothing", list(run.seen))


def _of_heat(heat: HeatFacts, bench: Bench) -> Iterator[Json]:
    key, name = f"melt {heat.melt} heat {heat.heat}", heat.name
    for letter, (low, middle, high) in heat.start.items():
        row = _warm(f"{key} start {letter}", f"Start {letter}, {name}", middle, bench)
        text = f"{row['text']} ({bench.reading(low)} to {bench.reading(high)})"
        yield {**row, "text": text}
    if heat.apart is not None:
        text = step_text(heat.apart, bench)
        yield _row(f"{key} apart", f"A less B, {name}", text, round(heat.apart, 1), "°C")
    for letter, kelvin in heat.stop.items():
        yield _warm(f"{key} stop {letter}", f"Stop {letter}, {name}", kelvin, bench)
    if heat.is_stir_known:
        text = stir_text(heat.stir_age)
        age = None if heat.stir_age is None else round(heat.stir_age)
        yield _row(f"{key} stirred", f"Stirred before the draw, {name}", text, age, "s")
    if heat.push is not None:
        text = f"{heat.push:.1f} s"
        yield _row(f"{key} push", f"Push, {name}", text, round(heat.push, 2), "s")
    yield _row(f"{key} shots", f"Shots, {name}", f"{heat.shots}", heat.shots)


def _warm(key: str, what: str, kelvin: float, bench: Bench) -> Json:
    return _row(key, what, bench.reading(kelvin), round(kelvin - ZERO_CELSIUS, 1), "°C")


def shown(field: Field, run: RunFacts) -> str:
    """Return what a field says of a run, as a search shows it beside the run."""
    bench = run.poured.bench
    values = field.values(run)
    match field.kind:
        case Kind.TEMPERATURE:
            texts = [bench.reading(float(each)) for each in values]
        case Kind.TEMPERATURE_STEP:
            texts = [step_text(float(each), bench).lstrip("+") for each in values]
        case Kind.TIME:
            texts = [f"{float(each):.1f} s" for each in values]
        case Kind.SHARE:
            texts = [f"{100 * float(each):.0f} %" for each in values]
        case Kind.NUMBER:
            texts = [f"{float(each):g}" for each in values]
        case _:
            texts = [str(each) for each in values]
    return ", ".join(dict.fromkeys(texts)) or "not known"
