"""The form of a part that is not stuffed but folded flat: two layers, alike, with a fold on each side.

Half of one layer is enough, from its middle line to a fold. It is fabric in a plane, a stack of rows: row i
keeps its length Q_i = n_i w / 4 and lies as a straight piece (where sides keep their stitches) that runs on
as an arc turning by theta_i. Rest distance from row to row is h, along the row's normal,

    E = sum 1/2 A <|d| / h - 1>^2 + sum 1/2 P A (d . n / h - 1)^2 + sum 1/2 G A (d . t / h)^2
        + sum 1/2 B A (theta_i+1 - theta_i)^2,                              <x> = max(x, 0),            (1)

over the steps d from places of one row to the same of the next; n and t are the mean normal and tangent of
both, A the rest area of each place. Fabric hardly stretches; where rows are pushed together it puckers, and
resists that by no more than P. Where the rounds are those of a tube or of a cone, nothing is stretched: the
form is the one that paper has. Solved for the theta_i and the heights of the folds by Gauss and Newton's
method with damping (J. Nocedal and S. Wright, Numerical Optimization, 2nd ed., 10.3; memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dpbsv

from solver.arrays import Floats, frozen
from solver.errors import ConvergenceError

SHEAR, PUCKERED, BENDING = 0.03, 0.1, 0.01
"""G, P and B over what resists stretching: ASSUMED, none was measured."""

SOFT = 0.02
"""Strain over which fabric goes from slack to taut."""

PLACES, WEIGHTS = (np.polynomial.legendre.leggauss(5)[0] + 1) / 2, np.polynomial.legendre.leggauss(5)[1] / 2
"""Places along an end, from its side to the fold, and their shares of it."""

TOLERANCE, SETTLED, PATIENCE = 1e-7, 1e-3, 8
"""Largest move of the last step, of angles, and of heights in row heights; or what so many steps win of the
energy, at the most: that moves no size by more than a tenth of a millimetre."""

MOST_STEPS = 300


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FoldedFabric:
    """Relaxed fabric folded flat.

    Attributes
    ----------
    rows : (m,) float
        Quarter of the girth of the start and of each round, and of the drawn-in point; 0 for a ring or a
        point. [mm]
    spacing : (m - 1,) float
        Rest distance between them, > 0. [mm]
    side : float
        Half a straight side, which each row has and which keeps its stitches; 0 for a round part. [mm]
    stitch_width : float
        [mm]
    """

    rows: Floats
    spacing: Floats
    side: float
    stitch_width: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "rows", frozen(self.rows))
        object.__setattr__(self, "spacing", frozen(self.spacing))


@dataclass(frozen=True, eq=False)
class FoldedForm:
    """What rounds become when they are folded flat.

    Attributes
    ----------
    fabric : FoldedFabric
    turn : (m,) float
        What each row turns by from its middle to the fold, the fold hanging down above 0. [rad]
    height : (m,) float
        Of each row at the fold. [mm]
    iterations : int
    """

    fabric: FoldedFabric
    turn: Floats
    height: Floats
    iterations: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "turn", frozen(self.turn))
        object.__setattr__(self, "height", frozen(self.height))

    @cached_property
    def points(self) -> Floats:
        """The fold on one side, [half width, height] of each row, (m, 2). [mm]"""
        return frozen(np.column_stack(self._at(1.0)))

    @cached_property
    def middle(self) -> Floats:
        """Height of each row at its middle, (m,). [mm]"""
        return frozen(self._at(0.0)[1])

    @property
    def radius(self) -> Floats:
        """Half the width at each row. [mm]"""
        return self.points[:, 0]

    @property
    def width(self) -> float:
        """Greatest width. [mm]"""
        return float(2 * self.radius.max())

    @property
    def size(self) -> float:
        """Height of the folds. [mm]"""
        return float(np.ptp(self.height))

    volume = 0.0
    """Nothing is in it."""

    @property
    def course_stretch(self) -> Floats:
        """0 of each row: they keep their lengths. [1]"""
        return np.zeros(len(self.turn))

    @cached_property
    def strain(self) -> Floats:
        """How far the distances between rows are off, at the places of each, (m - 1, k). [1]"""
        return frozen(_steps(self.fabric, self.fabric.rows, self.turn, self.height)[0])

    def _at(self, share: float) -> tuple[Floats, Floats]:
        out, up, _, _ = _row(self.fabric, self.fabric.rows, self.turn, self.height, np.array([share]))
        return out[:, 0], up[:, 0]

    def row_at(self, row: int, share: Floats) -> Floats:
        """Return places of a row at shares of it, 0 in the middle, 1 at the fold, (k, 2). [mm]"""
        long = float(self.fabric.rows[row])
        side = min(self.fabric.side, long)
        over = np.maximum(share * long - side, 0.0) / max(long - side, 1e-9)
        out, up, _, _ = _row(self.fabric, self.fabric.rows, self.turn, self.height, over)
        return np.column_stack([np.where(share * long < side, share * long, out[row]), up[row]])


def folded_form(fabric: FoldedFabric, *, guess: Floats | None = None) -> FoldedForm:
    """Return the form of a fabric folded flat.

    Parameters
    ----------
    fabric : FoldedFabric
    guess : (m, 2) float, optional
        Half width and height of each row at the fold, to start from. [mm]

    Raises
    ------
    ConvergenceError
        If it comes to no rest.
    """
    turn, height = _laid(fabric, guess)
    unit, damping = float(fabric.spacing.max()), 1e-6
    here = _Balance.at(fabric, turn, height)
    before = np.inf
    for step in range(MOST_STEPS):
        if step % PATIENCE == 0:
            if before - here.energy < SETTLED * here.energy:
                return FoldedForm(fabric, turn, height, step)
            before = here.energy
        move = here.step(damping)
        if np.abs(move / [1.0, unit]).max() < TOLERANCE:
            return FoldedForm(fabric, turn, height, step)
        trial = turn + move[:, 0], height + move[:, 1]
        there = _Balance.at(fabric, *trial)
        if there.energy <= here.energy * (1 + 1e-13) + 1e-18:
            (turn, height), here, damping = trial, there, damping * 0.2
        else:
            damping = max(5 * damping, 1e-9)
    raise ConvergenceError(
        what="the part folded flat", iterations=MOST_STEPS, residual=float(np.abs(move).max()), tried="one"
    )


def count_sensitivity(form: FoldedForm) -> NDArray[np.float64]:
    """Return how the fold moves with each count, dy/dn = -(J' J)^-1 J' dr/dn, nearly; (m, 2, m). [mm]"""
    fabric = form.fabric
    m, per = len(fabric.rows), fabric.stitch_width / 4
    balance = _Balance.at(fabric, form.turn, form.height)
    by_rows = np.zeros((2 * m, m))
    for end in (0, 1):
        moved = _tangent(fabric, form.turn, form.height, row=end)
        for row in range(m - 1):
            by_rows[2 * row : 2 * row + 4, row + end] += balance.jacobian[row].T @ moved[row]
    by_rows[:, fabric.rows == 0] = 0.0
    by_rows[1] = 0.0
    moves = balance.solved(-by_rows, damping=1e-9).reshape(m, 2, m)
    step = 1e-30
    fold, level = np.ones(1), np.zeros(m)
    by_length = _row(fabric, fabric.rows + step * 1j, form.turn, level, fold)[0][:, 0].imag / step
    by_turn = _row(fabric, fabric.rows, form.turn + step * 1j, level, fold)[0][:, 0].imag / step
    told = np.stack([by_turn[:, None] * moves[:, 0], moves[:, 1]], axis=1)
    told[np.arange(m), 0, np.arange(m)] += np.where(fabric.rows > 0, by_length, 0.0)
    return np.asarray(told * per)


def row_arc(half: Floats, angle: Floats) -> tuple[Floats, Floats]:
    """Return the length of a row from its middle to a fold, and how much higher its middle lies. [mm]

    Parameters
    ----------
    half : (n,) float
        Half the width there. [mm]
    angle : (n,) float
        Of the fold from upright, opening away from the start above 0. [rad]

    Notes
    -----
    A row of a folded cone is an arc about its tip, of radius half / sin(angle), that turns by `angle`.
    """
    return half / _sinc(angle), half * angle * _versine(angle) / _sinc(angle)


def _laid(fabric: FoldedFabric, guess: Floats | None) -> tuple[Floats, Floats]:
    """Return turns and heights to begin with: what rows of a cone gain on their way is its fold's angle."""
    if guess is not None and len(guess) == len(fabric.rows):
        end = np.where(fabric.rows > 0, fabric.rows - fabric.side, 0.0)
        share = np.where(end > 0, (guess[:, 0] - fabric.side) / np.where(end > 0, end, 1.0), 1.0)
        angles = np.linspace(0.0, np.pi, 200)
        turn = np.interp(-share, -_sinc(angles), angles) * np.sign(np.gradient(guess[:, 0]))
        return turn, guess[:, 1] - guess[0, 1]
    gain = np.clip(np.diff(fabric.rows) / fabric.spacing, -np.pi / 2, np.pi / 2)
    turn = (np.append(gain, gain[-1]) + np.append(gain[0], gain)) / 2
    return turn, np.concatenate([[0.0], np.cumsum(fabric.spacing * np.cos(gain))])


def _row(fabric: FoldedFabric, rows: Any, turn: Any, height: Any, share: Any) -> tuple[Any, ...]:
    """Return places of rows at shares of their ends, and the turn there: across, up, sine and cosine."""
    side = np.minimum(fabric.side, np.real(rows))[..., None]
    end, turn = rows[..., None] - side, turn[..., None]
    across = side + end * share * _sinc(share * turn)
    up = height[..., None] + end * turn * (_versine(turn) - share**2 * _versine(share * turn))
    return across, up, np.sin(share * turn), np.cos(share * turn)


def _sinc(x: Any) -> Any:
    """Return sin x / x, of complex numbers too."""
    small = np.abs(x) < 1e-4
    return np.where(small, 1 - x * x / 6, np.sin(x) / np.where(small, 1.0, x))


def _versine(x: Any) -> Any:
    """Return (1 - cos x) / x^2, of complex numbers too."""
    return _sinc(x / 2) ** 2 / 2


def _steps(fabric: FoldedFabric, rows: Any, turn: Any, height: Any) -> tuple[Any, Any]:
    """Return by how much steps from row to row are too long along the normal, and how far askew. [1]"""
    places = np.concatenate([[0.0], PLACES]) if fabric.side else PLACES
    across, up, sine, cosine = _row(fabric, rows, turn, height, places)
    dx, dz = across[..., 1:, :] - across[..., :-1, :], up[..., 1:, :] - up[..., :-1, :]
    point = (fabric.rows == 0)[:, None]  # a ring has no way of its own to lie
    first = np.where(point[:-1], 0.0, np.where(point[1:], 1.0, 0.5))
    last = 1 - first
    sine = last * sine[..., 1:, :] + first * sine[..., :-1, :]
    cosine = last * cosine[..., 1:, :] + first * cosine[..., :-1, :]
    h = fabric.spacing[:, None]
    return (dx * sine + dz * cosine) / h - 1, (dx * cosine - dz * sine) / h


def _residuals(fabric: FoldedFabric, rows: Any, turn: Any, height: Any) -> Any:
    """Return the residuals of each step from row to row, (..., m - 1, r), of many at once."""
    end = np.maximum(fabric.rows - fabric.side, 0.05 * fabric.spacing.max())
    area = (end[1:] + end[:-1])[:, None] / 2 * WEIGHTS * fabric.spacing[:, None]
    if fabric.side:
        area = np.hstack([fabric.side * fabric.spacing[:, None], area])
    off, askew = _steps(fabric, rows, turn, height)
    long = np.sqrt((1 + off) ** 2 + askew**2) - 1
    taut = (long + np.sqrt(long**2 + SOFT**2) - SOFT) / 2  # <long>, its corner rounded
    bent = (
        np.sqrt(BENDING * area.sum(axis=1))
        * (turn[..., 1:] - turn[..., :-1])
        * (fabric.rows[1:] > 0)
        * (fabric.rows[:-1] > 0)
    )
    drawn = [np.sqrt(area) * taut, np.sqrt(PUCKERED * area) * off, np.sqrt(SHEAR * area) * askew]
    return np.concatenate([*drawn, bent[..., None]], axis=-1)


def _tangent(fabric: FoldedFabric, turn: Floats, height: Floats, *, row: int) -> Floats:
    """Return how residuals of each step move with the length of its first row, 0, or its second, 1."""
    step, rows = 1e-30, fabric.rows.astype(complex)
    told = []
    for parity in (0, 1):
        moved = rows.copy()
        moved[parity::2] += step * 1j
        told.append(_residuals(fabric, moved, turn, height).imag / step)
    which = (np.arange(len(rows) - 1) + row) % 2
    return np.asarray(np.where(which[:, None] == 0, told[0], told[1]))


@dataclass(frozen=True, slots=True, eq=False)
class _Balance:
    """Energy (1), slopes of the residuals of each step with turns and heights of its rows, and their sums."""

    energy: float
    jacobian: Floats
    band: Floats
    slope: Floats

    @classmethod
    def at(cls, fabric: FoldedFabric, turn: Floats, height: Floats) -> _Balance:
        m, step = len(turn), 1e-30
        # a complex step tells slopes exactly; rows two apart have no step in common
        far = np.zeros((5, 2, m), dtype=complex)  # the last stays here
        for parity, axis in ((0, 0), (0, 1), (1, 0), (1, 1)):
            far[2 * parity + axis, axis, parity::2] = step * 1j
        all_of = _residuals(fabric, fabric.rows, turn + far[:, 0], height + far[:, 1])
        residual, of = np.ascontiguousarray(all_of[4].real), all_of.imag / step
        jacobian = np.empty((m - 1, residual.shape[1], 4))
        for parity, axis in ((0, 0), (0, 1), (1, 0), (1, 1)):
            jacobian[parity::2, :, axis] = of[2 * parity + axis, parity::2]
            jacobian[1 - parity :: 2, :, 2 + axis] = of[2 * parity + axis, 1 - parity :: 2]
        products = np.einsum("eri,erj->eij", jacobian, jacobian)
        slopes = np.einsum("er,eri->ei", residual, jacobian)
        band, slope = np.zeros((4, 2 * m)), np.zeros(2 * m)
        first = 2 * np.arange(m - 1)
        for i in range(4):
            slope[first + i] += slopes[:, i]
            for j in range(i + 1):
                band[i - j, first + j] += products[:, i, j]
        # the first fold stays where it is
        band[0, 1], band[1:, 1], band[1, 0], slope[1] = 1.0, 0.0, 0.0, 0.0
        return cls(float(np.sum(residual**2)) / 2, jacobian, band, slope)

    def step(self, damping: float) -> Floats:
        """Return the damped step downhill, of turn and height of each row, (m, 2)."""
        return self.solved(-self.slope, damping=damping).reshape(-1, 2)

    def solved(self, right: Floats, *, damping: float) -> Floats:
        """Return the solution of the damped normal equations."""
        band = self.band.copy()
        band[0] += (damping + 1e-12) * np.maximum(band[0], 1e-6)
        _, found, info = dpbsv(band, right, lower=1)
        if info:
            raise ConvergenceError(
                what="the part folded flat", iterations=0, residual=np.inf, tried="a damped step"
            )
        return np.asarray(found)
