"""The verdict: odds over causes and actions, and the one next look that would settle most."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from partline.errors import InputError, NotFound
from partline.studies.diagnosis.cause import ANSWERS, Action, Cause
from partline.studies.diagnosis.look import LOOKS, Case, Look, Source, chance_of
from partline.studies.diagnosis.together import Together, together

Floats = NDArray[np.floating]
Foretold = Mapping[tuple[str, Cause], float]
NOTHING: Foretold = MappingProxyType({})

#: The best must be this many times as likely as the next before it is said to be it. [-]
ENOUGH = 2.0
#: From this share on an action is left as it is, where no one look would change it. A guess. [-]
SURE = 0.95
#: A look that settles less than this, by what it takes off the actions' entropy, is not asked.
LEAST_TOLD = 0.01
#: Looks at one and the same cut share what they tell: each counts this share of its log. [-]
SHARED = 0.5
#: Sources whose looks share what they tell.
CUTS = (Source.SPRUE, Source.BELLY, Source.GREY)
#: A cause stands by itself when it explains what is seen this many times as well as chance. [-]
STANDS_OUT = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseOdds:
    """One cause.

    Parameters
    ----------
    cause : Cause
        Which.
    share : float
        Of all likelihood, were exactly one cause at work. [-]
    ratio : float
        How many times as well it explains what was seen as the others do on average: causes can
        go together, and this is scored for each by itself. [-]
    because : tuple of str
        Keys of the looks that speak for it most, strongest first.
    """

    cause: Cause
    share: float
    ratio: float
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionOdds:
    """One thing to do, and how likely it is to answer what happened. [-]"""

    action: Action
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NextLook:
    """A look worth taking.

    Parameters
    ----------
    look : Look
        Which.
    now : float
        Share of the best action as it is. [-]
    if_yes, if_no : float
        Share of the action that would be best then. [-]
    expected : float
        Share of the best action that is to be expected after it. [-]
    settles : float
        What it is expected to take off the entropy of the actions. [nat]
    """

    look: Look
    now: float
    if_yes: float
    if_no: float
    expected: float
    settles: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What spoiled a run, as far as it can be told.

    Parameters
    ----------
    causes : tuple of CauseOdds
        Likeliest first.
    actions : tuple of ActionOdds
        Likeliest to help first.
    seen : dict of str to bool
        What it rests on.
    next_look : NextLook or None
        None where no look would change what to do.
    together : Together or None
        Two causes, where no single one explains what was seen and a pair plainly does; shares
        are then those of being at work, made to add up to 1.
    """

    causes: tuple[CauseOdds, ...]
    actions: tuple[ActionOdds, ...]
    seen: dict[str, bool]
    next_look: NextLook | None
    together: Together | None = None

    @property
    def _is_pair_told(self) -> bool:
        """Whether the surer of two causes is twice as likely at work as not."""
        found = self.together
        return found is not None and float(found.presence.max()) > ENOUGH / (1 + ENOUGH)

    @property
    def is_cause_told(self) -> bool:
        """Whether the first cause is twice as likely as the second, or surely one of two."""
        if self._is_pair_told:
            return True
        first, second = self.causes[:2]
        return first.share > ENOUGH * second.share * (1 + 1e-9)

    @property
    def is_action_told(self) -> bool:
        """Whether the first action is twice as likely to help as the second, or surely needed."""
        if self._is_pair_told:
            return True
        first, second = self.actions[:2]
        return first.share > ENOUGH * second.share * (1 + 1e-9)


def verdict(
    seen: Mapping[str, bool],
    *,
    day: float = 0.0,
    law: Mapping[Cause, float] | None = None,
    cases: tuple[Case, ...] = (),
    foretold: Foretold = NOTHING,
) -> Verdict:
    """Return what spoiled a run.

    Parameters
    ----------
    seen : mapping of str to bool
        What was looked at, yes or no; each look once.
    day : float
        Days since the shot; on the day itself nothing can have crept. [d]
    law : mapping of Cause to float, optional
        Odds that laws give a cause before anything is looked at; 1 where none is told. [-]
    cases : tuple of Case
        Confirmed ones, which replace the table's guesses.
    foretold : mapping of (str, Cause) to float
        Chances of a yes that a law gives for this very run, instead of the table's. [-]

    Returns
    -------
    Verdict
        With nothing seen and no law, all causes are level.

    Raises
    ------
    NotFound
        If there is no such look.
    InputError
        If the day is below 0, or the law's odds are.

    Notes
    -----
    Bayes's rule with one cause at work. Looks at the same cut count half their logarithm each.

    References
    ----------
    .. [1] Starting chances of the looks: guesses of the trade, no source.
    """
    for key in seen:
        if key not in LOOKS:
            raise NotFound(f"There is no look called “{key}”; known are {', '.join(LOOKS)}.")
    prior = _prior(day, law or {})
    logs = _logs(seen, cases, foretold)
    shares = _shares(prior, logs.sum(axis=0))
    pair = _pair(seen, prior, cases, foretold)
    if pair is not None:
        shares = pair.presence / pair.presence.sum()
    return Verdict(
        causes=_causes(shares, prior, logs, tuple(seen)),
        actions=_actions(shares),
        seen=dict(seen),
        next_look=_next_look(seen, prior, cases, foretold),
        together=pair,
    )


