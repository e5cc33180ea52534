"""The rounds of one crocheted piece: what each stitch does, how it starts and how it is finished."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from enum import StrEnum
from itertools import accumulate, groupby

from solver.errors import InputError, Problem
from solver.rounds.stitch import Stitch

IN_RING = ({Stitch.SC}, {Stitch.HDC}, {Stitch.DC})
"""What a ring may hold."""


class Start(StrEnum):
    """How the first round is begun."""

    RING = "ring"
    CHAIN = "chain"
    OPEN = "open"
    ROWS = "rows"


class Begin(StrEnum):
    """Where the rounds of a piece on a chain begin."""

    SIDE = "side"
    END = "end"


class Increases(StrEnum):
    """How increases and decreases stand to those of the rounds before: set off, or in line."""

    STAGGERED = "staggered"
    STACKED = "stacked"


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
        return len(self.stitches) + self.decreases

    @property
    def count(self) -> int:
        """Stitches in the round when it is done."""
        return len(self.stitches) + self.increases

    @property
    def increases(self) -> int:
        """Stitches added by increases (3 in one adds two)."""
        once = sum(map(self.stitches.count, (Stitch.INC, Stitch.HDC_INC, Stitch.DC_INC)))
        return once + 2 * self.stitches.count(Stitch.INC3)

    @property
    def decreases(self) -> int:
        """Stitches taken away by decreases (3 together takes two)."""
        once = sum(map(self.stitches.count, (Stitch.DEC, Stitch.HDC_DEC, Stitch.DC_DEC)))
        return once + 2 * self.stitches.count(Stitch.DEC3)

    @property
    def runs(self) -> list[tuple[Stitch, int]]:
        """Like stitches that follow each other, with their number."""
        return [(stitch, len(list(group))) for stitch, group in groupby(self.stitches)]


@dataclass(frozen=True, slots=True)
class Legs:
    """Two limbs alike whose last rounds a piece goes on from, joined by a chain or directly.

    The first round goes round the first leg, along the chain, round the second leg, and back along the chain.

    Attributes
    ----------
    stitches : int
        Of each leg's last round, three or more.
    chain : int
        Chains between the legs; 0 where they are joined directly.
    firsts : tuple of two int
        The stitch of each leg that is worked into first, from 1.
    """

    stitches: int
    chain: int
    firsts: tuple[int, int] = (1, 1)

    def __post_init__(self) -> None:
        if self.stitches < 3 or self.chain < 0 or not all(1 <= each <= self.stitches for each in self.firsts):
            got = f"{self.stitches} stitches, {self.chain} chains, first stitches {self.firsts}"
            raise InputError(
                Problem("legs have three stitches or more, and a chain of none or more", got=got)
            )

    @property
    def around(self) -> int:
        """Stitches of the round that goes round both."""
        return 2 * (self.stitches + self.chain)


@dataclass(frozen=True, slots=True)
class Piece:
    """The rounds of one piece, from its start to its finish.

    Attributes
    ----------
    start : Start
        `RING`: the first round is worked into a ring, all its stitches alike: single, half double or double
        crochets. `OPEN`: into a chain of `foundation` stitches joined into a ring. `CHAIN`: along both sides
        of a chain. `ROWS`: flat, back and forth on a chain of `foundation` stitches and one to turn; each
        round is a row, in its own working order, and may stop short of the end.
    foundation : int
        Chain stitches: as many as the joined ring has (`OPEN`), or as are chained in all, the skipped one
        included (`CHAIN`); 0 for `RING`.
    rounds : tuple of Round
        In working order, at least one.
    finish : Finish
        `CINCHED`: the last edge is drawn to a point. `SEAMED`: folded flat and sewn; of rows, folded across
        its middle row, the edges sewn. `OPEN`: left open.
    ends : tuple of 3 int
        For `CHAIN`, how the stitches of round 1 (all single crochets) go into the two end chains: into the
        second chain from the hook as the round begins, into the last chain, and into the second from the hook
        again as the round ends; every chain between takes one on each side. Left out: as many in each end,
        the first end worked whole as the round begins. Empty for the other starts.
    legs : Legs or None
        For `OPEN`, the two limbs that round 1 is worked round instead of a chain of its own.
    goes_on : bool
        Another piece goes on from its open edge, which is not sewn.

    Raises
    ------
    InputError
        If a round uses more or fewer stitches than the round before it has, or if the first round does not go
        round its chain.
    """

    start: Start
    foundation: int
    rounds: tuple[Round, ...]
    finish: Finish
    ends: tuple[int, ...] = ()
    legs: Legs | None = None
    goes_on: bool = False

    def __post_init__(self) -> None:
        if not self.rounds:
            raise InputError(Problem("a piece has at least one round", got="none"))
        if self.legs and (self.start is not Start.OPEN or self.legs.around != self.foundation):
            rule = "a piece worked on from legs begins open, with the stitches of both and of the chain twice"
            raise InputError(Problem(rule, got=f"{self.foundation} for {self.legs.around}"))
        if self.start is Start.RING and set(self.rounds[0].stitches) not in IN_RING:
            raise InputError(
                Problem(
                    "round 1 is worked into the ring in one stitch, single crochet or taller",
                    got="several, increases or decreases",
                    remedy="Say how many stitches the ring holds.",
                )
            )
        if self.start is Start.ROWS:
            self._check_rows()
            return
        if self.start is Start.CHAIN:
            self._check_chain()
        elif self.ends:
            raise InputError(Problem("only a piece that starts on a chain has stitches in chain ends"))
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

    def _check_rows(self) -> None:
        """See that no row uses more stitches than lie before it."""
        for number, (this, left) in enumerate(zip(self.rounds, self.left, strict=True), start=1):
            if left < 0:
                raise InputError(
                    Problem(
                        f"row {number} uses no more than the {this.uses + left} stitches that are there",
                        got=f"{this.uses}",
                        remedy="Count its stitches, increases and decreases again.",
                    )
                )
        if self.finish is Finish.CINCHED or self.ends:
            raise InputError(Problem("a piece worked flat in rows is left flat, or folded and sewn"))

    @property
    def left(self) -> tuple[int, ...]:
        """Stitches that each row of a piece worked flat leaves unworked before it turns; empty for rounds.

        They lie behind the next row, and before the one after it.
        """
        if self.start is not Start.ROWS:
            return ()
        there, behind, told = self.foundation, 0, []
        for this in self.rounds:
            told.append(there - this.uses)
            there, behind = this.count + behind, told[-1]
        return tuple(told)

    def _check_chain(self) -> None:
        """Fill in `ends` where it is left out, and see that round 1 goes round the chain."""
        if self.foundation < 2:
            raise InputError(Problem("a chain to work along has at least 2 chains", got=f"{self.foundation}"))
        in_ends = self.rounds[0].count - 2 * self.side
        if not self.ends:
            object.__setattr__(self, "ends", (in_ends - in_ends // 2, in_ends // 2, 0))
        before, far, after = self.ends
        if before < 1 or after < 0 or far < min(self.foundation - 2, 1) or sum(self.ends) != in_ends:
            raise InputError(
                Problem(
                    f"round 1 goes round the chain: {self.side} stitches on each side, the rest in its ends",
                    got=f"{self.rounds[0].count} stitches, of which {before}, {far} and {after} in the ends",
                )
            )

    @property
    def side(self) -> int:
        """Stitches of round 1 along each side of the chain, between its two ends; 0 without a chain."""
        return max(self.foundation - 3, 0) if self.start is Start.CHAIN else 0

    def corners(self) -> tuple[tuple[float, float, float, float], ...]:
        """Return where ends and sides begin in each round of a piece on a chain, in stitches of the round.

        First end, first side, second end, second side; stitch j reaches from j to j + 1, and a beginning
        below 0 lies before the round's own. Empty without a chain. Where an instruction reaches across a
        corner, the corner divides what it makes.
        """
        if self.start is not Start.CHAIN:
            return ()
        side, (before, far, after) = self.side, self.ends
        corners = [(-float(after), float(before), float(before + side), float(before + side + far))]
        for each in self.rounds[1:]:
            uses = [0, *accumulate(stitch.uses for stitch in each.stitches)]
            makes = [0, *accumulate(stitch.makes for stitch in each.stitches)]
            moved = []
            for corner in corners[-1]:
                turns, rest = divmod(corner, uses[-1])
                i = min(bisect_right(uses, rest), len(uses) - 1) - 1
                part = (rest - uses[i]) / (uses[i + 1] - uses[i])
                moved.append(turns * makes[-1] + makes[i] + part * (makes[i + 1] - makes[i]))
            corners.append((moved[0], moved[1], moved[2], moved[3]))
        return tuple(corners)

    @property
    def counts(self) -> tuple[int, ...]:
        """Stitches in each round when it is done."""
        return tuple(this.count for this in self.rounds)
