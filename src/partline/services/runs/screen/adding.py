"""What goes into a hot cup, and when: a metal flake never before the last heat."""

from __future__ import annotations

from partline.process.ingredients import Ingredient, Step
from partline.process.run import CupState, Kind
from partline.services.cautions import not_above, supply_caution
from partline.services.heating import scaled
from partline.services.plan import scale_reading
from partline.services.runs.screen.parts import (
    Json,
    Seen,
    amount,
    control,
    end_of_melt,
    opens,
    thing,
    words,
)


def due(seen: Seen, cup: CupState, last: Step) -> list[Ingredient]:
    """Return what should go into a cup now, up to a step, and was not told to be in.

    What must not be heated again waits for the last heat: metal is not offered before it at all.
    """
    left = cup.mass / cup.filled if cup.filled > 0 else 1.0
    wanted = [
        scaled(each, left)
        for each in seen.planned(cup.letter).later
        if each.step <= last and not cup.is_settled(each.supply, seen.state.heat)
    ]
    return [each for each in wanted if seen.is_last_heat or not each.is_metal]


def into(seen: Seen, letter: str, what: Ingredient) -> Json:
    """Return the screen on which something goes into a cup."""
    says = [f"{what.supply}, {what.step.words}."]
    hot = _too_hot(seen, letter, what)
    if caution := f"{supply_caution(what, seen.plan.bench)} {hot}".strip():
        says.append(caution)
    is_early = _is_spoiled_by_heat(what) and not seen.is_last_heat
    if is_early:
        says.append("This is hardly the last heat of this melt.")
    warm = warm_first(seen, letter) if what.is_metal else []
    if warm:
        says.append("Match the cups before it is in.")
    grams = scale_reading(what.mass, 2)
    put = control(
        "It is in", Kind.ADD, letter, tone="plain" if is_early or warm or hot else "main",
        supply=what.supply, grams=grams,
    )  # fmt: skip
    leave = control(
        "Not in this heat", Kind.ADD, letter, tone="main" if is_early else "plain",
        supply=what.supply, grams=0.0, skipped=True,
    )  # fmt: skip
    read = [opens(f"Read {letter}", "reading", letter, tone="main")] if hot and not warm else []
    return thing(
        f"add-{seen.state.melt}-{seen.state.heat}-{letter}-{what.supply}",
        f"Into cup {letter}: {what.supply}", words(amount(what)), says,
        [leave, put] if is_early else [*warm, *read, put, leave], cup=letter,
    )  # fmt: skip


def _is_spoiled_by_heat(what: Ingredient) -> bool:
    return what.step is Step.TENDER or what.heat_limit is not None


def _too_hot(seen: Seen, letter: str, what: Ingredient) -> str:
    """Return what a flake that sheds waits for, while its cup is warmer than that."""
    limit, now = not_above(what, seen.plan.bench), seen.cups[letter].now
    if limit is None or (now is not None and now[1] <= limit):
        return ""
    return f"Not in before the cup reads {seen.plan.bench.reading(limit)} or less."


def sheds_in(seen: Seen, letter: str) -> list[str]:
    """Return what must be said before a cup is heated that holds flake which sheds."""
    bench, inside = seen.plan.bench, seen.state.cups[letter].added
    return [
        f"Cup {letter} holds {each.supply}: it sheds above {bench.reading(each.heat_limit)}."
        for each in seen.planned(letter).later
        if each.heat_limit is not None and each.supply in inside
    ]


def warm_first(seen: Seen, letter: str, tone: str = "main") -> list[Json]:
    """Return the short time in the oven that would match a colder cup to the other."""
    match = seen.match
    if match is None or not match.waits or match.waits == letter or metal_in(seen, letter):
        return []
    seconds = seen.cups[letter].warm_by(match.difference)
    if seconds is None:
        return []
    label = f"Warm {letter}: {seconds:.0f} s"
    return [control(label, Kind.BURST, letter, tone=tone, seconds=seconds)]


def metal_in(seen: Seen, letter: str) -> str:
    """Return the metal flake that a cup holds; empty where it may go into the oven."""
    metal = {each.supply for each in seen.planned(letter).later if each.is_metal}
    return ", ".join(sorted(metal & seen.state.cups[letter].added))


def waiting_for_last_heat(seen: Seen, letter: str) -> str:
    """Return what waits for the last heat of this melt; empty where nothing does."""
    late = [
        each.supply
        for each in seen.planned(letter).later
        if (each.is_metal or _is_spoiled_by_heat(each))
        and each.supply not in seen.state.cups[letter].added
    ]
    return ", ".join(late)


def holds_metal(seen: Seen, letter: str, metal: str) -> Json:
    """Return the screen of a cup that may not go into the oven any more."""
    is_cold = seen.is_past_stop
    draw = control("Draw all the same" if is_cold else "Draw what is warm enough", Kind.DRAW,
                   tone="plain" if is_cold else "main")  # fmt: skip
    leave = end_of_melt(seen, tone="main" if is_cold else "plain")
    return thing(
        f"metal-{letter}", f"Cup {letter} holds {metal}", words("No oven"),
        ["Metal sparks in a microwave oven: this cup is not heated again.",
         f"Still to come in this melt: {seen.shots_to_come}."],
        [leave, draw] if is_cold else [draw, leave], cup=letter,
    )  # fmt: skip
