"""The form of a solid of revolution under stuffing: rings of stitches in balance with an inside pressure.

Rings i = 0..M of radius r_i and height z_i. Ring i has rest perimeter L_i, the fabric between two rings the
rest length h_i. The stored energy less the work of the pressure,

    E = sum 1/2 k_c A <2 pi r / L - 1>^2 + sum 1/2 k_w A <l / h - 1>^2 - p V,    <x> = max(x, 0),       (1)

is stationary at the form; A is the rest area that each term stands for, V the exact volume of the stack of
cone frusta. Stiffnesses are relative (k_c = 1 unless measured), so p means p/k, in 1/mm. Fabric carries no
compression. Newton's method with the exact banded Hessian, a shift where that is indefinite, and a
backtracking line search (J. Nocedal and S. Wright, Numerical Optimization, 2nd ed., 3.2 and 3.4; memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg.lapack import dpbsv

from solver.arrays import Bools, Floats, frozen
from solver.errors import ConvergenceError, InputError, Problem
from solver.form.ring_balance import Balance, RingFabric
from solver.wanted.outline import Outline

__all__ = ["Form", "RingFabric", "count_sensitivity", "form_outline", "ring_form", "ring_forms"]

TOLERANCE = 1e-6
"""Largest force left on a stitch, in units of the pressure force on one stitch p w h."""

MAX_STEPS = 300

ENERGY_NOISE = 1e-14
"""Relative rounding of the energy: a step may raise it by this much."""


@dataclass(frozen=True, eq=False)
class Form:
    """What the rounds become when stuffed.

    Attributes
    ----------
    fabric : RingFabric
        The relaxed fabric.
    pressure : float
        p/k. [1/mm]
    radius, height : (m,) float
        Of each ring; the first ring is at height 0. [mm]
    residual : float
        Largest force left on a stitch, in units of p w h; at most `TOLERANCE`.
    iterations : int
        Newton steps taken.
    history : tuple of float
        The residual after each step.
    """

    fabric: RingFabric
    pressure: float
    radius: Floats
    height: Floats
    residual: float
    iterations: int
    history: tuple[float, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "radius", frozen(self.radius))
        object.__setattr__(self, "height", frozen(self.height))

    @cached_property
    def points(self) -> Floats:
        """The form's outline as [radius, height] of each ring, (m, 2). [mm]."""
        return frozen(np.column_stack([self.radius, self.height]))

    @property
    def volume(self) -> float:
        """Inside volume, open ends closed flat. [mm^3]."""
        (a, b), dz = (self.radius[:-1], self.radius[1:]), np.diff(self.height)
        return float(np.pi / 3 * np.sum(dz * (a * a + a * b + b * b)))

    @property
    def width(self) -> float:
        """Twice the greatest radius. [mm]."""
        return float(2 * self.radius.max())

    @property
    def size(self) -> float:
        """From the lowest ring to the highest. [mm]."""
        return float(np.ptp(self.height))

    @cached_property
    def course_stretch(self) -> Floats:
        """Stuffed over rest perimeter, minus one, of each ring; 0 at poles. [1]."""
        L = self.fabric.perimeter
        return frozen(np.where(L > 0, 2 * np.pi * self.radius / np.where(L > 0, L, 1.0) - 1, 0.0))

    @cached_property
    def wale_stretch(self) -> Floats:
        """Stuffed over rest distance, minus one, between two rings. [1]."""
        return frozen(np.hypot(np.diff(self.radius), np.diff(self.height)) / self.fabric.spacing - 1)

    @property
    def mean_stretch(self) -> float:
        """Area-weighted mean over both directions; slack fabric counts as it hangs. [1]."""
        hoop, wale = self.fabric.hoop_area, self.fabric.wale_area
        total = np.sum(hoop * self.course_stretch) + np.sum(wale * self.wale_stretch)
        return float(total / (hoop.sum() + wale.sum()))


