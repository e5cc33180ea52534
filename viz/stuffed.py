"""The stuffed form in 3-D with every stitch drawn, to scale.

Called as::

    positions = lofted(fabric, radius=form.radius, height=form.height)
    axes = draw_stuffed(fabric, positions, title=part.title)
    save_figure(axes.figure, path)

With colours by stretch, one value for each node: `stretch=form.course_stretch[fabric.ring_of_node]`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, cast

import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import PolyCollection
from matplotlib.colors import ListedColormap, Normalize
from matplotlib.ticker import MaxNLocator
from numpy.typing import ArrayLike

from solver.arrays import Floats
from solver.form.fabric import StitchFabric, sizes_in_words
from solver.rounds import Finish, Start
from solver.units import MM_PER_INCH, in_inches
from viz.camera import Camera
from viz.colours import Shades, rgb_of_patches
from viz.figure import INK, SMALL_SIZE, TEXT_SIZE, axes_at, inches_of, new_figure, put_title
from viz.stitches import Patches, patches_of
from viz.yarn import stitch_polygons

DARKEST_OF_STRETCH = 0.15
"""Where the colours by stretch begin in their map: below, stitches and gaps could not be told apart."""

# The page, in inches: what stands round the form, and the most that the form takes.
TALLEST, WIDEST = 7.0, 6.5
MOST_MAGNIFIED = 5.0
"""A small part is drawn this many times its size at most, or its few stitches would look coarse."""
PAD, BELOW, NUMBERS, COLOUR_BAR, HEADING = 0.3, 1.0, 1.05, 1.35, 1.2
LEAST_WIDTH = 5.0
NOTE = 0.22
BETWEEN_NUMBERS = 0.26

ROUND_STEPS = (1, 2, 5, 10, 20, 50, 100)
MM_BARS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
INCH_BARS = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16, 32)
LINE_FACES = 0.05
"""A wanted outline is drawn where the fabric faces the eye by more than this."""
MANY_POLYGONS = 12_000
"""From here on `.svg` and `.pdf` hold the form as dots, or they would be too large to open."""


def draw_stuffed(
    fabric: StitchFabric,
    positions: ArrayLike,
    *,
    stretch: ArrayLike | None = None,
    colours: Shades = (),
    lines: Sequence[Floats] = (),
    camera: Camera | None = None,
    title: str = "",
    sizes: tuple[str, ...] = (),
    note: str = "",
    ax: Axes | None = None,
) -> Axes:
    """Draw the stuffed form with its stitches, round numbers beside it and a scale bar under it.

    Parameters
    ----------
    fabric : StitchFabric
        The stitches.
    positions : (n, 3) array_like
        Where its nodes are, the axis along z. [mm]
    stretch : (n,) array_like, optional
        Stretch of the fabric at each node; the stitches are coloured by it, and a colour bar is added. [1]
    colours : sequence of str, or of sequence of str
        The yarn's colour in each round, or of each stitch; left out: sand.
    lines : sequence of (k, 3) float
        Places of the wanted outlines of patches, drawn over the stitches. [mm]
    camera : Camera, optional
        Left out: from the front and above.
    title : str
        Heading, the part's name.
    sizes : tuple of str
        Of the form, in words; left out: as it stands.
    note : str
        What the picture doesn't show, on a line of its own under the sizes.
    ax : Axes, optional
        Where to draw; left out: on a page of their own, which also tells stitches, rounds and sizes.

    Returns
    -------
    Axes
        In mm of the picture plane, without a frame.
    """
    at, camera = np.asarray(positions, dtype=float), camera or Camera()
    patches = patches_of(fabric, at)
    extent = _extent(camera.seen(patches.corners[:, :6]))
    if ax is None:
        ax = _page(fabric, at, extent, (title, note), sizes, colour_bar=stretch is not None)
    view = _fit(ax, extent, colour_bar=stretch is not None)
    shown = rgb_of_patches(patches, fabric, colours)
    if stretch is not None:
        shown = _by_stretch(ax, view, 100 * np.asarray(stretch, dtype=float)[patches.node])
    in_rows = fabric.piece.start is Start.ROWS
    hollow = not in_rows and (fabric.piece.finish is Finish.OPEN or fabric.piece.start is Start.OPEN)
    polygons, faces = stitch_polygons(patches, camera, shown, hollow=hollow)
    as_one_array = cast("Any", polygons)  # which the type stubs don't know, and which is much faster
    drawn = PolyCollection(as_one_array, facecolors=faces, edgecolors=faces, linewidths=0.2)
    drawn.set_rasterized(len(polygons) > MANY_POLYGONS)
    ax.add_collection(drawn, autolim=False)
    for line in lines:
        _put_line(ax, view, line, patches, camera)
    _number_rounds(ax, view, patches, camera, word="row" if fabric.piece.start is Start.ROWS else "round")
    _put_scale_bar(ax, view)
    return ax


def _put_line(ax: Axes, view: _View, line: Floats, patches: Patches, camera: Camera) -> None:
    """Draw the wanted outline of a patch where it is seen, light under dark so that it shows on any yarn."""
    from scipy.spatial import cKDTree

    if not len(line):
        return
    _, near = cKDTree(patches.corners[:, :6].mean(axis=1)).query(line)
    seen = camera.seen(line)[(patches.outward[near] @ camera.frame[2]) > LINE_FACES]
    for colour, width in (("white", 2.2), (INK, 1.0)):
        ax.scatter(seen[:, 0], seen[:, 1], s=width**2, c=colour, linewidths=0, zorder=3 + (width < 2))


@dataclass(frozen=True, slots=True)
class _Extent:
    """How far the form reaches in the picture. [mm]"""

    left: float
    right: float
    bottom: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom


def _extent(seen: Floats) -> _Extent:
    across, up = seen[..., 0], seen[..., 1]
    return _Extent(float(across.min()), float(across.max()), float(up.min()), float(up.max()))


@dataclass(frozen=True, slots=True)
class _View:
    """The form's extent, how many mm of it one inch of paper shows, and the size of the axes. [inches]"""

    extent: _Extent
    mm: float
    width: float
    height: float


