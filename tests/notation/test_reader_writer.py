"""What the writer writes the reader reads back, stitch by stitch."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from solver.errors import InputError
from solver.notation.convert import converted, round_of
from solver.notation.entries import LONGEST_LINE
from solver.notation.proof import proof_read
from solver.notation.words import words
from solver.notation.writer import LineKind, write_rounds
from solver.rounds import Finish, Piece, Round, Start, Stitch
from tests.strategies import plain_pieces

#: Tables that have sentences of their own to write in.
_IN_SINGLE = {
    stitch: Stitch.INC if stitch.makes > 1 else Stitch.DEC
    for stitch in (Stitch.HDC_INC, Stitch.DC_INC, Stitch.HDC_DEC, Stitch.DC_DEC)
}
"""Only English has words of its own for the shaping of taller stitches."""
WRITTEN = ("US", "UK", "de", "fr", "es", "pt", "nl", "ru", "ja", "vi")


@st.composite
def pieces(draw: st.DrawFn) -> Piece:
    """Pieces of random valid rounds, begun with a ring or open."""
    start = draw(st.sampled_from([Start.RING, Start.OPEN]))
    count = draw(st.integers(3, 14))
    rounds = [Round.plain(count)]
    for _ in range(draw(st.integers(1, 7))):
        stitches: list[Stitch] = []
        left = rounds[-1].count
        while left > 0:
            stitch = draw(st.sampled_from([Stitch.SC] * 6 + list(Stitch)))
            stitch = stitch if stitch.uses <= left else Stitch.SC
            stitches.append(stitch)
            left -= stitch.uses
        rounds.append(Round(tuple(stitches)))
    return Piece(start, count if start is Start.OPEN else 0, tuple(rounds), Finish.OPEN)


@settings(max_examples=60, deadline=None, report_multiple_bugs=False)
@given(piece=pieces(), terms=st.sampled_from(WRITTEN), spelled=st.booleans())
def test_written_rounds_read_back_to_the_same_stitches(piece: Piece, terms: str, spelled: bool) -> None:
    """Whatever is written, terse or spelled, in any table, reads back clean to the same stitches."""
    english = terms in ("US", "UK")
    if not english:
        # The other tables have words for rounds, and no sentences of their own.
        single = tuple(Round(tuple(_IN_SINGLE.get(s, s) for s in one.stitches)) for one in piece.rounds)
        piece = replace(piece, start=Start.RING, foundation=0, rounds=single)
    lines = write_rounds(piece, terms=terms, spelled=spelled and english)
    told = [words(terms).say("notes", "terms")] if english else []  # dc is another stitch there
    told += [line.text for line in lines if english or line.kind is LineKind.ROUND]
    text = "\n".join(told)
    proof = proof_read(text)
    assert proof.clean, (text, [problem for line in proof.lines for problem in line.problems])
    assert not any(line.fit and line.fit.at_word for line in proof.lines), text
    rounds = [round_of(acts) for line in proof.lines for acts in line.stitches]
    assert [one if isinstance(one, str) else one.stitches for one in rounds] == [
        one.stitches for one in piece.rounds
    ], text


@settings(max_examples=60, deadline=None, report_multiple_bugs=False)
@given(piece=plain_pieces(), terms=st.sampled_from(WRITTEN), spelled=st.booleans())
def test_plain_rounds_read_back_to_the_same_stitches(piece: Piece, terms: str, spelled: bool) -> None:
    """Rounds of one repeat, staggered or stacked, read back clean in any table, terse or spelled."""
    english = terms in ("US", "UK")
    if not english:
        piece = replace(piece, start=Start.RING, foundation=0)
    lines = write_rounds(piece, terms=terms, spelled=spelled and english)
    rounds = [line.text for line in lines if line.kind is LineKind.ROUND]
    # What is read of a longer line, and that this is told, is tested with the reader's bounds.
    assume(all(len(text) <= LONGEST_LINE for text in rounds))
    if not (spelled and english):
        assert not any(text.count("(") > 2 + text.count("rounds)") for text in rounds), "one bracket a round"
    told = [words(terms).say("notes", "terms")] if english else []  # dc is another stitch there
    page = [*told, *(line.text for line in lines)] if english else rounds
    proof = proof_read("\n".join(page))
    assert proof.clean, (rounds, [problem for line in proof.lines for problem in line.problems])
    read = [round_of(acts) for line in proof.lines for acts in line.stitches]
    assert [one if isinstance(one, str) else one.stitches for one in read] == [
        one.stitches for one in piece.rounds
    ], rounds


def test_a_page_becomes_a_piece() -> None:
    """A clean page from ring to closing is a piece with its counts, cinched."""
    text = "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\nRnds 3-4: sc around (12)\nRnd 5: dec x 6 (6)"
    (one,) = converted(proof_read(text))
    assert one.piece is not None
    assert one.piece.counts == (6, 12, 12, 12, 6)
    assert (one.piece.start, one.piece.finish) == (Start.RING, Finish.CINCHED)


def test_an_oval_becomes_a_piece_on_its_chain() -> None:
    """Round 1 along both sides of a chain keeps its chain and what goes into the two ends."""
    text = (
        "Ch 8\nRnd 1: sc in 2nd ch from hook, 5 sc, 3 sc in last ch, on other side of chain: 5 sc, "
        "2 sc in last ch (16)\n"
        "Rnd 2: sc around (16)"
    )
    (one,) = converted(proof_read(text))
    assert one.piece is not None
    assert (one.piece.start, one.piece.foundation, one.piece.ends) == (Start.CHAIN, 8, (1, 3, 2))


def test_a_page_that_does_not_add_up_is_no_piece_and_says_where() -> None:
    """Rounds that do not use the stitches that are there make no piece; the reason names the round."""
    (one,) = converted(proof_read("Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 5 (10)"))
    assert one.piece is None
    assert "round 2 must use the 6 stitches" in one.reason


def test_heights_are_kept_and_what_has_none_is_told() -> None:
    """Stitches of several heights stay as they are; a treble is taken as single crochet, and told."""
    page = "Rnd 1: 6 sc in MR (6)\nRnd 2: 2 hdc in each st (12)\nRnd 3: 4 sl st, 2 sc, 4 dc, 2 "
    (kept,), (told,) = (converted(proof_read(f"{page}{last} (12)")) for last in ("sc", "tr"))
    assert kept.piece is not None
    assert kept.notes == ()
    assert kept.piece.rounds[1].stitches == (Stitch.HDC_INC,) * 6
    assert kept.piece.rounds[2].runs == [(Stitch.SLST, 4), (Stitch.SC, 2), (Stitch.DC, 4), (Stitch.SC, 2)]
    assert "tr taken as single crochet" in told.notes[0]
    (loops,) = converted(proof_read(f"{page}sc (12)\nRnd 4: in BLO, 12 sc (12)"))
    assert "not known" in loops.notes[0]


def test_a_chain_is_not_written_yet_or_reads_back() -> None:
    """A piece along a chain either reads back from what is written, or the writer says that it can't."""
    piece = Piece(Start.CHAIN, 8, (Round.plain(16), Round.plain(16)), Finish.OPEN)
    try:
        text = "\n".join(line.text for line in write_rounds(piece))
    except InputError:
        return
    proof = proof_read(text)
    assert proof.clean
    assert next(line.made for line in proof.lines if line.made is not None) == 16


@pytest.mark.parametrize("spelled", [False, True])
def test_the_rewriting_of_a_rewriting_is_the_same(spelled: bool) -> None:
    """Written anew twice, rounds do not change any more."""
    text = "Rnd 1: 6 sc in MR (6)\nRnd 2: 2 sc in each (12)\nRnd 3: *sc, 2 sc in next* around (18)"
    (first,) = converted(proof_read(text))
    assert first.piece is not None
    written = "\n".join(line.text for line in write_rounds(first.piece, spelled=spelled))
    (second,) = converted(proof_read(written))
    assert second.piece is not None
    assert second.piece.rounds == first.piece.rounds
