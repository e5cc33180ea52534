"""The stitch fabric: every stitch top a node, and the cells of fabric between neighbouring stitches.

A leg joins a stitch to the stitch below that it is worked into. Two neighbouring legs bound one cell: a quad,
or a triangle where both stand on one stitch (increase) or hold one (decrease). Each round has *slots*, its
places in working order. Slots map to nodes, and several may map to one: all places of a ring are the one node
in its middle, the two sides of a chain share its nodes, a drawn-in edge is one node, a flat seam makes one of
two.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, Ints
from solver.errors import InputError, Problem
from solver.form.layout import Layout, moved_on
from solver.form.legs import cells_of, corners_of, leg_rows_of, legs_of, rings_of, turns_of
from solver.rounds import HEIGHTS, Finish, Heights, Piece, Start
from solver.units import in_both

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


CLOSING_ROWS = 0.6
"""Rest distance from the last round's edge to the point that it is drawn to, in row heights. ASSUMED: an edge
drawn in adds no row, but its stitches lean inward."""

FLAT = 0.05
"""A piece lower than this lies flat. [mm]"""


@dataclass(frozen=True, slots=True, eq=False)
class StitchFabric:
    """The stitches of one piece as a mesh without a form.

    Attributes
    ----------
    piece : Piece
        The rounds it was made from.
    stitch_width, row_height : float
        Size of one relaxed stitch. [mm]
    closing : float
        Rest distance from the last edge to the point that it is drawn to (`CINCHED`). [mm]
    spiral : bool
        Whether the last stitch of a round stands beside the first of the next (for pictures) or of its own.
    rings : tuple of (m,) int
        Node of each slot of each ring in working order: the start (the one node of a ring, once round the
        chain, or the open edge), then the stitch tops of each round, then the drawn-in point. Nodes of a
        chain and of a seam come up twice.
    ring_of_node : (n,) int
        The ring that a node belongs to; 0 for the start.
    quads, triangles : (q, 4) int, (t, 3) int
        Nodes of each cell, parents then children, counter-clockwise seen from outside.
    quad_round, triangle_round : (q,) int, (t,) int
        Round of each cell, from 1; one more than there are rounds for the drawn-in closing.
    legs : (l, 2) int
        Stitch below and stitch above, in working order.
    leg_slots : (l, 2) int
        The same by their slots in the two rings.
    leg_round : (l,) int
        Round of each leg, as for the cells.
    leg_height : (l,) float
        Rest height of each leg's stitch; of the closing, what it is drawn over. [mm]
    quad_legs, triangle_legs : (q, 2) int, (t, 2) int
        The two legs that bound each cell, in working order.
    corners : tuple of (4,) float
        For a piece on a chain, for each ring, where in its stitches the first end begins, the first side, the
        second end and the second side (stitch j reaches from j to j + 1). Empty for the other starts.
    turns : (m,) float
        Turn of each ring against evenly spaced places, in full turns, so that no round leans as a whole.
    lean : float
        Stitches by which a round moves on against the one below; 0 for joined rounds and for rows.
    moved : (m,) float
        How far the beginning of each ring has moved on in all by that. [stitches of the ring]
    """

    piece: Piece
    stitch_width: float
    row_height: float
    closing: float
    spiral: bool
    rings: tuple[Ints, ...]
    ring_of_node: Ints
    quads: Ints
    triangles: Ints
    quad_round: Ints
    triangle_round: Ints
    legs: Ints
    leg_slots: Ints
    leg_round: Ints
    leg_height: Floats
    quad_legs: Ints
    triangle_legs: Ints
    corners: tuple[Floats, ...]
    turns: Floats
    lean: float
    moved: Floats

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            for array in value if isinstance(value, tuple) else (value,):
                if isinstance(array, np.ndarray):
                    array.setflags(write=False)

    @property
    def node_count(self) -> int:
        """Number of nodes."""
        return len(self.ring_of_node)

    @property
    def components(self) -> tuple[tuple[StitchFabric, Ints], ...]:
        """The fabrics that it is made of, each with its nodes in the whole: itself alone."""
        return ((self, np.arange(self.node_count)),)

    @property
    def opens_at_start(self) -> bool:
        """Whether the first ring is an edge left open."""
        return self.piece.start is Start.OPEN

    @property
    def holes(self) -> Ints:
        """Triangles over gaps in the midst of the fabric, closed flat like open edges, (h, 3)."""
        return np.zeros((0, 3), dtype=np.int64)

    @property
    def rest_area(self) -> float:
        """Area of the relaxed fabric: a quad is a whole stitch, a triangle half of one. [mm^2]"""
        quads, triangles = self.cell_heights
        return float(self.stitch_width * (quads.sum() + triangles.sum() / 2))

    @property
    def cell_heights(self) -> tuple[Floats, Floats]:
        """Rest height of each quad and of each triangle: the mean of its two legs'. [mm]"""
        of_legs = self.leg_height
        return of_legs[self.quad_legs].mean(axis=1), of_legs[self.triangle_legs].mean(axis=1)

    @property
    def row_heights(self) -> Floats:
        """Mean rest distance of each ring from the one before; the start's is 0. (m,) [mm]"""
        sums = np.bincount(self.leg_round, self.leg_height / self.row_height, len(self.rings))
        heights = (
            sums / np.maximum(np.bincount(self.leg_round, minlength=len(self.rings)), 1) * self.row_height
        )
        if self.piece.finish is Finish.CINCHED:
            heights[-1] = self.closing
        return np.asarray(heights)

    @property
    def is_even(self) -> bool:
        """Whether the stitches of each round are equally tall."""
        return bool((self.leg_height == self.row_heights[self.leg_round]).all())

    def slot_heights(self) -> tuple[list[Floats], list[Floats]]:
        """Return the mean rest height of the legs below, and of those above, each slot of each ring. [mm]"""
        first = np.cumsum([0, *(len(ring) for ring in self.rings)])
        told = []
        for end, ring in ((1, self.leg_round), (0, self.leg_round - 1)):
            slot = first[ring] + self.leg_slots[:, end]
            sums = np.bincount(slot, self.leg_height / self.row_height, first[-1])
            mean = sums / np.maximum(np.bincount(slot, minlength=first[-1]), 1) * self.row_height
            told.append(np.split(mean, first[1:-1]))
        return told[0], told[1]

    def layout(self, ring: int) -> Layout:
        """Return the evenly spaced layout of a ring, without the lean."""
        corner = self.corners[ring] if self.corners else None
        return Layout(len(self.rings[ring]), corner, float(self.turns[ring]) if corner is None else 0.0)

    def place(self, ring: int) -> Floats:
        """Return where the slots of a ring lie in the evenly spaced layout, rising, in turns.

        On a chain the first quarter of a turn is the first end, the second the first side, and so on; a lean
        moves the stitches on from there.
        """
        return self.layout(ring).turns(np.arange(0.5, len(self.rings[ring])) + self.moved[ring])


