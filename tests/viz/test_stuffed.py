"""The stuffed form drawn: what covers what, its colours, numbers and scale bar."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from conftest import Part
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import PolyCollection, QuadMesh
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from numpy.testing import assert_allclose

from viz.camera import Camera
from viz.stitches import patches_of
from viz.stuffed import draw_stuffed
from viz.yarn import ON_EDGE, ROUND_THE_EDGE, stitch_polygons

RED, BLUE = np.array([0.9, 0.1, 0.1]), np.array([0.1, 0.1, 0.9])
# Patches are cut into polygons of 20 corners.
CUT = 0.01


def extent(ax: Axes) -> np.ndarray:
    """Return how far the drawn form reaches across and up. [mm]"""
    (form,) = ax.findobj(PolyCollection)
    return np.ptp(np.concatenate([path.vertices for path in form.get_paths()]), axis=0)


def pixel(polygons: np.ndarray, faces: np.ndarray, place: tuple[float, float]) -> np.ndarray:
    """Return the colour that is seen at a place when polygons are painted in their order."""
    figure = Figure(figsize=(1, 1), dpi=100)
    ax = figure.add_axes((0, 0, 1, 1))
    ax.axis("off")
    ax.add_collection(PolyCollection(list(polygons), facecolors=faces), autolim=False)
    ax.set(xlim=(place[0] - 0.5, place[0] + 0.5), ylim=(place[1] - 0.5, place[1] + 0.5))
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[50, 50, :3] / 255


def painted(
    part: Part, camera: Camera, red: np.ndarray, *, hollow: bool = False
) -> tuple[np.ndarray, np.ndarray]:
    """Return polygons of a part in red and blue, red where a (n,) array says so for its nodes."""
    patches = patches_of(*part)
    colours = np.where(red[patches.node, None], RED, BLUE)
    return stitch_polygons(patches, camera, colours, hollow=hollow)


def words(ax: Axes) -> list[str]:
    """Return all that is written on the axes."""
    return [text.get_text() for text in ax.texts]


def test_the_form_is_drawn_at_its_size(ball: Callable[..., Part]) -> None:
    """A ball of 70 mm takes 70 mm across and up, and equal lengths look equal."""
    ax = draw_stuffed(*ball(70, 21))
    assert_allclose(extent(ax), [70, 70], rtol=CUT)
    ax.figure.draw_without_rendering()
    corner, across, up = ax.transData.transform([[0, 0], [1, 0], [0, 1]])
    assert_allclose(across[0] - corner[0], up[1] - corner[1])


def test_half_the_stitches_of_a_ball_show_their_lobes(ball: Callable[..., Part]) -> None:
    """From the side half of a round is seen; a stitch there has a ground and six shapes for its lobes.

    Its ground is two tiles (round 1 has but one), and nine more where it is seen from its edge.
    """
    fabric, positions = ball(70, 21)
    camera = Camera(tilt=0)
    polygons, faces = painted((fabric, positions), camera, np.ones(len(positions), dtype=bool))
    patches = patches_of(fabric, positions)
    facing = patches.outward @ camera.frame[2]
    kept = facing > -ROUND_THE_EDGE
    tiles = 1 + (patches.round_number > 1) + 9 * (np.abs(facing) < ON_EDGE)
    grounds = tiles[kept].sum()
    pleats = fabric.piece.counts[-1] / 2
    assert len(polygons) == len(faces)
    assert (len(polygons) - grounds - pleats) / 6 == pytest.approx(sum(fabric.piece.counts) / 2, rel=0.02)


@pytest.mark.parametrize("tilt", [0.0, 25.0, -25.0])
def test_the_near_side_of_a_closed_part_hides_the_far_side(ball: Callable[..., Part], tilt: float) -> None:
    """All over the disc that is seen, the colour is that of the near half."""
    camera = Camera(tilt=tilt)
    part = ball(70, 21)
    nearness = camera.seen(part[1])[:, 2]
    _, up, middle = camera.seen(np.array([0.0, 0, 35]))
    polygons, faces = painted(part, camera, nearness > middle)
    for across in (-25, 0, 25):
        red, _, blue = pixel(polygons, faces, (across, up))
        assert red > 2 * blue


def test_the_inside_is_seen_through_an_open_end(tube: Callable[..., Part]) -> None:
    """Through the upper rim one sees the far wall, below the rim the near one; nothing shows through."""
    camera = Camera(tilt=30)
    part = tube(40, 100, 20, 24)
    polygons, faces = painted(part, camera, part[1][:, 1] < 0, hollow=True)
    rim = camera.seen(np.array([[0.0, -20, 100], [0, 20, 100]]))[:, 1]  # its near and its far edge
    for up, near in ((rim[0] - 5, True), (rim.mean(), False)):
        red, _, blue = pixel(polygons, faces, (0.0, up))
        assert (red > 2 * blue) == near
        assert (blue > 2 * red) != near


def test_a_bulge_hides_the_neck_behind_it(ball: Callable[..., Part]) -> None:
    """Where one stretch of a part covers another, the nearer is painted later."""
    fabric, positions = ball(70, 21)
    waisted = positions * [1, 1, 3]
    waisted[:, :2] *= 1 - 0.85 * np.exp(-(((waisted[:, 2:] - 105) / 25) ** 2))
    camera = Camera(tilt=60)
    polygons, faces = painted((fabric, waisted), camera, waisted[:, 2] > 105)
    low_edge = camera.seen(np.array([0.0, -20, 130]))[1]
    red, _, blue = pixel(polygons, faces, (0.0, low_edge))
    assert red > 2 * blue


def test_drawing_changes_nothing_that_it_was_given(ball: Callable[..., Part]) -> None:
    """Positions and stretch are the same afterwards."""
    fabric, positions = ball(70, 21)
    before, stretch = positions.copy(), np.linspace(0, 0.05, len(positions))
    draw_stuffed(fabric, positions, stretch=stretch)
    assert_allclose(positions, before, rtol=0)
    assert_allclose(stretch, np.linspace(0, 0.05, len(positions)), rtol=0)


def test_the_scale_bars_are_as_long_as_they_say(ball: Callable[..., Part]) -> None:
    """Below a ball of 70 mm stand a bar of 20 mm and one of an inch, 25.4 mm."""
    ax = draw_stuffed(*ball(70, 21))
    bars = [np.ptp(line.get_xdata()) for line in ax.lines if line.get_linewidth() > 3]
    assert_allclose(bars, [20, 25.4])
    assert words(ax)[-2:] == ["20 mm", "1 in"]


def test_rounds_are_numbered_where_their_stitches_end(tube: Callable[..., Part]) -> None:
    """On a tube seen from the side, round n of 20 over 100 mm ends at 5 n mm."""
    ax = draw_stuffed(*tube(60, 100, 20, 36), camera=Camera(tilt=0))
    numbers = {int(text.get_text().split()[1]): text.get_position()[1] for text in ax.texts[:-2]}
    assert len(numbers) >= 10
    for number, up in numbers.items():
        assert up == pytest.approx(5 * number)


def test_no_number_is_missing_between_those_that_are_told(ball: Callable[..., Part]) -> None:
    """Numbers go up in equal steps, even where the rounds near the poles of a ball crowd."""
    for diameter, rounds in ((70, 21), (127, 38), (50, 15)):
        ax = draw_stuffed(*ball(diameter, rounds))
        numbers = [int(text.get_text().split()[1]) for text in ax.texts[:-2]]
        assert len(numbers) >= 4
        assert len(set(np.diff(numbers))) == 1


def test_the_heading_tells_stitches_rounds_and_sizes(ball: Callable[..., Part]) -> None:
    """All that a maker asks first, in mm and inches."""
    fabric, positions = ball(70, 21)
    title, told = (text.get_text() for text in draw_stuffed(fabric, positions, title="Buoy").figure.texts)
    assert title == "Buoy"
    assert told.startswith(f"{sum(fabric.piece.counts)} stitches in 21 rounds\n70 mm (2 3/4 in) high")


def test_colours_by_stretch_are_told_by_a_bar_in_percent(ball: Callable[..., Part]) -> None:
    """Half the stitches at 1 %, half at 6 %: the bar reaches from one to the other and says what it is."""
    fabric, positions = ball(70, 21)
    ax = draw_stuffed(fabric, positions, stretch=np.where(positions[:, 2] < 35, 0.01, 0.06))
    (bar,) = ax.child_axes
    assert bar.get_ylabel() == "stretch of the fabric [%]"
    assert_allclose(bar.get_ylim(), [1.0, 6.0])


def test_a_slack_last_round_leaves_the_other_rounds_their_colours(ball: Callable[..., Part]) -> None:
    """Six at -30 % among hundreds from 2 to 3 % don't stretch the bar; its pointed end tells of them."""
    fabric, positions = ball(70, 21)
    stretch = 0.02 + 0.01 * positions[:, 2] / 70
    stretch[fabric.rings[-2]] = -0.3
    (bar,) = draw_stuffed(fabric, positions, stretch=stretch).child_axes
    low, high = bar.get_ylim()
    assert 2 <= low < high <= 3
    assert len(bar.findobj(PathPatch)) == 2


