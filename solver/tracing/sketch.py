"""A picture of a drawing becomes an outline: it is looked at in several ways until one shape is seen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats, Grey, Mask
from solver.errors import InputError, Problem
from solver.tracing.axis import Axis, find_axis, turned
from solver.tracing.half import folded_part, half_outline
from solver.tracing.ink import greys, ink
from solver.tracing.reading import read_picture
from solver.tracing.shape import NoShape, Shape, closed_shape
from solver.tracing.sheet import sheet
from solver.tracing.trace import Seen, Trace, Wanted, finished, scale_of
from solver.units import in_mm

STRENGTHS = (1.0, 1.7, 2.6)
"""Thresholds that are tried, each leaving fainter lines out."""

SAME_INK = 0.02
"""Looks whose ink differs by no more than this part are one look."""

PIXEL_STEADINESS = 2e-4
"""Likeness that a degree of tilt must gain in a picture, of the height: about a third of a pixel."""

MOST_ASYMMETRY = 0.35
"""A shape whose sides differ by more of its area is no half-silhouette of a part."""

LOPSIDED_LINE, LOPSIDED_SILHOUETTE = 5, 6
"""How near to a shape a lopsided one comes: nearer than what is no shape at all."""

TOLD_TILT = 0.5
"""Tilts from here on are told. [degree]"""


def trace_sketch(path: Path, wanted: Wanted) -> Trace:
    """Read an outline from a picture: a filled silhouette, a closed line, or one half beside its axis.

    Parameters
    ----------
    path : Path
        A PNG, JPEG or WebP picture.
    wanted : Wanted
        Size, gauge and how to read it.

    Returns
    -------
    Trace
        With the picture in `seen`.

    Raises
    ------
    InputError
        If the file can't be read, or holds no shape, several, or one too lopsided.
    """
    view = view_of(path, wanted)
    half = half_outline(view.shape.contour, view.axis, side=wanted.side)
    scale = scale_of(half, wanted, file=str(path))
    notes = [*notes_of_shape(view, scale), *notes_of_axis(view.axis, wanted)]
    trace = placed(half * scale, view.axis, view.shape.contour, wanted, scale=scale, file=str(path))
    return in_picture(trace, view).with_notes_before(*notes)


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One shape in one picture.

    Attributes
    ----------
    colours : (h, w, 3) float32
        The picture.
    shape : Shape
        In it. [px]
    axis : Axis
        Of the shape.
    """

    colours: NDArray[np.float32]
    shape: Shape
    axis: Axis


def view_of(path: Path, wanted: Wanted) -> View:
    """Return the shape in a picture and its axis.

    Parameters
    ----------
    path : Path
        A PNG, JPEG or WebP picture.
    wanted : Wanted
        How to read it.
    """
    colours = read_picture(path)
    return View(colours, *_shape_and_axis(colours, wanted, file=str(path)))


def in_picture(trace: Trace, view: View) -> Trace:
    """Return the trace with the picture that it was read from."""
    return replace(trace, seen=replace(trace.seen, unit="px", picture=view.colours))


def placed(half: Floats, axis: Axis, contour: Floats, wanted: Wanted, *, scale: float, file: str) -> Trace:
    """Return the trace of a half-outline that was read beside an axis.

    Parameters
    ----------
    half : (n, 2) float
        Radius and height, from below upward as the axis stands upright. [mm]
    axis : Axis
        The axis of the contour.
    contour : (m, 2) float
        The line that was read. [units of the file]
    wanted : Wanted
        Gauge, first end and open ends.
    scale : float
        Millimetres per unit of the file.
    file : str
        For messages.
    """
    upside_down = _first_is_above(axis, wanted, file=file)
    top = half[-1, 1]
    if upside_down:
        half = half[::-1] * [1, -1] + [0, top]
    points, curve, notes = finished(half, wanted, file=file)
    back = curve[::-1] * [1, -1] + [0, top] if upside_down else curve
    base = turned(contour, axis.angle)[:, 1].min()
    sides = [back / scale * [sign, 1] + [axis.offset, base] for sign in (1, -1)]
    used = turned(np.vstack([sides[0], sides[1][::-1]]), -axis.angle)
    ends = np.array([[axis.offset, base], [axis.offset, base + top / scale]])
    seen = Seen((contour,), used, turned(ends, -axis.angle), "mm", upside_down=upside_down)
    return Trace(points, notes, seen, axis.asymmetry)


