"""The evenly spaced layout of rings, stitches to turns, and how far the lean of a spiral moves each ring on.

In a spiral of single crochet each stitch sits a little to one side of the one below, so that the beginning of
the round, and every stitch counted from it, moves on by `lean` stitches with every round: in the direction of
work where it is above zero, against it below. A left-handed maker's rounds are the mirror image, lean and
all.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """The even layout of one ring.

    Attributes
    ----------
    size : int
        Its stitches.
    corner : (4,) float or None
        On a chain, where in its stitches the first end begins, the first side, the second end and the second
        side: a quarter of a turn each.
    turn : float
        Its turn against evenly spaced places from where it begins; nothing on a chain.
    """

    size: int
    corner: Floats | None
    turn: float

    def turns(self, at: ArrayLike) -> Floats:
        """Return the turns of places in the ring: 0 is where it begins, 8.5 the middle of stitch 9."""
        place = np.asarray(at, dtype=float)
        if self.corner is None:
            return np.asarray(place / self.size + self.turn)
        laps, rest = np.divmod(place - self.corner[0], self.size)
        known = np.append(self.corner, self.corner[0] + self.size) - self.corner[0]
        return np.asarray(np.interp(rest, known, np.arange(5) / 4) + laps)

    def places(self, turns: ArrayLike) -> Floats:
        """Return the places at which turns lie in the ring."""
        turn = np.asarray(turns, dtype=float)
        if self.corner is None:
            return np.asarray((turn - self.turn) * self.size)
        laps, rest = np.divmod(turn, 1.0)
        known = np.append(self.corner, self.corner[0] + self.size)
        return np.asarray(np.interp(rest, np.arange(5) / 4, known) + laps * self.size)


def moved_on(layouts: tuple[Layout, ...], *, lean: float, rounds: int) -> Floats:
    """Return how far the beginning of each ring has moved on in all, in stitches of the ring, (m,).

    What the round below has moved on in turns is moved on in this round too, and `lean` stitches more:

    .. math:: m_i = P_i^{-1}(P_i(0) + P_{i-1}(m_{i-1}) - P_{i-1}(0)) + lean    (1)

    with :math:`P_i` the layout of ring i, stitches to turns. Round 1 has not moved.

    Parameters
    ----------
    layouts : tuple of Layout
        Of the start, of each round, and of a drawn-in point.
    lean : float
        Stitches by which a round moves on against the one below.
    rounds : int
    """
    moved = np.zeros(len(layouts))
    if lean:
        for ring in range(2, len(layouts)):
            below, here = layouts[ring - 1], layouts[ring]
            on = below.turns(moved[ring - 1]) - below.turns(0.0)
            moved[ring] = here.places(here.turns(0.0) + on) + (lean if ring <= rounds else 0.0)  # (1)
    return moved
