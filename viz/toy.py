"""A whole toy drawn with every stitch: points of all surfaces, of which the nearest to the eye is seen.

Parts meet and hide each other where they do in space: each point of the picture keeps the surface that is
nearest (a depth buffer), which patches sorted by distance can't give where surfaces cross.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from textwrap import wrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import is_color_like, to_rgb
from matplotlib.path import Path as Polygon

from solver.arrays import Floats, Ints
from solver.form.fabric import StitchFabric
from solver.rounds import Start
from solver.toy.beads import Bead
from viz.camera import Camera
from viz.colours import SAND, Shades, names_of_patches
from viz.figure import INK, TEXT_SIZE, axes_at, new_figure, put_title
from viz.stitches import Patches, on_patches, patches_of, unit
from viz.yarn import BAR, LEAN, LEFT, PLEAT, RIGHT, ROUNDED, lit

FALLBACK = (SAND, "#7F97A6", "#B5574A", "#6F8F5E", "#8A6FA0", "#E8DFCF")
"""Colours of yarns whose names are no colours, by their order."""
EYE = "#15171A"
DOTS = 1.6
"""Points of a surface along one dot of the picture."""
BEHIND = 0.35
"""Fabric of a closed part that faces away by more than this can't be seen."""
UNDER = 0.18
"""How far a patch reaches below and beside itself, in stitches: where one stitch stands on two, light would
show between their patches."""
BACK = 0.25
"""How far that margin lies behind, in stitches: what is in front covers it."""
LIFTED = 0.13
"""Light that even the darkest yarn gives back, or its stitches could not be told apart."""
WIDE = 1.5
"""Patches wider than this many of the middle one are drawn with points of their own."""
FINEST, COARSEST = 6, 240
"""Points along a stitch, at the least and at the most."""

VIEWS: Mapping[str, Camera] = {
    "front": Camera(tilt=0.0, turn=-90.0),
    "side": Camera(tilt=0.0, turn=0.0),
    "back": Camera(tilt=0.0, turn=90.0),
    "three quarters": Camera(tilt=20.0, turn=-45.0),
}
"""Where a toy is seen from: its front looks toward -y, and the side is its own left."""

ROUND_IT = 5.0
"""What stands out of the fabric's middle: stitches and eyes. [mm]"""
GAP = 0.35
HEADING, FOOT = 0.45, 0.85
LETTERS = 11
"""Letters to an inch of a line."""
VIEW_SIZE = 4.6
"""Room of one view. [inches]"""


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """The fabric of one copy of a part, in its place.

    Attributes
    ----------
    fabric : StitchFabric
    points : (n, 3) float
        [mm]
    colours : tuple of str, or of tuple of str
        Of each round, or of each stitch; empty for plain yarn.
    hollow : bool
        Whether one may look into it, at an end that is left open.
    """

    fabric: StitchFabric
    points: Floats
    colours: Shades
    hollow: bool = False

    @property
    def names(self) -> list[str]:
        """The colours that it has."""
        return [name for own in self.colours for name in ((own,) if isinstance(own, str) else own)]


