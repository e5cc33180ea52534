"""Where increases and decreases go: evenly round the round, set off against the rounds before."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.errors import InputError
from solver.notation.words import words
from solver.notation.writer import round_text
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.rounds.shaping import shaped_piece
from tests.strategies import counts

BALL = [6, 12, 18, 24, 30, 36, *[36] * 6, 30, 24, 18, 12, 6]


def shaped(sequence: list[int], increases: str = "staggered") -> Piece:
    """Return a piece begun with a ring."""
    return shaped_piece(sequence, start=Start.RING, finish=Finish.CINCHED, increases=increases)


def gaps(this: Round) -> list[int]:
    """Return the plain stitches between one shaping and the next, the round closed on itself."""
    at = [i for i, stitch in enumerate(this.stitches) if stitch is not Stitch.SC]
    return [b - a - 1 for a, b in pairwise([*at, at[0] + len(this.stitches)])]


def places(this: Round) -> np.ndarray:
    """Return the middle of what each shaping makes, as a part of the round."""
    made: list[float] = []
    worked = 0
    for stitch in this.stitches:
        if stitch is not Stitch.SC:
            made.append((worked + stitch.makes / 2) / this.count)
        worked += stitch.makes
    return np.array(made)


def phases(piece: Piece, *, number: int) -> tuple[np.ndarray, np.ndarray]:
    """Return where in a gap rounds shaped at `number` places are, and how many stitches their gaps have."""
    rounds = [this for this in piece.rounds if this.increases + this.decreases == number]
    turned = [np.exp(2j * np.pi * number * places(this)).mean() for this in rounds]
    return np.angle(turned) / (2 * np.pi) % 1, np.array([this.count / number for this in rounds])


@given(counts(), st.sampled_from(["staggered", "stacked"]))
def test_rounds_have_their_counts_and_shape_one_way(sequence: list[int], increases: str) -> None:
    """Every round gets its count from the one before by plain increases or plain decreases alone."""
    piece = shaped(sequence, increases)
    assert list(piece.counts) == sequence
    assert piece.rounds[0] == Round.plain(sequence[0])
    for before, this in pairwise(piece.rounds):
        kinds = {Stitch.SC, Stitch.INC if this.count > before.count else Stitch.DEC}
        assert set(this.stitches) <= kinds
        assert this.increases + this.decreases == abs(this.count - before.count)


@given(counts(), st.sampled_from(["staggered", "stacked"]))
def test_shaping_is_balanced(sequence: list[int], increases: str) -> None:
    """As many gaps in a row hold as many plain stitches, give or take one, wherever in the round they are.

    The defining property of balanced (Christoffel) words; for one gap: gaps differ by one at most.
    """
    for this in shaped(sequence, increases).rounds:
        if this.increases + this.decreases:
            twice = np.cumsum([0, *gaps(this) * 2])
            k = len(gaps(this))
            for many in range(1, k):
                held = twice[many : many + k] - twice[:k]
                assert held.max() - held.min() <= 1


def test_an_open_piece_is_shaped_from_its_chain() -> None:
    """Round 1 of an open start may already differ from the chain."""
    piece = shaped_piece([20, 20], start=Start.OPEN, finish=Finish.OPEN, foundation=24)
    assert (piece.foundation, piece.rounds[0].decreases, piece.rounds[1]) == (24, 4, Round.plain(20))


def test_stacked_rounds_are_the_trade_s_recipe() -> None:
    """Stacked, a ball of six is worked by the recipe that every maker knows (common practice, no source)."""
    lines = [round_text(this, words("US")) for this in shaped(BALL, "stacked").rounds]
    assert lines[:6] == [
        "6 sc",
        "inc x 6",
        "(sc, inc) x 6",
        "(2 sc, inc) x 6",
        "(3 sc, inc) x 6",
        "(4 sc, inc) x 6",
    ]
    assert lines[12:] == ["(4 sc, dec) x 6", "(3 sc, dec) x 6", "(2 sc, dec) x 6", "(sc, dec) x 6", "dec x 6"]


DISCS = [(6, 1), (6, 2), (6, 4), (6, 5), (6, 6), (8, 8), (12, 12), (24, 6), (36, 4)]
UNEVEN = [(6, 4), (6, 5), (7, 6), (9, 5), (25, 6), (37, 4), (20, 7)]
"""Their step divides no count, or few of them: no one repeat."""


@pytest.mark.parametrize(("first", "number"), DISCS)
def test_no_shaping_lines_up_with_the_round_before(first: int, number: int) -> None:
    """Where a gap has room for four stitches, shaping keeps a seventh of it off that of the round before.

    A seventh of the gap is what is left of the golden section's 0.38 when the gap holds few whole stitches
    and the direction has to change; stacked shaping keeps nothing off.
    """
    up = [first + number * i for i in range(30)]
    phase, room = phases(shaped(up + [up[-1]] * 6 + up[-2::-1]), number=number)
    shift = np.abs((np.diff(phase) + 0.5) % 1 - 0.5)
    assert shift[np.minimum(room[1:], room[:-1]) >= 4].min() > 1 / 7


@pytest.mark.parametrize(("first", "number"), UNEVEN)
def test_five_rounds_together_fill_the_gaps(first: int, number: int) -> None:
    """Seen together, five shaping rounds leave no half gap without shaping.

    Stacked rounds leave a whole gap, rounds shifted by half a gap in turns leave a half: those make the
    visible hexagon and the twelve corners of a flat circle in sixes.
    """
    phase, room = phases(shaped([first + number * i for i in range(30)]), number=number)
    for i in range(len(phase) - 4):
        if room[i] >= 5:
            ring = np.sort(phase[i : i + 5])
            assert np.diff([*ring, ring[0] + 1]).max() < 0.48


@pytest.mark.parametrize(("first", "number"), DISCS)
def test_no_swirl(first: int, number: int) -> None:
    """No more than four rounds on end are set off by about the same step, so no spiral shows.

    About the same is within a tenth of a gap. A step near half a gap leads both ways and counts as none.
    """
    phase, _ = phases(shaped([first + number * i for i in range(30)]), number=number)
    step = (np.diff(phase) + 0.5) % 1 - 0.5
    alike = (np.abs(np.diff(step)) < 0.1) & (np.abs(step[1:]) < 0.45) & (np.abs(step[:-1]) < 0.45)
    longest = max(len(run) for run in "".join("x" if same else " " for same in alike).split(" "))
    assert longest + 1 <= 3


@given(st.integers(1, 12), st.integers(1, 8), st.integers(2, 9))
def test_every_other_round_of_one_repeat_begins_half_a_repeat_in(number: int, least: int, many: int) -> None:
    """The shaping of a round stands in the middle of the repeats of the round before, where there is room."""
    piece = shaped([number * (least + i) for i in range(many + 1)])
    halved = False
    for this in piece.rounds[1:]:
        plain = gaps(this)[0]
        halved = plain >= 2 and not halved
        before = next(i for i, stitch in enumerate(this.stitches) if stitch is Stitch.INC)
        assert this.stitches == this.stitches[: plain + 1] * number
        assert before == (plain // 2 if halved else plain)


def test_one_order_for_stacked_rounds() -> None:
    """Stacked, the plain stitches of a repeat always come first."""
    for this in shaped([6, 12, 18, 24, 27, 30, 30, 24, 20, 16, 8], "stacked").rounds:
        if this.increases + this.decreases:
            assert all(stitch is Stitch.SC for stitch in this.stitches[: gaps(this)[0]])
            assert this.stitches[-1] is not Stitch.SC


def test_a_staggered_ball_is_one_bracket_a_round() -> None:
    """A ball of six reads as makers write it: one bracket a round, every other one begun half way through."""
    lines = [round_text(this, words("US")) for this in shaped(BALL).rounds]
    assert lines[1:6] == [
        "inc x 6",
        "(sc, inc) x 6",
        "(sc, inc, sc) x 6",
        "(3 sc, inc) x 6",
        "(2 sc, inc, 2 sc) x 6",
    ]
    assert lines[12:] == [
        "(4 sc, dec) x 6",
        "(sc, dec, 2 sc) x 6",
        "(2 sc, dec) x 6",
        "(sc, dec) x 6",
        "dec x 6",
    ]


def test_staggered_lines_stay_short() -> None:
    """On balls with uneven steps a staggered line holds on average at most one item more than a stacked one.

    The number of a bracket counts as an item. Set off with no eye to the line it would be half as many again.
    """
    items: dict[str, list[int]] = {"staggered": [], "stacked": []}
    for rounds in (16, 20, 24, 28, 33, 38, 47):
        wide = [round(2 * rounds * np.sin(np.pi * (i + 0.5) / rounds)) for i in range(1, rounds - 1)]
        for increases, found in items.items():
            lines = [round_text(this, words("US")) for this in shaped([6, *wide, 6], increases).rounds]
            found += [1 + line.count(",") + line.count("x") for line in lines]
    assert np.mean(items["staggered"]) <= np.mean(items["stacked"]) + 0.75


def test_a_bracket_rather_opens_with_plain_stitches() -> None:
    """Of two turns that mirror each other the first shaped round after doubling takes the recipe's."""
    assert round_text(shaped(BALL).rounds[2], words("US")) == "(sc, inc) x 6"


