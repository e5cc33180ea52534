"""Size against gauge: the curve, what was asked for, where it is hit, and words that can be read."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text
from numpy.testing import assert_allclose

from viz.tuning import draw_size_against_gauge

STITCHES = np.linspace(50, 5, 400)
SIZE = 1800.0
"""Stitches to 10 cm times the size in mm, of an invented part: 90 mm at 20 stitches."""


def page(*targets: float, here: float = 20.0, measure: str = "height when stuffed") -> Axes:
    """Return the picture of a part whose size is inverse to the stitches to 10 cm."""
    return draw_size_against_gauge(
        STITCHES, SIZE / STITCHES, here=here, targets=targets, measure=measure, title="Mooring post"
    )


def labels(ax: Axes) -> list[str]:
    """Return what stands beside the frame, lowest first."""
    ax.figure.draw_without_rendering()
    boxes = [(Text.get_window_extent(text), text.get_text()) for text in ax.texts]
    beside = [(box.y0, words) for box, words in boxes if box.x0 > ax.get_window_extent().x1]
    return [words for _, words in sorted(beside)]


def test_lines_lie_at_the_sizes_and_dots_where_they_are_hit() -> None:
    """Each size asked for has a dashed line at its height and a dot on the curve, told in words."""
    ax = page(120.0, 60.0)
    across = [line.get_ydata() for line in ax.lines if line.is_dashed() and list(line.get_xdata()) == [0, 1]]
    assert_allclose(across, [[60, 60], [120, 120]])
    dots = [line.get_xydata()[0] for line in ax.lines if line.get_marker() == "o"]
    assert_allclose(dots, [[SIZE / 60, 60], [SIZE / 120, 120]], rtol=1e-3)
    assert labels(ax) == ["asked for 60 mm: 30.0 stitches", "asked for 120 mm: 15.0 stitches"]


def test_gauges_in_either_order() -> None:
    """The order of the gauges that are given is of no account."""
    ax = draw_size_against_gauge(
        STITCHES[::-1], SIZE / STITCHES[::-1], here=20, targets=[75], measure="width", title="Mooring post"
    )
    assert labels(ax) == ["asked for 75 mm: 24.0 stitches"]


def test_a_size_beyond_the_curve_has_a_line_and_no_dot() -> None:
    """No gauge is told for it, and the picture reaches as far as it."""
    ax = page(500.0)
    assert not [line for line in ax.lines if line.get_marker() == "o"]
    assert labels(ax) == ["asked for 500 mm"]
    assert ax.get_ylim()[1] > 500


def test_axes_tell_what_they_are() -> None:
    """A volume is in millilitres; the curve is the one that was given; the part's own gauge is marked."""
    ax = page(90.0, measure="volume when stuffed")
    assert ax.get_ylabel() == "volume when stuffed [ml]"
    assert "asked for 90 ml: 20.0 stitches" in labels(ax)
    assert_allclose(ax.lines[0].get_xydata(), np.column_stack([STITCHES, SIZE / STITCHES]))
    assert [20.0, 20.0] in [list(line.get_xdata()) for line in ax.lines if line.is_dashed()]
    assert ax.figure.texts[0].get_text() == "Mooring post"


@pytest.mark.parametrize(
    ("targets", "here"),
    [
        ((120.0,), 20.0),
        ((60.0, 61.0, 62.0, 355.0, 356.0, 358.0), 49.0),
        ((36.2, 36.4), 5.2),
        (tuple(np.linspace(40, 340, 60)), 20.0),
    ],
)
def test_words_are_large_and_apart(
    targets: tuple[float, ...], here: float, assert_readable: Callable[[Figure], None]
) -> None:
    """Words of sizes close to each other, at either end, and of very many, lie apart on the page."""
    assert_readable(page(*targets, here=here).figure)
