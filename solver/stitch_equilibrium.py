"""The form of a stitch fabric under stuffing, in space: ovals, seams, increases in line, anything not round.

The energy (1) of `solver.stitch_energy` is minimised by a limited-memory quasi-Newton method (J. Nocedal and
S. Wright, Numerical Optimization, 2nd ed., 7.2; memory) whose first metric is the inverse of one constant
matrix: the fabric with all its fibres taut, the same for each coordinate, factored once (the local-global matrix
of projective dynamics; S. Bouaziz et al., ACM Trans. Graphics 33(4), 2014; memory).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from solver.equilibrium import RingFabric, ring_form
from solver.errors import ConvergenceError, InputError, Problem
from solver.fabric import lofted
from solver.outline import frozen
from solver.rounds import Finish, Start
from solver.stitch_energy import ASSUMED, FabricConstants, StitchEnergy

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike, NDArray
    from scipy.sparse.linalg import SuperLU

    from solver.fabric import StitchFabric
    from solver.stitch_energy import Floats, Ints

TOLERANCE = 1e-3
"""Largest force left on a node, in units of the pressure force on one stitch p w h; 0.02 mm of form."""

MAX_STEPS = 1500

FIRMEST = 0.35
"""Greatest p R (R the greatest flat radius): linear fabric has no form at all above 1/2."""

METRIC = 0.5
"""Part of the taut fabric's stiffness in the first metric; of 0.1 to 1 it takes fewest steps."""

MEMORY = 10
"""Pairs of step and change of force that the quasi-Newton method keeps."""

ENERGY_NOISE = 1e-13
"""Relative rounding of the energy: a step may raise it by this much."""


@dataclass(frozen=True, slots=True, eq=False)
class Supports:
    """What holds a part. An open edge that is not held stays in a plane and is free in it.

    Attributes
    ----------
    start, finish : (m, 2) float or None
        Where an open start or an open last edge is held in its plane (sewn to something stiff), by stitch.
        [mm]
    sole : int
        Rounds that lie on a stiff flat insert.
    sole_edge : (m, 2) float or None
        Where the last round on the insert is held, by stitch. [mm]
    """

    start: Floats | None = None
    finish: Floats | None = None
    sole: int = 0
    sole_edge: Floats | None = None


FREE = Supports()


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
) -> StitchForm:
    """Return the form of a stitch fabric under stuffing.

    Parameters
    ----------
    fabric : StitchFabric
        With joined rounds.
    pressure : float
        p/k, > 0. [1/mm] Together with the greatest flat radius R of a round, p R is at most `FIRMEST`.
    guess : (n, 3) float, optional
        Node positions to start from; left out: the ring model's form, for a piece on a chain drawn out to its
        sides. [mm]
    supports : Supports
        What holds the part.
    tolerance : float
        Largest force left on a node, in units of p w h, > 0.
    constants : FabricConstants
        What is assumed of the fabric.

    Returns
    -------
    StitchForm
        In balance to `tolerance`.

    Raises
    ------
    InputError
        If the pressure is not above zero and finite, or more than linear fabric can hold.
    ConvergenceError
        If neither the guess, nor the ring model's form, nor walking down from a firmer stuffing leads to a
        balance.
    """
    radius = max(len(ring) for ring in fabric.rings) * fabric.stitch_width / (2 * np.pi)
    if not (np.isfinite(pressure) and pressure > 0):
        raise InputError(Problem("a stuffed part has an inside pressure above zero", got=f"{pressure}"))
    if pressure * radius > FIRMEST:
        rule = f"the pressure times the flat radius, over the fabric's stiffness, is at most {FIRMEST}"
        raise InputError(Problem(rule, got=f"{pressure * radius:.2f}", remedy="Stuff less firmly."))
    first = loft(fabric, pressure) if guess is None else np.array(guess, dtype=np.float64)
    attempts: list[tuple[Floats, tuple[float, ...]]] = [(first, (1.0,))]
    if guess is not None:
        attempts.append((loft(fabric, pressure), (1.0,)))
    attempts.append((loft(fabric, pressure), (2.0, 1.4, 1.0)))
    steps, best = 0, np.inf
    for points, factors in attempts:
        for factor in factors:
            energy = StitchEnergy(fabric, min(factor * pressure, FIRMEST / radius), constants)
            constraints = _Constraints(fabric, points.copy(), supports)
            points, history = _descend(energy, constraints, tolerance)
            steps += len(history) - 1
        if history[-1] <= tolerance:
            return _form(energy, constraints, points, steps, history)
        best = min(best, history[-1])
    raise ConvergenceError(
        what="the form in space",
        iterations=steps,
        residual=best,
        tried="the guess, the ring model's form, firmer stuffing walked down",
    )


def loft(fabric: StitchFabric, pressure: float) -> Floats:
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
    rings = ring_form(RingFabric(perimeter, fabric.row_heights[1:], stitch_width=w), pressure=pressure)
    stretch = 1 + pressure * rings.radius.max() / 2
    straight = np.full(len(fabric.rings), (side + 1) * w * stretch) if chain else None
    return lofted(fabric, radius=rings.radius, height=rings.height, straight=straight)


