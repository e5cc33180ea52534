"""Rings of relaxed fabric, and their balance with an inside pressure: equation (1) of `solver.form.rings`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats, frozen
from solver.errors import InputError, Problem
from solver.form.fabric import CLOSING_ROWS


@dataclass(frozen=True, slots=True, eq=False)
class RingFabric:
    """The relaxed fabric of rounds, as rings.

    Attributes
    ----------
    perimeter : (m,) float
        L, rest perimeter of each ring; 0 for a pole. [mm]
    spacing : (m - 1,) float
        h, rest distance from each ring to the next, > 0. [mm]
    stitch_width : float
        w, > 0. [mm]
    held : tuple of two (float or None)
        Radius that the first and the last ring are held to (sewn to something stiff); None: free. [mm]
    course_stiffness, wale_stiffness : float
        k_c and k_w, relative, > 0.
    """

    perimeter: Floats
    spacing: Floats
    stitch_width: float
    held: tuple[float | None, float | None] = (None, None)
    course_stiffness: float = 1.0
    wale_stiffness: float = 1.0

    def __post_init__(self) -> None:
        perimeter, spacing = frozen(self.perimeter), frozen(self.spacing)
        object.__setattr__(self, "perimeter", perimeter)
        object.__setattr__(self, "spacing", spacing)
        if len(perimeter) != len(spacing) + 1 or len(perimeter) < 3:
            raise InputError(
                Problem(
                    "a fabric has three rings or more and a spacing between each two",
                    got=f"{len(perimeter)} rings, {len(spacing)} spacings",
                )
            )
        if not (spacing > 0).all() or not (perimeter[1:-1] > 0).all() or not (perimeter >= 0).all():
            raise InputError(Problem("spacings and the perimeters between the ends are above zero"))
        numbers = [self.stitch_width, self.course_stiffness, self.wale_stiffness, *perimeter, *spacing]
        if not np.isfinite(numbers).all() or min(numbers[:3]) <= 0:
            raise InputError(Problem("stitch width and stiffnesses are finite and above zero"))

    @classmethod
    def from_counts(
        cls,
        counts: Sequence[float] | Floats,
        *,
        stitch_width: float,
        row_height: float,
        foundation: float = 0.0,
        cinched: bool = True,
        held: tuple[float | None, float | None] = (None, None),
        closing_rows: float = CLOSING_ROWS,
        wale_stiffness: float = 1.0,
        rows: Sequence[float] | None = None,
    ) -> RingFabric:
        """Return the fabric of rounds with these counts.

        Parameters
        ----------
        counts : (n,) float
            Stitches of each round.
        stitch_width, row_height : float
            w and h. [mm]
        foundation : float
            Chain stitches that an open start is joined from; 0 for a start from a ring.
        cinched : bool
            The last edge is drawn to a point, `closing_rows` rows away; else it stays open.
        held : tuple of two (float or None)
            Radius that an open start and an open finish are held to. [mm]
        closing_rows : float
            See `CLOSING_ROWS`.
        wale_stiffness : float
            k_w/k_c, > 0.
        rows : (n,) float, optional
            Height of each round, in rows; left out: 1.

        Returns
        -------
        RingFabric
            Ring 0 is the start (pole or open edge), ring i round i's edge, one more the point of a cinch.
        """
        edge = [0.0] if cinched else []
        perimeter = np.concatenate([[foundation], np.asarray(counts, dtype=np.float64), edge]) * stitch_width
        spacing = np.full(len(perimeter) - 1, row_height)
        if rows is not None:
            spacing[: len(rows)] *= rows
        if cinched:
            spacing[-1] = closing_rows * row_height
        return cls(perimeter, spacing, stitch_width=stitch_width, held=held, wale_stiffness=wale_stiffness)

    @property
    def stitches(self) -> Floats:
        """Stitches in each ring, 1 for a pole: what a ring's force is shared by."""
        return np.maximum(self.perimeter / self.stitch_width, 1.0)

    @property
    def hoop_area(self) -> Floats:
        """Rest area that each ring's hoop stands for. [mm^2]."""
        padded = np.concatenate([[0.0], self.spacing, [0.0]])
        return np.asarray(self.perimeter * (padded[:-1] + padded[1:]) / 2)

    @property
    def wale_area(self) -> Floats:
        """Rest area that the fabric between two rings stands for. [mm^2]."""
        return np.asarray(self.spacing * (self.perimeter[:-1] + self.perimeter[1:]) / 2)


