"""The look that is asked for, and in which way a colour misses it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.physics.colour_difference import ciede2000
from partline.process.optics import SideOptics

Floats = NDArray[np.floating]

#: Bound that 80 % of colours picked off an everyday photo lie within. Common practice, no source.
ROUGH = 5.0
#: Step at which the difference formula's own scale is felt out. [L*, a*, b*]
STEP = 0.02
#: A part of a difference that is smaller than this share of the whole is not named. [-]
NAMED = 0.45
#: A difference that needs no words. [ΔE00]
UNSEEN = 0.8
#: Hue angles of the four colours that no other is seen in; those of CIECAM02 (from memory), which
#: in CIELAB are within some 10°. [°]
UNIQUE = ((20.0, "red"), (90.0, "yellow"), (164.0, "green"), (238.0, "blue"))
#: Of chroma below which a colour is a grey that leans. [-]
GREYISH = 5.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WantedLook:
    """What one side of the bait is to look like.

    Parameters
    ----------
    lab : tuple of float
        CIELAB under D65, over grey.
    source : str
        Where it comes from, in a few words.
    doubt : float
        Bound that 80 % of its own errors lie within. [ΔE00]
    like : tuple of SideOptics
        Of the bait whose look it is, where it was computed; empty where it came from outside.
        What is in doubt about its bottles then moves both looks.
    view : int
        Which of that bait's views is meant: 0 the back, 1 the belly.

    Raises
    ------
    OutOfRange
        If no surface looks like that.
    """

    lab: tuple[float, float, float]
    source: str = ""
    doubt: float = 0.0
    like: tuple[SideOptics, ...] = ()
    view: int = 0

    def __post_init__(self) -> None:
        lightness, *rest = self.lab
        if not (0.0 <= lightness <= 100.0 and all(abs(each) <= 150.0 for each in rest)):
            raise OutOfRange(
                f"The wanted colour is Lab {' '.join(f'{each:g}' for each in self.lab)}; "
                "L* lies in 0 to 100, a* and b* in −150 to 150.",
                low=0.0, high=100.0, field="wanted",
            )  # fmt: skip


def metric_at(lab: ArrayLike) -> Floats:
    """Return factors U in which |U·ΔLab| is ΔE00 near a colour, shape (..., 3, 3).

    The formula's square is felt out along six directions, so that nothing of it is written twice.
    """
    centre = np.asarray(lab, dtype=float)
    axes = STEP * np.eye(3)

    def square(step: Floats) -> Floats:
        return ciede2000(centre - step / 2, centre + step / 2) ** 2

    form = np.empty((*centre.shape, 3))
    for i in range(3):
        form[..., i, i] = square(axes[i])
    for i, j in ((0, 1), (0, 2), (1, 2)):
        both = (square(axes[i] + axes[j]) - square(axes[i] - axes[j])) / 4
        form[..., i, j] = form[..., j, i] = both
    values, vectors = np.linalg.eigh(form / STEP**2)
    root = np.sqrt(np.maximum(values, 1e-6))
    return root[..., None] * np.swapaxes(vectors, -1, -2)


def misses(seen: ArrayLike, wanted: ArrayLike) -> tuple[str, ...]:
    """Return in which ways a colour misses the wanted one: “too dark”, “too red”…

    Parameters
    ----------
    seen, wanted : ndarray, shape (3,)
        CIELAB.

    Returns
    -------
    tuple of str
        The largest part first; empty where nobody would see a difference.
    """
    here, there = np.asarray(seen, dtype=float), np.asarray(wanted, dtype=float)
    if float(ciede2000(here, there)) < UNSEEN:
        return ()
    lightness = np.array([here[0], *there[1:]])
    parts = [(lightness, "too light" if here[0] > there[0] else "too dark")]
    chroma, asked = (float(np.hypot(*each[1:])) for each in (here, there))
    if asked <= GREYISH:  # a grey leans; it has no hue to be turned from
        leaning = np.array([there[0], *here[1:]])
        parts.append((leaning, f"too {_nearest(_angle(here - there))}"))
    else:
        paler = np.array([there[0], *(there[1:] * chroma / asked)])
        parts.append((paler, "too strong" if chroma > asked else "too grey"))
        if chroma > GREYISH:
            turned = np.array([there[0], *(here[1:] * asked / chroma)])
            parts.append((turned, f"too {_beyond(_angle(there), _angle(here))}"))
    sizes = [float(ciede2000(part, there)) for part, _ in parts]
    order = sorted(range(len(parts)), key=lambda place: -sizes[place])
    return tuple(parts[place][1] for place in order if sizes[place] >= NAMED * max(sizes))


def _angle(lab: Floats) -> float:
    """Return a hue angle. [°]"""
    return float(np.degrees(np.arctan2(lab[2], lab[1]))) % 360


def _nearest(angle: float) -> str:
    """Return the plain colour that a hue is nearest to."""
    return min(UNIQUE, key=lambda each: abs((angle - each[0] + 180) % 360 - 180))[1]


def _beyond(asked: float, seen: float) -> str:
    """Return the plain colour towards which a hue was turned: the first one half way or later."""
    turn = (seen - asked + 180) % 360 - 180
    way = 1.0 if turn >= 0 else -1.0
    ahead = [((each - asked) * way % 360, name) for each, name in UNIQUE]
    return min((far, name) for far, name in ahead if far >= abs(turn) / 2)[1]
