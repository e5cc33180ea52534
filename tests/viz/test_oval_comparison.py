"""The picture of an oval beside its drawing, read off what is drawn."""

from collections.abc import Iterator

import numpy as np
import pytest
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from solver.form.views import View
from viz.oval_comparison import draw_oval_comparison


def stadium(length: float, width: float) -> np.ndarray:
    """Return two half circles joined by straight sides, (k, 2)."""
    angle = np.linspace(-np.pi / 2, np.pi / 2, 31)
    end = np.column_stack([(length - width) / 2 + width / 2 * np.cos(angle), width / 2 * np.sin(angle)])
    return np.concatenate([end, -end])


def view(wanted: tuple[float, float], got: tuple[float, float]) -> View:
    """Return a view of two stadiums."""
    return View(stadium(*wanted), stadium(*got), 1.0, 2.0)


VIEWS = {
    "front": view((120, 40), (116, 42)),
    "side": view((50, 40), (48, 42)),
    "plan": view((120, 50), (116, 48)),
}
SECTIONS = [(5, stadium(90, 24)), (10, stadium(116, 48))]


@pytest.fixture(scope="module")
def axes() -> Iterator[list[Axes]]:
    """Return the drawn axes."""
    rows = [("length", 120.0, 116.0), ("width", 50.0, 48.0), ("height", 40.0, 42.0)]
    drawn = draw_oval_comparison(VIEWS, SECTIONS, rows, title="A hull (invented)")
    yield drawn
    plt.close("all")


def span(points: np.ndarray) -> tuple[float, float]:
    """Return width and height."""
    return float(np.ptp(points[:, 0])), float(np.ptp(points[:, 1]))


def test_each_view_has_the_form_and_the_drawing_in_their_sizes(axes: list[Axes]) -> None:
    """The filled outline is the form's, the dashed one the drawing's, as long and as high as they are."""
    sizes = {("front", 0): (116, 42), ("front", 1): (120, 40), ("plan", 0): (116, 48), ("plan", 1): (120, 50)}
    for ax, name in zip(axes, ("front", "plan", "side"), strict=True):
        (filled,) = [patch for patch in ax.patches if isinstance(patch, Polygon)]
        dashed = ax.lines[-1].get_xydata()
        for number, points in enumerate((filled.get_xy(), dashed)):
            wanted = sizes.get((name, number), ((48, 42), (50, 40))[number])
            assert span(points) == pytest.approx(wanted)


def test_sections_are_drawn_in_their_sizes_from_above_alone(axes: list[Axes]) -> None:
    """Each section is one line in the view from above, with its number on it."""
    front, plan, side = axes
    assert [len(ax.lines) for ax in (front, plan, side)] == [1, 3, 1]
    assert [span(line.get_xydata()) for line in plan.lines[:2]] == [
        pytest.approx((90, 24)),
        pytest.approx((116, 48)),
    ]


def test_all_views_have_one_scale(axes: list[Axes]) -> None:
    """A millimetre is as long in each view, along and up."""
    scales = []
    for ax in axes:
        box = ax.get_window_extent()
        scales += [box.width / np.ptp(ax.get_xlim()), box.height / np.ptp(ax.get_ylim())]
    assert scales == pytest.approx([scales[0]] * 6)


def test_sizes_and_sections_stand_in_the_tables(axes: list[Axes]) -> None:
    """Length and width of every section are told, in millimetres and inches, and the sizes with them."""
    words = " ".join(text.get_text() for ax in axes[0].figure.axes for text in ax.texts)
    for told in ("120.0 mm", "116.0 mm", "round 5", "90 mm\n3 1/2 in", "24 mm\n15/16 in", "round 10"):
        assert told in words


def test_numbers_stand_on_the_lines_of_their_sections(axes: list[Axes]) -> None:
    """All sections are numbered, those that lie close together too."""
    numbers = {text.get_text(): text.get_position() for text in axes[1].texts}
    assert set(numbers) == {"5", "10"}
    for number, ring in SECTIONS:
        x, y = numbers[str(number)]
        assert y == pytest.approx(-np.ptp(ring[:, 1]) / 2)
        assert abs(x) < np.ptp(SECTIONS[0][1][:, 0]) / 2


def test_the_words_of_a_narrow_view_do_not_run_into_the_table() -> None:
    """Over a view of a long, thin part the words end before the tables begin."""
    thin = {
        "front": view((220, 12), (218, 12)),
        "side": view((12, 12), (12, 12)),
        "plan": view((220, 12), (218, 12)),
    }
    drawn = draw_oval_comparison(thin, SECTIONS, [("length", 220.0, 218.0)])
    side, figure = drawn[2], drawn[2].figure
    table = min(ax.get_window_extent().x0 for ax in figure.axes if ax not in drawn)
    figure.canvas.draw()
    assert side._left_title.get_window_extent().x1 < table
    plt.close("all")
