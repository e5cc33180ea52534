"""Rows from a drawn outline: whole stitches at both edges, plain to read, the same when read again."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.errors import InputError
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.notation.writer import write_rounds
from solver.partfile import read
from solver.rounds import Finish, Start
from solver.search.flat_plan import row_of
from solver.solving.solved import Solved, solve

GAUGE = '[gauge]\nstitches = 20\nrows = 22\n[shape]\nkind = "flat"\nworked = "rows"\n'
BALL = '[gauge]\nstitches = 20\nrows = 22\n[shape]\nkind = "ball"\nwidth = 60\n'
WING = GAUGE + "points = [[12, 0], [20, 25], [16, 60], [3, 90]]\n"
SWEPT = GAUGE + "left = [[10, 0], [30, 50], [20, 90]]\nright = [[10, 0], [2, 50], [-12, 90]]\n"
FOLDED = '[work]\nfinish = "seamed"\n'


def solved(text: str) -> Solved:
    """Solve a part file."""
    return solve(read(text, file="wing.toml", title="Wing"))


@pytest.mark.parametrize("text", [WING, SWEPT, WING + FOLDED], ids=["wing", "swept", "folded"])
def test_edges_lie_within_half_a_stitch_of_the_drawing(text: str) -> None:
    """On average within a quarter, at the most one stitch; length within half a row."""
    one = solved(text)
    assert one.piece.start is Start.ROWS
    assert one.rms < 0.3 * 5.0
    assert one.greatest < 5.0
    assert one.got.length == pytest.approx(one.wanted.length, abs=2.3)
    assert np.ptp(one.form.points[:, 2]) < 0.05


def test_a_folded_piece_is_its_outline_twice() -> None:
    """The second layer has the rows of the first, from the fold back."""
    one = solved(WING + FOLDED)
    assert one.piece.finish is Finish.SEAMED
    assert one.piece.counts == one.piece.counts[::-1]
    assert one.got.length == pytest.approx(solved(WING).got.length)


@settings(max_examples=25, deadline=None)
@given(
    half=st.lists(st.floats(0, 40), min_size=2, max_size=5),
    height=st.floats(20, 150),
    folded=st.booleans(),
    terms=st.sampled_from(["US", "UK", "de", "fr", "es", "pt", "nl", "ru"]),
)
def test_written_rows_are_read_again_without_loss(
    half: list[float], height: float, folded: bool, terms: str
) -> None:
    """Any outline: its rows follow each other, and are the same work read back in any language."""
    points = [
        [round(r, 2), round(z, 2)] for r, z in zip(half, np.linspace(0, height, len(half)), strict=True)
    ]
    ends = FOLDED if folded else ""
    try:
        one = solved(GAUGE + f'points = {points}\nbetween = "straight"\n{ends}')
    except InputError:  # no row that a stitch fits into, or edges that grow too fast
        return
    lines = write_rounds(one.piece, terms=terms, stuffed=False)
    proof = proof_read("\n".join(line.text for line in lines))
    assert proof.clean
    (again,) = converted(proof)
    if len(one.piece.rounds) > 1 or one.piece.foundation > 1:
        assert again.piece == one.piece


@pytest.mark.parametrize(
    ("there", "first", "last", "made"), [(1, 1, 1, 3), (3, -1, -1, 1), (8, 2, -2, 8), (2, -1, -1, None)]
)
def test_narrow_rows_are_worked_or_refused(there: int, first: int, last: int, made: int | None) -> None:
    """A row uses what is there and moves its edges, or there is none."""
    row = row_of(there, first, last)
    assert (row.count if row else None) == made
    assert row is None or row.uses == there


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (GAUGE, "has points, or both left and right"),
        (GAUGE + "points = [[2, 0], [2, 3]]", "at least a row high"),
        (GAUGE + "points = [[0, 0], [15, 30], [0, 60]]\n" + FOLDED, "where it folds"),
        (WING + '[work]\nring = 6\n', "is worked in rows"),
        (WING + '[work]\nfinish = "cinched"\n', "folded and sewn"),
        (WING.replace("[20, 25]", "[20, -5]"), "height"),
        (BALL + '[work]\nworked = "rows"\n', "only a flat piece"),
    ],
)  # fmt: skip
def test_faults_are_told(text: str, told: str) -> None:
    """Each is a message about the part file."""
    with pytest.raises(InputError, match=told):
        solved(text)


def test_sections_are_as_wide_as_their_stitches() -> None:
    """A row of one stitch is a stitch wide and a row long."""
    piece = solved(GAUGE + "points = [[12, 0], [16, 20], [1, 50]]\n")
    last, w = piece.sections[-1], piece.part.gauge.stitch_width
    assert piece.piece.counts[-1] == 1
    assert (last.length, last.width) == pytest.approx((piece.part.gauge.row_height, w))
    assert piece.sections[0].width == pytest.approx(piece.piece.counts[0] * w, rel=0.05)