def stitch_fabric(
    piece: Piece,
    *,
    stitch_width: float,
    row_height: float,
    closing: float | None = None,
    spiral: bool = False,
    heights: Heights = HEIGHTS,
    lean: float = 0.0,
) -> StitchFabric:
    """Return the stitch mesh of a piece.

    Parameters
    ----------
    piece : Piece
        Its rounds, start and finish. Every round has three stitches or more.
    stitch_width, row_height : float
        Size of one relaxed stitch, above zero. [mm]
    closing : float, optional
        Rest distance from the last edge to the drawn-in point. [mm] Left out: `CLOSING_ROWS` row heights.
    spiral : bool
        Let rounds run on as one spiral, as they are worked. For pictures; measured forms use joined rounds.
    heights : Heights
        How tall stitches of other heights are.
    lean : float
        Stitches by which a round moves on against the one below, at most one.

    Returns
    -------
    StitchFabric

    Raises
    ------
    InputError
        If a round has fewer than three stitches, or the only round is folded: cells would lie on each other.
    """
    _check_meshable(piece)
    rings, ring_of_node = rings_of(piece)
    leg_slots, leg_round = legs_of(piece)
    drawn_over = float(CLOSING_ROWS * row_height if closing is None else closing)
    leg_height = leg_rows_of(piece, heights) * row_height
    leg_height[leg_round > len(piece.rounds)] = drawn_over
    first_slot = np.cumsum([0, *(len(ring) for ring in rings)])
    ends = np.stack([leg_round - 1, leg_round], axis=1)
    legs = np.concatenate(rings)[first_slot[ends] + leg_slots]
    cells = cells_of(leg_round, spiral=spiral)
    (p0, c0), (p1, c1) = legs[cells[:, 0]].T, legs[cells[:, 1]].T
    parted, spread = p0 != p1, c0 != c1
    quad, triangle = parted & spread, parted ^ spread
    cell_round = leg_round[cells[:, 0]]
    corners, turns = corners_of(piece), turns_of(rings, leg_slots, leg_round)
    layouts = tuple(
        Layout(len(ring), corners[i] if corners else None, 0.0 if corners else float(turns[i]))
        for i, ring in enumerate(rings)
    )
    # Seen from outside a right-handed maker works from right to left: the second leg stands on the left.
    return StitchFabric(
        piece=piece,
        stitch_width=float(stitch_width),
        row_height=float(row_height),
        closing=drawn_over,
        spiral=spiral,
        rings=rings,
        ring_of_node=ring_of_node,
        quads=np.stack([p1, p0, c0, c1], axis=1)[quad],
        triangles=np.stack([p1, np.where(parted, p0, c0), np.where(parted, c0, c1)], axis=1)[triangle],
        quad_round=cell_round[quad],
        triangle_round=cell_round[triangle],
        legs=legs,
        leg_slots=leg_slots,
        leg_round=leg_round,
        leg_height=leg_height,
        quad_legs=cells[quad],
        triangle_legs=cells[triangle],
        corners=corners,
        turns=turns,
        lean=float(lean),
        moved=moved_on(layouts, lean=lean, rounds=len(piece.rounds)),
    )


