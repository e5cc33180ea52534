"""The fabric of a part that bends: where its descent begins, and the form as its open edges are held."""

from __future__ import annotations

import numpy as np

from solver.arrays import Floats
from solver.form.descent import Supports
from solver.form.fabric import StitchFabric, stitch_fabric
from solver.form.stitches import StitchForm, stitch_form
from solver.rounds import Piece, Start
from solver.search.bent_rounds import MID_SIDE
from solver.search.making import Making
from solver.wanted.gauge import Gauge
from solver.wanted.swept import Swept


def fabric_of(piece: Piece, gauge: Gauge) -> StitchFabric:
    """Return the fabric of rounds at a gauge."""
    return stitch_fabric(
        piece,
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        heights=gauge.heights,
        lean=gauge.leans,
    )


def guessed(fabric: StitchFabric, wanted: Swept, places: Floats, forward: float) -> Floats:
    """Return the nodes on the wanted surface, rings at their places along it, (n, 3). [mm]"""
    out = np.zeros((fabric.node_count, 3))
    order = np.linspace(0, 1e-6, len(wanted.along))  # lengths of a flat end are alike
    for i, ring in enumerate(fabric.rings):
        at = places[i] if i < len(places) else wanted.along[-1]
        x, z, tilt, radius = (
            float(np.interp(at, wanted.along + order, values))
            for values in (*wanted.spine.T, wanted.tilt, wanted.radius)
        )
        if len(ring) == 1:
            out[ring] = [x, 0.0, z]
            continue
        radius = max(radius, len(ring) * fabric.stitch_width / 12)
        turn = -2 * np.pi * (fabric.place(i) - forward)
        ahead = radius * np.cos(turn)
        out[ring] = np.column_stack(
            [x + ahead * np.cos(tilt), radius * np.sin(turn), z - ahead * np.sin(tilt)]
        )
    return out


def places_of(fabric: StitchFabric, wanted: Swept) -> Floats:
    """Return the length along the outline at the start and at each round's edge of any rounds. [mm]"""
    at = np.cumsum(fabric.row_heights)
    whole = at[-1]
    return np.asarray(wanted.along[0] + at[: len(fabric.piece.rounds) + 1] * np.ptp(wanted.along) / whole)


def front_of(fabric: StitchFabric) -> float:
    """Return where the front is in the evenly spaced layout, by the first round that bends. [turns]"""
    if fabric.piece.start is Start.CHAIN:
        return MID_SIDE
    below, _ = fabric.slot_heights()
    for ring in range(1, len(fabric.piece.rounds) + 1):
        if np.ptp(below[ring]) > 0:
            low = -(below[ring] * np.exp(2j * np.pi * fabric.place(ring))).sum()
            return float(np.angle(low) / (2 * np.pi))
    return 0.0


def held_form(
    fabric: StitchFabric, guess: Floats, wanted: Swept, making: Making, *, tolerance: float
) -> StitchForm:
    """Return the form, one open edge level and, where it is held, on its circle."""
    end = 0 if making.start_open else -1
    turned = _turned(guess, float(wanted.tilt[end]))
    supports = Supports()
    if making.start_open or making.finish_open:
        rim = fabric.rings[end]
        if making.held:
            ring = turned[rim, :2] - turned[rim, :2].mean(axis=0)
            ring *= float(wanted.radius[end]) / np.hypot(*ring.T)[:, None]
            turned[:, :2] -= turned[rim, :2].mean(axis=0)
            supports = Supports(start=ring) if making.start_open else Supports(finish=ring)
    return stitch_form(
        fabric,
        pressure=making.pressure,
        guess=turned,
        supports=supports,
        tolerance=tolerance,
        wale_stiffness=making.stiffness_ratio,
    )


def _turned(points: Floats, tilt: float) -> Floats:
    """Return points with what was tilted forward upright."""
    c, s = np.cos(tilt), np.sin(tilt)
    x, y, z = points.T
    return np.column_stack([c * x - s * z, y, s * x + c * z])