def ring_form(fabric: RingFabric, *, pressure: float, guess: ArrayLike | None = None) -> Form:
    """Return the form of a fabric of rings under stuffing.

    Parameters
    ----------
    fabric : RingFabric
        The relaxed fabric.
    pressure : float
        p/k, > 0. [1/mm]
    guess : (m, 2) float, optional
        Radius and height of each ring to start from; left out: the rings at their flat radius, as far as the
        rows between them allow. [mm]

    Returns
    -------
    Form
        In balance to `TOLERANCE`.

    Raises
    ------
    InputError
        If the pressure is not above zero and finite.
    ConvergenceError
        If neither the guess, nor the flat start, nor walking the pressure down from a firmer stuffing leads
        to a balance. (Linear fabric has none above p R / (2 k) = 1/4 for a sphere of rest radius R.)
    """
    if not (np.isfinite(pressure) and pressure > 0):
        raise InputError(
            Problem("a stuffed part has an inside pressure above zero", got=f"{pressure}", remedy="Stuff it.")
        )
    flat = _flat_guess(fabric)
    # a little inflated, so that every fibre pulls: slack ones give Newton's method no stiffness to go by
    flat *= 1 + min(0.1, pressure * float(flat[:, 0].max()))
    starts = [flat] if guess is None else [np.asarray(guess, dtype=np.float64), flat]
    steps, best = 0, np.inf
    for start in starts:
        (form,) = _newton([fabric], pressure, [start])
        if _is_sound(form):
            return form
        steps, best = steps + form.iterations, min(best, form.residual)
    points: Floats = flat
    for factor in (16.0, 8.0, 4.0, 2.0, 1.0):
        (form,) = _newton([fabric], pressure * factor, [points])
        points, steps = form.points, steps + form.iterations
    if _is_sound(form):
        return form
    raise ConvergenceError(
        what="the form under stuffing",
        iterations=steps,
        residual=min(best, form.residual),
        tried="the wanted form, the flat rounds, firmer stuffing walked down",
    )


def ring_forms(
    fabrics: Sequence[RingFabric], *, pressure: float, guesses: Sequence[Floats]
) -> list[Form | None]:
    """Return the forms of several fabrics with as many rings, None for those that have no balance.

    They are solved at once, which costs little more than one of them.

    Parameters
    ----------
    fabrics : sequence of RingFabric
    pressure : float
        p/k, > 0. [1/mm]
    guesses : sequence of (m, 2) float
        Radius and height of each ring to start from. [mm]
    """
    if not fabrics:
        return []
    found: Sequence[Form | None]
    try:
        found = _newton(fabrics, pressure, guesses)
    except ConvergenceError:
        found = [None] * len(fabrics)
    forms: list[Form | None] = []
    for fabric, form in zip(fabrics, found, strict=True):
        try:
            sound = form if form and _is_sound(form) else ring_form(fabric, pressure=pressure)
        except ConvergenceError:
            sound = None
        forms.append(sound)
    return forms


def _is_sound(form: Form) -> bool:
    """Return whether a form is in balance, and no ring was pulled through the axis to a radius below 0."""
    return bool(form.residual <= TOLERANCE and form.radius.min() >= 0)


def _newton(fabrics: Sequence[RingFabric], pressure: float, starts: Sequence[Floats]) -> list[Form]:
    """Return the best forms that Newton's method reaches from `starts`; the caller checks their residuals."""
    balance, x = _at_start(fabrics, pressure, starts)
    energy, gradient, shift = balance.energy(x), balance.gradient(x), np.zeros(len(x))
    found, live = x.copy(), np.arange(len(x))
    histories = [[residual] for residual in balance.residual(gradient).tolist()]
    for _ in range(MAX_STEPS + 1):
        left = np.array([histories[k][-1] > TOLERANCE for k in live.tolist()])
        if not left.all():
            found[live] = x
            live, x, energy, gradient, shift = live[left], x[left], energy[left], gradient[left], shift[left]
            balance = balance.of(left)
            if not len(live):
                break
        step, shift = _descent(balance.hessian(x), gradient, shift)
        # far rings may move far together; neighbours may not pass each other
        apart = np.abs(step[:, 2:] - step[:, :-2]).max(axis=1)
        apart = np.maximum(apart, np.abs(step[:, ::2]).max(axis=1) / 4)
        step *= np.minimum(1.0, balance.longest / apart)[:, None]
        x, energy, whole = _line_search(balance, x, step, energy, (gradient * step).sum(axis=1))
        shift = np.where(whole, shift * 0.2, shift)
        gradient = balance.gradient(x)
        for k, residual in zip(live.tolist(), balance.residual(gradient).tolist(), strict=True):
            histories[k].append(residual)
    found[live] = x
    return [
        Form(fabric, pressure, at[::2], at[1::2], history[-1], len(history) - 1, tuple(history))
        for fabric, at, history in zip(fabrics, found, histories, strict=True)
    ]


def _at_start(
    fabrics: Sequence[RingFabric], pressure: float, starts: Sequence[Floats]
) -> tuple[Balance, Floats]:
    """Return what is to be balanced, and where it starts: from height 0, held ends where they are held."""
    balance = Balance(fabrics, pressure)
    x = np.array(starts, dtype=np.float64).reshape(len(fabrics), -1)
    x[:, 1::2] -= x[:, 1:2]
    x[:, [0, -2]] = np.where(np.isnan(balance.held), x[:, [0, -2]], balance.held)
    return balance, x


