"""The wanted outline over the stuffed form: what is drawn where, and what the table says."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.text import Annotation, Text
from numpy.testing import assert_allclose

from solver.form.rings import Form, RingFabric
from solver.wanted.outline import Outline
from solver.wanted.silhouette import deviation
from viz.comparison import draw_comparison
from viz.outlines import draw_outlines

# Silhouettes are drawn from the very points that are given.
ROUNDING = 1e-9
# The deviation is taken at a thousand places along the form, not at its very worst point.
SAMPLED = 0.02


def round_part(*, width: float, height: float, points: int = 401) -> np.ndarray:
    """Return an ellipse as radius and height, from pole to pole."""
    angle = np.linspace(0, np.pi, points)
    drawn = np.column_stack([width / 2 * np.sin(angle), height / 2 * (1 - np.cos(angle))])
    drawn[[0, -1], 0] = 0.0
    return drawn


def as_form(points: np.ndarray) -> Form:
    """Return a form with these rings; how it came about does not matter to its picture."""
    fabric = RingFabric(np.r_[0, np.ones(len(points) - 2), 0], np.ones(len(points) - 1), stitch_width=1.0)
    return Form(fabric, 0.01, points[:, 0], points[:, 1], residual=0.0, iterations=0, history=())


def page(wanted: np.ndarray, form: np.ndarray, **words: str) -> Axes:
    """Return the whole page for a wanted outline and a form."""
    outline = Outline(wanted)
    off, got = deviation(form, outline), as_form(form)
    sizes = [
        ("height", outline.height, got.size),
        ("width", outline.width, got.width),
        ("girth", outline.girth, np.pi * got.width),
        ("volume", outline.volume / 1000, got.volume / 1000),
    ]
    return draw_comparison(outline, form, off, sizes, **words)


def table(figure: Figure) -> list[str]:
    """Return the words of the table, row by row."""
    return [text.get_text() for text in figure.axes[1].texts]


def dashed(ax: Axes) -> list[np.ndarray]:
    """Return the lines that are dashed."""
    return [line.get_xydata() for line in ax.lines if line.is_dashed()]


def test_the_form_is_filled_over_its_whole_width_and_height() -> None:
    """The filled patch reaches as far as the form on both sides of the axis."""
    form = round_part(width=62, height=78)
    (patch,) = page(round_part(width=60, height=80), form).findobj(Polygon)
    low, high = patch.get_xy().min(axis=0), patch.get_xy().max(axis=0)
    assert_allclose(low, [-31, 1], rtol=ROUNDING)
    assert_allclose(high, [31, 79], rtol=ROUNDING)


def test_the_wanted_outline_is_one_dashed_line_round_both_sides() -> None:
    """It is the given outline and its mirror image."""
    wanted = round_part(width=60, height=80)
    (line,) = dashed(page(wanted, round_part(width=62, height=78)))
    assert_allclose(line[:401], wanted, rtol=ROUNDING)
    assert_allclose(line[401:], wanted[::-1] * [-1, 1], rtol=ROUNDING)


def test_open_ends_have_no_line_across() -> None:
    """A tube that is open at both ends is drawn as two lines, closed below as one up, over and down."""
    tube = np.array([[15.0, 0], [15, 100]])
    cup = np.array([[0.0, 0], [15, 0], [15, 100]])
    assert [len(line) for line in dashed(draw_outlines(Outline(tube), tube))] == [2, 2]
    (line,) = dashed(draw_outlines(Outline(cup), cup))
    assert_allclose(line[[0, -1]], [[-15, 100], [15, 100]], rtol=ROUNDING)


def test_form_and_wanted_are_drawn_aligned_at_mid_height() -> None:
    """A form that is 4 mm taller stands 2 mm out at either end."""
    ax = page(round_part(width=60, height=60), round_part(width=60, height=64))
    (patch,) = ax.findobj(Polygon)
    assert_allclose([patch.get_xy()[:, 1].min(), patch.get_xy()[:, 1].max()], [-2, 62], rtol=ROUNDING)


def test_a_form_that_dimples_in_at_its_poles_is_drawn() -> None:
    """Its heights go back, which no wanted outline may; it reaches from its lowest ring to the highest."""
    form = round_part(width=80, height=30)
    form[:40, 1] = form[40, 1] + 2 * (form[40, 1] - form[:40, 1])
    ax = page(round_part(width=80, height=30), form)
    (patch,) = ax.findobj(Polygon)
    assert_allclose(np.ptp(patch.get_xy()[:, 1]), np.ptp(form[:, 1]), rtol=ROUNDING)


def test_equal_lengths_look_equal() -> None:
    """A millimetre across takes as many pixels as a millimetre up."""
    for width, height in ((60, 60), (20, 240), (200, 16)):
        ax = page(round_part(width=width, height=height), round_part(width=width, height=height + 1))
        ax.figure.draw_without_rendering()
        corner, across, up = ax.transData.transform([[0, 0], [1, 0], [0, 1]])
        assert_allclose(across[0] - corner[0], up[1] - corner[1], rtol=1e-6)


def test_the_second_scale_counts_inches() -> None:
    """Both second axes reach 1/25.4 as far in number (the inch is 25.4 mm by definition: ISO 80000-3)."""
    ax = page(round_part(width=60, height=60), round_part(width=61, height=60))
    ax.figure.draw_without_rendering()
    above, beside = ax.child_axes
    assert_allclose(above.get_xlim(), np.array(ax.get_xlim()) / 25.4)
    assert_allclose(beside.get_ylim(), np.array(ax.get_ylim()) / 25.4)
    assert "mm" in ax.get_xlabel()
    assert "inches" in above.get_xlabel()


def test_the_worst_place_is_ringed_and_its_size_told() -> None:
    """An ellipse 64 wide in a circle of 60 is 2 mm out at its widest, on the level of the middle."""
    ax = page(round_part(width=60, height=60), round_part(width=64, height=60))
    (ring,) = [line for line in ax.lines if line.get_marker() == "o"]
    assert_allclose(ring.get_xydata(), [[32, 30]], atol=SAMPLED * 64)
    (label,) = [text for text in ax.texts if isinstance(text, Annotation)]
    assert label.get_text() == "2.00 mm"


def test_the_magnified_arrow_spans_the_deviation() -> None:
    """In the magnified square an arrow goes from the form straight to the wanted outline, 2 mm."""
    figure = page(round_part(width=60, height=60), round_part(width=64, height=60)).figure
    loupe = figure.axes[2]
    (arrow,) = [text for text in loupe.texts if isinstance(text, Annotation)]
    assert_allclose(np.hypot(*np.subtract(arrow.xy, arrow.xyann)), 2.0, rtol=SAMPLED)
    assert "2.00 mm" in loupe.get_title(loc="left")
    (low, high) = loupe.get_xlim()
    assert low < min(arrow.xy[0], arrow.xyann[0]) < max(arrow.xy[0], arrow.xyann[0]) < high


def test_the_magnification_told_is_the_one_drawn() -> None:
    """A millimetre in the square is as many times as long as in the drawing, as its title says."""
    ax = page(round_part(width=60, height=60), round_part(width=61, height=60))
    ax.figure.draw_without_rendering()
    loupe = ax.figure.axes[2]
    lengths = [np.ptp(axes.transData.transform([[0, 0], [1, 0]])[:, 0]) for axes in (ax, loupe)]
    assert f"drawn {lengths[1] / lengths[0]:.0f} times larger" in loupe.get_title(loc="left")


def test_the_table_tells_sizes_in_both_units_and_their_differences() -> None:
    """Balls of 2 in and 1.9 in: pi d round, and 4/3 pi r^3 inside."""
    words = table(page(round_part(width=50.8, height=50.8), round_part(width=48.26, height=48.26)).figure)
    assert words == [
        "", "wanted", "stuffed", "difference",
        "height", "50.8 mm\n2 in", "48.3 mm\n1 7/8 in", "−2.5 mm\n−5.0 %",
        "width", "50.8 mm\n2 in", "48.3 mm\n1 7/8 in", "−2.5 mm\n−5.0 %",
        "girth", "159.6 mm\n6 1/4 in", "151.6 mm\n6 in", "−8.0 mm\n−5.0 %",
        "volume", "68.6 ml", "58.9 ml", "−9.8 ml\n−14.3 %",
    ]  # fmt: skip


def test_no_difference_has_no_sign() -> None:
    """What rounds to nothing is neither above nor below."""
    same = round_part(width=60, height=60)
    assert table(page(same, same).figure)[7] == "0.0 mm\n0.0 %"


SIZES = [(70, 70), (16, 16), (30, 240), (12, 400), (160, 40), (300, 20), (500, 640), (60, 90)]


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_all_words_can_be_read_whatever_the_shape(
    width: float, height: float, assert_readable: Callable[[Figure], None]
) -> None:
    """No words overlap or leave the page, none is below 11 points, and the three drawings keep apart."""
    form = round_part(width=width * 1.02, height=height * 0.97)
    title, note = "Mooring buoy", "Sizes are to the middle of the fabric."
    ax = page(round_part(width=width, height=height), form, title=title, footnote=note)
    assert_readable(ax.figure)
    frames = [axes.get_window_extent() for axes in ax.figure.axes]
    for i, frame in enumerate(frames):
        assert not any(frame.overlaps(other) for other in frames[i + 1 :])


@pytest.mark.parametrize("where", [0.03, 0.3, 0.97])
def test_the_size_of_the_deviation_never_lies_over_the_part(where: float) -> None:
    """Its words stand right of both silhouettes, wherever the worst place is."""
    wanted = round_part(width=60, height=90)
    form = wanted.copy()
    bump = np.exp(-((np.linspace(0, 1, len(form)) - where) ** 2) / 0.002)
    form[:, 0] += 2 * bump * np.sin(np.linspace(0, np.pi, len(form)))
    form[:, 1] += (2 if where > 0.5 else -2) * bump * (abs(where - 0.5) > 0.4)
    ax = page(wanted, form)
    ax.figure.draw_without_rendering()
    (label,) = [text for text in ax.texts if isinstance(text, Annotation)]
    edge = ax.transData.transform((max(wanted[:, 0].max(), form[:, 0].max()), 0))[0]
    assert Text.get_window_extent(label).x0 > edge  # of the words, without the line that leads to them


def test_outlines_can_be_drawn_on_axes_of_ones_own() -> None:
    """The axes that are given are the axes that come back."""
    ax = Figure().add_subplot()
    ball = round_part(width=60, height=60)
    assert draw_outlines(Outline(ball), ball, ax=ax) is ax