def draw_toy(
    skins: Sequence[Skin], beads: Sequence[Bead] = (), *, title: str = "", words: str = "", dots: int = 200
) -> Axes:
    """Draw a toy from the front, the side, the back and three quarters, all to one scale.

    Parameters
    ----------
    skins : sequence of Skin
    beads : sequence of Bead
    title, words : str
        Heading, and a line under it.
    dots : int
        Of the picture, to the inch.

    Returns
    -------
    Axes
        Of the last view.
    """
    points = np.concatenate([skin.points for skin in skins])
    seen = {name: camera.seen(points)[:, :2] for name, camera in VIEWS.items()}
    widths = {name: float(np.ptp(at[:, 0])) + 2 * ROUND_IT for name, at in seen.items()}
    tall = [float(np.ptp(at[:, 1])) + 2 * ROUND_IT for at in seen.values()]
    scale = min(VIEW_SIZE / max(widths.values()), VIEW_SIZE / max(tall))  # inches to a mm
    across = [widths[name] * scale + GAP for name in VIEWS]
    columns = (max(across[0], across[2]), max(across[1], across[3]))
    rows = [max(pair) * scale + GAP + 0.4 for pair in (tall[:2], tall[2:])]
    wide = max(sum(columns) + GAP, 6.0)
    lines = wrap(words, int((wide - 2 * GAP) * LETTERS))
    figure = new_figure(wide, sum(rows) + HEADING + FOOT + 0.22 * len(lines))
    put_title(figure, title, left=GAP)
    high = float(figure.get_size_inches()[1])
    figure.text(
        GAP / figure.get_size_inches()[0],
        1 - 0.5 / high,
        "\n".join(lines),
        va="top",
        size=TEXT_SIZE,
        color=INK,
        linespacing=1.3,
    )
    palette = colours_of([name for skin in skins for name in skin.names])
    ax = None
    for number, (name, camera) in enumerate(VIEWS.items()):
        column, line = number % 2, number // 2
        left = GAP + (columns[0] if column else 0.0)
        bottom, row = FOOT + (0.0 if line else rows[1]), rows[line]
        ax = axes_at(figure, left=left, bottom=bottom, width=columns[column] - GAP, height=row - 0.4)
        picture, extent = rendered(skins, beads, camera, palette, mm_a_dot=1 / (scale * dots))
        ax.imshow(picture, extent=extent, interpolation="antialiased")
        middle = (extent[0] + extent[1]) / 2
        half = (columns[column] - GAP) / scale / 2
        ax.set(xlim=(middle - half, middle + half), ylim=(extent[2], extent[2] + (row - 0.4) / scale))
        ax.set_axis_off()
        figure.text(
            (left + (columns[column] - GAP) / 2) / figure.get_size_inches()[0],
            (bottom - 0.08) / high,
            f"from the {name}" if name != "three quarters" else "from three quarters",
            ha="center",
            va="top",
            size=TEXT_SIZE,
            color=INK,
        )
    assert ax is not None
    _scale_bar(ax, figure, scale=scale)
    return ax


def colours_of(names: Sequence[str]) -> dict[str, tuple[float, float, float]]:
    """Return red, green and blue of yarns by their names: as named, or else colours that differ."""
    told: dict[str, tuple[float, float, float]] = {"": to_rgb(SAND)}
    strange = 0
    for name in dict.fromkeys(names):
        plain = name.lower().replace(" ", "")
        if name and is_color_like(plain):
            told[name] = _lifted(to_rgb(plain))
        elif name:
            told[name] = to_rgb(FALLBACK[strange % len(FALLBACK)])
            strange += 1
    return told


def _lifted(colour: tuple[float, float, float]) -> tuple[float, float, float]:
    red, green, blue = (LIFTED + (1 - LIFTED) * share for share in colour)
    return red, green, blue


def rendered(
    skins: Sequence[Skin],
    beads: Sequence[Bead],
    camera: Camera,
    palette: Mapping[str, tuple[float, float, float]],
    *,
    mm_a_dot: float,
) -> tuple[Floats, tuple[float, float, float, float]]:
    """Return the picture (rows, columns, 4) and its extent: left, right, bottom, top. [mm]"""
    points = np.concatenate([skin.points for skin in skins])
    flat = camera.seen(points)[:, :2]
    low, high = flat.min(axis=0) - ROUND_IT, flat.max(axis=0) + ROUND_IT
    columns, rows = np.ceil((high - low) / mm_a_dot).astype(int)
    canvas = _Canvas(int(rows), int(columns), low, mm_a_dot)
    for skin in skins:
        _put_skin(canvas, skin, camera, palette)
    for bead in beads:
        _put_bead(canvas, bead, camera)
    extent = (
        float(low[0]),
        float(low[0] + columns * mm_a_dot),
        float(low[1]),
        float(low[1] + rows * mm_a_dot),
    )
    return canvas.picture(), extent


