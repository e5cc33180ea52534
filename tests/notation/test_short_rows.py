"""Rows that turn early, read: what they leave is there again when a later row comes by."""

from __future__ import annotations

from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.rounds import Start

HEEL = """Heel of a stocking (invented)

Ch 11.
Row 1 (RS): sc in 2nd ch from hook and in each ch across; ch 1, turn (10)
Row 2: 10 sc; ch 1, turn (10)
Row 3: 6 sc, leave the last 4 sts unworked; ch 1, turn (6)
Row 4: 6 sc; ch 1, turn (6)
Row 5: 6 sc, then sc in the 4 unworked sts; ch 1, turn (10)
Row 6: 10 sc (10)
Fasten off.
"""


def test_stitches_that_a_row_leaves_are_there_for_the_row_after_the_next() -> None:
    """All lines are sound, and the piece tells what each row leaves."""
    proof = proof_read(HEEL)
    assert proof.clean
    assert [line.available for line in proof.lines[1:]] == [10, 10, 6, 10, 10]
    (one,) = converted(proof)
    assert one.piece is not None
    assert one.piece.start is Start.ROWS
    assert one.piece.left == (0, 0, 4, 0, 0, 0)


def test_a_row_that_stops_short_without_a_word_is_told() -> None:
    """Nobody knows that it was meant."""
    proof = proof_read(HEEL.replace(", leave the last 4 sts unworked", ""))
    assert "4 left over" in proof.lines[2].problems[0].message


def test_more_than_was_left_is_told() -> None:
    """Row 5 has ten stitches before it, not eleven."""
    proof = proof_read(
        HEEL.replace("then sc in the 4", "then sc in the 5").replace("turn (10)\nRow 6", "turn (11)\nRow 6")
    )
    assert any(line.problems for line in proof.lines[4:])


def test_rounds_that_are_turned_along_a_chain_are_no_rows() -> None:
    """A chain worked along both sides stays an oval."""
    oval = (
        "Ch 6.\nRnd 1: inc in 2nd ch from hook, 3 sc, 4 sc in last ch, on the other side 3 sc, inc in last ch"
    )
    proof = proof_read(oval + " (14)\nRnd 2: 14 sc (14)\n")
    (one,) = converted(proof)
    assert one.piece is None or one.piece.start is not Start.ROWS
