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

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dpbsv

from solver.arrays import Floats, frozen
from solver.errors import ConvergenceError
from solver.form.folded_balance import Balance, FoldedFabric, Places, damped, places_of, solved

__all__ = ["FoldedFabric", "FoldedForm", "count_sensitivity", "folded_form", "folded_forms", "row_arc"]

TOLERANCE, SETTLED, PATIENCE = 1e-7, 1e-3, 8
"""Largest move of the last step, of angles, and of heights in row heights; or what so many steps win of the
energy, at the most: that moves no size by more than a tenth of a millimetre."""

MOST_STEPS = 300


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
        return frozen(_balance(self).strain[0])

    def _at(self, share: float) -> tuple[Floats, Floats]:
        at = self._places(np.array([share]))
        return at.across[:, 0], at.up[:, 0]

    def _places(self, share: Floats) -> Places:
        return places_of(self.fabric.rows, self.turn, self.height, share, side=self.fabric.side)[0]

    def row_at(self, row: int, share: Floats) -> Floats:
        """Return places of a row at shares of it, 0 in the middle, 1 at the fold, (k, 2). [mm]"""
        long = float(self.fabric.rows[row])
        side = min(self.fabric.side, long)
        over = np.maximum(share * long - side, 0.0) / max(long - side, 1e-9)
        at = self._places(over)
        return np.column_stack([np.where(share * long < side, share * long, at.across[row]), at.up[row]])


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
    (form,) = folded_forms([fabric], guesses=[guess])
    if form is None:
        raise ConvergenceError(
            what="the part folded flat", iterations=MOST_STEPS, residual=np.nan, tried="damped steps"
        )
    return form


def folded_forms(
    fabrics: Sequence[FoldedFabric], *, guesses: Sequence[Floats | None]
) -> list[FoldedForm | None]:
    """Return the forms of several fabrics with as many rows and one side, None for those without rest.

    They are solved at once, which costs little more than one of them.

    Parameters
    ----------
    fabrics : sequence of FoldedFabric
    guesses : sequence of ((m, 2) float or None)
        As for `folded_form`.
    """
    found: list[FoldedForm | None] = [None] * len(fabrics)
    if not fabrics:
        return found
    laid = [_laid(fabric, guess) for fabric, guess in zip(fabrics, guesses, strict=True)]
    x = np.array(laid).transpose(0, 2, 1)  # turn and height of each row
    unit = np.array([[1.0, each.spacing.max()] for each in fabrics])[:, None]
    live, damping, before = (
        np.arange(len(fabrics)),
        np.full(len(fabrics), 1e-6),
        np.full(len(fabrics), np.inf),
    )
    here = Balance(fabrics, *laid_out(x))
    for step in range(MOST_STEPS):
        rests = np.zeros(len(live), dtype=bool)
        if step % PATIENCE == 0:
            rests = before - here.energy < SETTLED * here.energy
            before = here.energy.copy()
        move, sound = solved(here.band, -here.slope, damping=damping)
        move = move.reshape(x.shape)
        rests |= sound & (np.abs(move / unit[live]).max(axis=(1, 2)) < TOLERANCE)
        for k in np.flatnonzero(rests).tolist():
            found[live[k]] = FoldedForm(fabrics[live[k]], x[k, :, 0], x[k, :, 1], step)
        if not (left := sound & ~rests).any():
            break
        if not left.all():
            live, damping, before, x, move = live[left], damping[left], before[left], x[left], move[left]
            here = here.of(left)
        there = Balance([fabrics[k] for k in live.tolist()], *laid_out(x + move))
        down = there.energy <= here.energy * (1 + 1e-13) + 1e-18
        x[down] += move[down]
        here = there.where(down, here)
        damping = np.where(down, damping * 0.2, np.maximum(5 * damping, 1e-9))
    return found


def laid_out(x: Floats) -> tuple[Floats, Floats]:
    """Return turns and heights apart."""
    return np.ascontiguousarray(x[..., 0]), np.ascontiguousarray(x[..., 1])


def _balance(form: FoldedForm) -> Balance:
    return Balance([form.fabric], form.turn[None], form.height[None])


def count_sensitivity(form: FoldedForm) -> NDArray[np.float64]:
    """Return how the fold moves with each count, dy/dn = -(J' J)^-1 J' dr/dn, nearly; (m, 2, m). [mm]"""
    fabric = form.fabric
    m, per = len(fabric.rows), fabric.stitch_width / 4
    balance = _balance(form)
    left = damped(balance.band, np.array([1e-9])).reshape(4, -1)
    _, moves, info = dpbsv(left, -balance.by_rows(), lower=1)
    if info:
        raise ConvergenceError(
            what="the part folded flat", iterations=0, residual=np.inf, tried="a damped step"
        )
    moves = np.asarray(moves).reshape(m, 2, m)
    _, turned, (out, _) = places_of(fabric.rows, form.turn, form.height, np.ones(1), side=fabric.side)
    by_length, by_turn = out[:, 0], turned.across[:, 0]
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
    long = half / _sinc(angle)
    return long, long * angle * _sinc(angle / 2) ** 2 / 2


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


def _sinc(x: Floats) -> Floats:
    """Return sin x / x."""
    return np.asarray(np.sinc(x / np.pi))