def _prior(day: float, law: Mapping[Cause, float]) -> Floats:
    if day < 0 or any(not odds >= 0 for odds in law.values()):
        raise InputError("Days and odds are not below 0.")
    prior = np.array([law.get(cause, 1.0) for cause in Cause])
    if day < 1.0:
        prior[tuple(Cause).index(Cause.CREPT)] = 0.0
    if not prior.sum() > 0:
        raise InputError("Some cause must be possible.")
    return np.asarray(prior / prior.sum())


def _pair(
    seen: Mapping[str, bool], prior: Floats, cases: tuple[Case, ...], foretold: Foretold
) -> Together | None:
    if not seen:
        return None
    yes = np.array([_yes(LOOKS[key], cases, foretold) for key in seen])
    return together(tuple(seen), tuple(seen.values()), yes, _weights(seen), prior)


def _yes(look: Look, cases: tuple[Case, ...], foretold: Foretold) -> Floats:
    """Return the chance of a yes under each cause, shape (causes,). [-]"""
    return np.array(
        [chance_of(look, cause, cases, foretold.get((look.key, cause))) for cause in Cause]
    )


def _weights(seen: Mapping[str, bool]) -> Floats:
    """Return what each look's logarithm counts: looks at one cut share what they tell."""
    cut = [key for key in seen if LOOKS[key].source in CUTS]
    return np.array([SHARED if key in cut and len(cut) > 1 else 1.0 for key in seen])


def _logs(seen: Mapping[str, bool], cases: tuple[Case, ...], foretold: Foretold) -> Floats:
    """Return the logarithm of what each look tells, shape (looks, causes)."""
    rows = [np.zeros(len(Cause))]
    for (key, answer), weight in zip(seen.items(), _weights(seen), strict=True):
        yes = _yes(LOOKS[key], cases, foretold)
        rows.append(weight * np.log(yes if answer else 1.0 - yes))
    return np.array(rows)


def _shares(prior: Floats, log: Floats) -> Floats:
    weight = prior * np.exp(log - log.max())
    return np.asarray(weight / weight.sum())


def _causes(
    shares: Floats, prior: Floats, logs: Floats, keys: tuple[str, ...]
) -> tuple[CauseOdds, ...]:
    found = []
    for place, cause in enumerate(Cause):
        others = np.delete(np.arange(len(Cause)), place)
        weight = prior[others] / max(float(prior[others].sum()), 1e-300)
        usual = float(weight @ np.exp(logs.sum(axis=0)[others]))
        speaks = logs[1:, place] - np.log(np.exp(logs[1:][:, others]) @ weight)
        strongest = np.argsort(-speaks)
        ratio = float(np.exp(logs.sum(axis=0)[place])) / usual if usual > 0 else np.inf
        found.append(
            CauseOdds(
                cause=cause,
                share=float(shares[place]),
                ratio=ratio if prior[place] > 0 else 0.0,
                because=tuple(keys[each] for each in strongest if speaks[each] > 0)[:3],
            )
        )
    return tuple(sorted(found, key=lambda each: -each.share))


def _actions(shares: Floats) -> tuple[ActionOdds, ...]:
    sums = dict.fromkeys(Action, 0.0)
    for cause, share in zip(Cause, shares, strict=True):
        sums[ANSWERS[cause]] += float(share)
    found = [ActionOdds(action=action, share=share) for action, share in sums.items()]
    return tuple(sorted(found, key=lambda each: -each.share))


def _next_look(
    seen: Mapping[str, bool], prior: Floats, cases: tuple[Case, ...], foretold: Foretold
) -> NextLook | None:
    """Return the look that is expected to settle most of what to do.

    Several looks can be worth taking though none of them alone would change the best action, so
    that what each settles is its worth, until the action is sure.
    """
    shares = _shares(prior, _logs(seen, cases, foretold).sum(axis=0))
    now = _actions(shares)
    best: NextLook | None = None
    for key, look in LOOKS.items():
        if key in seen or look.source is Source.RECORD:
            continue
        after = [
            _actions(_shares(prior, _logs({**seen, key: answer}, cases, foretold).sum(axis=0)))
            for answer in (True, False)
        ]
        yes = float(shares @ _yes(look, cases, foretold))
        expected = yes * after[0][0].share + (1 - yes) * after[1][0].share
        changes = any(each[0].action is not now[0].action for each in after)
        if not changes and now[0].share >= SURE:
            continue  # whatever it shows, the same would be done
        settles = _entropy(now) - yes * _entropy(after[0]) - (1 - yes) * _entropy(after[1])
        if settles < LEAST_TOLD:
            continue
        found = NextLook(
            look=look, now=now[0].share, if_yes=after[0][0].share, if_no=after[1][0].share,
            expected=expected, settles=settles,
        )  # fmt: skip
        if best is None or _worth(found) > _worth(best):
            best = found
    return best


def _entropy(actions: tuple[ActionOdds, ...]) -> float:
    """Return how open it is what to do. [nat]"""
    shares = np.array([each.share for each in actions if each.share > 0])
    return float(-shares @ np.log(shares))


def _worth(look: NextLook) -> float:
    """Return what a look is worth, a minute's effort costing two hundredths. [nat]"""
    return look.settles - 0.02 * look.look.effort