def _page(
    fabric: StitchFabric,
    at: Floats,
    extent: _Extent,
    titles: tuple[str, str],
    words: tuple[str, ...],
    *,
    colour_bar: bool,
) -> Axes:
    """Return axes on a new page that suits the form, with its heading written."""
    scale = min(TALLEST / extent.height, WIDEST / extent.width, MOST_MAGNIFIED / MM_PER_INCH)
    beside = 2 * PAD + NUMBERS + (COLOUR_BAR if colour_bar else 0.0)
    width = max(extent.width * scale + beside, LEAST_WIDTH)
    height = extent.height * scale + PAD + BELOW
    title, note = titles
    heading_room = HEADING + (NOTE if note else 0.0)
    figure = new_figure(width, height + heading_room)
    put_title(figure, title, left=PAD)
    stitches, rounds = sum(fabric.piece.counts), len(fabric.piece.rounds)
    told = words or sizes_in_words(fabric, at)
    sizes = ",\n".join([", ".join(told[:2]), *told[2:]])
    many = "rows" if fabric.piece.start is Start.ROWS else "rounds"
    heading = f"{stitches:,} stitches in {rounds} {many}\n{sizes}" + (f"\n{note}" if note else "")
    place = (PAD / width, 1 - 0.5 / (height + heading_room))
    figure.text(*place, heading, va="top", size=TEXT_SIZE, color=INK, linespacing=1.3)
    return axes_at(figure, left=0.0, bottom=0.0, width=width, height=height)


def _fit(ax: Axes, extent: _Extent, *, colour_bar: bool) -> _View:
    """Set the limits of the axes so that the form and what stands round it fit, to one scale."""
    width, height = inches_of(ax)
    beside = 2 * PAD + NUMBERS + (COLOUR_BAR if colour_bar else 0.0)
    mm = max(extent.width / (width - beside), extent.height / (height - PAD - BELOW))
    spare = width - beside - extent.width / mm
    left, bottom = extent.left - (PAD + spare / 2) * mm, extent.bottom - BELOW * mm
    ax.set(xlim=(left, left + width * mm), ylim=(bottom, bottom + height * mm))
    ax.axis("off")
    return _View(extent, mm, width, height)