class _Canvas:
    """Dots that keep the nearest of what is put on them."""

    def __init__(self, rows: int, columns: int, low: Floats, step: float) -> None:
        self.step, self._low = step, low
        self._rows, self._columns = rows, columns
        self._near = np.full(rows * columns, -np.inf)
        self._colour = np.zeros((rows * columns, 3))

    def put(self, seen: Floats, which: Ints, colours: Floats) -> None:
        """Put points that the camera sees, the farthest first.

        Parameters
        ----------
        seen : (..., 3) float
            Points; those without a place, nan, are left out. [mm]
        which : (...) int
            The colour of each.
        colours : (c, 3) float
        """
        across, up, near = (seen[..., axis].ravel() for axis in range(3))
        with np.errstate(invalid="ignore"):
            column = ((across - self._low[0]) / self.step).astype(np.int32)
            row = ((up - self._low[1]) / self.step).astype(np.int32)
        outside = (row < 0) | (row >= self._rows) | (column < 0) | (column >= self._columns)
        dot = np.where(outside, self._rows * self._columns, row * self._columns + column)
        last = np.full(self._rows * self._columns + 1, -1, dtype=np.int32)
        last[dot] = np.arange(len(dot), dtype=np.int32)  # of points on one dot the last, the nearest, stays
        here = np.flatnonzero(last[:-1] >= 0)
        won = here[near[last[here]] > self._near[here]]
        self._near[won] = near[last[won]]
        self._colour[won] = colours[which.ravel()[last[won]]]

    def picture(self) -> Floats:
        """Return red, green, blue and whether anything is there, the upper row first."""
        shown = np.isfinite(self._near)
        out = np.column_stack([np.clip(self._colour, 0, 1), shown])
        return np.asarray(out.reshape(self._rows, self._columns, 4)[::-1])


def _put_skin(
    canvas: _Canvas, skin: Skin, camera: Camera, palette: Mapping[str, tuple[float, float, float]]
) -> None:
    patches = patches_of(skin.fabric, skin.points)
    facing = patches.outward @ camera.frame[2]
    kept = np.flatnonzero(facing > (-np.inf if skin.hollow else -BEHIND))
    if not len(kept):
        return  # it looks away as a whole
    nearness = patches.corners[kept, :6].mean(axis=1) @ camera.frame[2]
    kept = kept[np.argsort(nearness, kind="stable")]
    names = names_of_patches(patches, skin.fabric, skin.colours)
    own = np.array([palette[name] for name in names])
    at = patches.corners[..., :3]
    sides = at[:, [2, 4, 3, 5]] - at[:, [0, 1, 0, 2]]
    size = np.linalg.norm(sides, axis=2).max(axis=1)
    wide = size[kept] > WIDE * np.median(size[kept])  # decreases: points alike for all would leave holes
    for some in (kept[~wide], kept[wide]):
        if len(some):
            fine = int(np.clip(np.ceil(size[some].max() / canvas.step * DOTS), FINEST, COARSEST))
            _put_patches(canvas, skin, camera, patches, some, own[some], fine=fine)