def test_colours_by_stretch_rise_in_lightness(ball: Callable[..., Part]) -> None:
    """More stretch is lighter all along, so grey prints tell the same (luminance of WCAG 2.1)."""
    fabric, positions = ball(70, 21)
    (bar,) = draw_stuffed(fabric, positions, stretch=positions[:, 2] / 1000).child_axes
    (shown,) = bar.findobj(QuadMesh)
    colours = shown.cmap(np.linspace(0, 1, 64))[:, :3]
    linear = np.where(colours <= 0.03928, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4)
    assert (np.diff(linear @ [0.2126, 0.7152, 0.0722]) > 0).all()


def test_even_stretch_is_no_great_difference(ball: Callable[..., Part]) -> None:
    """The bar spans half a percent at least, also where stretch is the same everywhere."""
    fabric, positions = ball(70, 21)
    (bar,) = draw_stuffed(fabric, positions, stretch=np.full(len(positions), 0.02)).child_axes
    assert_allclose(bar.get_ylim(), [1.75, 2.25])
    assert bar.findobj(PathPatch) == []


@pytest.mark.parametrize("stretched", [False, True])
@pytest.mark.parametrize("shape", ["ball", "small ball", "tall tube", "flat tube"])
def test_all_words_can_be_read_whatever_the_shape(
    shape: str,
    ball: Callable[..., Part],
    tube: Callable[..., Part],
    assert_readable: Callable[[Figure], None],
    *,
    stretched: bool,
) -> None:
    """No words overlap or leave the page, none is below 11 points."""
    make = {
        "ball": lambda: ball(70, 21),
        "small ball": lambda: ball(16, 4),
        "tall tube": lambda: tube(20, 300, 60, 12),
        "flat tube": lambda: tube(200, 20, 4, 120),
    }
    fabric, positions = make[shape]()
    stretch = positions[:, 2] / 5000 if stretched else None
    ax = draw_stuffed(fabric, positions, stretch=stretch, title="Mooring buoy, the large one")
    assert_readable(ax.figure)


