"""Where stitch j of round i stands, as the lean of a spiral moves it on; see `solver.form.layout`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from solver.form.fabric import StitchFabric


@dataclass(frozen=True, slots=True, eq=False)
class Wander:
    """Where the stitches of each round stand.

    Attributes
    ----------
    fabric : StitchFabric
    """

    fabric: StitchFabric

    @property
    def lean(self) -> float:
        """Stitches by which a round moves on against the one below."""
        return self.fabric.lean

    def turn(self, ring: int, at: ArrayLike) -> Floats:
        """Return the turn of places in a round: 0 is where it begins, 8.5 the middle of stitch 9."""
        place = self.fabric.place(ring)
        n = len(place)
        laps, rest = np.divmod(np.asarray(at, dtype=float) - 0.5, n)
        return np.asarray(np.interp(rest, np.arange(n + 1.0), np.append(place, place[0] + 1.0)) + laps)

    def stitch(self, ring: int, turn: ArrayLike) -> Floats:
        """Return where turns lie in a round, from 0 where it begins up to its stitches."""
        place = self.fabric.place(ring)
        n = len(place)
        rest = np.mod(np.asarray(turn, dtype=float) - place[0], 1.0)
        known = np.append(place - place[0], 1.0)
        return np.asarray(np.mod(np.interp(rest, known, np.arange(n + 1.0)) + 0.5, n))

    def begins(self, ring: int) -> float:
        """Return the turn at which a round begins."""
        return float(self.turn(ring, 0.0))
