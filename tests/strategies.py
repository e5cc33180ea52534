"""Random valid counts, rounds and pieces for property tests."""

from __future__ import annotations

from hypothesis import strategies as st

from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.rounds.shaping import shaped_piece

MOST = 300


@st.composite
def counts(draw: st.DrawFn, *, most_rounds: int = 25) -> list[int]:
    """Draw the counts of a piece begun with a ring, each at most double and at least half the one before."""
    sequence = [draw(st.integers(3, 12))]
    for _ in range(draw(st.integers(0, most_rounds - 1))):
        before = sequence[-1]
        least, most = max(1, -(-before // 2)), min(MOST, 2 * before)
        # Real pieces are made of small steps and plain rounds, so these come up as often as large ones.
        near = st.integers(max(least, before - 8), min(most, before + 8))
        sequence.append(draw(st.one_of(st.just(before), near, st.integers(least, most))))
    return sequence


@st.composite
def rounds_on(draw: st.DrawFn, there: int) -> Round:
    """Draw a round that uses `there` stitches in any order of instructions, with repeats in it or without."""
    kinds = [Stitch.SC, Stitch.SC, Stitch.DEC, Stitch.DEC3]
    if there < MOST // 3:
        kinds += [Stitch.INC, Stitch.INC3]
    body = draw(st.lists(st.sampled_from(kinds), min_size=1, max_size=12))
    stitches = [Stitch.SC] * draw(st.integers(0, 4)) + body * draw(st.integers(1, 12))
    fitting: list[Stitch] = []
    left = there
    for stitch in stitches:
        if stitch.uses <= left:
            fitting.append(stitch)
            left -= stitch.uses
    return Round(tuple(fitting) + (Stitch.SC,) * left)


@st.composite
def pieces(draw: st.DrawFn, *, most_rounds: int = 6) -> Piece:
    """Draw a piece begun with a ring or open, its rounds in any order of instructions."""
    start = draw(st.sampled_from([Start.RING, Start.OPEN]))
    there = draw(st.integers(3, 24))
    foundation = there if start is Start.OPEN else 0
    rounds = [Round.plain(there)] if start is Start.RING else []
    for _ in range(draw(st.integers(1, most_rounds))):
        plain = draw(st.booleans())
        rounds.append(Round.plain(there) if plain else draw(rounds_on(there)))
        there = rounds[-1].count
    return Piece(
        start=start, foundation=foundation, rounds=tuple(rounds), finish=draw(st.sampled_from(Finish))
    )


@st.composite
def plain_pieces(draw: st.DrawFn, *, most_rounds: int = 12) -> Piece:
    """Draw a piece of plain rounds, each one repeat, staggered or stacked, begun with a ring or open."""
    start = draw(st.sampled_from([Start.RING, Start.OPEN]))
    sequence = [draw(st.integers(3, 12) if start is Start.RING else st.integers(3, 60))]
    for _ in range(draw(st.integers(1, most_rounds - 1))):
        before = sequence[-1]
        fitting = [k for k in range(1, before + 1) if before % k == 0]
        steps = [0, *(k for k in fitting if before + k <= MOST), *(-k for k in fitting if 2 * k <= before)]
        sequence.append(before + draw(st.sampled_from(steps)))
    return shaped_piece(
        sequence,
        start=start,
        finish=draw(st.sampled_from([Finish.CINCHED, Finish.OPEN])),
        foundation=sequence[0] if start is Start.OPEN else 0,
        increases=draw(st.sampled_from(["staggered", "stacked"])),
    )
