"""The outline in a vector drawing: a closed line, or an open one beside a straight axis."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.tracing.axis import LOPSIDED, Axis, find_axis, turned
from solver.tracing.half import half_outline
from solver.tracing.sketch import MOST_ASYMMETRY, notes_of_axis, placed
from solver.tracing.svg import Drawing, Line, read_svg
from solver.tracing.trace import Trace, Wanted, scale_of

EXACT_STEADINESS = 1e-7
"""Likeness that a degree of tilt must gain in a drawing: lines there are exact."""

MOST_SHOWN = 300
"""Lines in the check picture, the largest."""

SHEET = 0.98
"""A filled rectangle of this part of the page, each way, is its background."""


def trace_drawing(path: Path, wanted: Wanted, *, element: str | None = None) -> Trace:
    """Read an outline from an SVG drawing.

    Parameters
    ----------
    path : Path
        The file.
    wanted : Wanted
        Gauge, how to read it, and a size; without one the drawing's own is taken.
    element : str, optional
        The id of the element, or of the group, to read when there are several.

    Returns
    -------
    Trace
        With the lines in `seen`.

    Raises
    ------
    InputError
        If the file can't be read, or it is not clear which line is meant.
    """
    drawing = read_svg(path)
    line, straight, notes = _chosen(drawing, element, file=str(path))
    contour, axis = _contour_and_axis(line, straight, wanted, file=str(path))
    half = half_outline(contour, axis, side=wanted.side)
    if wanted.height is None and wanted.width is None:
        scale = 1.0
        if not drawing.sized:
            notes.append("The drawing says no size in mm or inches; its units were taken as 96 to the inch.")
    else:
        scale = scale_of(half, wanted, file=str(path))
    trace = placed(half * scale, axis, contour, wanted, scale=scale, file=str(path))
    shown = sorted(drawing.lines, key=lambda each: -float(np.ptp(each.box, axis=0).max()))[:MOST_SHOWN]
    seen = replace(trace.seen, read=tuple(each.points for each in shown))
    return replace(trace, seen=seen).with_notes_before(*notes, *notes_of_axis(axis, wanted))


def _chosen(drawing: Drawing, element: str | None, *, file: str) -> tuple[Line, Line | None, list[str]]:
    """Return the outline's line, the axis if one is drawn, and what was passed over."""
    lines = [line for line in drawing.lines if not _is_background(line, drawing)]
    if element is not None:
        lines = [line for line in drawing.lines if element in line.elements]
    notes = [f"Passed over in the drawing: {', '.join(drawing.left_out)}."] if drawing.left_out else []
    straight = [line for line in lines if line.is_straight]
    drawn = [line for line in lines if not line.is_straight]
    if not drawn and len(straight) == 2:  # a straight wall beside its axis: the axis runs on past it
        wall, axis = sorted(straight, key=lambda line: float(np.hypot(*np.ptp(line.box, axis=0))))
        drawn, straight = [wall], [axis]
    if not drawn:
        there = sorted({line.name for line in drawing.lines})
        raise InputError(
            Problem(
                "a drawing has a visible outline" if element is None else f'"{element}" is an outline',
                got=f"these elements: {', '.join(there[:12])}" if there else "no lines",
                remedy="Draw it as a path, polyline, circle, ellipse or rectangle (turn text into paths).",
                file=file,
            )
        )
    largest = max(drawn, key=lambda line: float(np.prod(np.ptp(line.box, axis=0))))
    outside = [line for line in drawn if line is not largest and not _within(line, largest)]
    if outside:
        names = list(dict.fromkeys(line.name for line in (largest, *outside)))
        raise InputError(
            Problem(
                "it must be clear which line is the outline",
                got=", ".join(names[:12]),
                remedy=f'Choose one by its id: element = "{names[0]}".',
                file=file,
            )
        )
    if len(drawn) > 1:
        notes.append(f'Read "{largest.name}"; {len(drawn) - 1} smaller lines inside it were passed over.')
    return largest, straight[0] if len(straight) == 1 else None, notes


def _is_background(line: Line, drawing: Drawing) -> bool:
    if not line.closed or len(line.points) > 6 or not drawing.page.all():
        return False
    return bool(np.all(np.ptp(line.box, axis=0) >= SHEET * drawing.page))


def _within(inner: Line, outer: Line) -> bool:
    slack = 1e-6 * float(np.ptp(outer.box))
    return bool(np.all(inner.box[0] >= outer.box[0] - slack) and np.all(inner.box[1] <= outer.box[1] + slack))


def _contour_and_axis(line: Line, straight: Line | None, wanted: Wanted, *, file: str) -> tuple[Floats, Axis]:
    """Return a closed line and its axis; an open one is closed along the axis that is drawn beside it."""
    points = line.points
    if straight is not None and wanted.drawn != "whole":
        axis = _drawn_axis(points, straight)
        if axis is not None:
            return _closed_along(points, axis), axis
    axis = find_axis(points, direction=wanted.axis, drawn=wanted.drawn, steadiness=EXACT_STEADINESS)
    if wanted.side == "both" and axis.asymmetry > (MOST_ASYMMETRY if line.closed else LOPSIDED):
        raise InputError(
            Problem(
                f"the two sides of a shape differ by at most {100 * MOST_ASYMMETRY:.0f} % of its area"
                if line.closed
                else "an open line is one half of an outline, and begins and ends on its axis",
                got=f"{100 * axis.asymmetry:.0f} %" if line.closed else f'"{line.name}"',
                remedy="Draw the axis beside it as a straight line, or take one side (left or right).",
                file=file,
            )
        )
    return points, axis


def _drawn_axis(points: Floats, straight: Line) -> Axis | None:
    """Return a straight line as the axis of what lies beside it, if all of it lies on one side."""
    along = straight.points[-1] - straight.points[0]
    angle = float(np.degrees(np.arctan2(along[1], along[0])))
    direction = "horizontal" if abs(np.sin(np.radians(angle))) < np.sqrt(0.5) else "vertical"
    upright = 90.0 if direction == "vertical" else 0.0
    tilt = (angle - upright + 90) % 180 - 90
    axis = Axis("vertical" if direction == "vertical" else "horizontal", tilt, 0.0, "right half", 0.0)
    offset = float(turned(straight.points, axis.angle)[:, 0].mean())
    across = turned(points, axis.angle)[:, 0] - offset
    slack = 0.01 * float(np.ptp(points, axis=0).max())
    if across.min() >= -slack:
        return Axis(axis.direction, tilt, offset, "right half", 0.0)
    if across.max() <= slack:
        return Axis(axis.direction, tilt, offset, "left half", 0.0)
    return None


def _closed_along(points: Floats, axis: Axis) -> Floats:
    upright = turned(points, axis.angle)
    ends = [[axis.offset, upright[-1, 1]], [axis.offset, upright[0, 1]]]
    return turned(np.vstack([upright, ends]), -axis.angle)
