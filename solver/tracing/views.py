"""An elongated shape from two sketches, from the front and from above: length and width at every height."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.tracing.axis import turned
from solver.tracing.half import half_outline
from solver.tracing.sketch import View, in_picture, notes_of_axis, notes_of_shape, placed, view_of
from solver.tracing.smoothing import flat_end
from solver.tracing.trace import Trace, Wanted, scale_of
from solver.units import in_mm

SHOWS = ("length", "width")
"""What may be seen from the front: the long side, or the narrow one."""

ROUND = 0.95
"""A plan at least this wide for its length is round."""

TOLERANCE = 0.13
"""Of its width: how far 19 of 20 places of a plan may lie from two half circles joined by straight sides; an
ellipse, which many will draw, comes to 0.11."""

PLACES = 0.95


def trace_views(front: Path, plan: Path, wanted: Wanted, *, shows: str = "length") -> Trace:
    """Read an elongated shape from a sketch of its front and one from above.

    Parameters
    ----------
    front : Path
        A picture of the shape from the front; `wanted` gives its size.
    plan : Path
        A picture from above, at any scale: it tells how wide the shape is for its length.
    wanted : Wanted
        Size, gauge and how to read the front.
    shows : str, optional
        "length": the front shows the long side; "width": it shows the narrow one.

    Returns
    -------
    Trace
        Half the width against height, and in `straight` how long the straight sides are there.

    Raises
    ------
    InputError
        If a picture can't be read, or the plan is far from an oval with straight sides.

    Notes
    -----
    Where the front shows the length L, straight sides of one length a = L_max - W_max take up the rest beside
    the width, if the front is as long as that at every height; otherwise both shrink with it.
    """
    if shows not in SHOWS:
        raise InputError(Problem('the front shows the "length" or the "width"', got=f'"{shows}"'))
    view = view_of(front, wanted)
    half = half_outline(view.shape.contour, view.axis, side=wanted.side)
    scale = scale_of(half, wanted, file=str(front))
    half = half * scale
    ratio, told = _width_for_length(plan, wanted)
    radius, straight = _split(half, ratio, shows)
    narrow = np.column_stack([radius, half[:, 1]])
    trace = placed(narrow, view.axis, view.shape.contour, wanted, scale=scale, file=str(front))
    notes = [*notes_of_shape(view, scale), *notes_of_axis(view.axis, wanted), told]
    if ratio >= ROUND:
        return in_picture(trace, view).with_notes_before(*notes, "It is read as round.")
    top = half[-1, 1]
    upside_down = wanted.first in ("top", "right")
    trace = trace.drawn_out(
        *((top - half[::-1, 1], straight[::-1]) if upside_down else (half[:, 1], straight))
    )
    notes.append(f"Elongated: straight sides up to {in_mm(float(straight.max()))} long.")
    seen = replace(trace.seen, used=_as_seen(trace, scale, shows, view, upside_down=upside_down))
    return in_picture(replace(trace, seen=seen), view).with_notes_before(*notes)


def _width_for_length(plan: Path, wanted: Wanted) -> tuple[float, str]:
    """Return the width of a plan over its length, and how far it is from an oval with straight sides."""
    view = view_of(plan, replace(wanted, axis="auto", drawn="whole", side="both", first="auto"))
    upright = turned(view.shape.contour, view.axis.angle)
    sizes = np.ptp(upright, axis=0)
    length, width = float(sizes.max()), float(sizes.min())
    along = int(np.argmax(sizes))
    centred = np.abs(upright - (upright.max(axis=0) + upright.min(axis=0)) / 2)
    beyond = np.maximum(centred[:, along] - (length - width) / 2, 0)
    off = np.abs(np.hypot(beyond, centred[:, 1 - along]) - width / 2)
    share = float(np.quantile(off, PLACES)) / width
    if share > TOLERANCE:
        raise InputError(
            Problem(
                "a plan is an oval with straight sides: 19 of 20 places lie within "
                f"{100 * TOLERANCE:.0f} % of the width of one",
                got=f"{100 * share:.0f} %",
                remedy="Draw it from above as two half circles joined by straight sides, or as an ellipse.",
                file=str(plan),
            )
        )
    return width / length, (
        f"From above it is {length / width:.2f} times as long as wide; "
        f"19 of 20 places lie within {100 * share:.1f} % of the width of an oval with straight sides."
    )


def _split(half: Floats, ratio: float, shows: str) -> tuple[Floats, Floats]:
    """Return half the width and the straight length at each height. [mm]"""
    radius = half[:, 0]
    if ratio >= ROUND:
        return radius, np.zeros(len(radius))
    if shows == "width":
        return radius, np.full(len(radius), 2 * radius.max() * (1 / ratio - 1))
    straight = 2 * radius.max() * (1 - ratio)
    ends = min(flat_end(half, first=True), flat_end(half, first=False))
    if 2 * ends >= 0.9 * straight and 2 * radius[2:-2].min() >= 0.9 * straight:
        return np.maximum(radius - straight / 2, 0.0), np.full(len(radius), straight)
    return radius * ratio, 2 * radius * (1 - ratio)


def _as_seen(trace: Trace, scale: float, shows: str, view: View, *, upside_down: bool) -> Floats:
    """Return the outline as the front shows it, in the picture. [px]"""
    radius, height = trace.outline.points.T
    assert trace.levels is not None  # as an elongated shape has
    beside = trace.levels[:, 1] / 2 if shows == "length" else 0
    reach = radius + beside
    base = turned(trace.seen.axis, view.axis.angle)[0, 1]
    up = (height.max() - height if upside_down else height) / scale + base
    sides = [np.column_stack([view.axis.offset + sign * reach / scale, up]) for sign in (1, -1)]
    return turned(np.vstack([sides[0], sides[1][::-1]]), -view.axis.angle)