def _line_search(
    balance: Balance, x: Floats, step: Floats, energy: Floats, slope: Floats
) -> tuple[Floats, Floats, Bools]:
    """Return where steps, halved until they go down enough, lead; the energy there; which are whole."""
    length, noise = np.ones(len(x)), ENERGY_NOISE * np.abs(energy)
    trial = balance.energy(x + step)
    while (high := (trial > energy + 1e-4 * length * slope + noise) & (length >= 1e-10)).any():
        length[high] /= 2
        trial = balance.energy(x + length[:, None] * step)
    return x + length[:, None] * step, trial, length == 1.0


def _descent(band: Floats, gradient: Floats, shift: Floats) -> tuple[Floats, Floats]:
    """Return downhill Newton steps, and the shifts of the diagonal (relative to its mean) that they took.

    The bands of several fabrics stand side by side, as one that falls into parts.
    """
    mean, shift = np.abs(band[0]).mean(axis=-1), shift.copy()
    for _ in range(60 * len(shift)):
        shifted = band.copy() if shift.any() else band
        shifted[0] += (shift * mean)[:, None]
        _, step, info = dpbsv(shifted.reshape(4, -1), -gradient.ravel(), lower=1)
        if info == 0:
            return step.reshape(gradient.shape), np.where(shift > 1e-8, shift, 0.0)
        failed = (info - 1) // gradient.shape[1]
        shift[failed] = max(4 * shift[failed], 1e-4)
    raise ConvergenceError(what="a downhill step", iterations=0, residual=np.inf, tried="60 shifts")


def _flat_guess(fabric: RingFabric) -> Floats:
    """Return rings at their flat radius, as far as the rows between them allow, one above the other."""
    r = fabric.perimeter / (2 * np.pi)
    for end, held in zip((0, -1), fabric.held, strict=True):
        if held is not None:
            r[end] = held
    h = fabric.spacing
    for i in range(1, len(r)):
        r[i] = min(r[i], r[i - 1] + 0.97 * h[i - 1])
    for i in range(len(r) - 2, -1, -1):
        r[i] = min(r[i], r[i + 1] + 0.97 * h[i])
    rise = np.maximum(np.sqrt(np.maximum(h * h - np.diff(r) ** 2, 0.0)), 0.35 * h)
    return np.column_stack([r, np.concatenate([[0.0], np.cumsum(rise)])])


def count_sensitivity(form: Form) -> NDArray[np.float64]:
    """Return how the form moves with the count of each round.

    Differentiating the balance grad E(x, n) = 0 gives dx/dn = -H^-1 d(grad E)/dn.                      (2)

    Parameters
    ----------
    form : Form
        In balance.

    Returns
    -------
    (m, 2, m) float
        d(radius, height) of ring i by one stitch more in ring j; zero for poles. [mm]
    """
    fabric = form.fabric
    L, w = fabric.perimeter, fabric.stitch_width
    m = len(L)
    balance = Balance(fabric, form.pressure)
    x = form.points.ravel()
    ring = L > 0
    taut = form.course_stretch > 0
    padded = np.concatenate([[0.0], fabric.spacing, [0.0]])
    hoop_force = fabric.course_stiffness * 2 * np.pi * (padded[:-1] + padded[1:]) / 2
    change = np.zeros((2 * m, m))
    index = np.flatnonzero(ring & taut)
    change[2 * index, index] = -(hoop_force * 2 * np.pi * form.radius)[index] / L[index] ** 2
    steps = np.diff(form.points, axis=0)
    pull = fabric.wale_stiffness * 0.5 * np.maximum(form.wale_stretch, 0.0)
    force = steps / np.hypot(*steps.T)[:, None] * pull[:, None]
    for end in (0, 1):
        column = np.arange(m - 1) + end
        for axis in (0, 1):
            change[2 * np.arange(m - 1) + axis, column] -= force[:, axis]
            change[2 * np.arange(1, m) + axis, column] += force[:, axis]
    change *= balance.free[:, None] * ring
    band = balance.hessian(x)
    shift = 0.0
    for _ in range(30):
        shifted = band.copy()
        shifted[0] += shift * float(np.abs(band[0]).mean())
        _, moved, info = dpbsv(shifted, -change * w, lower=1)
        if info == 0:
            return np.asarray(moved).reshape(m, 2, m)
        shift = max(4 * shift, 1e-6)
    raise ConvergenceError(
        what="the form's sensitivity", iterations=0, residual=form.residual, tried="30 shifts"
    )


def form_outline(form: Form) -> Outline:
    """Return the form's outline as an `Outline`, where its heights never go back.

    Raises
    ------
    InputError
        If the form overhangs.
    """
    return Outline(form.points)
