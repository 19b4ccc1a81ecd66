"""The one change that answers an action: its size with a range, and what to leave alone."""

from __future__ import annotations

from dataclasses import dataclass

from partline.process.recipe import Half
from partline.quantities.rounding import deserved_decimals, with_decimals
from partline.services.look import LookAnswer
from partline.services.runs.standing import Followed
from partline.services.verdicts.darker import darker_back
from partline.services.verdicts.evidence import Evidence
from partline.services.verdicts.law import LIGHTNESS_GAP
from partline.services.verdicts.step import Step
from partline.studies.advice import Action as Change
from partline.studies.advice import Advice, number, rounded_up
from partline.studies.diagnosis import Action
from partline.studies.loading import Need

#: A start is made so much cooler at a time, common practice. [K]
COOLER = (5.0, 8.0)
#: No start is advised nearer the stop than this: the shots after it need the room. [K]
ROOM_BELOW = 4.0
#: Strokes are made so much longer at a time, and no longer than this. [-], [s]
SLOWER, SLOWEST = 1.5, 12.0
#: Cups are matched within this, common practice. [K]
MATCHED = 2.0
#: What is pushed out of a block, common practice. [kg]
PURGED = (5e-3, 10e-3)
#: Where light foretells enough hiding and baits show otherwise, this much more is tried. A guess.
AGAINST_LAW = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One change.

    Parameters
    ----------
    steps : tuple of Step
        What it consists of, each with its size.
    text : str
        What to do, with its size and the range of it.
    leave : str
        What to leave as it is.
    check : str
        What to look at afterwards, and what it means if it stays.
    origin : str
        Where the size comes from: computed, or practice.
    """

    steps: tuple[Step, ...]
    text: str
    leave: str
    check: str
    origin: str


def remedy(action: Action, run: Followed, look: LookAnswer, known: Evidence) -> Remedy:
    """Return the change that answers an action, in this run's own numbers.

    Parameters
    ----------
    action : Action
        Likeliest to help.
    run : Followed
        With what was poured.
    look : LookAnswer
        Predicted for it.
    known : Evidence
        What the record tells.
    """
    match action:
        case Action.CALMER:
            return _calmer(run, known)
        case Action.MORE_COLOUR:
            return _more_colour(look)
        case Action.WIDER_GAP:
            return _wider_gap(look)
        case _:
            steps, text, leave, check = _PLAIN[action]
            return Remedy(steps=steps, text=text, leave=leave, check=check, origin="practice")


def _more_colour(look: LookAnswer) -> Remedy:
    raised = next((each for each in look.advice if each.action is Change.RAISE), None)
    step = None if raised is None else _raised(raised, look)
    text = "" if raised is None else raised.text
    if step is None:
        step = _against_law(look)
        text = _no_step(step)
    return Remedy(
        steps=() if step is None else (step,),
        text=text if step is None else f"{text} {_range(step)}",
        leave="Leave temperature and push as they are.",
        check="If right, the outside no longer changes over black; if it does, mixing is back "
        "in play.",
        origin="practice" if raised is None else "computed",
    )


def _raised(advice: Advice, look: LookAnswer) -> Step | None:
    need = _need_of(look, advice.half)
    if need is None or advice.amount_then is None:
        return None
    return _loading(need, advice.half, advice.amount_then / need.now)


def _need_of(look: LookAnswer, half: Half | None) -> Need | None:
    pairs = zip(look.look.at_widest.halves, look.look.needs, strict=True)
    return next((need for seen, need in pairs if seen.half is half), None)


def _loading(need: Need, half: Half | None, factor: float) -> Step:
    then, low, high = need.amount(factor)
    return Step(
        what="loading", half="" if half is None else half.value, supply=need.supply,
        now=need.now, then=round(then, 3), low=low, high=high, unit=need.unit,
    )  # fmt: skip


def _against_law(look: LookAnswer) -> Step | None:
    """Return more of the half that hides least, where light foretells that it hides enough."""
    halves = sorted(look.look.at_widest.halves, key=lambda half: half.hiding.low)
    for seen in halves:
        need = _need_of(look, seen.half)
        if need is not None and need.most > 1.0:
            factor = min(rounded_up(AGAINST_LAW), need.most)
            return _loading(need, seen.half, factor)
    return None


def _no_step(step: Step | None) -> str:
    said = "By light both halves hide enough, and the baits show otherwise: "
    if step is None:
        return said + "add 2 to 4 drops of an opaque colourant per 100 g to the weaker side."
    return said + (
        f"the bottle is weaker than it is taken to be. Raise {step.supply} in the {step.half} "
        f"half from {number(step.now or 0.0)} to {number(step.then)} {step.unit} per 100 g and "
        "leave everything else as it is; a chip on the printed card would tell how weak it is."
    )


def _range(step: Step) -> str:
    decimals = deserved_decimals(step.then, step.low, step.high)
    low, high = (with_decimals(end, decimals) for end in (step.low, step.high))
    return f"What is needed lies between {low} and {high} {step.unit}, 80 % sure."


def _calmer(run: Followed, known: Evidence) -> Remedy:
    steps, parts = [], []
    for made in (_start(run, known), _match(known), _push(known)):
        if made is not None:
            steps.append(made[0])
            parts.append(made[1])
    if not steps:
        step, said = _gentler(run, known)
        steps, parts = [step], [said]
    text = "; ".join(parts)
    return Remedy(
        steps=tuple(steps),
        text=f"{text[0].upper()}{text[1:]}.",
        leave="Leave the colours as they are.",
        check="If right, the cut sprue is crisp and no colour runs round the other; if the cut is "
        "crisp and the bait still reads as one, it is the colour after all.",
        origin="practice",
    )


def _start(run: Followed, known: Evidence) -> tuple[Step, str] | None:
    """Return the start brought back to the band, where it was above it."""
    wanted, bench = run.plan.band[1], run.bench
    if known.start is None or known.start <= wanted + 1.0:
        return None
    step = Step.of_warmth(bench, now=known.start, then=wanted, low=wanted - 2.0, high=wanted)
    return step, f"start at {bench.reading(wanted)} (it was {bench.reading(known.start)})"


def _match(known: Evidence) -> tuple[Step, str] | None:
    if known.apart is None or abs(known.apart) <= MATCHED:
        return None
    step = Step(what="cups apart", now=round(abs(known.apart), 1), then=0.0, low=0.0,
                high=MATCHED, unit="K")  # fmt: skip
    return step, f"match the cups within 2 K (they were {abs(known.apart):.0f} K apart)"


def _push(known: Evidence) -> tuple[Step, str] | None:
    if known.push is None or known.push >= known.wanted_push - 1.0:
        return None
    wanted = known.wanted_push
    step = Step(what="push", now=round(known.push, 1), then=wanted, low=wanted,
                high=wanted * SLOWER, unit="s")  # fmt: skip
    return step, f"push in {wanted:.0f} s (it was {known.push:.1f} s)"


def _gentler(run: Followed, known: Evidence) -> tuple[Step, str]:
    """Return what is calmer still, where everything was calm: cooler, then slower."""
    bench = run.bench
    before = run.plan.band[1] if known.start is None else known.start
    low, high = (max(before - each, run.plan.band[0] + ROOM_BELOW) for each in COOLER[::-1])
    if low < high:
        middle = (low + high) / 2
        step = Step.of_warmth(bench, now=known.start, then=middle, low=low, high=high)
        return step, f"start 5 to 8 K cooler, at {bench.reading(low)} to {bench.reading(high)}"
    push = known.wanted_push if known.push is None else known.push
    then = min(round(push * SLOWER), SLOWEST)
    step = Step(what="push", now=known.push, then=then, low=then - 1.0, high=then + 1.0, unit="s")
    return step, f"push in {then:.0f} s: cooler than this the shots after it would not fill"


def _wider_gap(look: LookAnswer) -> Remedy:
    """Return a darker back, by the smallest amount that light foretells to be enough."""
    steps, text, leave, check = _PLAIN[Action.WIDER_GAP]
    found = darker_back(look)
    if found is None:
        return Remedy(steps=steps, text=text, leave=leave, check=check, origin="practice")
    step, before, after = found
    return Remedy(
        steps=(step,),
        text=f"Darken the back: raise {step.supply} from {number(step.now or 0.0)} to "
        f"{number(step.then)} {step.unit} per 100 g. The halves' lightness then differs by about "
        f"{after:.0f} steps; it is {before:.0f} now, and {LIGHTNESS_GAP:.0f} read as two (a "
        "guess).",
        leave=leave,
        check=check,
        origin="computed",
    )


_PLAIN: dict[Action, tuple[tuple[Step, ...], str, str, str]] = {
    Action.PURGE: (
        (Step(what="purge", now=None, then=10.0, low=5.0, high=10.0, unit="g"),),
        "Push out 5 to 10 g before the first shot, until both colours leave as halves.",
        "Leave temperatures and colours as they are.",
        "If right, the first shot is as good as the second.",
    ),
    Action.OTHER_COLOURANT: (
        (Step(what="colourant", now=None, then=1.0, low=1.0, high=1.0, unit=""),),
        "Exchange the dye-like colourant of one side for a pigment, and keep pale baits alone.",
        "Leave temperatures and push as they are.",
        "If right, three baits in a warm bag look the same after seven days.",
    ),
    Action.MARK: (
        (Step(what="mark", now=None, then=1.0, low=1.0, high=1.0, unit=""),),
        "Mark the mould's BOTTOM half and band cups and syringes; look at the first bait before "
        "the second shot.",
        "Leave everything else as it is: these baits are crisp.",
        "If right, the first bait lies dark side up.",
    ),
    Action.WIDER_GAP: (
        (),
        "Lighten the belly: some 4 drops of white per 100 g more, or darken the back.",
        "Leave temperatures and push as they are.",
        "If right, a grey photo of the cut shows a step.",
    ),
}
