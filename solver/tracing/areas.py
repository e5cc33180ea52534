"""Filled areas of a picture or a vector drawing, in the colours of her yarns."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, Ints, enclosed
from solver.errors import InputError, Problem, told_as
from solver.tracing.reading import check_file, read_clear
from solver.tracing.svg import MOST_BYTES, read_fills

if TYPE_CHECKING:
    from collections.abc import Mapping

    from solver.tracing.trace import Trace

SIDE = 400
"""Dots along the longer side of what is laid on; a stitch is far larger. [px]"""
FINER = 3
"""Dots of a vector drawing are drawn so many times as fine, and the middle one of each taken."""
CLEAR = 0.5
"""Less of a dot than this is no colour."""
STEPS = 32
"""Steps of each channel by which colours are told apart before the nearest yarn is looked for."""


def read_areas(path: Path, yarns: Mapping[str, str]) -> Ints:
    """Return the number of the nearest yarn at each dot of a picture, from 1; 0 where it is clear.

    Parameters
    ----------
    path : Path
        A PNG, JPEG or WebP picture, or an SVG drawing, of which filled shapes are taken.
    yarns : mapping of str to str
        Their colours, "#rrggbb".

    Returns
    -------
    (rows, columns) int
        The top row first.

    Raises
    ------
    InputError
        If the file can't be read, or holds no colour.
    """
    check_file(path, most_bytes=MOST_BYTES)
    dots = _drawn(path, yarns) if path.suffix.lower() == ".svg" else _painted(path, yarns)
    if not dots.any():
        remedy = "Fill its shapes, or save it with what is clear left clear."
        raise InputError(Problem("a picture has coloured areas", got="none", remedy=remedy, file=str(path)))
    return dots


def nearest_yarns(colours: Floats, yarns: Mapping[str, str]) -> Ints:
    """Return the number of the yarn nearest to each colour, from 1.

    By the difference that eyes see, CIEDE2000 (CIE 142-2001), as scikit-image works it out.

    Parameters
    ----------
    colours : (..., 3) float
        Red, green and blue (sRGB), 0 to 1.
    yarns : mapping of str to str
        Their colours, "#rrggbb".
    """
    from skimage.color import deltaE_ciede2000, rgb2lab

    known = np.array([[int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)] for colour in yarns.values()])
    flat = np.asarray(colours, dtype=float).reshape(-1, 3)
    steps = np.round(flat * (STEPS - 1)).astype(np.int64)
    code = (steps[:, 0] * STEPS + steps[:, 1]) * STEPS + steps[:, 2]
    _, first, inverse = np.unique(code, return_index=True, return_inverse=True)
    lab, of_yarns = rgb2lab(flat[first]), rgb2lab(known)
    apart = deltaE_ciede2000(lab[:, None], of_yarns[None])
    return np.asarray(1 + apart.argmin(axis=1)[inverse]).reshape(np.shape(colours)[:-1])


def _painted(path: Path, yarns: Mapping[str, str]) -> Ints:
    colours, there = read_clear(path, side=SIDE)
    return np.where(there >= CLEAR, nearest_yarns(np.asarray(colours, dtype=np.float64), yarns), 0)


def _drawn(path: Path, yarns: Mapping[str, str]) -> Ints:
    """Return the dots of a drawing's page, later shapes over earlier ones."""
    from PIL import Image, ImageDraw

    fills, page = read_fills(path)
    if not fills or not page.all():
        rule = "a drawing that is laid on has filled shapes on a page with a size"
        raise InputError(Problem(rule, got="none", remedy="Fill its shapes.", file=str(path)))
    scale = SIDE / float(page.max())
    size = np.maximum(np.round(page * scale).astype(int), 1)
    numbers = nearest_yarns(np.array([fill.colour for fill in fills]), yarns)
    with told_as("a drawing's shapes can be filled", remedy="Save it as plain SVG.", file=str(path)):
        picture = Image.new("I", (int(size[0]) * FINER, int(size[1]) * FINER), 0)
        for fill, number in zip(fills, numbers.tolist(), strict=True):
            times = np.zeros(picture.size[::-1], dtype=np.int64)
            for line in fill.lines:
                own = Image.new("1", picture.size, 0)
                ImageDraw.Draw(own).polygon(
                    [(x * scale * FINER, -y * scale * FINER) for x, y in line], fill=1
                )
                back = fill.winding and enclosed(line) < 0
                times += np.where(np.array(own), -1 if back else 1, 0)
            inside = times != 0 if fill.winding else times % 2 == 1
            picture.paste(number, mask=Image.fromarray(inside))
        dots = np.array(picture)
    return np.asarray(dots[FINER // 2 :: FINER, FINER // 2 :: FINER], dtype=np.int64)


def traced_areas(
    trace: Trace, yarns: Mapping[str, str], *, path: Path, ink: float
) -> tuple[Ints, float, float]:
    """Return the colours within a traced outline, upright as the part is worked, its middle in the middle.

    Parameters
    ----------
    trace : Trace
        Of a sketch, with its picture, or of a drawing.
    yarns : mapping of str to str
        Their colours, "#rrggbb".
    path : Path
        The file that was traced.
    ink : float
        What is narrower is a line, and no area: it takes the colour beside it. [mm]

    Returns
    -------
    dots : (rows, columns) int
        Number of the nearest yarn, from 1; what lies outside the outline has the colour of its nearest edge.
        All 0 where the file has no colour.
    width, height : float
        Of the whole. [mm]
    """
    from PIL import Image, ImageDraw
    from scipy.ndimage import distance_transform_edt

    seen = trace.seen
    begin, end = seen.axis
    along = end - begin
    length = float(np.hypot(*along))
    tall = float(np.ptp(trace.points[:, 1]))
    if seen.picture is not None:
        dots = nearest_yarns(seen.picture.astype(np.float64), yarns)
        size = np.array(seen.picture.shape[1::-1])
    else:
        fills, page = read_fills(path)
        if not fills or not page.all():
            return np.zeros((1, 1), dtype=np.int64), tall, tall
        dots, size = _drawn(path, yarns), page
    scale = np.array(dots.shape[::-1]) / size  # dots to a unit of the file, x right and y down
    mask = Image.new("1", (dots.shape[1], dots.shape[0]), 0)
    ImageDraw.Draw(mask).polygon([(float(x * scale[0]), float(-y * scale[1])) for x, y in seen.used], fill=1)
    areas = _without_lines(np.where(np.array(mask), dots, 0), width=ink / tall * length * float(scale.mean()))
    if not areas.any():
        return np.zeros((1, 1), dtype=np.int64), tall, tall
    row, column = distance_transform_edt(areas == 0, return_distances=False, return_indices=True)
    dots = areas[row, column]
    up = along / length * (-1.0 if seen.upside_down else 1.0)
    right = np.array([up[1], -up[0]])
    off = seen.used - (begin + end) / 2
    half = float(np.abs(off @ right).max())
    rows, columns = SIDE, max(3, round(SIDE * 2 * half / length))
    v, u = np.meshgrid(
        (0.5 - (np.arange(rows) + 0.5) / rows) * length,
        ((np.arange(columns) + 0.5) / columns - 0.5) * 2 * half,
        indexing="ij",
    )
    at = (begin + end) / 2 + u[..., None] * right + v[..., None] * up
    x = np.clip((at[..., 0] * scale[0]).astype(int), 0, dots.shape[1] - 1)
    y = np.clip((-at[..., 1] * scale[1]).astype(int), 0, dots.shape[0] - 1)
    return np.asarray(dots[y, x]), 2 * half / length * tall, tall


def _without_lines(dots: Ints, *, width: float) -> Ints:
    """Return the dots that lie in an area of one colour at least so wide, the others 0."""
    from scipy.ndimage import distance_transform_edt

    out = np.zeros_like(dots)
    for colour in np.unique(dots[dots > 0]).tolist():
        padded = np.pad(dots == colour, 1)
        core = distance_transform_edt(padded) > width / 2
        if core.any():  # what lies within half the width of a core was as wide before
            opened = distance_transform_edt(~core) <= width / 2
            out[opened[1:-1, 1:-1] & (dots == colour)] = colour
    return out
