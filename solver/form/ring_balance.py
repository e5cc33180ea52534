"""Rings of relaxed fabric, and their balance with an inside pressure: equation (1) of `solver.form.rings`."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np

from solver.arrays import Bools, Floats, frozen
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
        scales = (self.stitch_width, self.course_stiffness, self.wale_stiffness)
        finite = np.isfinite(perimeter).all() and np.isfinite(spacing).all() and np.isfinite(scales).all()
        if not finite or min(scales) <= 0:
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
    """Energy, gradient and banded Hessian of (1) over the unknowns x = (r_0, z_0, r_1, z_1, ...).

    Of one fabric, or of several with as many rings at once: then every array has one row for each.

    Attributes
    ----------
    free : (..., 2 m) float
        1 for unknowns that may move, 0 for those that are held.
    held : (..., 2) float
        Radius that the first and the last ring are held to; nan where they are free. [mm]
    longest : (...) float
        The greatest spacing of each fabric. [mm]
    """

    def __init__(self, fabric: RingFabric | Sequence[RingFabric], pressure: float) -> None:
        fabrics = [fabric] if isinstance(fabric, RingFabric) else fabric
        L, h = (np.array([getattr(one, name) for one in fabrics]) for name in ("perimeter", "spacing"))
        scales = [(one.course_stiffness, one.wale_stiffness, one.stitch_width) for one in fabrics]
        course, wale, w = np.array(scales).T[:, :, None]
        ring = L > 0
        self.p = pressure
        self.h = h
        self.longest = h.max(axis=-1)
        self.hoop = 2 * np.pi * ring / np.where(ring, L, 1.0)
        beside = np.pad(h, ((0, 0), (1, 1)))
        self.hoop_weight = course * L * (beside[:, 1:] + beside[:, :-1]) / 2
        self.wale_weight = wale * h * (L[:, :-1] + L[:, 1:]) / 2
        ends = np.array([[np.nan if at is None else at for at in one.held] for one in fabrics])
        self.held = np.where(ring[:, [0, -1]], ends, 0.0)
        self.free = np.ones((len(L), 2 * L.shape[1]))
        self.free[:, 1] = 0.0
        self.free[:, [0, -2]] = np.isnan(self.held)
        # force of the pressure on one stitch, for each unknown: what the residual is told in
        each = pressure * w * h.mean(axis=-1, keepdims=True) * np.maximum(L / w, 1.0)
        self.stitch_force = np.repeat(each, 2, axis=-1)
        if isinstance(fabric, RingFabric):
            self._keep(0)

    def of(self, which: Bools) -> Balance:
        """Return the balance of some of several fabrics."""
        some = copy(self)
        some._keep(which)
        return some

    def _keep(self, which: Bools | int) -> None:
        for name, values in vars(self).items():
            if name != "p":
                setattr(self, name, values[which])

    def energy(self, x: Floats) -> Floats:
        """Return E."""
        r, z = x[..., ::2], x[..., 1::2]
        a, b = r[..., :-1], r[..., 1:]
        dr, dz = b - a, z[..., 1:] - z[..., :-1]
        e = np.maximum(self.hoop * r - 1, 0.0)
        f = np.maximum(np.sqrt(dr * dr + dz * dz) / self.h - 1, 0.0)
        volume = np.pi / 3 * dz * (a * a + a * b + b * b)
        stored = 0.5 * ((self.hoop_weight * e * e).sum(axis=-1) + (self.wale_weight * f * f).sum(axis=-1))
        return np.asarray(stored - self.p * volume.sum(axis=-1))

    def gradient(self, x: Floats) -> Floats:
        """Return the slope of E, zero where an unknown is held."""
        r, z = x[..., ::2], x[..., 1::2]
        a, b = r[..., :-1], r[..., 1:]
        dr, dz = b - a, z[..., 1:] - z[..., :-1]
        l = np.sqrt(dr * dr + dz * dz)
        pull = self.wale_weight * np.maximum(l / self.h - 1, 0.0) / (self.h * l)
        q = self.p * np.pi / 3
        outward, q_z = pull * dr, q * dz
        along = pull * dz - q * (a * a + a * b + b * b)
        g = np.zeros_like(x)
        g[..., ::2] = self.hoop_weight * self.hoop * np.maximum(self.hoop * r - 1, 0.0)
        g[..., :-2:2] -= outward + q_z * (2 * a + b)
        g[..., 2::2] += outward - q_z * (a + 2 * b)
        g[..., 1:-2:2] -= along
        g[..., 3::2] += along
        g *= self.free
        return g

    def hessian(self, x: Floats) -> Floats:
        """Return the lower band (4, ..., 2 m) of the symmetric Hessian, fixed unknowns decoupled."""
        r, z = x[..., ::2], x[..., 1::2]
        a, b = r[..., :-1], r[..., 1:]
        dr, dz = b - a, z[..., 1:] - z[..., :-1]
        l = np.sqrt(dr * dr + dz * dz)
        u, v = dr / l, dz / l
        stiff = self.wale_weight / (self.h * self.h) * (l > self.h)
        across = stiff * np.maximum(1 - self.h / l, 0.0)
        along = stiff - across
        k_rr, k_zz, k_rz = along * u * u + across, along * v * v + across, along * u * v
        q = self.p * np.pi / 3
        q_a, q_b, q_z = q * (2 * a + b), q * (a + 2 * b), q * dz
        band = np.zeros((4, *x.shape))
        band[0, ..., ::2] = self.hoop_weight * self.hoop**2 * (self.hoop * r > 1)
        for ring in (slice(None, -2, 2), slice(2, None, 2)):
            band[0, ..., ring] += k_rr - 2 * q_z
        for height in (slice(1, -2, 2), slice(3, None, 2)):
            band[0, ..., height] += k_zz
        band[1, ..., :-2:2] += k_rz + q_a  # r_i, z_i
        band[1, ..., 2::2] += k_rz - q_b
        band[1, ..., 1:-2:2] = q_b - k_rz  # z_i, r_i+1
        band[2, ..., :-2:2] = -k_rr - q_z  # r_i, r_i+1
        band[2, ..., 1:-2:2] = -k_zz  # z_i, z_i+1
        band[3, ..., :-2:2] = -k_rz - q_a  # r_i, z_i+1
        size = x.shape[-1]
        for below in range(4):
            band[below, ..., : size - below] *= self.free[..., : size - below] * self.free[..., below:]
        band[0] += 1.0 - self.free
        return band

    def residual(self, gradient: Floats) -> Floats:
        """Return the largest force left on a stitch."""
        return np.asarray((np.abs(gradient) / self.stitch_force).max(axis=-1))
