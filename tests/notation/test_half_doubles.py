"""Stitches of other heights in a round itself: written and read back in every language."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.notation.writer import write_rounds
from solver.rounds import Finish, Increases, Piece, Round, Start, Stitch
from solver.search.flat_oval import LastRound, flat_oval, last_round

SPELLED = ("US", "UK")  # the other tables have no lines of their own that are spelled out
LANGUAGES = ["US", "UK", "de", "es", "fr", "ja", "nl", "pt", "ru", "vi"]


def read_back(piece: Piece, terms: str, *, spelled: bool, stuffed: bool = True) -> Piece | None:
    """Return what is read of a piece that is written."""
    lines = [line.text for line in write_rounds(piece, terms=terms, spelled=spelled, stuffed=stuffed)]
    proof = proof_read("\n".join([f"{terms} terms", *lines] if terms in ("US", "UK") else lines))
    assert proof.clean, [(line.text, line.problems) for line in proof.lines if line.problems]
    (one,) = converted(proof)
    return one.piece


HEIGHTS = (
    (Stitch.SC, Stitch.INC, Stitch.DEC),
    (Stitch.HDC, Stitch.HDC_INC, Stitch.HDC_DEC),
    (Stitch.DC, Stitch.DC_INC, Stitch.DC_DEC),
)


@st.composite
def mixed_rounds(draw: st.DrawFn) -> Piece:
    """Return a tube with rounds of one or two heights and slip stitches, plain, increased and decreased."""
    rounds = [Round.plain(draw(st.integers(6, 24)))]
    for _ in range(draw(st.integers(1, 4))):
        left, stitches = rounds[-1].count, list[Stitch]()
        if left == 1:
            break
        times = draw(
            st.sampled_from([each for each in (1, 2, 3, 6) if left % each == 0 and left // each > 1])
        )
        share = left // times
        heights = draw(st.lists(st.sampled_from(HEIGHTS), min_size=1, max_size=2))
        choice = [Stitch.SLST, *(stitch for height in heights for stitch in height)]
        while share:
            stitch, run = draw(st.sampled_from(choice)), draw(st.integers(1, 3))
            for _ in range(min(run, share // stitch.uses)):
                stitches.append(stitch)
                share -= stitch.uses
        rounds.append(Round(tuple(stitches * times)))
    return Piece(start=Start.RING, foundation=0, rounds=tuple(rounds), finish=Finish.OPEN)


@pytest.mark.parametrize("terms", LANGUAGES)
@given(data=st.data())
@settings(max_examples=6, deadline=None, phases=[Phase.generate])
def test_heights_are_read_as_written(terms: str, data: st.DataObject) -> None:
    """Runs of stitches of any height, two in one and two together, in brackets and spelled out."""
    piece = data.draw(mixed_rounds())
    for spelled in (False, True)[: 1 + (terms in SPELLED)]:
        again = read_back(piece, terms, spelled=spelled)
        assert again is not None
        assert again.rounds == piece.rounds


@pytest.mark.parametrize("terms", LANGUAGES)
@given(
    length=st.floats(60, 120),
    width=st.floats(15, 60),
    height=st.floats(3.8, 5.2),
    increases=st.sampled_from(Increases),
)
@settings(max_examples=5, deadline=None, phases=[Phase.generate])
def test_flat_ovals_are_read_as_written(
    terms: str, length: float, width: float, height: float, increases: Increases
) -> None:
    """A last round of half doubles says so itself; the page gives the piece back, stitch for stitch."""
    sole = flat_oval(length=length, width=width, stitch_width=5.0, row_height=height, increases=increases)
    for spelled in (False, True)[: 1 + (terms in SPELLED)]:
        assert read_back(sole.piece, terms, spelled=spelled, stuffed=False) == sole.piece


def test_last_round_says_what_it_is_worked_in() -> None:
    """A sole of 41 mm at rows of 4.55 mm ends in half doubles, counts growing as they did."""
    sole = flat_oval(length=90, width=41, stitch_width=5.0, row_height=4.55)
    assert sole.last is last_round(sole.piece) is LastRound.TALL
    assert len({after - before for before, after in pairwise(sole.piece.counts)}) == 1
    *_, last, _ = write_rounds(sole.piece, stuffed=False)
    assert "2 hdc in the next st" in last.text


def test_two_heights_in_one_round_are_read_where_the_counts_fit_twice() -> None:
    """What runs of two in one and two together are is told by the words alone."""
    tube = Piece(
        start=Start.RING,
        foundation=0,
        rounds=(
            Round.plain(16),
            Round(
                (Stitch.DC_INC,) * 3
                + (Stitch.DC,)
                + (Stitch.DC_DEC,)
                + (Stitch.SLST,) * 3
                + (Stitch.DC_DEC,) * 3
                + (Stitch.SC,)
            ),
        ),
        finish=Finish.OPEN,
    )
    for terms in LANGUAGES:
        assert read_back(tube, terms, spelled=False) == tube
