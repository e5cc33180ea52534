"""Tension measured on a stuffed ball: stiffness of fabric and firmness of stuffing from girth and height.

The ball's own counts are solved (the ring model of `equilibrium`), never the law of a sphere: p/k follows
from the girth, k_w/k_c from the height. A tape of 2 mm is coarse for a small soft ball, whose solution bends
much within that error and ends where no ball is. So its error is not propagated by slopes: measures m that
scatter about the measured ones m_0 by sigma lead to p = p/k and c = k_c/k_w with the density

    f(p, c) ~ exp(-|m(p, c) - m_0|^2 / (2 sigma^2)) |det dm/d(p, c)|,                                      (1)

zero where `fit_ball` refuses. It asks for forms alone, and m is nearly linear in p and p c.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Floats
from solver.errors import ConvergenceError, InputError, Problem
from solver.form.rings import Form, RingFabric, ring_form
from solver.wanted.gauge import GREATEST_STRETCH, STIFFNESS_RATIOS, Gauge, Stuffing

CLOSE = 1e-9
"""Relative misfit of girth and height at which the search ends."""

MOST_STEPS = 40

SLOPE = 1e-4
"""Change of a logarithm by which slopes are taken."""

MOST_STRETCH = 2 * GREATEST_STRETCH
"""Stretch of its fabric beyond which a ball's girth is refused; from half of it on it is warned of."""

NODES, FINE = 13, 161
"""Forms that are solved in each direction for (1), and points between them."""

REACH = 6.0
"""Standard deviations, of a linear solution, over which (1) is taken."""

