"""The skin of a stuffed form: a point for every ring and turn, and where things lie on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, frozen
from solver.rounds import Start

if TYPE_CHECKING:
    from solver.form.stuffed import StuffedForm

FINE = 480
"""Places round the part at which every ring is kept."""


def ring_table(form: StuffedForm, points: Floats, *, alike: bool) -> Floats:
    """Return every ring at `FINE` even turns, (m, FINE, 3), read-only; see `ring_curve`. [mm]"""
    turns = np.arange(FINE) / FINE
    return frozen([ring_curve(form, points, k, turns, alike=alike) for k in range(len(form.fabric.rings))])


def ring_curve(form: StuffedForm, points: Floats, ring: int, turns: Floats, *, alike: bool) -> Floats:
    """Return a ring at turns: on its circle, or on cubics through its stitches.

    Parameters
    ----------
    form : StuffedForm
    points : (n, 3) float
        Its nodes, turned and moved in whatever way. [mm]
    ring : int
    turns : (k,) float
        From 0 to 1.
    alike : bool
        Whether the ring is a circle about the axis.

    Returns
    -------
    (k, 3) float
        [mm]
    """
    slots = points[form.fabric.rings[ring]]
    if form.piece.start is Start.ROWS:
        return _row(slots, turns, width=form.fabric.stitch_width, back=ring > 0 and ring % 2 == 0)
    if len(slots) == 1:
        return np.repeat(slots, len(turns), axis=0)
    place = form.fabric.place(ring)
    n = len(place)
    if alike:
        first = slots[0]
        sense = np.sign(first[0] * slots[1][1] - first[1] * slots[1][0])  # of n >= 3 stitches
        angle = np.arctan2(first[1], first[0]) + sense * 2 * np.pi * (turns - place[0])
        radius = form.outline[ring, 0]
        return np.stack([radius * np.cos(angle), radius * np.sin(angle), np.full(len(turns), first[2])], 1)
    rest = place[0] + np.mod(turns - place[0], 1.0)
    known = np.append(place, place[0] + 1.0)
    left = np.clip(np.searchsorted(known, rest, side="right") - 1, 0, n - 1)
    t = ((rest - known[left]) / (known[left + 1] - known[left]))[:, None]
    a, b, c, d = (slots[(left + step) % n] for step in (-1, 0, 1, 2))
    return np.asarray(
        b + t / 2 * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)))
    )  # cubics through four stitches each (Catmull and Rom; from memory)


def _row(slots: Floats, turns: Floats, *, width: float, back: bool) -> Floats:
    """Return a row at turns: from its right edge to its left in half a turn, and back behind it."""
    slots = slots[::-1] if back else slots
    out = (slots[-1] - slots[0]) / max(len(slots) - 1, 1) / 2
    if len(slots) == 1:
        out = np.array([-width / 2, 0.0, 0.0])
    line = np.concatenate([[slots[0] - out], slots, [slots[-1] + out]])
    known = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1)))
    at = known[-1] * (1 - np.abs(1 - 2 * np.mod(turns, 1.0)))
    return np.stack([np.interp(at, known, line[:, axis]) for axis in range(3)], axis=1)
