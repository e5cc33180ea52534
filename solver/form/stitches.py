"""The form of a stitch fabric under stuffing, in space: ovals, seams, increases in line, anything not round.

The form is where the energy (1) of `solver.form.energy` is least. The ring model's form is the first
guess, also for a piece on a chain, whose two ends are drawn out along its sides.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, frozen
from solver.errors import ConvergenceError, InputError, Problem
from solver.form.descent import FREE, MAX_STEPS, Constraints, Supports, descend
from solver.form.energy import ASSUMED, FabricConstants, StitchEnergy
from solver.form.fabric import lofted
from solver.form.rings import RingFabric, ring_form
from solver.rounds import Finish, Start

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from solver.form.fabric import StitchFabric

TOLERANCE = 1e-3
"""Largest force left on a node, in units of the pressure force on one stitch p w h; 0.02 mm of form."""

FIRMEST = 0.35
"""Greatest p R (R the greatest radius of a section): linear fabric has no form at all above 1/2."""


@dataclass(frozen=True, eq=False)
class StitchForm:
    """What the rounds become when stuffed, stitch by stitch.

    Attributes
    ----------
    fabric : StitchFabric
        The relaxed fabric.
    pressure : float
        p/k. [1/mm]
    points : (n, 3) float
        The nodes; the axis along z, first worked lowest, a chain along x. [mm]
    course_stretch, wale_stretch : float arrays
        Stuffed over rest length, minus one, of each course fibre and each leg. [1]
    volume : float
        Inside volume, open edges closed flat. [mm^3]
    residual : float
        Largest force left on a node, in units of p w h.
    pin_reaction : float
        Largest force on the pins that keep the part from drifting, in the same unit: nothing, at the form.
    iterations : int
        Steps taken in all attempts.
    history : tuple of float
        The residual at each step of the last attempt.
    supports : Supports
        What holds it.
    """

    fabric: StitchFabric
    pressure: float
    points: Floats
    course_stretch: Floats
    wale_stretch: Floats
    volume: float
    residual: float
    pin_reaction: float
    iterations: int
    history: tuple[float, ...] = field(repr=False)
    supports: Supports = FREE

    def __post_init__(self) -> None:
        for name in ("points", "course_stretch", "wale_stretch"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    @property
    def length(self) -> float:
        """Size along a chain's sides (x). [mm]"""
        return float(np.ptp(self.points[:, 0]))

    @property
    def width(self) -> float:
        """Size across a chain's sides (y). [mm]"""
        return float(np.ptp(self.points[:, 1]))

    @property
    def height(self) -> float:
        """Size along the axis (z). [mm]"""
        return float(np.ptp(self.points[:, 2]))

    @property
    def mean_stretch(self) -> float:
        """Mean of both directions; slack fabric counts as it hangs. [1]"""
        return float((self.course_stretch.mean() + self.wale_stretch.mean()) / 2)

    @cached_property
    def rings(self) -> tuple[Floats, ...]:
        """Positions of the slots of each ring, in working order."""
        return tuple(self.points[ring] for ring in self.fabric.rings)

    @cached_property
    def outline(self) -> Floats:
        """Radius and mean height of each ring, (m, 2). [mm]

        The girth over 2 pi of the regular polygon of as many stitches and the area of the ring's section.
        """
        rows = []
        for ring in self.rings:
            x, y = ring[:, 0] - ring[:, 0].mean(), ring[:, 1] - ring[:, 1].mean()
            area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
            girth = 2 * np.sqrt(len(ring) * np.tan(np.pi / max(len(ring), 3)) * area)
            rows.append([girth / (2 * np.pi), ring[:, 2].mean()])
        return frozen(rows)