def test_stitches_can_be_drawn_on_axes_of_ones_own(ball: Callable[..., Part]) -> None:
    """The axes that are given come back, with the form and its scale bar inside them."""
    ax = Figure(figsize=(6, 4)).add_axes((0.1, 0.1, 0.8, 0.8))
    assert draw_stuffed(*ball(70, 21), ax=ax) is ax
    (low_x, high_x), (low_y, high_y) = ax.get_xlim(), ax.get_ylim()
    assert low_x < -35 < 35 < high_x
    assert low_y < -35
    assert high_y > 35


def test_a_great_many_stitches_become_dots_in_vector_files(ball: Callable[..., Part]) -> None:
    """So that a page of ten thousands of polygons can still be opened; fewer stay lines."""
    few, many = (draw_stuffed(*ball(d, n)).findobj(PolyCollection)[0] for d, n in ((70, 21), (400, 125)))
    assert not few.get_rasterized()
    assert many.get_rasterized()


def test_rounds_are_numbered_downward_where_a_part_is_worked_from_the_top(
    tube: Callable[..., Part],
) -> None:
    """As many numbers as on the part that stands on its start."""
    fabric, at = tube(60, 100, 20, 36)
    up, down = draw_stuffed(fabric, at), draw_stuffed(fabric, at * [1.0, -1.0, -1.0])
    told = [sum(word.startswith("round") for word in words(ax)) for ax in (up, down)]
    assert told[1] >= 0.7 * told[0] > 2


def test_what_a_picture_does_not_show_is_told(tube: Callable[..., Part]) -> None:
    """Under the sizes, within the page."""
    ax = draw_stuffed(*tube(60, 100, 20, 36), note="Drawn pressed flat: the piece ruffles")
    told = [text.get_text() for text in ax.figure.texts]
    assert any(text.endswith("\nDrawn pressed flat: the piece ruffles") for text in told)
