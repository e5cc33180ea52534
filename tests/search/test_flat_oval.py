"""Flat ovals: their sizes in steps of rows, and whether they lie flat."""

from itertools import pairwise

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solver.errors import InputError
from solver.search.flat_oval import LastRound, flat_oval, flatness

GAUGES = [(5.0, 4.55), (5.56, 5.0), (4.17, 3.85), (3.85, 3.57)]


@pytest.mark.parametrize(("w", "h"), GAUGES)
def test_sole_meets_its_sizes(w: float, h: float) -> None:
    """A sole of 90 x 40 mm is met within 3 % or half a stitch along, half a row across, and lies flat."""
    sole = flat_oval(length=90, width=40, stitch_width=w, row_height=h)
    assert abs(sole.length - 90) <= max(0.03 * 90, w / 2)
    assert abs(sole.width - 40) <= max(0.03 * 40, h / 2)
    assert sole.flatness.word == "lies flat"


def test_last_round_halves_the_step() -> None:
    """All widths of a range are met within half a row, by half doubles where they serve."""
    used = set()
    for width in np.arange(20.0, 60.0, 0.5).tolist():
        sole = flat_oval(length=90, width=width, stitch_width=5.0, row_height=4.55)
        assert abs(sole.width - width) <= 4.55 / 2 + 1e-9
        used.add(sole.last)
    assert used == {LastRound.PLAIN, LastRound.TALL}


def test_trades_oval_ruffles_at_four_and_lies_flat_at_three() -> None:
    """Of 8 worked chains 18, 24, 30, 36 lies flat at 20 x 22 over 10 cm and 20, 28, 36, 44 ruffles."""
    threes = flat_oval(length=71.4, width=36.4, stitch_width=5.0, row_height=4.55, chain=9, end=3)
    fours = flat_oval(length=71.4, width=36.4, stitch_width=5.0, row_height=4.55, chain=9, end=4)
    assert threes.piece.counts == (18, 24, 30, 36)
    assert fours.piece.counts == (20, 28, 36, 44)
    assert threes.flatness.word == "lies flat"
    assert fours.flatness.word == "ruffles"
    assert "5.4 to 6.3 lie flat" in fours.flatness.note


@pytest.mark.parametrize(("w", "h"), GAUGES)
@pytest.mark.parametrize("width", [20, 40, 80])
def test_flat_ovals_grow_by_one_number_all_the_way(w: float, h: float, width: float) -> None:
    """Every round has as many increases as the others, and both its halves are the same words."""
    sole = flat_oval(length=100, width=width, stitch_width=w, row_height=h)
    assert len({after - before for before, after in pairwise(sole.piece.counts)}) <= 1
    assert sole.flatness.word == "lies flat"
    for this in sole.piece.rounds:
        half = len(this.stitches) // 2
        assert this.stitches[:half] == this.stitches[half:]


def test_where_no_one_number_lies_flat_the_piece_does() -> None:
    """Rows of 0.8 of a stitch ask for 2.5 in each end: twos cup, threes ruffle, both by turns lie flat."""
    sole = flat_oval(length=100, width=64, stitch_width=5.0, row_height=4.0)
    assert sole.flatness.word == "lies flat"
    ends = np.array(sole.piece.counts) // 2 - sole.piece.side
    assert set(np.diff(ends[1:]).tolist()) == {2, 3}


@pytest.mark.parametrize(("multiple", "ends"), [(2, (4, 6, 8, 10)), (3, (3, 6, 9, 12)), (4, (4, 8, 12, 16))])
def test_flat_ovals_keep_a_multiple(multiple: int, ends: tuple[int, ...]) -> None:
    """The stitches of each end are multiples, as near to what lies flat as these can be."""
    sole = flat_oval(length=90, width=36.4, stitch_width=5.0, row_height=4.55, multiple=multiple)
    assert tuple(count // 2 - sole.piece.side for count in sole.piece.counts) == ends


def test_flat_number_is_the_circles() -> None:
    """Stitches more a round that lie flat are round 2 pi h / w, those of a flat circle (geometry)."""
    told = flatness((4, 7, 10, 13), stitch_width=5.0, row_height=4.55)
    circle = 2 * np.pi * 4.55 / 5.0
    assert_allclose(told.ratio * circle, told.more)
    assert told.least < circle < told.most


def test_too_narrow_or_turned_is_refused() -> None:
    """An oval broader than long, or narrower than a round, is refused."""
    with pytest.raises(InputError, match="as long as wide"):
        flat_oval(length=30, width=40, stitch_width=5.0, row_height=4.55)
    with pytest.raises(InputError, match="half a round wide"):
        flat_oval(length=30, width=2, stitch_width=5.0, row_height=4.55)
