"""Rows of fabric folded flat, and how far from rest they lie: equation (1) of `solver.form.folded`, of many.

Every residual is a function of where places of two rows lie next to each other, and a place moves with its
own row alone: with how far that turns, how high its fold is, and how long it is. All slopes are exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.linalg.lapack import dpbsv

from solver.arrays import Bools, Floats, frozen

SHEAR, PUCKERED, BENDING = 0.03, 0.1, 0.01
"""G, P and B over what resists stretching: ASSUMED, none was measured."""

SOFT = 0.02
"""Strain over which fabric goes from slack to taut."""

PLACES, WEIGHTS = (np.polynomial.legendre.leggauss(5)[0] + 1) / 2, np.polynomial.legendre.leggauss(5)[1] / 2
"""Places along an end, from its side to the fold, and their shares of it."""


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


class Places(NamedTuple):
    """Where places of rows lie across and up, and the sine and cosine of the turn there; (..., m, k)."""

    across: Floats
    up: Floats
    sine: Floats
    cosine: Floats


def places_of(
    rows: Floats, turn: Floats, height: Floats, share: Floats, *, side: float
) -> tuple[Places, Places, tuple[Floats, Floats]]:
    """Return places of rows at shares of their ends, and how they move.

    Parameters
    ----------
    rows, turn, height : (..., m) float
        Length from the middle to the fold, what each turns by, height of the fold. [mm, rad, mm]
    share : (k,) float
        0 at the side, 1 at the fold.
    side : float
        [mm]

    Returns
    -------
    tuple of (Places, Places, tuple)
        The places; how they move with the turn; and how far across and up with the length of their row.
    """
    straight = np.minimum(side, rows)[..., None]
    end, turn = rows[..., None] - straight, turn[..., None]
    over = turn * np.append(share, 1.0)  # the last is the fold
    half = np.sin(over / 2)
    sine, cosine = 2 * half * np.cos(over / 2), 1 - 2 * half**2
    small = np.abs(over) < 0.02
    away = np.where(small, 1.0, over)
    sinc = np.where(small, 1 - over * over / 6, sine / away)
    versine = np.where(small, 0.5 - over * over / 24, 2 * (half / away) ** 2)  # (1 - cos x) / x^2
    sinc_slope = np.where(small, over * (over * over / 30 - 1 / 3), (cosine - sinc) / away)
    versine_slope = np.where(small, over * (over * over / 180 - 1 / 12), (sinc - 2 * versine) / away)
    risen = versine + over * versine_slope
    square = share * share
    out, lift = share * sinc[..., :-1], turn * (versine[..., -1:] - square * versine[..., :-1])
    at = Places(straight + end * out, height[..., None] + end * lift, sine[..., :-1], cosine[..., :-1])
    turned = Places(
        end * square * sinc_slope[..., :-1],
        end * (risen[..., -1:] - square * risen[..., :-1]),
        share * at.cosine,
        -share * at.sine,
    )
    return at, turned, (out, lift)


class Balance:
    """Energy (1) of several fabrics with as many rows, and its slopes with turn and height of each row.

    Parameters
    ----------
    fabrics : sequence of FoldedFabric
        All with the same side.
    turn, height : (b, m) float
        [rad, mm]

    Attributes
    ----------
    energy : (b,) float
    strain : (b, m - 1, k) float
        By how much steps from row to row are too long along the normal, at the places of each. [1]
    band : (4, b, 2 m) float
        Of the sums of products of slopes, the lower half.
    slope : (b, 2 m) float
    """

    def __init__(self, fabrics: Sequence[FoldedFabric], turn: Floats, height: Floats) -> None:
        side, self.count = fabrics[0].side, len(PLACES)
        self.rows = np.stack([each.rows for each in fabrics])
        self.h = np.stack([each.spacing for each in fabrics])[..., None]
        share = PLACES
        if side:
            share, self.count = np.concatenate([[0.0], PLACES]), len(PLACES) + 1
        at, self.turned, self.longer = places_of(self.rows, turn, height, share, side=side)
        point = (self.rows == 0)[..., None]  # a ring has no way of its own to lie
        self.first = np.where(point[:, :-1], 0.0, np.where(point[:, 1:], 1.0, 0.5))
        self.last = 1 - self.first
        across, up, sine, cosine = at
        self.dx, self.dz = (across[:, 1:] - across[:, :-1]) / self.h, (up[:, 1:] - up[:, :-1]) / self.h
        self.sine = self.last * sine[:, 1:] + self.first * sine[:, :-1]
        self.cosine = self.last * cosine[:, 1:] + self.first * cosine[:, :-1]
        self.strain = self.dx * self.sine + self.dz * self.cosine - 1
        self.askew = self.dx * self.cosine - self.dz * self.sine
        end = np.maximum(self.rows - side, 0.05 * self.h.max(axis=1))
        area = (end[:, 1:] + end[:, :-1])[..., None] / 2 * WEIGHTS * self.h
        if side:
            area = np.concatenate([side * self.h, area], axis=-1)
        self.root = np.sqrt(area)
        both = (self.rows[:, 1:] > 0) & (self.rows[:, :-1] > 0)
        self.stiff = np.sqrt(BENDING * area.sum(axis=-1)) * both
        self.residual = self._residual(np.diff(turn, axis=1))
        self.energy = np.einsum("ber,ber->b", self.residual, self.residual) / 2
        self._sum_up()

    def _residual(self, bend: Floats) -> Floats:
        """Return the residuals of each step from row to row, (b, m - 1, r)."""
        strain, askew = self.strain, self.askew
        long = np.sqrt((1 + strain) ** 2 + askew**2)
        soft = np.sqrt((long - 1) ** 2 + SOFT**2)
        tightens = (1 + (long - 1) / soft) / (2 * long) * self.root
        # what <long>, its corner rounded, gains with strain and with askew
        self.by_strain, self.by_askew = tightens * (1 + strain), tightens * askew
        taut = (long - 1 + soft - SOFT) / 2
        drawn = [taut, np.sqrt(PUCKERED) * strain, np.sqrt(SHEAR) * askew]
        return np.concatenate(
            [*(self.root * each for each in drawn), (self.stiff * bend)[..., None]], axis=-1
        )

    def _slopes(self, strain: Floats, askew: Floats, bend: Floats | float = 0.0) -> Floats:
        """Return the slopes of residuals, (..., b, m - 1, r), from those of what they are functions of."""
        k = self.count
        told = np.empty((*strain.shape[:-1], 3 * k + 1))
        np.multiply(self.by_strain, strain, out=told[..., :k])
        told[..., :k] += self.by_askew * askew
        np.multiply(np.sqrt(PUCKERED) * self.root, strain, out=told[..., k : 2 * k])
        np.multiply(np.sqrt(SHEAR) * self.root, askew, out=told[..., 2 * k : 3 * k])
        told[..., -1] = self.stiff * bend
        return told

    def _moved(self, across: Floats, up: Floats, *, end: int) -> tuple[Floats, Floats]:
        """Return what strain and askew gain where places of first rows, 0, or second ones, 1, are moved."""
        rows, sign = (slice(1, None), 1.0) if end else (slice(None, -1), -1.0)
        dx, dz = sign * across[:, rows] / self.h, sign * up[:, rows] / self.h
        return dx * self.sine + dz * self.cosine, dx * self.cosine - dz * self.sine

    def _sum_up(self) -> None:
        strain, askew = np.empty((2, 4, *self.strain.shape))
        across, up, sines, cosines = self.turned
        for end, rows, part in ((0, slice(None, -1), self.first), (1, slice(1, None), self.last)):
            dx, dz = self._moved(across, up, end=end)
            s, c = part * sines[:, rows], part * cosines[:, rows]
            strain[2 * end], askew[2 * end] = dx + self.dx * s + self.dz * c, dz + self.dx * c - self.dz * s
            up_ = (2 * end - 1) / self.h
            strain[2 * end + 1], askew[2 * end + 1] = up_ * self.cosine, -up_ * self.sine
        self.jacobian = self._slopes(strain, askew, np.array([-1.0, 0.0, 1.0, 0.0])[:, None, None])
        products = np.einsum("iber,jber->ijbe", self.jacobian, self.jacobian)
        sums = np.einsum("ber,iber->ibe", self.residual, self.jacobian)
        count, m = self.rows.shape
        self.band, self.slope = np.zeros((4, count, 2 * m)), np.zeros((count, 2 * m))
        for i in range(4):
            self.slope[:, i : i + 2 * m - 3 : 2] += sums[i]
            for j in range(i + 1):
                self.band[i - j, :, j : j + 2 * m - 3 : 2] += products[i, j]
        # the first fold stays where it is
        self.band[0, :, 1], self.band[1:, :, 1], self.band[1, :, 0], self.slope[:, 1] = 1.0, 0.0, 0.0, 0.0

    def of(self, which: Bools) -> Balance:
        """Return the balance of some of the fabrics, as far as steps ask for it."""
        some = copy(self)
        some.energy, some.band, some.slope = self.energy[which], self.band[:, which], self.slope[which]
        return some

    def where(self, which: Bools, other: Balance) -> Balance:
        """Return this balance for some fabrics, another for the rest, as far as steps ask for it."""
        some = copy(self)
        some.energy = np.where(which, self.energy, other.energy)
        some.band = np.where(which[:, None], self.band, other.band)
        some.slope = np.where(which[:, None], self.slope, other.slope)
        return some

    def by_rows(self) -> Floats:
        """Return the slopes of the sums with the length of each row of the first fabric, (2 m, m)."""
        m = self.rows.shape[1]
        told = np.zeros((2 * m, m))
        for end in (0, 1):
            moved = self._slopes(*self._moved(*self.longer, end=end))
            products = np.einsum("ier,er->ei", self.jacobian[:, 0], moved[0])
            for row in range(m - 1):
                told[2 * row : 2 * row + 4, row + end] += products[row]
        told[:, self.rows[0] == 0] = 0.0
        told[1] = 0.0
        return told


def solved(band: Floats, right: Floats, *, damping: Floats) -> tuple[Floats, Bools]:
    """Return the solutions of damped normal equations, (b, 2 m), and which of them have one.

    Parameters
    ----------
    band : (4, b, 2 m) float
        As `Balance` has it. They stand side by side, as one that falls into parts.
    right : (b, 2 m) float
    damping : (b,) float
    """
    told, sound = np.zeros_like(right), np.ones(len(right), dtype=bool)
    while sound.any():
        left = damped(band[:, sound], damping[sound])
        _, found, info = dpbsv(left.reshape(4, -1), right[sound].ravel(), lower=1)
        if not info:
            told[sound] = np.asarray(found).reshape(-1, right.shape[1])
            break
        sound[np.flatnonzero(sound)[(info - 1) // right.shape[1]]] = False
    return told, sound


def damped(band: Floats, damping: Floats) -> Floats:
    """Return bands with their diagonals raised by a share."""
    left = band.copy()
    left[0] += (damping + 1e-12)[:, None] * np.maximum(left[0], 1e-6)
    return left