def _check_meshable(piece: Piece) -> None:
    """Refuse rounds whose cells would lie on each other."""
    for number, count in enumerate(piece.counts, start=1):
        if count < 3:
            rule = f"a round of a stuffed part has at least three stitches, round {number} too"
            raise InputError(Problem(rule, got=f"{count}"))
    if piece.finish is Finish.SEAMED and piece.start is not Start.OPEN and len(piece.rounds) < 2:
        raise InputError(Problem("a seamed part has at least two rounds, or nothing fits into it", got="one"))


def lofted(
    fabric: StitchFabric, *, radius: ArrayLike, height: ArrayLike, straight: ArrayLike | None = None
) -> Floats:
    """Return node positions with each ring spread evenly at its radius and height.

    Parameters
    ----------
    fabric : StitchFabric
    radius, height : (m,) float
        Of each ring of `fabric.rings`; half the width of an oval one. [mm] A ring of one node is on the axis.
    straight : (m,) float, optional
        For a piece on a chain, length of the straight sides of each ring. [mm] Left out: as relaxed.

    Returns
    -------
    (n, 3) float
        Axis along z; the straight sides along x, the first end at positive x. Seen from above, a right-handed
        maker's rounds run clockwise. [mm]
    """
    radii, heights = np.asarray(radius, dtype=float), np.asarray(height, dtype=float)
    if straight is None:
        side = fabric.piece.side + 1 if fabric.corners else 0
        straight = np.full(len(fabric.rings), side * fabric.stitch_width)
    straights = np.asarray(straight, dtype=float)
    places = []
    for i, ring in enumerate(fabric.rings):
        place = fabric.place(i)
        angle, along = -2 * np.pi * place, np.zeros(len(ring))
        if fabric.corners:
            quarter = np.arange(5)
            angle = np.interp(4 * np.mod(place, 1), quarter, np.array([1, -1, -1, -3, -3]) * np.pi / 2)
            along = np.interp(4 * np.mod(place, 1), quarter, np.array([0.5, 0.5, -0.5, -0.5, 0.5]))
        r, z = np.full(len(ring), radii[i]), np.full(len(ring), heights[i])
        if fabric.spiral and 0 < i <= len(fabric.piece.rounds):
            part = np.arange(0.5, len(ring)) / len(ring)
            r = radii[i - 1] + (radii[i] - radii[i - 1]) * part
            z = heights[i - 1] + (heights[i] - heights[i - 1]) * part
        if len(ring) == 1:
            r, along = np.zeros(1), np.zeros(1)
        places.append(np.stack([r * np.cos(angle) + along * straights[i], r * np.sin(angle), z], axis=1))
    nodes, slots = np.concatenate(fabric.rings), np.concatenate(places)
    sums = np.stack([np.bincount(nodes, slots[:, axis], fabric.node_count) for axis in range(3)], axis=1)
    return np.asarray(sums / np.bincount(nodes, minlength=fabric.node_count)[:, None])


def sizes_in_words(fabric: StitchFabric, points: Floats) -> tuple[str, ...]:
    """Return height and width in words; of a piece on a chain, which has no one width, its length too.

    Parameters
    ----------
    fabric : StitchFabric
    points : (n, 3) float
        Where its nodes are, the axis along z. [mm]
    """
    across, up = np.ptp(points[:, :2], axis=0), float(np.ptp(points[:, 2]))
    if fabric.piece.start is Start.ROWS:  # the outmost stitches reach half their width beyond their middles
        return f"{in_both(across[1])} long", f"{in_both(across[0] + fabric.stitch_width)} wide"
    if fabric.piece.start is Start.CHAIN:
        length, width = f"{in_both(across.max())} long", f"{in_both(across.min())} wide"
        return (length, width) if up < FLAT else (f"{in_both(up)} high", width, length)
    if not fabric.is_even:
        front, side = (
            f"{in_both(float(size))} {way}" for size, way in zip(across, ("long", "wide"), strict=True)
        )
        return f"{in_both(up)} high", front, side
    # stitches stand on a circle, whose diameter is more than what an odd number of them spans
    round_ = 2 * float(np.hypot(points[:, 0], points[:, 1]).max())
    return f"{in_both(up)} high", f"{in_both(round_)} wide"