def notes_of_axis(axis: Axis, wanted: Wanted) -> list[str]:
    """Return what to tell about the axis that was found."""
    lies = "upright" if axis.direction == "vertical" else "level"
    notes = []
    if abs(axis.tilt) >= TOLD_TILT:
        notes.append(f"The axis lies {lies}, {abs(axis.tilt):.1f} degrees off; it was turned straight.")
    elif axis.direction == "horizontal":
        notes.append("The axis lies level; the left end is the bottom of the outline.")
    if axis.drawn != "whole":
        side = axis.drawn.split()[0]
        where = side if axis.direction == "vertical" else ("upper" if side == "left" else "lower")
        notes.append(
            f"Read as the {where} half beside a straight axis"
            + ("; if it is a whole shape, say that it is." if wanted.drawn == "auto" else ".")
        )
    else:
        taken = "their mean" if wanted.side == "both" else f"the {wanted.side} one"
        notes.append(f"The two sides differ by {100 * axis.asymmetry:.0f} % of the area; {taken} was taken.")
    return notes


def _first_is_above(axis: Axis, wanted: Wanted, *, file: str) -> bool:
    if wanted.first == "auto":
        return False
    below, above = ("bottom", "top") if axis.direction == "vertical" else ("left", "right")
    if wanted.first not in (below, above):
        lies = "upright" if axis.direction == "vertical" else "level"
        raise InputError(
            Problem(
                f"the first end is {below} or {above}, for the axis lies {lies}",
                got=f'"{wanted.first}"',
                remedy="Change first, or say how the axis lies.",
                file=file,
            )
        )
    return wanted.first == above


def _shape_and_axis(colours: NDArray[np.float32], wanted: Wanted, *, file: str) -> tuple[Shape, Axis]:
    reasons: list[NoShape] = []
    for mask, grey in _looks(colours):
        try:
            shape = closed_shape(mask, grey)
            axis = find_axis(
                shape.contour,
                direction=wanted.axis,
                drawn=wanted.drawn,
                steadiness=PIXEL_STEADINESS,
                stubs=shape.stubs,
            )
            if wanted.side == "both":
                _check_symmetry(shape, axis)
        except NoShape as reason:
            reasons.append(reason)
            if reason.near == LOPSIDED_SILHOUETTE:
                break  # leaving fainter lines out would not make its sides alike
        else:
            return shape, axis
    nearest = max(reasons, key=lambda reason: reason.near)
    raise InputError(Problem(nearest.rule, got=nearest.got, remedy=nearest.remedy, file=file))


def _looks(colours: NDArray[np.float32]) -> Iterator[tuple[Mask, Grey]]:
    """Give the ink in the picture as it may be seen, the likeliest first."""
    frame = sheet(colours)
    looked: list[Mask] = []
    for grey in greys(colours, frame):
        for strength in STRENGTHS:
            mask = ink(grey, strength=strength) & frame
            if any((mask ^ before).sum() <= SAME_INK * mask.sum() for before in looked):
                continue
            looked.append(mask)
            yield mask, grey


def _check_symmetry(shape: Shape, axis: Axis) -> None:
    if axis.asymmetry > MOST_ASYMMETRY:
        raise NoShape(
            LOPSIDED_SILHOUETTE if shape.filled else LOPSIDED_LINE,
            f"the two sides of a shape differ by at most {100 * MOST_ASYMMETRY:.0f} % of its area",
            "Draw it seen straight from the front; or take one side (left or right), or say that it is one "
            "half beside a straight axis.",
            got=f"{100 * axis.asymmetry:.0f} %",
        )


def notes_of_shape(view: View, scale: float) -> list[str]:
    """Return what to tell about the shape that was found."""
    shape = view.shape
    if shape.filled:
        notes = ["Read as a filled silhouette."]
    else:
        line = in_mm(shape.line * scale)
        notes = [f"Read as a drawn line, {line} thick at this size; its middle was followed."]
    if shape.drawn < 0.995:
        notes.append(f"Gaps in the line: {100 * (1 - shape.drawn):.0f} % of it was bridged.")
    if shape.left_out:
        marks = "mark" if shape.left_out == 1 else "marks"
        notes.append(f"{shape.left_out} smaller {marks} beside the shape left out (writing, dots).")
    if (folded := folded_part(turned(shape.contour, view.axis.angle))) > 0.02:
        notes.append(
            f"Some of the line folds back; the hollows, {100 * folded:.0f} % of the area, were filled. "
            "Work such a shape as two parts."
        )
    return notes