def stitch_form(
    fabric: StitchFabric,
    *,
    pressure: float,
    guess: ArrayLike | None = None,
    supports: Supports = FREE,
    tolerance: float = TOLERANCE,
    constants: FabricConstants = ASSUMED,
    wale_stiffness: float = 1.0,
    most_steps: int = MAX_STEPS,
    rough: float = 0.0,
    patient: bool = True,
) -> StitchForm:
    """Return the form of a stitch fabric under stuffing.

    Parameters
    ----------
    fabric : StitchFabric
        With joined rounds.
    pressure : float
        p/k, > 0. [1/mm] With R the greatest radius that a section may take, p R is at most `FIRMEST`.
    guess : (n, 3) float, optional
        Node positions to start from; left out: the ring model's form, for a piece on a chain drawn out to its
        sides. [mm] A fabric of several pieces has no other.
    supports : Supports
        What holds the part.
    tolerance : float
        Largest force left on a node, in units of p w h, > 0.
    constants : FabricConstants
        What is assumed of the fabric.
    wale_stiffness : float
        k_w/k_c, as measured; > 0.
    most_steps : int
        Of each attempt.
    rough : float
        Residual up to which a search takes a form that an attempt does not solve, to judge it by; a
        form that is shown has none.
    patient : bool
        Whether further attempts follow where the first one fails.

    Returns
    -------
    StitchForm
        In balance to `tolerance`, or `rough`.

    Raises
    ------
    InputError
        If the pressure is not above zero and finite, or more than linear fabric can hold.
    ConvergenceError
        If neither the guess, nor the ring model's form, nor walking down from a firmer stuffing leads to a
        balance.
    """
    radius = _widest(fabric)
    if not (np.isfinite(pressure) and pressure > 0):
        raise InputError(Problem("a stuffed part has an inside pressure above zero", got=f"{pressure}"))
    if pressure * radius > FIRMEST:
        rule = f"the pressure times the flat radius, over the fabric's stiffness, is at most {FIRMEST}"
        raise InputError(Problem(rule, got=f"{pressure * radius:.2f}", remedy="Stuff less firmly."))
    attempts: list[tuple[Floats, tuple[float, ...]]] = []
    if guess is not None:
        first = np.array(guess, dtype=np.float64)
        attempts.append((first, (1.0,)))
    if len(fabric.components) == 1:
        first = loft(fabric, pressure, wale_stiffness=wale_stiffness)
        attempts.append((first, (1.0,)))
    attempts.append((first, (2.0, 1.4, 1.0)))
    if not patient:
        attempts = attempts[:1]
    steps, best = 0, np.inf
    for points, factors in attempts:
        for factor in factors:
            firm = min(factor * pressure, FIRMEST / radius)
            energy = StitchEnergy(
                fabric,
                firm,
                constants,
                supports.ties,
                wale_stiffness=wale_stiffness,
                walls=supports.walls,
            )
            constraints = Constraints(fabric, points.copy(), supports)
            points, history = descend(energy, constraints, tolerance, most_steps=most_steps)
            steps += len(history) - 1
        if history[-1] <= max(tolerance, rough):
            return _form(energy, constraints, points, steps, history, supports)
        best = min(best, history[-1])
    raise ConvergenceError(
        what="the form in space",
        iterations=steps,
        residual=best,
        tried="the guess, the ring model's form, firmer stuffing walked down",
    )


def _widest(fabric: StitchFabric) -> float:
    """Return the greatest radius that a section may take: of a round, or where less, of the rows across. [mm]

    Long sides carry the pressure across alone: two of all rows round a half circle at the most.
    """
    round_ = max(len(ring) for ring in fabric.rings) * fabric.stitch_width / (2 * np.pi)
    across = 2 * float(fabric.row_heights.sum()) / np.pi
    return min(round_, across) if fabric.piece.start is Start.CHAIN else round_


def loft(fabric: StitchFabric, pressure: float, *, wale_stiffness: float = 1.0) -> Floats:
    """Return node positions from the ring model; a piece on a chain has its ends from there."""
    counts = np.array(fabric.piece.counts, dtype=float)
    w, side = fabric.stitch_width, fabric.piece.side
    ends = np.maximum(counts - 2 * side, 4) * w
    start = fabric.piece.foundation * w if fabric.piece.start is Start.OPEN else 0.0
    perimeter = np.concatenate([[start], ends])
    if fabric.piece.finish is Finish.CINCHED:
        perimeter = np.append(perimeter, 0.0)
    chain = fabric.piece.start is Start.CHAIN
    if fabric.piece.finish is Finish.SEAMED and chain:
        perimeter[-1] = 0.0
    spacing = fabric.row_heights[1:]
    of_rings = RingFabric(perimeter, spacing, stitch_width=w, wale_stiffness=wale_stiffness)
    rings = ring_form(of_rings, pressure=pressure)
    stretch = 1 + pressure * rings.radius.max() / 2
    straight = np.full(len(fabric.rings), (side + 1) * w * stretch) if chain else None
    radius = rings.radius.copy()
    if fabric.piece.finish is Finish.SEAMED and chain:
        # a seam reaches into ends of more than two stitches: no two of its stitches lie in one place
        radius[-1] = max(ends[-1] / w / 2 - 2, 0) * w / 2
    return lofted(fabric, radius=radius, height=rings.height, straight=straight)


def _form(
    energy: StitchEnergy,
    constraints: Constraints,
    points: Floats,
    steps: int,
    history: tuple[float, ...],
    supports: Supports,
) -> StitchForm:
    fabric = energy.fabric
    unit = energy.pressure * fabric.stitch_width * fabric.row_height
    _, gradient = energy(points)
    stretch = energy.stretch(points)
    return StitchForm(
        fabric=fabric,
        pressure=energy.pressure,
        points=points,
        course_stretch=stretch[: energy.courses],
        wale_stretch=stretch[energy.courses :][: energy.wales],
        volume=energy.volume(points),
        residual=history[-1],
        pin_reaction=float(np.abs(np.where(constraints.pinned, gradient, 0.0)).max() / unit),
        iterations=steps,
        history=history,
        supports=supports,
    )
