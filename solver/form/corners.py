"""How far increases show as corners: the swing of a round's radius, for increases in line or set off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats
from solver.rounds import Finish

if TYPE_CHECKING:
    from solver.form.stitches import StitchForm
    from solver.form.stuffed import StuffedForm

FEWEST = 24
"""Stitches of a round, or in both ends of an oval one, from which its corners are told: a smaller one is a
polygon of its stitches anyway."""


CORNERS_SHOW = 0.05
"""Swing of the radius from which an eye sees corners: a third of a hexagon's 14.7 % (our own estimate)."""


@dataclass(frozen=True, slots=True)
class Swing:
    """The round whose radius swings most.

    Attributes
    ----------
    number : int
        The round, from 1.
    part : float
        Greatest less least radius over the mean. [1]
    """

    number: int
    part: float


def worst_swing(form: StitchForm | StuffedForm) -> Swing | None:
    """Return the round whose radius swings most; None where all have fewer than `FEWEST` stitches.

    Of an oval part the radius is taken in the two ends, about the ends of the straight sides.
    """
    rounds = len(form.fabric.piece.rounds)
    last = rounds - (form.fabric.piece.finish is Finish.SEAMED)
    straight = 2 * form.fabric.piece.side
    swing = _swing_of_ends if form.fabric.corners else _swing
    known = [
        Swing(number, swing(ring[:, :2]))
        for number, ring in enumerate(form.rings[1 : last + 1], start=1)
        if len(ring) - straight >= FEWEST and number > 1
    ]
    return max(known, key=lambda each: each.part, default=None)


def _swing(section: Floats) -> float:
    at = section - section.mean(axis=0)
    radius = np.hypot(at[:, 0], at[:, 1])
    return float(np.ptp(radius) / radius.mean())


def _swing_of_ends(section: Floats) -> float:
    """Return the same for the two ends of an oval, about what a smooth end has at the same angle."""
    at = section - (section.max(axis=0) + section.min(axis=0)) / 2
    half = max(float(np.ptp(at[:, 0]) - np.ptp(at[:, 1])), 0.0) / 2
    swings = []
    for side in (1.0, -1.0):
        end = at[side * at[:, 0] >= half]
        x, y = side * end[:, 0] - half, end[:, 1]
        radius, angle = np.hypot(x, y), np.arctan2(y, x)
        smooth = np.polynomial.Polynomial.fit(angle, radius, 2)
        swings.append(float(np.ptp(radius - smooth(angle)) / radius.mean()))
    return max(swings)
