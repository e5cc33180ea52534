"""The rounds of one crocheted piece: what each stitch does, how it starts and how it is finished."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

from solver.errors import InputError, Problem


class Stitch(StrEnum):
    """What one instruction of a round does with the stitches below it."""

    SC = "sc"
    INC = "inc"
    INC3 = "inc3"
    DEC = "dec"
    DEC3 = "dec3"

    @property
    def uses(self) -> int:
        """Stitches of the round below that it is worked into."""
        return {Stitch.DEC: 2, Stitch.DEC3: 3}.get(self, 1)

    @property
    def makes(self) -> int:
        """Stitches that it adds to its own round."""
        return {Stitch.INC: 2, Stitch.INC3: 3}.get(self, 1)


class Start(StrEnum):
    """How the first round is begun."""

    RING = "ring"
    CHAIN = "chain"
    OPEN = "open"


class Finish(StrEnum):
    """What becomes of the last round's edge."""

    CINCHED = "cinched"
    SEAMED = "seamed"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class Round:
    """One full turn of stitches.

    Attributes
    ----------
    stitches : tuple of Stitch
        The instructions in working order, at least one.
    """

    stitches: tuple[Stitch, ...]

    def __post_init__(self) -> None:
        if not self.stitches:
            raise InputError(Problem("a round has at least one stitch", got="none"))

    @classmethod
    def plain(cls, count: int) -> Round:
        """Return a round of `count` single crochets."""
        return cls((Stitch.SC,) * count)

    @property
    def uses(self) -> int:
        """Stitches of the round below that are worked into."""
        return sum(stitch.uses for stitch in self.stitches)

    @property
    def count(self) -> int:
        """Stitches in the round when it is done."""
        return sum(stitch.makes for stitch in self.stitches)

    @property
    def increases(self) -> int:
        """Stitches added by increases (3 in one adds two)."""
        return sum(stitch.makes - 1 for stitch in self.stitches)

    @property
    def decreases(self) -> int:
        """Stitches taken away by decreases (3 together takes two)."""
        return sum(stitch.uses - 1 for stitch in self.stitches)

    @property
    def runs(self) -> list[tuple[Stitch, int]]:
        """Like stitches that follow each other, with their number."""
        return [(stitch, len(list(group))) for stitch, group in groupby(self.stitches)]


@dataclass(frozen=True, slots=True)
class Piece:
    """The rounds of one piece, from its start to its finish.

    Attributes
    ----------
    start : Start
        `RING`: the first round is worked into a ring (all its stitches are single crochets). `OPEN`: into a
        chain of `foundation` stitches joined into a ring. `CHAIN`: along both sides of a chain.
    foundation : int
        Chain stitches: as many as the joined ring has (`OPEN`), or as are chained in all, the skipped one
        included (`CHAIN`); 0 for `RING`.
    rounds : tuple of Round
        In working order, at least one.
    finish : Finish
        `CINCHED`: the last edge is drawn to a point. `SEAMED`: folded flat and sewn. `OPEN`: left open.

    Raises
    ------
    InputError
        If a round uses more or fewer stitches than the round before it has.
    """

    start: Start
    foundation: int
    rounds: tuple[Round, ...]
    finish: Finish

    def __post_init__(self) -> None:
        if not self.rounds:
            raise InputError(Problem("a piece has at least one round", got="none"))
        there = self.foundation if self.start is Start.OPEN else None
        for number, this in enumerate(self.rounds, start=1):
            if there is not None and this.uses != there:
                raise InputError(
                    Problem(
                        f"round {number} must use the {there} stitches that are there",
                        got=f"{this.uses}",
                        remedy="Count its stitches, increases and decreases again.",
                    )
                )
            there = this.count

    @property
    def counts(self) -> tuple[int, ...]:
        """Stitches in each round when it is done."""
        return tuple(this.count for this in self.rounds)