def _by_stretch(ax: Axes, view: _View, percent: Floats) -> Floats:
    """Return the colour of each value, and put a bar beside the form that tells them.

    The bar spans what nine stitches in ten have: a slack last round must not make all others look alike. It
    is pointed where some have less or more.
    """
    low, high = (float(value) for value in np.percentile(percent, [5, 95]))
    spare = max(0.0, 0.5 - (high - low)) / 2  # a tenth of a percent must not look like a great difference
    low, high = low - spare, high + spare
    shown = ScalarMappable(
        Normalize(low, high), ListedColormap(colormaps["cividis"](np.linspace(DARKEST_OF_STRETCH, 1.0, 256)))
    )
    beyond = {(True, False): "min", (False, True): "max", (True, True): "both"}
    pointed = beyond.get((bool(percent.min() < low), bool(percent.max() > high)), "neither")
    bar_height = min(0.8 * (view.height - BELOW - PAD), 4.5)
    bottom = BELOW + (view.height - BELOW - PAD - bar_height) / 2
    bar = ax.inset_axes(
        (
            1 - (COLOUR_BAR - 0.1) / view.width,
            bottom / view.height,
            0.25 / view.width,
            bar_height / view.height,
        )
    )
    ax.figure.colorbar(shown, cax=bar, extend=pointed, ticks=MaxNLocator(nbins=max(2, int(bar_height / 0.5))))
    bar.tick_params(labelsize=SMALL_SIZE, colors=INK)
    bar.set_ylabel("stretch of the fabric [%]", size=TEXT_SIZE, color=INK)
    return np.asarray(shown.to_rgba(percent)[:, :3])


def _number_rounds(ax: Axes, view: _View, patches: Patches, camera: Camera, *, word: str) -> None:
    """Write numbers of rounds beside the form, each level with the end of the round that is seen."""
    facing = patches.outward @ camera.frame[2] > 0
    tops = camera.seen(patches.corners[:, 4])
    ends = {}
    for number in range(1, int(patches.round_number.max()) + 1):
        seen = tops[facing & ~patches.gathered & (patches.round_number == number)]
        if len(seen):
            ends[number] = seen[np.argmax(seen[:, 0]), :2]
    column = view.extent.right + 0.3 * view.mm
    up = {n: float(end[1]) for n, end in ends.items()}
    sign = (
        -1.0 if up and next(reversed(up.values())) < next(iter(up.values())) else 1.0
    )  # worked from the top
    for number in _readable({n: sign * height for n, height in up.items()}, BETWEEN_NUMBERS * view.mm):
        across, level = ends[number]
        ax.plot([across, column], [level, level], color=INK, linewidth=0.8)
        ax.text(column + 0.05 * view.mm, level, f"{word} {number}", size=SMALL_SIZE, color=INK, va="center")


def _readable(heights: dict[int, float], apart: float) -> list[int]:
    """Return rounds whose numbers have `apart` between them: every one, every second, fifth, and so on.

    None is left out between the first and the last that is told; rounds that crowd near the ends go without.
    """
    for step in ROUND_STEPS:
        chosen = [number for number in heights if number % step == 0]
        crowded = [0, *(i for i, (a, b) in enumerate(pairwise(chosen), 1) if heights[b] < heights[a] + apart)]
        begin, end = max(pairwise([*crowded, len(chosen)]), key=lambda run: run[1] - run[0])
        if end - begin >= 0.8 * len(chosen):
            return chosen[begin:end]
    return []


def _put_scale_bar(ax: Axes, view: _View) -> None:
    """Draw a bar of whole millimetres, and under it one of inches, below the form."""
    longest = max(0.45 * view.extent.width, 1.0 * view.mm)
    mm = max((n for n in MM_BARS if n <= longest), default=MM_BARS[0])
    inch = max((n for n in INCH_BARS if n * MM_PER_INCH <= longest), default=INCH_BARS[0])
    left = view.extent.left
    for length, words, row in (
        (mm, f"{mm} mm", 0.42),
        (inch * MM_PER_INCH, in_inches(inch * MM_PER_INCH), 0.72),
    ):
        y = view.extent.bottom - row * view.mm
        ax.plot([left, left + length], [y, y], color=INK, linewidth=4.0, solid_capstyle="butt")
        ax.text(left + length + 0.1 * view.mm, y, words, size=TEXT_SIZE, color=INK, va="center")
