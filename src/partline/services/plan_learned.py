"""What a bench's runs say of a plan on it: told beside the plan, which stays as it was made."""

from __future__ import annotations

from partline.records.plans import KeptPlan
from partline.records.workshop import Workshop
from partline.services.runs.heating import kit_of
from partline.services.runs.learned import BenchLearned, bench_learned
from partline.studies.bench_learning import Learned


def plan_learned(workshop: Workshop, kept: KeptPlan) -> tuple[str, ...]:
    """Return what the runs of a plan's bench say of it, in sentences; none without runs.

    Parameters
    ----------
    workshop : Workshop
        Open.
    kept : KeptPlan
        Whose cups and mould are asked about.
    """
    kit = kit_of(
        workshop.recipes.version(kept.recipe.id).content,
        workshop.benches.version(kept.bench.id).content,
        workshop.shelves.version(kept.shelf.id).content,
    )
    found = bench_learned(workshop, kept.bench.document_id, kit, kept=kept)
    told = [_times(found)]
    if found.shot is not None and found.shot.runs:
        told.append(_shots(found.shot))
    return tuple(each for each in told if each)


def _times(found: BenchLearned) -> str:
    parts = []
    if found.power is not None and found.power.runs:
        watts = found.power.next_run
        parts.append(f"the oven gives {watts.value:.0f} W ({watts.low:.0f}–{watts.high:.0f})")
    for letter, loss in found.losses.items():
        if loss.runs:
            known = loss.next_run
            parts.append(
                f"cup {letter} loses ×{known.value:.2f} ({known.low:.2f}–{known.high:.2f})"
            )
    if not parts:
        return ""
    count = len(found.runs)
    runs = f"{count} run{'' if count == 1 else 's'} of this bench"
    compared = " of what an open cup would in a still room" if "cup" in parts[-1] else ""
    return f"Times of a run of this plan rest on {runs}: {', '.join(parts)}{compared}."


def _shots(shot: Learned) -> str:
    grams, planned = shot.next_run, shot.before.value * 1e3
    low, middle, high = (1e3 * each for each in (grams.low, grams.value, grams.high))
    said = f"By leftovers weighed a shot takes {middle:.1f} g ({low:.1f}–{high:.1f})"
    if low <= planned <= high:
        return f"{said}; {planned:.1f} g are planned."
    more = middle - planned
    return (
        f"{said}; {planned:.1f} g are planned. {'Melt' if more > 0 else 'Spare'} "
        f"{abs(more):.1f} g a shot {'more' if more > 0 else 'of it'}, or say on the bench what "
        "block and heels keep."
    )