def _descend(
    energy: StitchEnergy, constraints: _Constraints, tolerance: float
) -> tuple[Floats, tuple[float, ...]]:
    """Return where the descent ends, and the residual at each step; the caller checks it."""
    x = constraints.points
    metric = _Metric(energy, constraints)
    unit = energy.pressure * energy.fabric.stitch_width * energy.fabric.row_height
    longest = 2 * energy.fabric.row_height
    value, full = energy(x)
    gradient = constraints.project(full)
    history = [_largest(gradient) / unit]
    pairs: list[tuple[Floats, Floats, float]] = []
    while history[-1] > tolerance and len(history) <= MAX_STEPS:
        step = -_two_loop(gradient, pairs, metric)
        slope = float(np.vdot(step, gradient))
        if not slope < 0:
            pairs.clear()
            step = -metric(gradient)
            slope = float(np.vdot(step, gradient))
        length = min(1.0, longest / _largest(step))
        while True:
            trial = x + length * step
            new, full = energy(trial)
            if new <= value + 1e-4 * length * slope + ENERGY_NOISE * abs(value):
                break
            length /= 2
            if length < 1e-8:
                return x, tuple(history)
        change = constraints.project(full) - gradient
        gradient = gradient + change
        curvature = length * float(np.vdot(step, change))
        if curvature > 1e-12 * np.vdot(change, change):
            pairs.append((length * step, change, 1 / curvature))
            del pairs[:-MEMORY]
        x, value = trial, new
        history.append(_largest(gradient) / unit)
    return x, tuple(history)


def _largest(vectors: Floats) -> float:
    return float(np.sqrt(np.einsum("ij,ij->i", vectors, vectors).max()))


def _two_loop(
    gradient: Floats, pairs: list[tuple[Floats, Floats, float]], metric: Callable[[Floats], Floats]
) -> Floats:
    """Return the quasi-Newton direction's opposite (Nocedal and Wright, algorithm 7.4)."""
    q = gradient.copy()
    weights = []
    for s, y, rho in reversed(pairs):
        weights.append(rho * float(np.vdot(s, q)))
        q -= weights[-1] * y
    r = metric(q)
    for (s, y, rho), weight in zip(pairs, reversed(weights), strict=True):
        r += (weight - rho * float(np.vdot(y, r))) * s
    return r


def _form(
    energy: StitchEnergy, constraints: _Constraints, points: Floats, steps: int, history: tuple[float, ...]
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
        wale_stretch=stretch[energy.courses :],
        volume=energy.volume(points),
        residual=history[-1],
        pin_reaction=float(np.abs(np.where(constraints.pinned, gradient, 0.0)).max() / unit),
        iterations=steps,
        history=history,
    )


class _Constraints:
    """Where nodes may move: fixed coordinates, and rims that stay in one plane.

    Moves are projected: `project` sets what is fixed to zero and gives a free rim's nodes one common height.
    """

    def __init__(self, fabric: StitchFabric, points: Floats, supports: Supports) -> None:
        n = fabric.node_count
        self.points = points
        fixed = np.zeros((n, 3), dtype=bool)
        self.level: list[Ints] = []
        rims = []
        if fabric.piece.start is Start.OPEN:
            rims.append((fabric.rings[0], supports.start))
        if supports.sole:
            flat = np.flatnonzero(fabric.ring_of_node <= supports.sole)
            points[flat, 2] = 0.0
            fixed[flat, 2] = True
            self._hold(fixed, fabric.rings[supports.sole], supports.sole_edge)
        if fabric.piece.finish is Finish.OPEN:
            rims.append((fabric.rings[-1], supports.finish))
        for rim, place in rims:
            points[rim, 2] = points[rim, 2].mean()
            if fixed[:, 2].any():
                self.level.append(rim)
            else:
                fixed[rim, 2] = True
            self._hold(fixed, rim, place)
        # What is fixed so far shapes the metric; the pins below only stop rigid drift and carry no force.
        self.held = fixed.copy()
        self.pinned = np.zeros((n, 3), dtype=bool)
        self._pin(fabric)
        self.fixed = fixed | self.pinned

    def _hold(self, fixed: NDArray[np.bool_], ring: Ints, place: Floats | None) -> None:
        if place is not None:
            self.points[ring, :2] = place
            fixed[ring, :2] = True

    def _pin(self, fabric: StitchFabric) -> None:
        """Add 3-2-1 pins where nothing else stops the part from drifting or turning."""
        held, pinned = self.held, self.pinned
        first = fabric.rings[0]
        self.anchor = anchor = int(first[len(first) // 4])
        far = int(np.argmax(np.abs(self.points[:, 0] - self.points[anchor, 0])))
        if not held[:, 2].any():
            top = int(np.argmax(self.points[:, 2]))
            pinned[anchor, 2] = True
            pinned[top, :2] = True
        if not held[:, :2].any():
            pinned[anchor, :2] = True
            pinned[far, 1] = True

    def project(self, moves: Floats) -> Floats:
        out = np.where(self.fixed, 0.0, moves)
        for rim in self.level:
            out[rim, 2] = out[rim, 2].mean()
        return out


class _Metric:
    """The inverse of the taut fabric's matrix, for moves that the constraints allow."""

    def __init__(self, energy: StitchEnergy, constraints: _Constraints) -> None:
        matrix = METRIC * energy.taut_matrix()
        self.project = constraints.project
        self.factors: list[tuple[list[int], SuperLU]] = []
        held = constraints.held.copy()
        for axis in range(3):
            if not held[:, axis].any():
                held[constraints.anchor, axis] = True
        for axis in range(3):
            for axes, _ in self.factors:
                if (held[:, axes[0]] == held[:, axis]).all():
                    axes.append(axis)
                    break
            else:
                self.factors.append(([axis], _factor(matrix, held[:, axis])))

    def __call__(self, gradient: Floats) -> Floats:
        out = np.empty_like(gradient)
        for axes, factor in self.factors:
            out[:, axes] = factor.solve(np.ascontiguousarray(gradient[:, axes]))
        return self.project(out)


def _factor(matrix: sparse.csr_matrix, held: NDArray[np.bool_]) -> SuperLU:
    free = sparse.diags((~held).astype(float))
    constrained = (free @ matrix @ free + sparse.diags(held.astype(float))).tocsc()
    return splu(
        constrained, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    )
