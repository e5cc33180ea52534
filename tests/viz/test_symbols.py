"""The symbols of charts, one by one, against the published tables.

JIS L 0201 (symbols for knitting and crochet) and the Craft Yarn Council's symbols: chain an open oval,
slip stitch a filled dot, single crochet a cross, half double crochet a T, double crochet a T with a bar on
its post, increases from one foot, decreases to one head. From memory: neither was re-read.
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.errors import InputError
from solver.partfile import load
from solver.rounds import Stitch
from solver.solving.solved import solve
from viz.chart import draw_chart, goes_round
from viz.symbols import CHAIN, SYMBOLS


def crossings(strokes: tuple) -> int:
    """Return how many pairs of strokes cross inside both."""
    found = 0
    for i, (a, b) in enumerate(strokes):
        for c, d in strokes[i + 1 :]:
            m = np.array([np.subtract(b, a), np.subtract(c, d)]).T
            if abs(np.linalg.det(m)) < 1e-9:
                continue
            s, t = np.linalg.solve(m, np.subtract(c, a))
            found += bool(0.05 < s < 0.95 and 0.05 < t < 0.95)
    return found


def ends_at(strokes: tuple, place: tuple[float, float]) -> int:
    """Return how many strokes end at a place."""
    return sum(any(np.allclose(end, place) for end in stroke) for stroke in strokes)


def test_chain_is_an_open_oval_and_slip_stitch_a_dot() -> None:
    """As both tables have them."""
    assert (CHAIN.oval, CHAIN.dot, CHAIN.strokes) == (True, False, ())
    assert (SYMBOLS[Stitch.SLST].dot, SYMBOLS[Stitch.SLST].strokes) == (True, ())


def test_single_crochet_is_a_cross() -> None:
    """Two strokes that cross."""
    strokes = SYMBOLS[Stitch.SC].strokes
    assert len(strokes) == 2
    assert crossings(strokes) == 1


@pytest.mark.parametrize(("stitch", "bars"), [(Stitch.HDC, 0), (Stitch.DC, 1)])
def test_tall_stitches_are_t_with_bars(stitch: Stitch, bars: int) -> None:
    """A post, a cap, and a bar for each yarn over but the first."""
    post, cap, *across = SYMBOLS[stitch].strokes
    assert post[0][0] == post[1][0] == 0
    assert cap[0][1] == cap[1][1] == post[1][1]
    assert len(across) == bars
    assert crossings(SYMBOLS[stitch].strokes) == bars


@pytest.mark.parametrize(("stitch", "many"), [(Stitch.INC, 2), (Stitch.INC3, 3)])
def test_increases_have_their_crosses_on_one_foot(stitch: Stitch, many: int) -> None:
    """One post and one cross for each stitch made."""
    strokes = SYMBOLS[stitch].strokes
    assert ends_at(strokes, (0.0, 0.05)) == many
    assert len(strokes) == 3 * many


@pytest.mark.parametrize(("stitch", "many"), [(Stitch.DEC, 2), (Stitch.DEC3, 3)])
def test_decreases_have_their_crosses_under_one_head(stitch: Stitch, many: int) -> None:
    """One post and one cross for each stitch taken together."""
    strokes = SYMBOLS[stitch].strokes
    assert ends_at(strokes, (0.0, 0.98)) == many
    assert len(strokes) == 3 * many


@pytest.mark.parametrize(
    ("stitch", "foot"), [(Stitch.HDC_INC, 1), (Stitch.DC_INC, 1), (Stitch.HDC_DEC, 0), (Stitch.DC_DEC, 0)]
)
def test_tall_increases_and_decreases(stitch: Stitch, foot: int) -> None:
    """Two posts from one foot, or to one head."""
    place = (0.0, 0.08) if foot else (0.0, 0.92)
    assert ends_at(SYMBOLS[stitch].strokes, place) == 2


def test_every_stitch_has_its_own_symbol() -> None:
    """Told by shape, not by colour."""
    assert set(SYMBOLS) == set(Stitch)
    assert len({(each.strokes, each.dot) for each in SYMBOLS.values()}) == len(SYMBOLS)


def test_left_hand_is_the_mirror_image() -> None:
    """Stroke by stroke."""
    piece = solve(load("samples/puffin-foot.toml")).piece
    right, left = (draw_chart(piece, left=hand).axes[0].lines[0].get_xydata() for hand in (False, True))
    assert np.allclose(np.array(right) * [-1, 1], np.array(left), equal_nan=True)


def test_a_chart_has_every_stitch_and_every_number() -> None:
    """A flat oval: strokes, numbers, chains."""
    piece = solve(load("samples/puffin-foot.toml")).piece
    axes = draw_chart(piece).axes[0]
    strokes = sum(len(SYMBOLS[stitch].strokes) for this in piece.rounds for stitch in this.stitches)
    assert np.isnan(axes.lines[0].get_xdata()).sum() == strokes
    assert [text.get_text() for text in axes.texts] == [str(n) for n in range(1, len(piece.rounds) + 1)]
    assert len(axes.patches) == piece.foundation - 1


def test_shaped_bodies_are_rows_with_their_counts() -> None:
    """Where rounds stop growing they are unrolled."""
    piece = solve(load("samples/gull-head.toml")).piece
    assert goes_round(piece, 1, 5)
    assert not goes_round(piece, 1, 20)
    texts = [text.get_text() for text in draw_chart(piece, first=9, last=12).axes[0].texts]
    assert texts == [word for n in range(9, 13) for word in (str(n), f"({piece.counts[n - 1]})")]


def test_rounds_that_are_not_there_are_refused() -> None:
    """With the rounds that there are."""
    piece = solve(load("samples/puffin-foot.toml")).piece
    with pytest.raises(InputError, match="1 to 4"):
        draw_chart(piece, first=3, last=9)