PRESSURES = (1e-4, 0.45)
"""p R / k between which a ball is looked for; a sphere of linear fabric has no balance from 1/2 on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BallFit:
    """What a stuffed ball tells.

    Attributes
    ----------
    pressure : float
        p/k_c. [1/mm]
    stiffness_ratio : float
        k_w/k_c; 1 where no height was measured.
    stretch : float
        e of the stuffing, for which `Stuffing.pressure` at the ball's own radius gives `pressure`.
    fabric_stretch : float
        Girth of the fabric's middle over stitches times stitch width, minus one.
    height : float
        Outside height of the solved ball. [mm]
    pressure_error, ratio_error : float
        One standard deviation, from the error of the tape.
    counts : tuple of float
        Stitches of each round.
    has_height : bool
        Its height was measured too.
    tape : float
        Standard deviation of the measures. [mm]
    """

    pressure: float
    stiffness_ratio: float
    stretch: float
    fabric_stretch: float
    height: float
    pressure_error: float
    ratio_error: float
    counts: tuple[float, ...]
    has_height: bool
    tape: float

    @property
    def stuffing(self) -> Stuffing:
        """The stuffing that this ball had."""
        return Stuffing(self.stretch, "your own ball, solved from its counts", measured=True)


def ball_form(counts: Sequence[float], gauge: Gauge, *, pressure: float, guess: Floats | None = None) -> Form:
    """Return the form of a ball worked from a ring and drawn to a point.

    Parameters
    ----------
    counts : sequence of float
        Stitches of each round.
    gauge : Gauge
        Its stiffness ratio counts too.
    pressure : float
        p/k_c, > 0. [1/mm]
    guess : (m, 2) float, optional
        As for `ring_form`.
    """
    fabric = RingFabric.from_counts(
        counts,
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        wale_stiffness=gauge.stiffness_ratio,
    )
    return ring_form(fabric, pressure=pressure, guess=guess)


def fit_ball(
    counts: Sequence[float],
    gauge: Gauge,
    *,
    girth_mm: float,
    height_mm: float | None = None,
    tape_mm: float = 0.0,
) -> BallFit:
    """Return the stuffing and the stiffness ratio that a measured ball tells.

    Parameters
    ----------
    counts : sequence of float
        Stitches of each round of the ball, from the ring to the drawn-in end.
    gauge : Gauge
        Relaxed fabric; its stiffness ratio is taken where no height is given.
    girth_mm, height_mm : float
        Outside sizes, > 0. [mm]
    tape_mm : float
        Standard deviation of both measures, >= 0. [mm]

    Raises
    ------
    InputError
        If no stuffing gives the ball these sizes.
    """
    girth = girth_mm - np.pi * gauge.thickness
    tall = None if height_mm is None else height_mm - gauge.thickness
    rest = max(counts) * gauge.stitch_width
    stretch = girth / rest - 1
    if not 0 < stretch <= MOST_STRETCH:
        rule = f"a stuffed ball measures more than its relaxed fabric (here {rest:.0f} mm), by at most "
        rule += f"{MOST_STRETCH:.0%}"
        remedy = "The gauge is probably not that of the ball: measure both again."
        raise InputError(Problem(rule, got=f"{girth_mm:.0f} mm round, {stretch:+.1%}", remedy=remedy))
    measured = np.array([girth] if tall is None else [girth, tall])
    start = np.log(np.array([2 * max(stretch, 0.005) / (girth / (2 * np.pi)), gauge.stiffness_ratio]))
    found, jacobian = _solved(counts, gauge, measured, start[: len(measured)])
    pressure = float(np.exp(found[0]))
    ratio = gauge.stiffness_ratio if tall is None else float(np.exp(found[1]))
    if not STIFFNESS_RATIOS[0] <= ratio <= STIFFNESS_RATIOS[1]:
        msg = f"{height_mm:.0f} mm high at {girth_mm:.0f} mm round"
        raise _no_ball(msg)
    radius = girth / (2 * np.pi)
    e = pressure * radius / (2 - pressure * radius)  # p/k = 2 e / (R (1 + e)), solved for e
    linear: Floats = np.asarray(np.linalg.inv(jacobian) * tape_mm, dtype=np.float64)
    errors = _scatter(counts, gauge, measured, found, linear, tape_mm) if tape_mm else np.zeros(2)
    form = ball_form(counts, replace(gauge, stiffness_ratio=ratio), pressure=pressure)
    return BallFit(
        pressure=pressure,
        stiffness_ratio=ratio,
        stretch=e,
        fabric_stretch=stretch,
        height=form.size + gauge.thickness,
        pressure_error=float(errors[0]),
        ratio_error=float(errors[1]) if tall is not None else 0.0,
        counts=tuple(counts),
        has_height=tall is not None,
        tape=tape_mm,
    )


def _solved(counts: Sequence[float], gauge: Gauge, measured: Floats, start: Floats) -> tuple[Floats, Floats]:
    """Return the logarithms of p/k and k_w/k_c that give the measures, and the derivatives of these."""
    radius = measured[0] / (2 * np.pi)
    low = np.log([PRESSURES[0] / radius, STIFFNESS_RATIOS[0]])[: len(start)]
    high = np.log([PRESSURES[1] / radius, STIFFNESS_RATIOS[1]])[: len(start)] - 2 * SLOPE  # room for slopes
    x = np.clip(start, low, high)
    try:
        form = _form_at(counts, gauge, x, None)
        for _ in range(MOST_STEPS):
            off = sizes(form, len(x)) - measured
            moved = [_form_at(counts, gauge, x + d, form.points) for d in SLOPE * np.eye(len(x))]
            slopes = np.array([(one.points - form.points) / SLOPE for one in moved])
            jacobian = np.column_stack([(sizes(one, len(x)) - measured - off) / SLOPE for one in moved])
            if np.abs(off / measured).max() <= CLOSE:
                return x, jacobian
            step = np.clip(-np.linalg.solve(jacobian, off), -1.0, 1.0)
            for _ in range(12):
                trial = np.clip(x + step, low, high)
                # where the form is bound to go: a balance from there takes a step or two
                there = _form_at(counts, gauge, trial, form.points + np.tensordot(trial - x, slopes, 1))
                if np.abs(sizes(there, len(x)) - measured).sum() < np.abs(off).sum():
                    break
                step /= 2
            else:
                break
            x, form = trial, there
    except (ConvergenceError, np.linalg.LinAlgError):
        pass
    raise _no_ball(" by ".join(f"{size:.0f} mm" for size in measured))


def _form_at(counts: Sequence[float], gauge: Gauge, x: Floats, guess: Floats | None) -> Form:
    """Return the form at logarithms of p/k and, where there are two, of k_w/k_c."""
    ratio = gauge.stiffness_ratio if len(x) == 1 else float(np.exp(x[1]))
    stiff = replace(gauge, stiffness_ratio=ratio)
    return ball_form(counts, stiff, pressure=float(np.exp(x[0])), guess=guess)


def sizes(form: Form, number: int = 2) -> Floats:
    """Return girth and height of the fabric's middle, the first `number` of them. [mm]"""
    return np.array([np.pi * form.width, form.size])[:number]


