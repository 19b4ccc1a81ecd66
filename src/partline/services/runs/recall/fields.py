"""What runs can be searched by: each field's name, what it measures, and where it stands."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from partline.process.recipe import Half
from partline.quantities.units import Kind
from partline.services.runs.recall.facts import RunFacts

Values = tuple[float | str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One thing that runs can be searched by.

    Parameters
    ----------
    name : str
        As it is written.
    kind : Kind or None
        What it measures; None for words.
    values : callable
        Takes a run's facts and returns its values in SI, or words; none where nothing is known.
    meaning : str
        For a list of fields.
    is_list : bool
        Whether one word of several is enough; else every value must fit.
    needs_heats : bool
        Whether how warm the cups were is asked for.
    """

    name: str
    kind: Kind | None
    values: Callable[[RunFacts], Values]
    meaning: str
    is_list: bool = False
    needs_heats: bool = False


def _known(*values: float | str | None) -> Values:
    return tuple(each for each in values if each is not None)


def _starts(*letters: str) -> Callable[[RunFacts], Values]:
    def values(run: RunFacts) -> Values:
        return tuple(e.start[k][1] for e in run.heats for k in letters if k in e.start)

    return values


def _stops(run: RunFacts) -> Values:
    return tuple(value for each in run.heats for value in each.stop.values())


def _apart(run: RunFacts) -> Values:
    found = [abs(each.apart) for each in run.heats if each.apart is not None]
    return _known(max(found, default=None))


def _pushes(run: RunFacts) -> Values:
    return _known(*(each.push for each in run.heats))


def _stirs(run: RunFacts) -> Values:
    return _known(*(each.stir_age for each in run.heats))


def _supplies(*halves: Half, colours: bool = False) -> Callable[[RunFacts], Values]:
    def values(run: RunFacts) -> Values:
        return tuple(
            each.supply
            for each in run.poured.loaded
            if each.half in halves and (each.is_colourant or not colours)
        )

    return values


def _plastisols(run: RunFacts) -> Values:
    return tuple(grade.grade for side in run.poured.recipe.sides for grade in side.blend)


def _good_share(run: RunFacts) -> Values:
    tally = run.tally
    return () if tally is None else (tally.good / tally.baits,)


def _yes(is_it: bool) -> Values:
    return ("yes" if is_it else "no",)


def _fields() -> Iterable[Field]:
    back, belly, whole = Half.BACK, Half.BELLY, Half.WHOLE
    yield Field(name="recipe", kind=None, meaning="its name",
                values=lambda run: (run.poured.recipe.name,))  # fmt: skip
    yield Field(name="version", kind=Kind.NUMBER, meaning="of the recipe",
                values=lambda run: (float(run.poured.recipe.version),))  # fmt: skip
    yield Field(name="mould", kind=None, meaning="its name",
                values=lambda run: (run.poured.mould,))  # fmt: skip
    yield Field(name="bench", kind=None, meaning="its name",
                values=lambda run: (run.poured.bench.name,))  # fmt: skip
    for name, halves in (("back", (back, whole)), ("belly", (belly,)),
                         ("supply", (back, belly, whole))):  # fmt: skip
        where = "either side" if name == "supply" else f"the {name}"
        yield Field(name=name, kind=None, values=_supplies(*halves), is_list=True,
                    meaning=f"anything in {where}, such as a flake")  # fmt: skip
    for name, halves in (("back colourant", (back, whole)), ("belly colourant", (belly,)),
                         ("colourant", (back, belly, whole))):  # fmt: skip
        where = "either side" if name == "colourant" else f"the {name.split()[0]}"
        yield Field(name=name, kind=None, values=_supplies(*halves, colours=True), is_list=True,
                    meaning=f"a bottle of colour in {where}")  # fmt: skip
    yield Field(name="plastisol", kind=None, values=_plastisols, is_list=True,
                meaning="a grade in either side")  # fmt: skip
    for name, letters in (("start", "AB"), ("start A", "A"), ("start B", "B")):
        cups = "both cups" if len(letters) == 2 else f"cup {letters}"
        yield Field(name=name, kind=Kind.TEMPERATURE, values=_starts(*letters), needs_heats=True,
                    meaning=f"{cups} at the first draw of every heat")  # fmt: skip
    yield Field(name="stop", kind=Kind.TEMPERATURE, values=_stops, needs_heats=True,
                meaning="both cups at the last draw of every heat")  # fmt: skip
    yield Field(name="apart", kind=Kind.TEMPERATURE_STEP, values=_apart, needs_heats=True,
                meaning="the cups at a first draw, at the most")  # fmt: skip
    yield Field(name="room", kind=Kind.TEMPERATURE, meaning="the bench’s",
                values=lambda run: (run.poured.bench.room,))  # fmt: skip
    yield Field(name="push", kind=Kind.TIME, values=_pushes, needs_heats=True,
                meaning="middle stroke of every heat")  # fmt: skip
    yield Field(name="stirred", kind=Kind.TIME, values=_stirs, needs_heats=True,
                meaning="before the first draw of every heat")  # fmt: skip
    yield Field(name="heats", kind=Kind.NUMBER, needs_heats=True, meaning="trips up to the band",
                values=lambda run: (float(len(run.heats)),))  # fmt: skip
    yield Field(name="shots", kind=Kind.NUMBER, meaning="pushed",
                values=lambda run: (float(len(run.state.shots)),))  # fmt: skip
    yield Field(name="moulds", kind=Kind.NUMBER, meaning="alike, in rotation",
                values=lambda run: (float(run.moulds),))  # fmt: skip
    yield Field(name="good", kind=Kind.NUMBER, meaning="baits",
                values=lambda run: _known(run.state.good))  # fmt: skip
    yield Field(name="good share", kind=Kind.SHARE, values=_good_share,
                meaning="of the baits moulded, such as 0.9 or 90 %")  # fmt: skip
    yield Field(name="wrong", kind=None, values=lambda run: run.wrong or ("nothing",),
                is_list=True, meaning="a mark, such as short; or nothing")  # fmt: skip
    yield Field(name="look", kind=None, values=lambda run: run.seen or ("nothing",), is_list=True,
                meaning="the key of a look answered with yes; or nothing")  # fmt: skip
    yield Field(name="state", kind=None, values=lambda run: (run.state.phase.value,),
                meaning="such as judged")  # fmt: skip
    yield Field(name="pinned", kind=None, values=lambda run: _yes(run.state.is_pinned),
                meaning="yes or no")  # fmt: skip
    yield Field(name="set aside", kind=None, values=lambda run: _yes(run.state.is_aside),
                meaning="yes or no; left out unless asked for")  # fmt: skip
    yield Field(name="practice", kind=None, values=lambda run: _yes(run.is_practice),
                meaning="yes or no; left out unless asked for")  # fmt: skip


#: Every field, by its name.
FIELDS: Final = MappingProxyType({each.name.casefold(): each for each in _fields()})
