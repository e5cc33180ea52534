"""The check picture shows what was read where it was read."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.testing import assert_allclose

from solver.tracing.trace import Seen
from viz.trace import draw_trace

SQUARE = np.array([[10.0, -10.0], [40.0, -10.0], [40.0, -50.0], [10.0, -50.0]])
SEEN = Seen((SQUARE,), SQUARE + 1, np.array([[25.0, -50.0], [25.0, -10.0]]), "px")
PICTURE = np.tile(np.linspace(0, 1, 80, dtype=np.float32)[None, :, None], (60, 1, 3))


def line_colours(axes: Axes) -> set[object]:
    """Return the colours of the lines."""
    return {line.get_color() for line in axes.lines}


def test_pixels_lie_under_their_lines() -> None:
    """The picture's first pixel has its middle at (0, 0), and its rows go downward; nothing is cut off."""
    axes = draw_trace(replace(SEEN, picture=PICTURE), title="gull.png")
    (image,) = axes.images
    assert_allclose(image.get_extent(), [-0.5, 79.5, -59.5, 0.5])
    assert_allclose([axes.get_xlim(), axes.get_ylim()], [[-0.5, 79.5], [-59.5, 0.5]])


def test_lines_are_shown_and_told() -> None:
    """What was read is closed; a key names it, the outline and the axis, which differ in more than colour."""
    axes = draw_trace(SEEN)
    read, used, axis = axes.lines
    assert_allclose(read.get_xydata(), np.vstack([SQUARE, SQUARE[:1]]))
    assert_allclose(used.get_xydata(), SEEN.used)
    assert_allclose(np.asarray(axis.get_xydata()).mean(axis=0), SEEN.axis.mean(axis=0))
    assert len({line.get_linestyle() for line in (read, used)}) == 2
    (legend,) = axes.figure.legends  # type: ignore[union-attr]
    assert [text.get_text() for text in legend.get_texts()] == [
        "what was read",
        "the outline that came of it",
        "its axis",
    ]


def test_lines_beyond_the_picture_are_not_cut_off() -> None:
    """The mirrored side of a half that was drawn at the picture's edge is shown."""
    axes = draw_trace(replace(SEEN, picture=PICTURE, used=SEEN.used - [30, 0]))
    assert axes.get_xlim()[0] <= -19


def test_millimetres_are_named() -> None:
    """Drawings and models have axes in millimetres."""
    axes = draw_trace(replace(SEEN, unit="mm"))
    assert (axes.get_xlabel(), axes.get_ylabel()) == ("mm", "mm")


def test_given_axes_are_used() -> None:
    """Axes that are given are drawn on and returned."""
    given = Figure().add_subplot()
    assert draw_trace(SEEN, ax=given) is given


@pytest.mark.parametrize("shape", [(1, 1), (30, 1), (1, 30)])
def test_pages_of_every_shape(shape: tuple[int, int]) -> None:
    """Tall and wide drawings fit on a page."""
    wide = replace(SEEN, read=(SQUARE * shape,), used=SEEN.used * shape, axis=SEEN.axis * shape)
    width, height = draw_trace(wide).figure.get_size_inches()
    assert 2 < width < 9
    assert 2 < height < 10
