"""Three spoiled baits to find the cause of: what is shown, and what was right."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from partline.studies.diagnosis import ANSWERS, LOOKS, Cause, Source, verdict
from partline.studies.exercise import SpoiledBait, spoiled_baits

Json = dict[str, Any]
#: Baits of one exercise.
BAITS = 3
#: What a look is taken from, in the order in which it costs least.
ORDER = (Source.WHOLE, Source.CARD, Source.SHOTS, Source.DAYS, Source.SPRUE, Source.BELLY,
         Source.GREY)  # fmt: skip


def exercise(number: int) -> Json:
    """Return the baits of an exercise, with all that can be looked at and no answer.

    Parameters
    ----------
    number : int
        The same number gives the same baits.

    Returns
    -------
    dict
        ``baits[]``, each with its ``record`` in words and its ``looks[]``, cheapest first.

    Raises
    ------
    OutOfRange
        If the number is below 0.
    """
    return {
        "number": number,
        "causes": [cause.value for cause in Cause],
        "actions": [
            {"cause": cause.value, "action": action.value} for cause, action in ANSWERS.items()
        ],
        "baits": [
            {"bait": place, "record": _record(bait), "looks": _looks(bait)}
            for place, bait in enumerate(spoiled_baits(number, BAITS), start=1)
        ],
    }


def compared(number: int, given: Mapping[int, str]) -> list[Json]:
    """Return what was right, bait by bait, and what told it.

    Parameters
    ----------
    number : int
        Of the exercise.
    given : mapping of int to str
        The cause that somebody named, by the number of the bait; those left out are not judged.

    Returns
    -------
    list of dict
        ``bait``, ``given``, ``cause``, ``action``, ``is_right``, ``is_same_action``: another
        cause with the same remedy spoils no further run, ``because[]``, ``share``.

    Raises
    ------
    OutOfRange
        If the number is below 0.
    """
    known = {cause.value: cause for cause in Cause}
    told = []
    for place, bait in enumerate(spoiled_baits(number, BAITS), start=1):
        named = known.get(given.get(place, ""))
        found = verdict(bait.seen, day=bait.days)
        told.append(
            {
                "bait": place,
                "given": None if named is None else named.value,
                "cause": bait.cause.value,
                "action": ANSWERS[bait.cause].value,
                "is_right": named is bait.cause,
                "is_same_action": named is not None and ANSWERS[named] is ANSWERS[bait.cause],
                "because": [
                    f"{LOOKS[key].question} {'Yes' if bait.seen[key] else 'No'}."
                    for key in found.causes[0].because
                ],
                "share": round(found.causes[0].share, 3),
            }
        )
    return told


def _record(bait: SpoiledBait) -> list[str]:
    """Return what the run's record says, as a card would."""
    over = round(bait.over_band)
    start = (
        f"Started {over} °C above the working band."
        if over > 1
        else "Started in the working band."
    )
    apart = round(abs(bait.apart))
    warmer = "A" if bait.apart > 0 else "B"
    cups = (
        f"Cup {warmer} was {apart} °C warmer at the draw." if apart else "The cups were matched."
    )
    block = (
        "Plastic was pushed out of the block first."
        if bait.seen["purged"]
        else "The block was not pushed out before the first shot."
    )
    return [start, cups, block, f"Pushed in {bait.push:.1f} s."]


def _looks(bait: SpoiledBait) -> list[Json]:
    keys = [key for key, look in LOOKS.items() if look.source in ORDER]
    keys.sort(key=lambda key: ORDER.index(LOOKS[key].source))
    return [
        {
            "look": key,
            "question": LOOKS[key].question,
            "source": LOOKS[key].source.value,
            "minutes": LOOKS[key].effort,
            "seen": bait.seen[key],
        }
        for key in keys
    ]