def _scatter(
    counts: Sequence[float], gauge: Gauge, measured: Floats, found: Floats, linear: Floats, sigma: float
) -> Floats:
    """Return the standard deviations of p/k and k_w/k_c by (1).

    Parameters
    ----------
    counts, gauge
        As for `fit_ball`.
    measured : (k,) float
        Girth, and height where it was measured, of the fabric's middle. [mm]
    found : (k,) float
        Logarithms of p/k and k_w/k_c.
    linear : (k, k) float
        How these move with the measures, times sigma.
    sigma : float
        Standard deviation of the tape, > 0. [mm]
    """
    from scipy.interpolate import RegularGridInterpolator

    off = REACH * np.sqrt((linear**2).sum(1))
    radius = measured[0] / (2 * np.pi)
    middle = np.exp(found * [1, -1][: len(found)])  # p, c
    least = np.array([PRESSURES[0] / radius, 1 / STIFFNESS_RATIOS[1]])[: len(found)]
    most = np.array([PRESSURES[1] / radius, 1 / STIFFNESS_RATIOS[0]])[: len(found)]
    ends = np.maximum(middle * (1 - off), least), np.minimum(middle * (1 + off), most)
    axes = [np.linspace(low, high, NODES) for low, high in zip(*ends, strict=True)]
    compliance = axes[1] if len(axes) > 1 else np.array([1 / gauge.stiffness_ratio])
    table = np.stack([_along_pressure(counts, gauge, axes[0], c) for c in compliance], axis=1)
    table = table[..., : len(axes)].reshape(*[NODES] * len(axes), len(axes))
    fine = [np.linspace(axis[0], axis[-1], FINE) for axis in axes]
    places = np.stack(np.meshgrid(*fine, indexing="ij"), axis=-1)
    there = RegularGridInterpolator(axes, table, method="cubic")(places)
    slopes = np.stack([np.gradient(there, axis, axis=i) for i, axis in enumerate(fine)], axis=-1)
    stretch = there[..., 0] / (max(counts) * gauge.stitch_width) - 1
    weight = np.exp(-((there - measured) ** 2).sum(-1) / (2 * sigma**2)) * np.abs(np.linalg.det(slopes))
    weight *= (stretch > 0) & (stretch <= MOST_STRETCH)
    values = places ** np.array([1, -1])[: len(axes)]  # p/k and k_w/k_c
    return np.array([_deviation(values[..., i], weight) for i in range(len(axes))])


def _deviation(value: Floats, weight: Floats) -> float:
    mean = np.average(value, weights=weight)
    return float(np.sqrt(np.average((value - mean) ** 2, weights=weight)))


def _along_pressure(counts: Sequence[float], gauge: Gauge, pressures: Floats, compliance: float) -> Floats:
    """Return girth and height at rising pressures, carried on in line from where no ball is taken."""
    stiff = replace(gauge, stiffness_ratio=float(1 / compliance))
    too_wide = (1 + 1.2 * MOST_STRETCH) * max(counts) * gauge.stitch_width
    found: list[Floats] = []
    guess = None
    for pressure in pressures:
        try:
            form = ball_form(counts, stiff, pressure=float(pressure), guess=guess)
        except ConvergenceError:
            break
        guess = form.points
        found.append(sizes(form))
        if found[-1][0] > too_wide and len(found) > 1:
            break
    while len(found) < len(pressures):
        found.append(2 * found[-1] - found[-2])
    return np.array(found)


def _no_ball(got: str) -> InputError:
    rule = "some stuffing gives the ball its girth and height at this gauge"
    remedy = (
        "Measure the ball and the gauge again, or leave the height out. Work as many even rounds as rising "
        "ones: a flatter ball never comes out to the girth of its fabric."
    )
    return InputError(Problem(rule, got=got, remedy=remedy))
