"""The one change that answers an action: its size with a range, and what to leave alone."""

from __future__ import annotations

from dataclasses import dataclass

from partline.services.look import LookAnswer
from partline.services.runs.standing import Followed
from partline.services.verdicts.evidence import Evidence
from partline.studies.advice import Action as Change
from partline.studies.diagnosis import Action


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One change.

    Parameters
    ----------
    text : str
        What to do, with its size and the range of it.
    leave : str
        What to leave as it is.
    check : str
        What to look at afterwards, and what it means if it stays.
    origin : str
        Where the size comes from: computed, or practice.
    """

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
    if action is Action.CALMER:
        return _calmer(run, known)
    if action is Action.MORE_COLOUR:
        return _more_colour(look)
    text, leave, check = _PLAIN[action]
    return Remedy(text=text, leave=leave, check=check, origin="practice")


def _more_colour(look: LookAnswer) -> Remedy:
    raised = [each for each in look.advice if each.action is Change.RAISE]
    if raised:
        text = raised[0].text
    else:
        text = (
            "By the laws both halves hide enough: check the bottle's strength with a chip before "
            "more goes in, or add 2 to 4 drops of an opaque colourant per 100 g."
        )
    return Remedy(
        text=text,
        leave="Leave temperature and push as they are.",
        check="If right, the outside no longer changes over black; if it does, mixing is back "
        "in play.",
        origin="computed" if raised else "practice",
    )


def _calmer(run: Followed, known: Evidence) -> Remedy:
    bench = run.bench
    parts = []
    start = run.plan.band[1]
    if known.start is not None and known.start > start + 1.0:
        parts.append(f"start at {bench.reading(start)} (it was {bench.reading(known.start)})")
    elif known.start is not None:
        parts.append(
            f"start 5 to 8 K cooler, at {bench.reading(start - 8.0)} to "
            f"{bench.reading(start - 5.0)}"
        )
    if known.apart is not None and abs(known.apart) > 2.0:
        parts.append(f"match the cups within 2 K (they were {abs(known.apart):.0f} K apart)")
    if known.push is not None and known.push < known.wanted_push - 1.0:
        parts.append(f"push in {known.wanted_push:.0f} s (it was {known.push:.1f} s)")
    if not parts:
        parts = ["start 5 to 8 K cooler, and push in 6 s or more"]
    text = "; ".join(parts)
    return Remedy(
        text=f"{text[0].upper()}{text[1:]}.",
        leave="Leave the colours as they are.",
        check="If right, the cut sprue is crisp and no colour runs round the other; if the cut is "
        "crisp and the bait still reads as one, it is the colour after all.",
        origin="practice",
    )


_PLAIN = {
    Action.PURGE: (
        "Push out 5 to 10 g before the first shot, until both colours leave as halves.",
        "Leave temperatures and colours as they are.",
        "If right, the first shot is as good as the second.",
    ),
    Action.OTHER_COLOURANT: (
        "Exchange the dye-like colourant of one side for a pigment, and keep pale baits alone.",
        "Leave temperatures and push as they are.",
        "If right, three baits in a warm bag look the same after seven days.",
    ),
    Action.MARK: (
        "Mark the mould's BOTTOM half and band cups and syringes; look at the first bait before "
        "the second shot.",
        "Leave everything else as it is: these baits are crisp.",
        "If right, the first bait lies dark side up.",
    ),
    Action.WIDER_GAP: (
        "Lighten the belly: some 4 drops of white per 100 g more, or darken the back.",
        "Leave temperatures and push as they are.",
        "If right, a grey photo of the cut shows a step.",
    ),
}
