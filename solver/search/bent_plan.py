"""Rounds that bend: stitches low on the inside and tall on the outside, the same in every round of a bend.

A round of stitches of heights H_j (in rows of h) at angles t_j from the outside tilts the next one by

    phi = 2 h / (n R) sum_j H_j cos t_j,    R = n w / 2 pi                                              (1)

(the plane that is nearest to the tops, by least squares). How far the stuffed form keeps to that is found by
solving it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from types import MappingProxyType

import numpy as np

from solver.arrays import Floats, frozen
from solver.rounds import Finish, Heights, Start, Stitch
from solver.wanted.swept import Bend

TILT_OFF, MIDDLE_OFF, LENGTH_OFF, SURFACE_OFF = np.radians(2.5), 0.3, 0.5, 0.35
"""What one unit of cost is: of tilt [rad], of the middle line, the length and the surface [stitch widths]."""

GIRTH_OFF = 0.15
"""What one unit of cost is: the parts of a round by which a bend takes stitches from rounds, added up."""

READING = 0.03
"""Cost of each thing more to read in a round, and of each stitch taller than a half double crochet in it."""

KEPT = 40
"""Ways to work a bend that are kept, the likeliest first."""

MOST_SHARE = 0.6
"""Part of a round that stitches of one height may be."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """What every round of a bend holds: `low` slip stitches inside, `tall` taller stitches outside.

    Or `shaped` increases inside and as many decreases outside, `early` of the increases as the round begins
    and the others as it ends.
    """

    count: int
    low: int
    tall: int
    taller: Stitch
    shaped: int = 0
    early: int = 0

    def stitches(self, turn: int) -> tuple[Stitch, ...]:
        """Return the round whose inside begins at stitch `turn`; a shaped one begins where it does."""
        if self.shaped:
            sides = self.count - 3 * self.shaped
            before, after = (Stitch.SC,) * (sides // 2), (Stitch.SC,) * (sides - sides // 2)
            begun = (Stitch.INC,) * self.early + before + (Stitch.DEC,) * self.shaped + after
            return begun + (Stitch.INC,) * (self.shaped - self.early)
        sides = self.count - self.low - self.tall
        before, after = (Stitch.SC,) * (sides // 2), (Stitch.SC,) * (sides - sides // 2)
        line = (Stitch.SLST,) * self.low + before + (self.taller,) * self.tall + after
        turn %= self.count
        return line[len(line) - turn :] + line[: len(line) - turn]

    def inside(self, rounds: int, *, lean: float) -> float:
        """Return where the middle of the inside is in so many rounds of a shaped pattern. [turns]"""
        moved = self.shaped / 2 - self.early + lean
        return ((rounds - 1) / 2 * moved - self.shaped + 2 * self.early) / self.count


@dataclass(frozen=True, slots=True)
class Turn:
    """A bend as it is worked: `rounds` of a pattern in place of straight rounds first + 1 to last."""

    first: int
    last: int
    rounds: int
    pattern: Pattern


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Straight:
    """The same part without its bends.

    Attributes
    ----------
    counts : tuple of int
        Stitches of each round.
    at : (n + 1,) float
        Length along the outline at the start and at each round's edge, stuffed. [mm]
    stitch_width, row_height : float
        [mm]
    heights : Heights
    start, finish, foundation, increases
        As it is worked.
    lean : float
        Stitches by which a round moves on against the one below.
    """

    counts: tuple[int, ...]
    at: Floats
    stitch_width: float
    row_height: float
    heights: Heights
    start: Start
    finish: Finish
    increases: str
    lean: float = 0.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "at", frozen(self.at))

    def row_at(self, place: float) -> float:
        """Return the height of a stuffed row near a place along the outline. [mm]"""
        near = int(np.clip(np.searchsorted(self.at, place), 1, len(self.at) - 1))
        return float(np.diff(self.at)[max(near - 2, 0) : near + 1].max())

    def count_at(self, place: float) -> int:
        """Return the stitches of the round nearest to a place along the outline."""
        return self.counts[max(int(np.argmin(np.abs(self.at - place))), 1) - 1]


@dataclass(frozen=True, slots=True)
class Known:
    """The part of (1) that forms of rounds with some patterns came to.

    Attributes
    ----------
    patterns : tuple of (Pattern, float)
    """

    patterns: tuple[tuple[Pattern, float], ...] = ()

    def more(self, pattern: Pattern, share: float) -> Known:
        """Return this and what one more form told, within reason."""
        return Known((*self.patterns, (pattern, float(np.clip(share, *LIKELY)))))

    def shares(self, patterns: Sequence[Pattern]) -> Floats:
        """Return the part of (1) that patterns are likely to come to: as those most like them did."""
        at = np.array([_place(each) for each in patterns])
        weight, total = np.full(len(at), DOUBT), np.full(len(at), DOUBT)
        for pattern, share in self.patterns:
            like = np.exp(-((at - _place(pattern)) ** 2).sum(axis=1) / (2 * ALIKE**2))
            weight, total = weight + like, total + like * share
        return np.asarray(total / weight)


def _place(pattern: Pattern) -> Floats:
    double = 0.1 if pattern.taller is Stitch.DC and pattern.tall else 0.0
    tall_alone = 0.0 if pattern.low else 1.0  # few tall stitches hang slack where nothing opposite is low
    return np.array([pattern.low / pattern.count, pattern.tall / pattern.count, double, tall_alone])


ALIKE, DOUBT = 0.08, 0.05
"""How far patterns may differ, in parts of a round, and tell of each other; what nothing known weighs."""

LIKELY = (0.05, 3.0)
"""Within which a form tells of its pattern; beyond, something else bent it."""


def ways(straight: Straight, bend: Bend, known: Known, *, carried: float) -> list[Turn]:
    """Return ways to work a bend, the likeliest first.

    Parameters
    ----------
    straight : Straight
    bend : Bend
    known : Known
        What solved forms told of patterns.
    carried : float
        Length by which the bends before have made the part longer. [mm]
    """
    n, row = straight.count_at(bend.middle), straight.row_at(bend.middle)
    near = [int(np.argmin(np.abs(straight.at - place))) for place in (bend.begin, bend.end)]
    firsts = [j for j in range(near[0] - 1, near[0] + 2) if 1 <= j < len(straight.at)]
    lasts = [j for j in range(near[1] - 1, near[1] + 2) if 1 <= j < len(straight.at)]
    found: list[tuple[float, Turn]] = []
    for taller in (Stitch.HDC, Stitch.DC):
        patterns, rows, tilt, price = _patterns(n, taller, straight)
        tilt = tilt * known.shares(patterns)
        mean = rows.mean(axis=1)
        most = int(np.ceil(1.5 * bend.over / (row * mean.min()))) + 1
        for rounds, first, last in product(range(1, most + 1), firsts, lasts):
            if last < first:
                continue
            long = rounds * mean * row
            begin = straight.at[first] + carried
            offs = (
                (rounds * tilt - abs(bend.angle)) / TILT_OFF,
                (begin + long / 2 - bend.middle)
                * 2
                * np.sin(abs(bend.angle) / 2)
                / MIDDLE_OFF
                / straight.stitch_width,
                (begin + long - straight.at[last]) / LENGTH_OFF / straight.stitch_width,
                (long - bend.over) * abs(bend.angle) / 8 / MIDDLE_OFF / straight.stitch_width,
                _unlike(rows, rounds * row) / SURFACE_OFF / straight.stitch_width,
                (np.array(straight.counts[first - 1 : last]) / n - 1).sum() / GIRTH_OFF,
            )
            cost = sum(off**2 for off in offs) + price
            for i in np.argsort(cost)[:3].tolist():
                found.append((float(cost[i]), Turn(first, last, rounds, patterns[i])))
    return [turn for _, turn in sorted(found, key=lambda each: each[0])[:KEPT]]


def _patterns(n: int, taller: Stitch, straight: Straight) -> tuple[list[Pattern], Floats, Floats, Floats]:
    """Return patterns of n stitches, their heights stitch by stitch, tilts by (1), and their price."""
    most = max(int(MOST_SHARE * n), 1)
    patterns = [
        Pattern(n, low, tall, taller)
        for low, tall in product(range(most + 1), repeat=2)
        if 0 < low + tall <= n
    ]
    of = straight.heights.by_stitch
    rows = np.array([[of[stitch] for stitch in each.stitches(0)] for each in patterns])
    inside = np.array([each.low / 2 for each in patterns])
    turn = 2 * np.pi * (np.arange(n) + 0.5 - inside[:, None]) / n
    radius = n * straight.stitch_width / (2 * np.pi)
    tilt = -2 * straight.row_height / (n * radius) * (rows * np.cos(turn)).sum(axis=1)
    double = np.array([each.tall if taller is Stitch.DC else 0 for each in patterns])
    runs = np.array([len(set(each.stitches(0))) for each in patterns])
    uneven = np.array([0 if each.low == each.tall else 1 for each in patterns])
    return patterns, rows, tilt, READING * (runs + uneven + double)


def tilt_of(pattern: Pattern, straight: Straight) -> float:
    """Return the tilt of one round of a pattern by (1). [rad]"""
    of, n = straight.heights.by_stitch, pattern.count
    rows = np.array([of[stitch] for stitch in pattern.stitches(0)])
    turn = 2 * np.pi * (np.arange(n) + 0.5 - pattern.low / 2) / n
    return float(-4 * np.pi * straight.row_height / (n**2 * straight.stitch_width) * (rows @ np.cos(turn)))


def _unlike(rows: Floats, along: float) -> Floats:
    """Return how far the lengths along a bend lie off those of a torus, root mean square. [mm]"""
    n = rows.shape[1]
    lengths = along * rows
    waves = np.fft.rfft(lengths, axis=1) / n
    rest = (np.abs(waves[:, 2:]) ** 2).sum(axis=1) * 2
    return np.asarray(np.sqrt(rest))


def combined(
    straight: Straight,
    bends: Sequence[Bend],
    known: Known,
    steps: Mapping[int, Sequence[Turn]] = MappingProxyType({}),
) -> Iterator[tuple[Turn, ...]]:
    """Yield ways to work all bends together: each bend's likeliest, then others of one bend.

    `steps` tells for some of them, by their number, ways that are known.
    """
    chosen: list[Turn] = []
    others: list[list[Turn]] = []
    carried = 0.0
    for number, bend in enumerate(bends):
        found = [
            turn
            for turn in steps.get(number) or ways(straight, bend, known, carried=carried)
            if not chosen or turn.first >= chosen[-1].last
        ]
        if not found:
            return
        chosen.append(found[0])
        others.append(found[1:])
        row = straight.row_at(bend.middle)
        of = straight.heights.by_stitch
        mean = float(np.mean([of[stitch] for stitch in found[0].pattern.stitches(0)]))
        carried += found[0].rounds * mean * row - float(
            straight.at[found[0].last] - straight.at[found[0].first]
        )
    yield tuple(chosen)
    for rank in range(KEPT):
        for i, more in enumerate(others):
            if rank < len(more):
                yield (*chosen[:i], more[rank], *chosen[i + 1 :])