class Balance:
    """Energy, gradient and banded Hessian of (1) over the unknowns x = (r_0, z_0, r_1, z_1, ...)."""

    def __init__(self, fabric: RingFabric, pressure: float) -> None:
        L, h = fabric.perimeter, fabric.spacing
        self.p = pressure
        self.h = h
        ring = L > 0
        self.hoop = np.where(ring, 2 * np.pi / np.where(ring, L, 1.0), 0.0)
        self.hoop_weight = fabric.course_stiffness * fabric.hoop_area
        self.wale_weight = fabric.wale_stiffness * fabric.wale_area
        m = len(L)
        self.free = np.ones(2 * m)
        self.free[1] = 0.0
        for end, held in zip((0, m - 1), fabric.held, strict=True):
            if not ring[end] or held is not None:
                self.free[2 * end] = 0.0
        # force of the pressure on one stitch, for each unknown: what the residual is told in
        self.stitch_force = np.repeat(pressure * fabric.stitch_width * h.mean() * fabric.stitches, 2)

    def energy(self, x: Floats) -> float:
        """Return E."""
        r, z = x[::2], x[1::2]
        dr, dz = r[1:] - r[:-1], z[1:] - z[:-1]
        e = np.maximum(self.hoop * r - 1, 0.0)
        f = np.maximum(np.sqrt(dr * dr + dz * dz) / self.h - 1, 0.0)
        a, b = r[:-1], r[1:]
        volume = np.pi / 3 * np.dot(dz, a * a + a * b + b * b)
        stored = 0.5 * (np.dot(self.hoop_weight, e * e) + np.dot(self.wale_weight, f * f))
        return float(stored - self.p * volume)

    def gradient(self, x: Floats) -> Floats:
        """Return the slope of E, zero where an unknown is held."""
        r, z = x[::2], x[1::2]
        dr, dz = r[1:] - r[:-1], z[1:] - z[:-1]
        l = np.sqrt(dr * dr + dz * dz)
        pull = self.wale_weight * np.maximum(l / self.h - 1, 0.0) / (self.h * l)
        a, b = r[:-1], r[1:]
        q = self.p * np.pi / 3
        frustum = q * (a * a + a * b + b * b)
        g = np.zeros_like(x)
        g[::2] = self.hoop_weight * self.hoop * np.maximum(self.hoop * r - 1, 0.0)
        g[:-2:2] -= pull * dr + q * dz * (2 * a + b)
        g[2::2] += pull * dr - q * dz * (a + 2 * b)
        along = pull * dz - frustum
        g[1:-2:2] -= along
        g[3::2] += along
        g *= self.free
        return g

    def hessian(self, x: Floats) -> Floats:
        """Return the lower band (4, 2 m) of the symmetric Hessian, fixed unknowns decoupled."""
        r, z = x[::2], x[1::2]
        dr, dz = r[1:] - r[:-1], z[1:] - z[:-1]
        l = np.sqrt(dr * dr + dz * dz)
        u, v = dr / l, dz / l
        taut = l > self.h
        stiff = np.where(taut, self.wale_weight / (self.h * self.h), 0.0)
        across = stiff * np.maximum(1 - self.h / l, 0.0)
        along = stiff - across
        k_rr, k_zz, k_rz = along * u * u + across, along * v * v + across, along * u * v
        a, b = r[:-1], r[1:]
        q = self.p * np.pi / 3
        q_a, q_b, q_z = q * (2 * a + b), q * (a + 2 * b), q * dz
        band = np.zeros((4, len(x)))
        band[0, ::2] = self.hoop_weight * self.hoop**2 * (self.hoop * r > 1)
        band[0, :-2:2] += k_rr - 2 * q_z
        band[0, 2::2] += k_rr - 2 * q_z
        band[0, 1:-2:2] += k_zz
        band[0, 3::2] += k_zz
        band[1, :-2:2] += k_rz + q_a  # r_i, z_i
        band[1, 2::2] += k_rz - q_b
        band[1, 1:-2:2] = -k_rz + q_b  # z_i, r_i+1
        band[2, :-2:2] = -k_rr - q_z  # r_i, r_i+1
        band[2, 1:-2:2] = -k_zz  # z_i, z_i+1
        band[3, :-2:2] = -k_rz - q_a  # r_i, z_i+1
        for below in range(4):
            band[below, : len(x) - below] *= self.free[: len(x) - below] * self.free[below:]
        band[0] += 1.0 - self.free
        return band

    def residual(self, gradient: Floats) -> float:
        """Return the largest force left on a stitch."""
        return float(np.max(np.abs(gradient) / self.stitch_force))