def test_nothing_is_left_to_chance() -> None:
    """The same counts always give the same rounds."""
    assert shaped(BALL) == shaped(BALL)


def test_full_rounds_have_no_turn() -> None:
    """Doubling and halving use every stitch."""
    piece = shaped([6, 12, 6])
    assert piece.rounds[1].stitches == (Stitch.INC,) * 6
    assert piece.rounds[2].stitches == (Stitch.DEC,) * 6


@pytest.mark.parametrize(
    ("sequence", "message"),
    [
        ([6, 13], r"round 2 has at most twice the stitches of round 1 \(got 13 after 6\)"),
        ([6, 12, 5], r"round 3 has at least half the stitches of round 2 \(got 5 after 12\)"),
        ([6, 20, 30, 12], r"(?s)round 2 .*round 4 has at least half"),
        ([6, 0], r"round 2 has at least one stitch \(got 0\)"),
        ([], "a piece has at least one round"),
    ],
)
def test_counts_that_no_round_can_make_are_told(sequence: list[int], message: str) -> None:
    """Steps beyond double or half are input errors, all of them at once, each with its round."""
    with pytest.raises(InputError, match=message):
        shaped(sequence)


def test_the_first_round_is_held_to_the_chain() -> None:
    """A first round of more than double the joined chain is told as such."""
    with pytest.raises(InputError, match=r"round 1 has at most twice the stitches of the chain"):
        shaped_piece([30], start=Start.OPEN, finish=Finish.OPEN, foundation=12)


def test_an_unknown_arrangement_is_told() -> None:
    """Increases are staggered or stacked, nothing else."""
    with pytest.raises(InputError, match='"staggered" or "stacked"'):
        shaped(BALL, "sideways")


def test_ovals_are_not_shaped_all_round() -> None:
    """A chain worked along both sides is refused: its shaping sits in its ends."""
    with pytest.raises(InputError, match="along both sides of a chain"):
        shaped_piece([20, 28], start=Start.CHAIN, finish=Finish.OPEN, foundation=9)
