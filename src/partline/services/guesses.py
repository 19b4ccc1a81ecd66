"""The guesses behind a plan, the one that matters most first, each with what would replace it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import inf

from partline.errors import Error
from partline.process.amounts import plan_amounts
from partline.process.bench import Bench
from partline.quantities.estimate import Estimate
from partline.services.look import LookAnswer
from partline.services.origins import REPLACED_BY, Input, look_inputs, plan_inputs
from partline.services.plan import PlanAnswer
from partline.studies.look import HalfLook

#: Ends that a guessed reject share is tried at. [-]
REJECTS = (0.0, 0.3)
#: Words of a label's heat, by which a guess of them is known.
HEAT = ("working band from", "working band to", "target", "ceiling")
READING = "one hiding reading on the printed card"
_UNSAID = {"name": "which bottle it is", "clarity": "its kind", "patch": "its colour"}
BOTTLE = ("drop mass", "strength", "optical constants")
#: What plain plastic does to light.
PLAIN = ("haze at 550 nm", "own colour at 550 nm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """One thing that nobody has measured yet.

    Parameters
    ----------
    name : str
        In the maker's words.
    value : str
        What was taken, with its range.
    replace_by : str
        What would replace it.
    moves : str
        What it moves, and by how much.
    weight : float
        For sorting: share of the answer that hangs on it. [-]
    """

    name: str
    value: str
    replace_by: str
    moves: str
    weight: float

    def as_dict(self) -> dict[str, object]:
        """Return the fields for JSON and pages; the weight only sorts."""
        return {
            "name": self.name, "value": self.value, "origin": "default",
            "replace_by": self.replace_by, "moves": self.moves,
        }  # fmt: skip


def ranked_guesses(plan: PlanAnswer, look: LookAnswer) -> tuple[Guess, ...]:
    """Return the guesses of a plan and its look, the one that matters most first.

    A label's heat comes before everything. Grams are tried by planning again with each guess
    at both ends of its range; in the look a guess counts as much as the hiding's range is wide
    where it is named as what narrows that range, and half as much elsewhere.
    """
    recipe, mould = plan.recipe, plan.mould
    inputs = {
        each.name: each
        for each in (
            *plan_inputs(recipe, mould, plan.bench, plan.shelf),
            *look_inputs(recipe, mould, plan.shelf),
        )
        if each.origin.is_guess and each.narrows
    }
    scale = "°F" if plan.bench.reads_fahrenheit else "°C"
    found = [*_heat(inputs, scale), *_bottles(inputs, plan, look), *_plain(inputs, look),
             *_thickness(inputs, plan, look)]  # fmt: skip
    moved = dict(_grams(plan))
    found += [
        Guess(
            name=each.name, value=_value(each), replace_by=each.narrows,
            moves=_moved(moved[each.name]) if each.name in moved else _other(each),
            weight=max(map(abs, moved.get(each.name, (0.0,)))),
        )
        for each in inputs.values()
        if not _is_grouped(each.name, plan)
    ]  # fmt: skip
    found += _degrees_read(plan.bench)
    return tuple(sorted(found, key=lambda guess: -guess.weight))


def _is_grouped(name: str, plan: PlanAnswer) -> bool:
    what = name.rpartition(": ")[2]
    return what in (*HEAT, *BOTTLE, *PLAIN) or _is_thickness(name, plan)


def _is_thickness(name: str, plan: PlanAnswer) -> bool:
    return name.startswith(f"{plan.mould.name}: ") and name.endswith(" half")


def _value(each: Input) -> str:
    unit = f" {each.unit}" if each.unit else ""
    span = "" if each.low == each.high else f" ({each.low:.3g}–{each.high:.3g})"
    return f"{each.value:.4g}{unit}{span}"


def _heat(inputs: Mapping[str, Input], scale: str) -> Iterator[Guess]:
    """Yield one guess a grade for the temperatures that nobody has read from its label."""
    grades = dict.fromkeys(name.rpartition(": ")[0] for name in inputs
                           if name.rpartition(": ")[2] in HEAT)  # fmt: skip
    for grade in grades:
        heat = [inputs.get(f"{grade}: {words}") for words in HEAT]
        low, high, target, ceiling = (_degrees(each, scale) for each in heat)
        value = f"band {low}–{high}, target {target}, ceiling {ceiling} {scale}"
        read = next(each.narrows for each in heat if each)
        yield Guess(name=f"{grade}: its label’s temperatures", value=value, replace_by=read,
                    moves="how hot to heat, and when to stop", weight=inf)  # fmt: skip


def _degrees_read(bench: Bench) -> Iterator[Guess]:
    """Yield a guess where nobody has said which degrees the thermometer shows."""
    if "fahrenheit" in bench.guesses:
        scale = "°F" if bench.reads_fahrenheit else "°C"
        yield Guess(name="what your thermometer shows", value=scale,
                    replace_by=f"{REPLACED_BY['fahrenheit']}, and tick °F on the bench if so",
                    moves="the degrees that the plan and the card speak", weight=0.0)  # fmt: skip


def _degrees(heat: Input | None, scale: str) -> str:
    if heat is None:
        return "as read"
    return f"{heat.value * 9 / 5 + 32:.0f}" if scale == "°F" else f"{heat.value:.0f}"


def _bottles(inputs: Mapping[str, Input], plan: PlanAnswer, look: LookAnswer) -> Iterator[Guess]:
    """Yield one guess a bottle of which anything is a guess."""
    halves = {seen.half: seen for seen in look.look.at_widest.halves}
    for side in plan.recipe.sides:
        for loading in side.loadings:
            supply = plan.shelf.find(loading.supply)
            guessed = [inputs[name] for what in BOTTLE
                       if (name := f"{supply.name}: {what}") in inputs]  # fmt: skip
            unsaid = [_UNSAID[each] for each in supply.guesses if each in _UNSAID]
            if not (guessed or unsaid):
                continue
            seen = halves[side.half]
            narrows = _named(seen.hiding.narrows, [supply.name])
            words = [*unsaid, *(each.name.rpartition(": ")[2] for each in guessed)]
            yield Guess(
                name=f"{supply.name}: how it colours",
                value=f"guessed: {', '.join(words)}",
                replace_by=narrows or next((each.narrows for each in guessed), READING),
                moves=_hides(seen),
                weight=_share(seen, [supply.name]),
            )


def _plain(inputs: Mapping[str, Input], look: LookAnswer) -> Iterator[Guess]:
    """Yield one guess a grade for how clear its plastic is without colour."""
    halves = look.look.at_widest.halves
    grades = [name.removesuffix(f": {PLAIN[0]}") for name in inputs if name.endswith(PLAIN[0])]
    for grade in grades:
        haze, tint = (inputs[f"{grade}: {what}"] for what in PLAIN)
        words = [f"{grade} without colour"]
        shares = [_share(half, words) for half in halves]
        most = shares.index(max(shares))
        yield Guess(
            name=f"{grade}: how clear it is without colour",
            value=f"haze {_value(haze)}, own colour {_value(tint)}, at 550 nm",
            replace_by=haze.narrows,
            moves=_hides(halves[most]),
            weight=shares[most],
        )


def _thickness(inputs: Mapping[str, Input], plan: PlanAnswer, look: LookAnswer) -> Iterator[Guess]:
    """Yield one guess for all stations that stand in for a measured bait."""
    sizes = [each for name, each in inputs.items() if _is_thickness(name, plan)]
    if not sizes:
        return
    halves = look.look.at_widest.halves
    seen = max(halves, key=lambda half: _share(half, ["thick", plan.mould.name]))
    largest = max(sizes, key=lambda each: each.value)
    yield Guess(
        name=f"{plan.mould.name}: how thick it is",
        value=f"a simple body{_long(plan)}, halves up to {_value(largest)}",
        replace_by=largest.narrows,
        moves=_hides(seen),
        weight=_share(seen, ["thick", plan.mould.name]),
    )


def _long(plan: PlanAnswer) -> str:
    """Return the length of a body whose length is a guess too, in words."""
    return f" {plan.mould.length * 1e3:.0f} mm long" if "length" in plan.mould.guesses else ""


def _hides(seen: HalfLook) -> str:
    who = "bait" if seen.half.value == "whole" else seen.half.value
    return f"how well the {who} hides: {seen.hiding.low:.2f}–{seen.hiding.high:.2f}"


def _share(seen: HalfLook, words: Iterable[str]) -> float:
    width = seen.hiding.high - seen.hiding.low
    return width if _named(seen.hiding.narrows, words) else width / 2


def _named(narrows: str, words: Iterable[str]) -> str:
    return narrows if any(word in narrows for word in words) else ""


def _other(each: Input) -> str:
    where = {"cup": "how many melts", "fill limit": "how many melts", "syringe": "shots a draw",
             "usable share of a syringe": "shots a draw"}  # fmt: skip
    if each.name.endswith(": cavities"):
        return "how many shots"
    if each.unit == "drops per 100 g":
        return f"how well the {each.name.rpartition(' in the ')[2]} hides, and its colour"
    if each.name.endswith(": film"):
        return "how many flakes a gram is, and how well they hide"
    return where.get(each.name, "the answer, a little")


def _moved(ends: tuple[float, float]) -> str:
    low, high = (f"{round(end * 100):+d}".replace("-", "−") for end in ends)
    return f"the grams in a cup, by {low} to {high} %"


def _grams(plan: PlanAnswer) -> Iterator[tuple[str, tuple[float, float]]]:
    """Yield how far the first side's grams move with each guess at both ends. [-]"""
    mould, bench = plan.mould, plan.bench
    half = plan.recipe.sides[0].half
    now = plan.amounts.mass(half)

    def moved(name: str, ends: Iterable[PlanAnswer]) -> Iterator[tuple[str, tuple[float, float]]]:
        try:
            masses = [
                plan_amounts(
                    each.recipe, each.mould, each.bench, each.shelf, good=plan.amounts.good
                ).mass(half)
                for each in ends
            ]
        except Error:  # at one end it does not fit the cup: the plan itself says so
            return
        yield name, (min(masses) / now - 1, max(masses) / now - 1)

    if mould.bait_mass is not None:
        moulds = [replace(mould, bait_mass=each) for each in _ends(mould.bait_mass)]
        yield from moved(f"{mould.name}: bait mass", [replace(plan, mould=m) for m in moulds])
    moulds = [replace(mould, sprue_mass=each) for each in _ends(mould.sprue_mass)]
    yield from moved(f"{mould.name}: sprue and runner", [replace(plan, mould=m) for m in moulds])
    for name, benches in _benches(bench).items():
        yield from moved(name, [replace(plan, bench=each) for each in benches])


def _benches(bench: Bench) -> dict[str, list[Bench]]:
    """Return the bench with each of its losses at both ends, by the name of the input."""
    syringes, vessel = bench.syringes, bench.vessel
    return {
        "block loss a shot": [replace(bench, block_loss=each) for each in _ends(bench.block_loss)],
        "heel a side a draw": [
            replace(bench, syringes=replace(syringes, heel=each)) for each in _ends(syringes.heel)
        ],
        "film a side a melt": [
            replace(bench, vessel=replace(vessel, film=each)) for each in _ends(vessel.film)
        ],
        "reject share": [replace(bench, reject_share=each) for each in REJECTS],
    }


def _ends(known: Estimate) -> tuple[Estimate, Estimate]:
    return Estimate.exact(known.low), Estimate.exact(known.high)
