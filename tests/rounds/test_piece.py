"""The data model: what a round uses and makes, and which rounds can follow each other."""

from __future__ import annotations

import pytest

from solver.errors import InputError
from solver.rounds import Finish, Piece, Round, Start, Stitch


@pytest.mark.parametrize(
    ("stitch", "uses", "makes"), [("sc", 1, 1), ("inc", 1, 2), ("inc3", 1, 3), ("dec", 2, 1), ("dec3", 3, 1)]
)
def test_each_stitch_uses_and_makes_what_the_trade_says(stitch: str, uses: int, makes: int) -> None:
    """An increase puts 2 (or 3) stitches in one, a decrease works 2 (or 3) together (common practice)."""
    one = Stitch(stitch)
    assert (one.uses, one.makes) == (uses, makes)
    this = Round((Stitch.SC, one, one))
    assert (this.uses, this.count) == (1 + 2 * uses, 1 + 2 * makes)
    assert (this.increases, this.decreases) == (2 * (makes - 1), 2 * (uses - 1))


def test_runs_are_like_stitches_that_follow_each_other() -> None:
    """A round is read run by run, each as long as it can be."""
    this = Round((Stitch.SC, Stitch.SC, Stitch.INC, Stitch.SC))
    assert this.runs == [(Stitch.SC, 2), (Stitch.INC, 1), (Stitch.SC, 1)]


def test_a_round_holds_a_stitch() -> None:
    """A round without stitches is refused."""
    with pytest.raises(InputError, match="a round has at least one stitch"):
        Round(())


def test_a_piece_holds_a_round() -> None:
    """A piece without rounds is refused."""
    with pytest.raises(InputError, match="a piece has at least one round"):
        Piece(start=Start.RING, foundation=0, rounds=(), finish=Finish.OPEN)


def test_a_round_must_use_the_stitches_that_are_there() -> None:
    """A round that leaves stitches of the one before unworked is refused with its number and both figures."""
    with pytest.raises(InputError, match=r"round 2 must use the 6 stitches that are there \(got 5\)"):
        Piece(Start.RING, 0, (Round.plain(6), Round.plain(5)), Finish.OPEN)


def test_the_first_round_of_an_open_piece_uses_its_chain() -> None:
    """Round 1 of an open start is held to the joined chain."""
    with pytest.raises(InputError, match=r"round 1 must use the 24 stitches that are there \(got 20\)"):
        Piece(Start.OPEN, 24, (Round.plain(20),), Finish.OPEN)


def test_only_plain_stitches_go_into_a_ring() -> None:
    """An increase in round 1 of a ring has no meaning and is refused."""
    with pytest.raises(InputError, match="round 1 is worked into the ring in one stitch"):
        Piece(Start.RING, 0, (Round((Stitch.INC,) * 6),), Finish.OPEN)
