"""What is said of solved ovals."""

from solver.advice.oval_notes import pucker_note
from solver.rounds import Finish
from solver.rounds.along_chain import oval_piece


def test_a_large_edge_gathers_where_it_is_drawn_to_a_point() -> None:
    """Over twelve stitches at the end are told to gather, of a part drawn to a point alone."""
    long, short = (oval_piece(chain, [4, 7, 4, 2], finish=Finish.CINCHED) for chain in (9, 6))
    assert "has 16 stitches, 12 of them on the straight sides" in pucker_note(long)
    assert "drawn to a point they gather" in pucker_note(long)
    assert pucker_note(short) == ""
    assert pucker_note(oval_piece(9, [4, 7, 4, 2], finish=Finish.SEAMED)) == ""
