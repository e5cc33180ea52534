"""Eyes and noses where they sit on the toy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from solver.arrays import Floats, frozen
from solver.toy.places import eye_places

if TYPE_CHECKING:
    from solver.toy.solved import SolvedToy


@dataclass(frozen=True, slots=True, eq=False)
class Bead:
    """One eye or nose.

    Attributes
    ----------
    middle, outward : (3,) float
        On the fabric, and the direction out of it, in the toy. [mm, 1]
    diameter : float
        [mm]
    """

    middle: Floats
    outward: Floats
    diameter: float

    def __post_init__(self) -> None:
        for name in ("middle", "outward"):
            object.__setattr__(self, name, frozen(getattr(self, name)))


def beads(solved: SolvedToy) -> tuple[Bead, ...]:
    """Return every eye and nose of a toy."""
    told = []
    for place in eye_places(solved):
        for copy in solved.copies_of(place.part):
            for count in place.counts:
                turn = copy.surface.turn(count.round, count.stitch)
                outward = copy.frame.turned @ copy.skin.normal(count.ring, turn)
                middle = copy.in_toy(copy.skin.at(count.ring, turn))
                told.append(Bead(middle, outward, place.eyes.diameter))
    return tuple(told)
