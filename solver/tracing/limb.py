"""Parts that bend or stand out in front, from sketches: a middle line, or fronts and backs.

The middle line of a limb is the cheapest way through its silhouette between the two ends that lie furthest
apart inside it, where a step costs more the nearer it is to the edge; then it is moved to the middle of the
chords square to it, and its two ends are carried on straight to the line.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.tracing.axis import slices
from solver.tracing.half import half_outline
from solver.tracing.ink import greys, ink
from solver.tracing.reading import read_picture
from solver.tracing.shape import NoShape, closed_shape
from solver.tracing.sheet import sheet
from solver.tracing.sketch import STRENGTHS, view_of
from solver.tracing.trace import Seen, Wanted
from solver.units import in_mm

CELLS = 260
"""Cells of the grid in which a middle line is looked for, along the longer side of its shape."""

STATIONS, POINTS, OUTLINED = 240, 13, 15
"""Places along a middle line; points that are told of it, and of the outline along it."""

LEVELS = 60
"""Heights at which a front and a side view are laid side by side."""


@dataclass(frozen=True, slots=True, eq=False)
class Limb:
    """What sketches tell of a part that bends or stands out in front.

    Attributes
    ----------
    shape : tuple of (str, (n, 2) float)
        Keys of [shape] and their points. [mm]
    kind : str
        "bent" or "belly".
    notes : tuple of str
    seen : Seen
    """

    shape: tuple[tuple[str, Floats], ...]
    kind: str
    notes: tuple[str, ...]
    seen: Seen


def limb_of(path: Path, wanted: Wanted) -> Limb:
    """Return the middle line of a limb seen from the side, and its radius along it.

    Parameters
    ----------
    path : Path
        A picture.
    wanted : Wanted
        With the height, or the width, of the drawn limb in all.

    Raises
    ------
    InputError
        If the picture can't be read, holds no shape, or its size is not told.
    """
    picture, contour = _contour_of(path)
    scale = _scale(contour, wanted, file=str(path))
    at = contour * scale
    line = _middle_line(at)
    line, radius = _centred(at, line)
    if line[0, 1] > line[-1, 1]:
        line, radius = line[::-1], radius[::-1]
    if wanted.first == "top":
        line, radius = line[::-1], radius[::-1]
    line = line - line[0]
    if wanted.first == "top":
        line = line * [1.0, -1.0]
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T)))
    few = np.linspace(0, along[-1], POINTS)
    spine = np.column_stack([np.interp(few, along, values) for values in line.T])
    way = np.unwrap(np.arctan2(*np.diff(line, axis=0).T))
    turn = float(np.degrees(way[-STATIONS // 12 :].mean() - way[: STATIONS // 12].mean()))
    notes = (
        f"Read as the side view of a limb: its middle line is {in_mm(float(along[-1]))} long, and its end is "
        f"turned by {abs(turn):.0f} degrees against its beginning.",
        "Forward is to the right of the picture.",
    )
    outline = _outlined(along, radius, wanted)
    drawn = _centred(at, _middle_line(at))[0] / scale
    ends = drawn[:2]  # a line that bends has no axis of its own
    seen = Seen((contour,), drawn, ends, "px", picture)
    return Limb((("points", np.round(outline, 2)), ("spine", np.round(spine, 2))), "bent", notes, seen)


def belly_of(front: Path, side: Path, wanted: Wanted) -> Limb:
    """Return front and back outlines from a front view and a side view that faces right.

    Raises
    ------
    InputError
        If a picture can't be read or holds no shape.
    """
    view = view_of(front, wanted)
    half = half_outline(view.shape.contour, view.axis, side=wanted.side)
    picture, contour = _contour_of(side)
    high = float(np.ptp(half[:, 1]))
    if wanted.height is None and wanted.width is None:
        raise _no_size(str(front))
    scale = wanted.height / high if wanted.height else (wanted.width or 0.0) / float(2 * half[:, 0].max())
    share = np.linspace(0.0, 1.0, LEVELS + 1)
    level = np.clip(share, 0.004, 0.996)
    low, tall = float(contour[:, 1].min()), float(np.ptp(contour[:, 1]))
    left, right = (each * scale * high / tall for each in slices(contour, low + level * tall))
    ahead = (left + right) / 2
    foot = float(ahead[: LEVELS // 10].mean())
    depth, width = (right - left) / 2, np.interp(level * high, half[:, 1], half[:, 0]) * scale
    off = float(np.abs(depth - width).mean() / width.mean())
    radius = (depth + width) / 2  # stuffing makes each slice round
    heights = share * scale * high
    keep = np.unique(np.linspace(0, LEVELS, OUTLINED).astype(int))
    open_ends = (wanted.open_first, wanted.open_last)
    lines = []
    for sign in (1.0, -1.0):
        edge = np.column_stack([np.maximum(radius + sign * (ahead - foot), 0.1), heights])[keep]
        if not open_ends[0]:
            edge = np.concatenate([[[0.0, 0.0]], edge[1:]])
        if not open_ends[1]:
            edge = np.concatenate([edge[:-1], [[0.0, float(heights[-1])]]])
        lines.append(np.round(edge, 2))
    most = int(np.argmax(np.abs(ahead - foot)))
    notes = (
        f"Read from the front and from the side: it stands out by {in_mm(abs(float(ahead[most] - foot)))} at "
        f"{in_mm(float(heights[most]))} of its height.",
        f"Seen from the side it is as deep as it is wide, to {off:.0%}; each slice is taken as round.",
        "Forward is to the right of the side view.",
    )
    middle = np.column_stack([(left + right) / 2 / scale * tall / high, low + level * tall])
    seen = Seen((contour,), middle, middle[[0, -1]], "px", picture)
    return Limb((("front", lines[0]), ("back", lines[1])), "belly", notes, seen)


def _contour_of(path: Path) -> tuple[np.ndarray, Floats]:
    """Return a picture, and the line round the shape in it, y up. [px]"""
    colours = read_picture(path)
    frame = sheet(colours)
    reasons: list[NoShape] = []
    for grey in greys(colours, frame):
        for strength in STRENGTHS:
            try:
                return colours, closed_shape(ink(grey, strength=strength) & frame, grey).contour
            except NoShape as reason:
                reasons.append(reason)
    nearest = max(reasons, key=lambda reason: reason.near)
    raise InputError(Problem(nearest.rule, got=nearest.got, remedy=nearest.remedy, file=str(path)))


def _scale(contour: Floats, wanted: Wanted, *, file: str) -> float:
    across, up = np.ptp(contour, axis=0).tolist()
    if wanted.height is not None:
        return float(wanted.height / up)
    if wanted.width is not None:
        return float(wanted.width / across)
    raise _no_size(file)


def _no_size(file: str) -> InputError:
    remedy = 'Give --height "9 cm" (how high it is in the picture), or --width "6 cm".'
    return InputError(Problem("a picture has no size of its own", remedy=remedy, file=file))


def _middle_line(contour: Floats) -> Floats:
    """Return a line through the midst of a shape from end to end, (k, 2)."""
    from scipy.ndimage import distance_transform_edt, gaussian_filter1d
    from skimage.draw import polygon2mask
    from skimage.graph import MCP_Geometric

    low = contour.min(axis=0)
    cell = float(np.ptp(contour, axis=0).max()) / CELLS
    grid = (contour - low) / cell + 2
    inside = polygon2mask((np.ceil(np.ptp(grid, axis=0)) + 4).astype(int), grid)
    depth = distance_transform_edt(inside)
    flat = np.where(inside, 1.0, np.inf)
    start = tuple(int(i) for i in np.unravel_index(np.argmax(depth), depth.shape))
    for _ in range(2):  # the far end from anywhere, and the far end from there
        costs, _ = MCP_Geometric(flat).find_costs([start])
        costs = np.where(np.isfinite(costs), costs, -1.0)
        before, start = start, tuple(int(i) for i in np.unravel_index(np.argmax(costs), costs.shape))
    dear = np.where(inside, (float(depth.max()) / np.maximum(depth, 0.5)) ** 2, np.inf)
    walk = MCP_Geometric(dear)
    walk.find_costs([before])
    path = np.array(walk.traceback(start), dtype=float)
    path = gaussian_filter1d(path, depth.max() / 2, axis=0, mode="nearest")
    thick = depth[path[:, 0].astype(int), path[:, 1].astype(int)]
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(path, axis=0).T)))
    reach = 1.4 * float(np.median(thick))
    if along[-1] > 4 * reach:
        path = path[(along > reach) & (along < along[-1] - reach)]
    return np.asarray((path - 2) * cell + low)


def _centred(contour: Floats, line: Floats) -> tuple[Floats, Floats]:
    """Return a line in the middle of its chords, carried on to the contour, and half of each chord."""
    from scipy.ndimage import gaussian_filter1d

    for _ in range(3):
        line = _evenly(line, STATIONS)
        way = np.gradient(line, axis=0)
        way /= np.hypot(*way.T)[:, None]
        right = np.column_stack([way[:, 1], -way[:, 0]])
        ahead, behind = _reach(contour, line, right), _reach(contour, line, -right)
        half = (ahead + behind) / 2
        middle = line + right * ((ahead - behind) / 2)[:, None]
        line = gaussian_filter1d(middle, STATIONS / 40, axis=0, mode="nearest")
    few = STATIONS // 10
    first, last = line[0] - line[few], line[-1] - line[-1 - few]
    tips = []
    for end, out in ((line[0], first), (line[-1], last)):
        out = out / np.hypot(*out)
        tips.append(end + out * _reach(contour, end[None], out[None])[0])
    line = _evenly(np.concatenate([[tips[0]], line, [tips[1]]]), STATIONS)
    way = np.gradient(line, axis=0)
    way /= np.hypot(*way.T)[:, None]
    right = np.column_stack([way[:, 1], -way[:, 0]])
    half = (_reach(contour, line, right) + _reach(contour, line, -right)) / 2
    half[[0, -1]] = 0.0
    return line, half


def _evenly(line: Floats, count: int) -> Floats:
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T)))
    at = np.linspace(0.0, along[-1], count)
    return np.column_stack([np.interp(at, along, values) for values in line.T])


def _reach(contour: Floats, points: Floats, ways: Floats) -> Floats:
    """Return how far it is from points inside to the contour, each along its way."""
    a, run = contour, np.roll(contour, -1, axis=0) - contour
    cross = ways[:, None, 0] * run[:, 1] - ways[:, None, 1] * run[:, 0]
    off = a - points[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (off[..., 0] * run[:, 1] - off[..., 1] * run[:, 0]) / cross
        share = (off[..., 0] * ways[:, None, 1] - off[..., 1] * ways[:, None, 0]) / cross
    hit = (share >= 0) & (share <= 1) & (far > 1e-9)
    nearest = np.where(hit, far, np.inf).min(axis=1)
    return np.asarray(np.where(np.isfinite(nearest), nearest, 0.0))


def _outlined(along: Floats, radius: Floats, wanted: Wanted) -> Floats:
    """Return radius against length along a limb, its closed ends on the axis."""
    from scipy.ndimage import gaussian_filter1d

    inner = slice(2, -2)
    smooth = np.interp(along, along[inner], gaussian_filter1d(radius[inner], 2.0, mode="nearest"))
    length = float(along[-1])
    wide = float(np.median(smooth))
    tips = wide * np.array([0.06, 0.25, 0.6, 1.0])
    middle = np.linspace(1.4 * wide, length - 1.4 * wide, OUTLINED - 8)
    at = np.concatenate([tips, middle, length - tips[::-1]])
    points = np.column_stack([np.interp(at, along, smooth), at])
    first = [[float(points[0, 0]) if wanted.open_first else 0.0, 0.0]]
    last = [[float(points[-1, 0]) if wanted.open_last else 0.0, length]]
    return np.concatenate([first, points, last])
