"""A bent part's rounds and form where they lie on the wanted surface, and what they are judged by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats
from solver.form.stitches import StitchForm
from solver.rounds import Piece
from solver.search.bent_girths import girth_off
from solver.search.bent_held import fabric_of, guessed, held_form
from solver.search.bent_lie import laid_on, off_middle, ring_tilts
from solver.search.bent_plan import Straight, Turn
from solver.search.bent_rounds import bent_piece
from solver.search.making import Making
from solver.wanted.gauge import Gauge
from solver.wanted.swept import Bend, Swept

TILT, MIDDLE, SURFACE, GIRTH = np.radians(5.0), 0.5, 0.35, 0.03
"""What a form is judged by: tilt of the last round [rad], middle line and surface [stitch widths, rms], and
girths [parts of them]."""

WHOLE = 0.25
"""Stitches by which girths are off on average as stitches are whole."""

GOOD, ENOUGH = 0.45, 0.75
"""Parts of these within which the search ends at once, and after `SOLVES`."""

SOLVED = 1e-2
"""Residual of forms that are compared in the search."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BentForm:
    """A bent part's rounds and form, lying on the wanted surface.

    Attributes
    ----------
    piece : Piece
    form : StitchForm
    points : (n, 3) float
        Its nodes where they lie nearest to the wanted surface. [mm]
    turns : tuple of Turn
    surface, middle, tilt, girth : float
        Root mean square distance of the surface and of the middle line [mm], tilt of the last round against
        the first beyond the wanted one [rad], mean distance of the thick rounds' girths, as a part of them.
    """

    piece: Piece
    form: StitchForm
    points: Floats
    turns: tuple[Turn, ...]
    surface: float
    middle: float
    tilt: float
    girth: float

    def worst(self, stitch_width: float) -> float:
        """Return the greatest of its faults, each as part of what it is judged by."""
        faults = (
            self.surface / SURFACE / stitch_width,
            self.middle / MIDDLE / stitch_width,
            abs(self.tilt) / TILT,
            (self.girth - WHOLE / max(self.piece.counts)) / GIRTH,
        )
        return float(max(faults))


def formed(
    wanted: Swept,
    straight: Straight,
    turns: tuple[Turn, ...],
    bends: Sequence[Bend],
    making: Making,
    gauge: Gauge,
) -> BentForm:
    """Return the form of rounds that bend so."""
    return formed_of(*bent_piece(straight, turns, bends), wanted, making, gauge, turns=turns)


def formed_of(
    piece: Piece,
    places: Floats,
    forward: float,
    wanted: Swept,
    making: Making,
    gauge: Gauge,
    *,
    turns: tuple[Turn, ...] = (),
) -> BentForm:
    """Return the form of rounds, from where their edges lie along the outline and where their front is."""
    fabric = fabric_of(piece, gauge)
    guess = guessed(fabric, wanted, places, forward)
    form = held_form(fabric, guess, wanted, making, tolerance=SOLVED)
    return laid_out(piece, form, wanted, turns)


def laid_out(piece: Piece, form: StitchForm, wanted: Swept, turns: tuple[Turn, ...]) -> BentForm:
    """Return a form moved onto the wanted surface, and how far it lies off it."""
    points = laid_on(form.fabric, form.points, wanted)
    tilts = ring_tilts(form.fabric, points)
    return BentForm(
        piece=piece,
        form=form,
        points=points,
        turns=turns,
        surface=rms(wanted.distance(points)),
        middle=rms(off_middle(form.fabric, points, wanted)),
        tilt=float(tilts[-1] - tilts[0] - wanted.end_tilt),
        girth=girth_off(form, points, wanted),
    )


def rms(off: Floats) -> float:
    """Return the root mean square of distances. [mm]"""
    return float(np.sqrt(np.mean(off**2)))