def _put_patches(
    canvas: _Canvas, skin: Skin, camera: Camera, patches: Patches, some: Ints, own: Floats, *, fine: int
) -> None:
    """Put some patches, each in its colour, with so many points along each."""
    corners, gathered = patches.corners[some], patches.gathered[some]
    piece = skin.fabric.piece
    rounds = np.minimum(patches.round_number[some], len(piece.rounds))
    step = np.linspace(-UNDER, 1.0 + UNDER, fine + int(2 * UNDER * fine))
    u, v = (grid.ravel() for grid in np.meshgrid(step, step[step <= 1.0]))
    at = on_patches(camera.seen(corners), np.column_stack([u, v]))
    at[:, (u < 0) | (u > 1) | (v < 0), 2] -= BACK * skin.fabric.stitch_width
    if piece.start is Start.OPEN:  # below the first round there is an open edge
        at[np.ix_(rounds == 1, v < 0)] = np.nan
    normal = patches.outward[some] @ camera.frame.T
    outside = normal[:, 2] > 0
    rightward = unit(camera.seen(corners[:, 2] + corners[:, 5] - corners[:, 0] - corners[:, 3]))
    faced = np.where(outside[:, None], normal, -normal)
    shown, which = [], np.empty(len(u), dtype=np.int32)
    for number, (lean, tone, bar, pleat, where) in enumerate(_looks(np.column_stack([u, v]))):
        shade = np.where(gathered, pleat, np.where(outside, tone, bar))
        leaning = unit(faced + lean * rightward * (outside & ~gathered)[:, None])
        shown.append(lit(leaning, own, shade))
        which[where] = number
    first = len(shown) * np.arange(len(corners), dtype=np.int32)
    canvas.put(at, first[:, None] + which, np.stack(shown, axis=1).reshape(-1, 3))


def _looks(at: Floats) -> list[tuple[float, float, float, float, Ints]]:
    """Return how places of a patch look: lean, tone outside, inside and gathered, and which places."""
    lean, tone = np.zeros(len(at)), np.full(len(at), 0.5)
    for lobe, side in ((LEFT, -LEAN), (RIGHT, LEAN)):
        centre = lobe.mean(axis=0)
        for size, light, rise in ROUNDED:
            shape = centre + (lobe - centre) * [size, np.sqrt(size)] + [-rise / 2, rise]
            inside = Polygon(shape).contains_points(at)
            lean[inside], tone[inside] = side, light
    bar = np.where(Polygon(BAR).contains_points(at), 0.62, 0.5)
    pleat = np.where(Polygon(PLEAT).contains_points(at), 0.3, 0.66)
    alike = np.column_stack([lean, tone, bar, pleat])
    kinds, of = np.unique(alike, axis=0, return_inverse=True)
    return [
        (*(float(value) for value in kind), np.flatnonzero(of.ravel() == number))  # type: ignore[misc]
        for number, kind in enumerate(kinds)
    ]


def _put_bead(canvas: _Canvas, bead: Bead, camera: Camera) -> None:
    """Put a dome that stands out of the fabric."""
    radius = bead.diameter / 2
    count = int(np.clip(16 * (radius / canvas.step) ** 2, 400, 60_000))
    k = np.arange(count) + 0.5
    z, turn = 1 - k / count, np.pi * (1 + 5**0.5) * k  # evenly over a half sphere
    side = unit(np.cross(bead.outward, [0.3, 0.2, 0.9]))
    other = np.cross(bead.outward, side)
    r = np.sqrt(1 - z**2)
    normal = (
        r[:, None] * (np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * other)
        + z[:, None] * bead.outward
    )
    flat = normal - 0.5 * (normal @ bead.outward)[:, None] * bead.outward
    facing = normal @ camera.frame.T
    shine = np.clip(facing @ unit(np.array([-0.4, 0.5, 0.8])), 0, 1) ** 24
    colours = np.array(to_rgb(EYE)) + 0.85 * shine[:, None]
    canvas.put(camera.seen(bead.middle + radius * flat), np.arange(count), colours)


def _scale_bar(ax: Axes, figure: object, *, scale: float) -> None:
    """Draw a bar of whole millimetres under the last view."""
    low, high = ax.get_xlim()
    bottom = ax.get_ylim()[0]
    length = max((n for n in (10, 20, 50, 100, 200, 500) if n <= 0.45 * (high - low)), default=5)
    y = bottom - 0.6 / scale
    ax.plot([low, low + length], [y, y], color=INK, linewidth=4.0, solid_capstyle="butt", clip_on=False)
    ax.text(low + length + 0.1 / scale, y, f"{length} mm", size=TEXT_SIZE, color=INK, va="center")
