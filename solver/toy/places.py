"""The place of every part as it is counted: rounds, stitches, eighths of the edge, and how the edge fits."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from solver.rounds import Start
from solver.toy.frames import MIRROR, place_of
from solver.toy.model import Join

if TYPE_CHECKING:
    from solver.arrays import Floats
    from solver.toy.model import Eyes
    from solver.toy.placed import Copy
    from solver.toy.solved import SolvedToy
    from solver.toy.surface import Surface

TELL = 0.03
"""Difference of an edge and its place from which it is told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """A place on a part, counted.

    Attributes
    ----------
    ring : float
        Rounds from the start: 9.4 lies four tenths into round 10.
    stitch : float
        In that round, from 1: 9.0 is the middle of stitch 9.
    of : int
        Stitches of that round.
    from_front : float
        Stitches from the middle of the front, to the toy's own left above zero.
    """

    ring: float
    stitch: float
    of: int
    from_front: float

    @property
    def round(self) -> int:
        """The round that it lies in."""
        return max(1, int(np.ceil(self.ring - 1e-9)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a part's edge lies on the part that carries it.

    Attributes
    ----------
    copy : Copy
    lowest, highest : float
        Rounds of the carrying part, counted from its start, that the edge reaches from and to.
    middle : Count
    across : float
        Stitches of the middle's round that it covers.
    eighths : tuple of (int, Count)
        A stitch of the part's own edge and what it meets, at each eighth of the edge; of a line, at its ends
        and middle.
    """

    copy: Copy
    lowest: float
    highest: float
    middle: Count
    across: float
    eighths: tuple[tuple[int, Count], ...]

    @property
    def misfit(self) -> float:
        """Stitches of the edge that are too many for its place (to ease in); below zero: to stretch."""
        edge, copy = self.copy.edge, self.copy
        assert edge is not None
        if not copy.edge_stitches:
            return 0.0
        folded = not edge.closed and copy.wanted.part.start is not Start.ROWS
        stitches = copy.edge_stitches / 2 if folded else copy.edge_stitches
        return stitches * (1 - edge.length / copy.edge_length)

    @property
    def all_round(self) -> bool:
        """Whether it goes all the way round the carrying part's end."""
        edge = self.copy.edge
        return edge is not None and edge.closed and _goes_round(edge.turns)


@dataclass(frozen=True, slots=True, kw_only=True)
class EyePlace:
    """Where an eye or a nose, or two, sit.

    Attributes
    ----------
    eyes : Eyes
    part : str
        Name of the part.
    counts : tuple of Count
        One, or the left and the right.
    points : tuple of (3,) float
        In the part's upright coordinates, its edge held. [mm]
    """

    eyes: Eyes
    part: str
    counts: tuple[Count, ...]
    points: tuple[Floats, ...]

    @property
    def below(self) -> int:
        """The round below it: it sits between this one and the next."""
        return max(1, round(self.counts[0].ring))

    @property
    def stitches(self) -> tuple[int, ...]:
        """The whole stitch of each, counted from the marker."""
        return tuple((round(count.stitch) - 1) % count.of + 1 for count in self.counts)

    @property
    def stitches_between(self) -> int:
        """Whole stitches between two over the front; 0 for one."""
        if len(self.counts) < 2:
            return 0
        return max(abs(self.stitches[0] - self.stitches[1]) - 1, 0)


def count_of(surface: Surface, ring: float, turn: float) -> Count:
    """Return a place as it is counted."""
    round_ = int(surface.round_of(ring))
    stitch, n = surface.stitch(ring, turn), surface.count(ring)
    front = surface.stitch(ring, front_turn(surface, round_))
    off = (stitch - front + n / 2) % n - n / 2
    return Count(ring=ring, stitch=stitch, of=n, from_front=off * leftward(surface))


def front_turn(surface: Surface, round_: int) -> float:
    """Return the turn at which a round crosses the middle of the front."""
    ring = surface.table[round_]
    x, y = (ring - ring.mean(axis=0))[:, :2].T
    ahead = np.roll(x, -1)
    crossed = np.flatnonzero((x * ahead <= 0) & (x != ahead) & (y < 0))
    if not len(crossed):
        return float(np.abs(np.arctan2(x, -y)).argmin() / len(ring))
    step = int(crossed[y[crossed].argmin()])
    return float((step + x[step] / (x[step] - ahead[step])) / len(ring))


def leftward(surface: Surface) -> float:
    """Return 1 where stitches run to the toy's own left at the front, else -1."""
    middle = surface.table[len(surface.table) // 2]
    step = front_turn(surface, len(surface.table) // 2)
    here = int(step * len(middle))
    return 1.0 if middle[(here + 5) % len(middle), 0] > middle[here - 5, 0] else -1.0


def place(copy: Copy) -> Place:
    """Return the place of a copy of a part, counted."""
    assert copy.edge is not None
    assert copy.carrier is not None
    surface, edge = copy.carrier.surface, copy.edge
    middle = count_of(surface, copy.ring, copy.turn)
    across = float(middle.of) if edge.closed and _goes_round(edge.turns) else _across(copy, middle)
    return Place(
        copy=copy,
        lowest=float(edge.rings.min()),
        highest=float(edge.rings.max()),
        middle=middle,
        across=across,
        eighths=tuple(_eighths(copy)),
    )


def places(solved: SolvedToy) -> tuple[Place, ...]:
    """Return the place of every copy of every part that sits on another."""
    return tuple(place(copy) for copy in solved.copies if copy.edge is not None)


def eye_places(solved: SolvedToy) -> tuple[EyePlace, ...]:
    """Return where all eyes and noses sit."""
    told = []
    for wanted in solved.toy.in_order:
        surface = solved.first_of(wanted.name).surface
        for eyes in wanted.eyes:
            ring, turn = place_of(
                surface, eyes.at, name=wanted.spoken, where=eyes.where, file=solved.toy.file
            )
            spots = [(ring, turn)]
            if eyes.twins:
                rings, turns = surface.nearest(surface.at(ring, turn) * MIRROR)
                spots.append((float(rings[0]), float(turns[0])))
            counts = tuple(count_of(surface, *spot) for spot in spots)
            points = tuple(solved.first_of(wanted.name).skin.at(*spot) for spot in spots)
            told.append(EyePlace(eyes=eyes, part=wanted.name, counts=counts, points=points))
    return tuple(told)


def _goes_round(turns: Floats) -> bool:
    """Return whether a closed curve goes once round the axis."""
    steps = np.diff(np.append(turns, turns[0]))
    return abs(float((steps - np.round(steps)).sum())) > 0.5


def _across(copy: Copy, middle: Count) -> float:
    """Return the stitches of the middle's round between the sides of an edge."""
    edge = copy.edge
    assert edge is not None
    turns = copy.turn + (edge.turns - copy.turn + 0.5) % 1.0 - 0.5
    if not edge.closed:
        return float(np.ptp(turns)) * middle.of
    crossed = [
        first[1] + (middle.ring - first[0]) / (last[0] - first[0]) * (last[1] - first[1])
        for first, last in pairwise([*zip(edge.rings, turns, strict=True), (edge.rings[0], turns[0])])
        if (first[0] - middle.ring) * (last[0] - middle.ring) < 0 and abs(last[1] - first[1]) < 0.25
    ]
    reach = crossed if len(crossed) > 1 else turns
    return float(max(reach) - min(reach)) * middle.of


def _eighths(copy: Copy) -> list[tuple[int, Count]]:
    """Return stitches of the part's own edge and what each meets."""
    edge, n = copy.edge, copy.edge_stitches
    assert edge is not None
    assert copy.carrier is not None
    surface = copy.carrier.surface
    k = len(edge.points)
    if not edge.closed:
        return [
            (0, count_of(surface, float(edge.rings[i]), float(edge.turns[i]))) for i in (0, k // 2, k - 1)
        ]
    told = []
    for eighth in range(8):
        number = round(eighth * n / 8) + 1 if n else 0
        turn = (
            copy.surface.turn(copy.surface.rounds, number)
            if n and copy.wanted.edge == "finish"
            else eighth / 8
        )
        at = round(turn % 1.0 * k) % k
        told.append((number, count_of(surface, float(edge.rings[at]), float(edge.turns[at]))))
    return told


def flat_on_few(one: Place) -> bool:
    """Return whether a flat edge has so few stitches that it can't be told from a knot."""
    return one.copy.wanted.join in (Join.FLAT, Join.WORKED) and one.copy.edge_stitches < 6
