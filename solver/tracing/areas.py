"""Filled areas of a picture or a vector drawing, in the colours of her yarns."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, Ints
from solver.errors import InputError, Problem, told_as
from solver.tracing.reading import check_file, read_clear
from solver.tracing.svg import MOST_BYTES, read_fills

if TYPE_CHECKING:
    from collections.abc import Mapping

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
                back = fill.winding and _area(line) < 0
                times += np.where(np.array(own), -1 if back else 1, 0)
            inside = times != 0 if fill.winding else times % 2 == 1
            picture.paste(number, mask=Image.fromarray(inside))
        dots = np.array(picture)
    return np.asarray(dots[FINER // 2 :: FINER, FINER // 2 :: FINER], dtype=np.int64)


def _area(line: Floats) -> float:
    x, y = line.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
