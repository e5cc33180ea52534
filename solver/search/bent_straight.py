"""The rounds of a bent part without its bends, the widest as near to their girth as whole stitches come."""

from __future__ import annotations

import numpy as np

from solver.arrays import Floats
from solver.rounds import Finish, Start
from solver.search.bent_plan import Straight
from solver.search.making import Making
from solver.search.round_counts import Fit, fit
from solver.wanted.gauge import Gauge
from solver.wanted.outline import Outline

WIDEST = 0.93
"""Part of the greatest radius from which rounds are as near to the wanted girth as whole stitches come."""

EVEN = 0.02
"""Part of a radius that it changes by over two rounds at the most where a part is taken as even there: so are
rounds."""


def straight_rounds(
    outline: Outline, making: Making, gauge: Gauge, increases: str, start: Start, chain: int | None = None
) -> tuple[Straight, ...]:
    """Return the rounds of the part without its bends, and where they lie along it; on a chain if told so.

    Plain ones first, where they are asked for, then the nearest.
    """
    found = fit(outline, making)
    nearest = found.exact or found
    several = [(nearest, _girthed(nearest, outline, gauge))]
    if found.exact:
        several.insert(0, (found, tuple(found.counts.tolist())))
    told = []
    for fitted, counts in several:
        at = _along(fitted, outline)
        if chain:
            counts, at = _on_chain(counts, at, chain)
        told.append(
            Straight(
                counts=counts,
                at=at,
                stitch_width=gauge.stitch_width,
                row_height=gauge.row_height,
                heights=gauge.heights,
                start=Start.OPEN if making.start_open else start,
                finish=Finish.OPEN if making.finish_open else Finish.CINCHED,
                increases=increases,
                lean=gauge.leans,
            )
        )
    return tuple(told)


def _along(found: Fit, outline: Outline) -> Floats:
    """Return the length along the outline at the start and at each round's edge. [mm]"""
    height = found.form.height[: len(found.counts) + 1]
    low, high = outline.points[[0, -1], 1]
    whole = found.form.height[-1] - found.form.height[0]
    return np.asarray(low + (height - height[0]) * (high - low) / whole)


def _girthed(found: Fit, outline: Outline, gauge: Gauge) -> tuple[int, ...]:
    """Return counts, those of the widest rounds as near to the wanted girth as whole stitches come."""
    counts = found.counts.tolist()
    radius = found.form.radius[1 : len(counts) + 1]
    per_stitch = 2 * np.pi * radius / np.maximum(counts, 1)
    radii, heights = outline.points.T
    rising = heights - heights[0] + np.linspace(0, 1e-6, len(heights))
    wanted = np.interp(found.form.height[1 : len(counts) + 1] - found.form.height[0], rising, radii)
    for i in range(1, len(counts) - 1):
        asked = round(float(2 * np.pi * wanted[i] / per_stitch[i]))
        fits = max(counts[i - 1], counts[i + 1]) <= 2 * asked
        even = abs(wanted[i + 1] - wanted[i - 1]) < EVEN * wanted[i]
        if (even or wanted[i] > WIDEST * outline.width / 2) and abs(asked - counts[i]) == 1 and fits:
            counts[i] = asked
    return tuple(counts)


def _on_chain(counts: tuple[int, ...], at: Floats, chain: int) -> tuple[tuple[int, ...], Floats]:
    """Return counts that begin with the first round of a chain, and where they lie: rounds up to it go."""
    first = 2 * chain
    rising = int(np.argmax(counts))
    before = int(np.argmin(np.abs(np.array(counts[: rising + 1]) - first)))
    told = [first]
    for i in range(before + 1, len(counts)):
        told.append(min(max(counts[i], first), 2 * told[-1]) if i <= rising else counts[i])
    return tuple(told), np.concatenate([at[:1], at[before + 1 :]])
