"""The cards of the named shapes: every size is drawn where it is measured, as long as it is."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.figure import Figure
from numpy.testing import assert_allclose

from solver.wanted.shapes import named_shapes
from viz.shapes import draw_shape, size_arrows

SHAPES = named_shapes()
# Outlines are fine polylines: a size read off one is a little short.
POLYLINE = 2e-3


@pytest.mark.parametrize("name", SHAPES)
def test_arrows_are_as_long_as_the_sizes_of_the_example(name: str) -> None:
    """Widths are measured across, heights along the axis."""
    shape = SHAPES[name]
    arrows = size_arrows(shape)
    for size, length in shape.example.items():
        arrow = arrows[size]
        axis = 1 if arrow.side in ("left", "right") else 0
        assert_allclose(abs(arrow.end[axis] - arrow.start[axis]), length, rtol=POLYLINE)


def test_sizes_that_are_left_out_are_drawn_where_the_shape_puts_them() -> None:
    """As their meanings say: 0.42 of an egg's height, half a pear's width, 0.6 of a bell's, half a dome's."""
    expected = {
        ("egg", "widest"): 0.42 * 80,
        ("pear", "top_width"): 0.5 * 60,
        ("bell", "crown"): 0.6 * 80,
        ("dome", "rise"): 36 / 2,
    }
    for (name, size), length in expected.items():
        arrow = size_arrows(SHAPES[name])[size]
        axis = 1 if arrow.side == "left" else 0
        assert_allclose(abs(arrow.end[axis] - arrow.start[axis]), length, rtol=0.02)


@pytest.mark.parametrize("name", SHAPES)
def test_every_size_is_named_in_the_drawing_and_explained_below(name: str) -> None:
    """As it is typed in a part file."""
    shape = SHAPES[name]
    ax = draw_shape(shape)
    labels = [text.get_text() for text in ax.texts]
    below = ax.figure.texts[-1].get_text()
    for size in [*shape.needed, *shape.optional]:
        assert any(label.startswith(f"{size}\n") for label in labels)
        assert f"{size}: " in below


@pytest.mark.parametrize("name", SHAPES)
def test_all_words_of_a_card_can_be_read(name: str, assert_readable: Callable[[Figure], None]) -> None:
    """No words overlap or leave the card, none is below 11 points."""
    assert_readable(draw_shape(SHAPES[name]).figure)


def test_the_first_round_is_pointed_out_at_the_end_that_is_worked_first() -> None:
    """Below a ball; above a bell, which stands on its opening."""
    for name, above in (("ball", False), ("bell", True)):
        ax = draw_shape(SHAPES[name])
        (text,) = [text for text in ax.texts if text.get_text() == "first round here"]
        top = np.max([patch.get_xy()[:, 1].max() for patch in ax.patches])
        assert (text.get_position()[1] > top) == above
        assert (text.get_position()[1] < 0) != above


def test_a_shape_can_be_drawn_on_axes_of_ones_own() -> None:
    """The axes that are given come back."""
    ax = Figure().add_subplot()
    assert draw_shape(SHAPES["egg"], ax=ax) is ax
