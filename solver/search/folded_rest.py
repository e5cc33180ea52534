"""Which relaxed fabric, folded flat, has the wanted outline."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats
from solver.errors import ConvergenceError
from solver.form.folded import folded_form, row_arc
from solver.search.membrane import RestFabric
from solver.wanted.outline import Outline

if TYPE_CHECKING:
    from solver.search.making import Making

STATIONS = 12
"""Places along the fold to a row."""

CALIBRATED = 3
"""How often the rows are counted anew from the form that they come to."""


def folded_rest(outline: Outline, making: Making) -> RestFabric:
    """Return the relaxed fabric that lies within a wanted outline when it is folded flat.

    Parameters
    ----------
    outline : Outline
        Half the width against height of the flattened piece.
    making : Making
        Folded.

    Notes
    -----
    Rows are taken as arcs that meet the fold at right angles, so their lengths follow from the outline alone
    (`solver.form.folded.row_arc`). What lies between them is longer at the fold or in the middle; how many
    rows that takes is found by folding them.
    """
    number = max(int(STATIONS * outline.length / making.row_height), 40)
    arc = np.linspace(0.0, outline.length, number)
    half, up = (np.interp(arc, outline.arc, values) for values in outline.points.T)
    angle = _smoothed(half, up, making.row_height / (arc[1] or 1.0))
    long, deep = row_arc(half, angle)
    middle = np.maximum(np.diff(up + deep), 0.0)
    rest = np.concatenate([[0.0], np.cumsum((np.diff(arc) + middle) / 2)])
    girth = 4 * np.maximum(long, half)
    for _ in range(CALIBRATED):
        rest = rest * _short(rest, girth, outline, making)
    kept = 2 * making.side * making.stitch_width
    return RestFabric(arc, rest, girth - kept, girth - kept, ())


def _short(rest: Floats, girth: Floats, outline: Outline, making: Making) -> float:
    """Return how much longer rows would have to be along the fold for the wanted height."""
    h, drawn_in = making.row_height, making.closing_rows
    rows = max(round(rest[-1] / h - drawn_in), 2)
    at = np.arange(1, rows + 1) / (rows + drawn_in) * rest[-1]
    counts = np.interp(at, rest, girth) / making.stitch_width - 2 * making.side
    try:
        form = folded_form(making.folded_fabric(np.maximum(counts, 3.0)))
    except ConvergenceError:
        return 1.0
    return float(np.clip(outline.height / form.size * (rows + drawn_in) * h / rest[-1], 0.8, 1.25))


def _smoothed(half: Floats, up: Floats, window: float) -> Floats:
    """Return the angle of the fold from upright, taken over about a row; at most a right angle. [rad]"""
    reach = max(int(window / 2), 1)
    before = np.maximum(np.arange(len(half)) - reach, 0)
    after = np.minimum(np.arange(len(half)) + reach, len(half) - 1)
    angle = np.arctan2(half[after] - half[before], up[after] - up[before])
    return np.clip(angle, -np.pi / 2, np.pi / 2)
