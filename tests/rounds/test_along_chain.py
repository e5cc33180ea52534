"""Rounds on a chain: their arithmetic, their plain sides, their halves that are alike."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.errors import InputError
from solver.rounds import Begin, Finish, Increases, Piece, Stitch
from solver.rounds.along_chain import END_STITCHES, flat_end, oval_piece


@st.composite
def end_counts(draw: st.DrawFn) -> list[int]:
    """Draw the stitches of an end, round by round, as parts have them: growing, then shrinking."""
    ends = [draw(st.sampled_from(END_STITCHES))]
    for _ in range(draw(st.integers(0, 9))):
        ends.append(ends[-1] + draw(st.integers(0, min(5, ends[-1]))))
    for _ in range(draw(st.integers(0, 9))):
        ends.append(max(2, ends[-1] - draw(st.integers(0, min(5, ends[-1] // 2)))))
    return ends


def parts(piece: Piece, number: int) -> tuple[tuple[Stitch, ...], ...]:
    """Return first end, first side, second end and second side of a round that begins at the first end."""
    stitches, side = piece.rounds[number].stitches, piece.side
    ends = len(stitches) // 2 - side
    cuts = [0, ends, ends + side, 2 * ends + side, len(stitches)]
    return tuple(stitches[i:j] for i, j in pairwise(cuts))


@settings(deadline=None, max_examples=80)
@given(chain=st.integers(2, 60), ends=end_counts(), begin=st.sampled_from(Begin))
def test_every_round_uses_the_stitches_that_are_there(chain: int, ends: list[int], begin: Begin) -> None:
    """Rounds of any ends on any chain make their counts and use exactly the stitches of the round before."""
    piece = oval_piece(chain, ends, finish=Finish.OPEN, begin=begin)  # a piece checks its own arithmetic
    assert piece.counts == tuple(2 * end + 2 * piece.side for end in ends)


@settings(deadline=None, max_examples=80)
@given(
    chain=st.integers(2, 60),
    ends=end_counts(),
    begin=st.sampled_from(Begin),
    increases=st.sampled_from(Increases),
)
def test_both_halves_of_a_round_are_the_same_words(
    chain: int, ends: list[int], begin: Begin, increases: Increases
) -> None:
    """Wherever rounds begin, each says the same words twice: its ends are turned by half a turn."""
    piece = oval_piece(chain, ends, finish=Finish.OPEN, begin=begin, increases=increases)
    for this in piece.rounds:
        half = len(this.stitches) // 2
        assert this.stitches[:half] == this.stitches[half:]


@settings(deadline=None, max_examples=80)
@given(chain=st.integers(2, 60), ends=end_counts())
def test_sides_are_plain_and_gaps_are_equal(chain: int, ends: list[int]) -> None:
    """The straight sides are single crochets, and the increases of an end stand at equal gaps."""
    piece = oval_piece(chain, ends, finish=Finish.OPEN)
    for number in range(1, len(ends)):
        first, side, second, other = parts(piece, number)
        assert set(side) | set(other) <= {Stitch.SC}
        assert second == first
        shaped = [i for i, stitch in enumerate(first) if stitch is not Stitch.SC]
        if not {Stitch.INC3, Stitch.DEC3} & set(first):
            assert len({later - earlier for earlier, later in pairwise(shaped)}) <= 1


@pytest.mark.parametrize("end", END_STITCHES)
@pytest.mark.parametrize("begin", Begin)
def test_flat_rounds_of_all_chains(end: int, begin: Begin) -> None:
    """Chains of 2 to 60 with 3 to 5 in each end go on for 20 rounds, each with as many more in an end."""
    for chain in range(2, 61):
        piece = oval_piece(chain, flat_end(end, chain=chain, rounds=20), finish=Finish.OPEN, begin=begin)
        worked = chain - 1
        assert piece.counts == tuple(2 * (worked - 2) + 2 * end * k for k in range(1, 21))


def test_counts_of_the_trade() -> None:
    """8 worked chains: 20, 28, 36, 44 with 4 in each end, 18, 24, ... with 3 (common practice, no source)."""
    fours = oval_piece(9, flat_end(4, chain=9, rounds=4), finish=Finish.OPEN)
    threes = oval_piece(9, flat_end(3, chain=9, rounds=4), finish=Finish.OPEN)
    assert fours.counts == (20, 28, 36, 44)
    assert threes.counts == (18, 24, 30, 36)


def test_increases_are_set_off_from_round_to_round() -> None:
    """No increase of the third to sixth round stands on the two stitches of an increase below."""
    piece = oval_piece(9, [4, 8, 11, 14, 17, 20], finish=Finish.OPEN)
    for number in range(3, 6):
        below, above = parts(piece, number - 1)[0], parts(piece, number)[0]
        made_by = [stitch for stitch in below for _ in range(stitch.makes)]
        on_increase = sum(a is Stitch.INC and b is Stitch.INC for a, b in zip(above, made_by, strict=True))
        assert on_increase <= 1


def test_impossible_ends_are_refused() -> None:
    """An end that grows more than threefold is refused by the number of its round."""
    with pytest.raises(InputError, match="round 2"):
        oval_piece(9, [3, 10], finish=Finish.OPEN)
    with pytest.raises(InputError, match="at least 2 chains"):
        oval_piece(1, [3, 6], finish=Finish.OPEN)
