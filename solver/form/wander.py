"""Where stitch j of round i stands: the evenly spaced layout, and the lean of a spiral.

In a spiral of single crochet each stitch sits a little to one side of the one below, so that the beginning of
the round, and every stitch counted from it, moves on by `lean` stitches with every round: in the direction of
work where it is above zero, against it below. A left-handed maker's rounds are the mirror image, lean and
all.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, frozen

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from solver.form.fabric import StitchFabric


@dataclass(frozen=True, slots=True, eq=False)
class Wander:
    """Where the stitches of each round stand.

    Attributes
    ----------
    fabric : StitchFabric
    lean : float
        Stitches by which a round moves on against the one below.
    moved : (m,) float
        How far the beginning of each ring has moved on in all. [stitches of the ring]
    """

    fabric: StitchFabric
    lean: float
    moved: Floats

    @classmethod
    def of(cls, fabric: StitchFabric, lean: float) -> Wander:
        """Return where the stitches of a fabric stand; see `moved`.

        What the round below has moved on in turns is moved on in this round too, and `lean` stitches more:

        .. math:: m_i = P_i^{-1}(P_i(0) + P_{i-1}(m_{i-1}) - P_{i-1}(0)) + lean    (1)

        with :math:`P_i` the layout of ring i, stitches to turns. Round 1 has not moved.
        """
        rings = len(fabric.rings)
        moved = np.zeros(rings)
        flat = cls(fabric, lean, moved)
        last = len(fabric.piece.rounds)
        if lean:
            for ring in range(2, rings):
                on = flat._turns(ring - 1, moved[ring - 1]) - flat._turns(ring - 1, 0.0)
                here = flat._slots(ring, flat._turns(ring, 0.0) + on)
                moved[ring] = here + (lean if ring <= last else 0.0)  # (1)
        return cls(fabric, lean, frozen(moved))

    def turn(self, ring: int, at: ArrayLike) -> Floats:
        """Return the turn of places in a round: 0 is where it begins, 8.5 the middle of stitch 9."""
        return self._turns(ring, np.asarray(at, dtype=float) + self.moved[ring])

    def stitch(self, ring: int, turn: ArrayLike) -> Floats:
        """Return where turns lie in a round, from 0 where it begins up to its stitches."""
        return np.asarray(np.mod(self._slots(ring, turn) - self.moved[ring], len(self.fabric.rings[ring])))

    def begins(self, ring: int) -> float:
        """Return the turn at which a round begins."""
        return float(self.turn(ring, 0.0))

    def _turns(self, ring: int, at: ArrayLike) -> Floats:
        place = self.fabric.place(ring)
        n = len(place)
        laps, rest = np.divmod(np.asarray(at, dtype=float) - 0.5, n)
        return np.asarray(np.interp(rest, np.arange(n + 1.0), np.append(place, place[0] + 1.0)) + laps)

    def _slots(self, ring: int, turn: ArrayLike) -> Floats:
        place = self.fabric.place(ring)
        n = len(place)
        laps, rest = np.divmod(np.asarray(turn, dtype=float) - place[0], 1.0)
        known = np.append(place - place[0], 1.0)
        return np.asarray(np.interp(rest, known, np.arange(n + 1.0)) + 0.5 + laps * n)


def slid(fabric: StitchFabric, slots: Floats, lean: float) -> Floats:
    """Return values at the slots of a fabric as the lean slides its stitches along their rounds.

    Parameters
    ----------
    fabric : StitchFabric
    slots : (s, d) float
        A value, as a point, for each slot of each ring, ring after ring.
    lean : float
        Stitches a round.
    """
    if not lean:
        return slots
    wander = Wander.of(fabric, lean)
    sizes = [len(ring) for ring in fabric.rings]
    out = []
    for ring, values in enumerate(np.split(slots, np.cumsum(sizes)[:-1])):
        n = len(values)
        whole, part = np.divmod(np.arange(n) + wander.moved[ring], 1.0)
        left, t = whole.astype(int), part[:, None]
        a, b, c, d = (values[(left + step) % n] for step in (-1, 0, 1, 2))
        out.append(b + t / 2 * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a))))
    return np.concatenate(out)  # cubics through four stitches each (Catmull and Rom; from memory)
