"""The stitch fabric, checked against counting and against a general mesh library."""

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from solver.errors import InputError
from solver.form.fabric import CLOSING_ROWS, StitchFabric, lofted, stitch_fabric
from solver.rounds import Finish, Piece, Round, Start, Stitch

ROUNDING = 1e-12
"""Sums of a few thousand equal terms in double precision."""

WIDTH, HEIGHT = 5.0, 4.6


def worked_into(there: int, choice: list[Stitch]) -> Round:
    """Return a round that uses the `there` stitches: as chosen while they last, then single crochets."""
    stitches = []
    for stitch in choice:
        if stitch.uses <= there:
            stitches.append(stitch)
            there -= stitch.uses
    return Round((*stitches, *[Stitch.SC] * there))


WORKED_ROUND = (Start.RING, Start.OPEN, Start.CHAIN)


@st.composite
def pieces(draw: st.DrawFn) -> Piece:
    """Draw a random piece whose rounds have three stitches or more."""
    start, finish = draw(st.sampled_from(WORKED_ROUND)), draw(st.sampled_from(Finish))
    foundation = {Start.RING: st.just(0), Start.OPEN: st.integers(3, 20), Start.CHAIN: st.integers(2, 15)}[
        start
    ]
    chain = draw(foundation)
    first = draw(st.integers(4, 9)) + 2 * max(chain - 3, 0)
    rounds = [Round.plain(first)]
    if start is Start.OPEN:
        rounds = [worked_into(chain, draw(st.lists(st.sampled_from(Stitch), max_size=chain)))]
    for _ in range(draw(st.integers(0, 6))):
        there = rounds[-1].count
        rounds.append(worked_into(there, draw(st.lists(st.sampled_from(Stitch), max_size=there // 2))))
    rounds = [*rounds] if all(each.count >= 3 for each in rounds) else [rounds[0]]
    if rounds[0].count < 3:
        rounds = [Round.plain(chain)]
    if len(rounds) == 1 or finish is Finish.SEAMED:
        # Three in one right at the fold would lie double; a seamed edge is worked plain.
        rounds.append(Round.plain(rounds[-1].count))
    return Piece(start, chain, tuple(rounds), finish)


def ball(half: int, even: int, finish: Finish = Finish.CINCHED) -> Piece:
    """Return six more a round to 6 * `half`, plain rounds, and the mirrored decreases."""
    rises = [Round(((Stitch.SC,) * k + (Stitch.INC,)) * 6) for k in range(half - 1)]
    falls = [Round(((Stitch.SC,) * k + (Stitch.DEC,)) * 6) for k in range(half - 2, -1, -1)]
    return Piece(Start.RING, 0, (Round.plain(6), *rises, *[Round.plain(6 * half)] * even, *falls), finish)


OVAL = (
    Round.plain(20),
    Round((*[Stitch.INC] * 4, *[Stitch.SC] * 6) * 2),
    Round((*[Stitch.SC, Stitch.INC] * 4, *[Stitch.SC] * 6) * 2),
    Round.plain(36),
    Round((*[Stitch.SC, Stitch.DEC] * 4, *[Stitch.SC] * 6) * 2),
)


def made(piece: Piece, *, spiral: bool = False) -> StitchFabric:
    """Return the fabric of a piece at the gauge of this module."""
    return stitch_fabric(piece, stitch_width=WIDTH, row_height=HEIGHT, spiral=spiral)


def surface(fabric: StitchFabric) -> trimesh.Trimesh:
    """Return the fabric lofted to a barrel, quads cut in two."""
    along = np.linspace(0, 1, len(fabric.rings))
    radius = 3 + 20 * along * (1.2 - along)
    radius[0] = 3 if fabric.piece.start is Start.OPEN else 0
    points = lofted(fabric, radius=radius, height=40 * along)
    quads = fabric.quads
    faces = np.concatenate([fabric.triangles, quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    return trimesh.Trimesh(points, faces, process=False)


@pytest.mark.parametrize(
    "piece",
    [
        ball(5, 5),
        ball(5, 5, Finish.SEAMED),
        Piece(Start.CHAIN, 9, OVAL, Finish.CINCHED),
        Piece(Start.CHAIN, 9, OVAL, Finish.SEAMED),
        Piece(Start.CHAIN, 2, (Round.plain(6),) * 3, Finish.CINCHED),
        Piece(Start.CHAIN, 3, (Round.plain(8),) * 3, Finish.SEAMED),
    ],
)
def test_closed_piece_is_watertight(piece: Piece) -> None:
    """A piece without an open edge is a closed surface of a sphere's kind with its outside outside."""
    mesh = surface(made(piece))
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0
    assert mesh.euler_number == 2


@settings(deadline=None, max_examples=60)
@given(piece=pieces())
def test_every_stitch_has_its_place(piece: Piece) -> None:
    """Every stitch of every round has a node, in working order, and stands on what it is worked into."""
    fabric = made(piece)
    rounds = len(piece.rounds)
    assert tuple(len(ring) for ring in fabric.rings[1 : rounds + 1]) == piece.counts
    for number in range(2 if piece.start is not Start.OPEN else 1, rounds + 1):
        slots = fabric.leg_slots[fabric.leg_round == number]
        tops = [top for stitch in piece.rounds[number - 1].stitches for top in [stitch.makes]]
        assert len(slots) == sum(max(s.uses, s.makes) for s in piece.rounds[number - 1].stitches)
        assert sorted(set(slots[:, 0])) == list(range(len(fabric.rings[number - 1])))
        assert sorted(set(slots[:, 1])) == list(range(sum(tops)))
        assert (np.diff(slots, axis=0) >= 0).all()
    assert set(np.concatenate([*fabric.rings])) == set(range(fabric.node_count))
    for number, ring in enumerate(fabric.rings):
        assert (fabric.ring_of_node[ring] == number).all()


@settings(deadline=None, max_examples=60)
@given(piece=pieces())
def test_cells_and_area_follow_from_the_counts(piece: Piece) -> None:
    """A round has a quad an instruction, a triangle a stitch more or less, and the area its counts give."""
    fabric = made(piece)
    last = len(piece.rounds)
    for number, each in enumerate(piece.rounds, start=1):
        if (number == 1 and piece.start is not Start.OPEN) or (
            number == last and piece.finish is Finish.SEAMED
        ):
            continue
        assert (fabric.quad_round == number).sum() == len(each.stitches)
        assert (fabric.triangle_round == number).sum() == each.increases + each.decreases
    if piece.finish is Finish.SEAMED:
        return
    below = {Start.RING: 0, Start.OPEN: piece.foundation, Start.CHAIN: 2 * (piece.foundation - 2)}[
        piece.start
    ]
    around = np.array([below, *piece.counts])
    area = WIDTH * HEIGHT * (around[1:] + around[:-1]).sum() / 2
    if piece.finish is Finish.CINCHED:
        area += WIDTH * CLOSING_ROWS * HEIGHT * around[-1] / 2
    if {stitch.plain for each in piece.rounds for stitch in each.stitches} == {Stitch.SC}:
        assert_allclose(fabric.rest_area, area, rtol=ROUNDING)


@settings(deadline=None, max_examples=60)
@given(piece=pieces())
def test_surface_is_a_disc_or_a_sphere_or_a_tube(piece: Piece) -> None:
    """Cells fit together without holes: V - E + F is 2 less one for each open edge."""
    fabric = made(piece)
    cells = [*fabric.quads.tolist(), *fabric.triangles.tolist()]
    sides = [side for cell in cells for side in zip(cell, cell[1:] + cell[:1], strict=True)]
    assert len(set(sides)) == len(sides)  # neighbours run their common edge in opposite directions
    edges = {tuple(sorted(side)) for side in sides}
    open_edges = (piece.start is Start.OPEN) + (piece.finish is Finish.OPEN)
    assert fabric.node_count - len(edges) + len(cells) == 2 - open_edges


def test_chain_ends_and_sides_are_tracked() -> None:
    """On 9 chains with 4 in each end, the sides keep their 6 stitches and the seam is as long as the fold."""
    fabric = made(Piece(Start.CHAIN, 9, OVAL, Finish.SEAMED))
    assert_allclose(fabric.corners[1], [0, 4, 10, 14])
    assert_allclose(fabric.corners[3], [0, 12, 18, 30])
    assert (fabric.ring_of_node == len(OVAL)).sum() == OVAL[-1].count // 2


def test_chain_begun_in_the_middle_of_an_end_is_the_same_fabric() -> None:
    """Where the rounds begin changes the names of the nodes, not the fabric: same cells, mirrored ends."""
    rounds = (
        Round.plain(20),
        Round((*[Stitch.INC] * 2, *[Stitch.SC] * 6, *[Stitch.INC] * 4, *[Stitch.SC] * 6, *[Stitch.INC] * 2)),
    )
    middle = made(Piece(Start.CHAIN, 9, rounds, Finish.SEAMED, (2, 4, 2)))
    side = made(Piece(Start.CHAIN, 9, OVAL[:2], Finish.SEAMED))
    assert_allclose(middle.corners[2], [-4, 4, 10, 18])
    assert middle.node_count == side.node_count
    assert len(middle.quads) == len(side.quads)
    straight = np.full(3, 30.0)
    lofts = [lofted(each, radius=[0, 5, 10], height=[0, 1, 2], straight=straight) for each in (middle, side)]
    assert_allclose(*(np.sort(each[:, 0]) for each in lofts), atol=1e-9)


def test_rounds_lean_no_way_as_a_whole() -> None:
    """In the evenly spread layout the legs of a round lean as much one way as the other."""
    fabric = made(ball(4, 3))
    for number in range(2, len(fabric.piece.rounds) + 1):
        foot, top = fabric.leg_slots[fabric.leg_round == number].T
        at_foot = (foot + 0.5) / len(fabric.rings[number - 1]) + fabric.turns[number - 1]
        at_top = (top + 0.5) / len(fabric.rings[number]) + fabric.turns[number]
        assert_allclose((at_top - at_foot).mean(), 0, atol=ROUNDING)


def test_spiral_climbs_without_a_step() -> None:
    """In the spiral the last stitch of a round stands beside the first of the next."""
    fabric = made(ball(4, 6), spiral=True)
    rings = len(fabric.rings)
    points = lofted(fabric, radius=[0, *[20.0] * (rings - 2), 0], height=np.arange(rings) * HEIGHT)
    last, first = fabric.rings[5][-1], fabric.rings[6][0]
    beside = {
        tuple(sorted(pair)) for quad in fabric.quads for pair in zip(quad, np.roll(quad, 1), strict=True)
    }
    assert (last, first) in beside
    assert abs(points[first, 2] - points[last, 2]) < HEIGHT / 10
    assert fabric.node_count == made(ball(4, 6)).node_count


def test_two_stitches_are_refused() -> None:
    """A round of two stitches bounds nothing and is refused by its number."""
    rounds = (Round.plain(4), Round((Stitch.DEC, Stitch.DEC)))
    with pytest.raises(InputError, match="three stitches, round 2"):
        made(Piece(Start.RING, 0, rounds, Finish.OPEN))


def test_single_folded_round_is_refused() -> None:
    """One round folded flat on its own ring holds nothing and is refused."""
    with pytest.raises(InputError, match="two rounds"):
        made(Piece(Start.RING, 0, (Round.plain(6),), Finish.SEAMED))


def test_fabric_is_read_only() -> None:
    """The arrays of a fabric can't be changed afterwards."""
    with pytest.raises(ValueError, match="read-only"):
        made(ball(3, 2)).quads[0, 0] = 1
