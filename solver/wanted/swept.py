"""A wanted surface that bends: circles along a line in the side view, each in a plane of its own.

Forward is x, across is y, upward is z. Along a spine that bends, the circles stand square to it; of a belly
they lie level, and their middles move forward and back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

import numpy as np

from solver.arrays import Floats, Ints, frozen
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from solver.wanted.outline import Outline

SECTIONS = 360
"""Circles that a surface is told by."""

AT_ONCE = 200_000
"""Distances worked out at one time: what a few megabytes hold."""

ROUND = np.linspace(-np.pi, np.pi, 73)[:-1]
"""Angles at which a circle is drawn, from forward. [rad]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A bend of a spine, alike all along.

    Attributes
    ----------
    begin, end : float
        Lengths along the outline, begin < end. [mm]
    angle : float
        Forward above zero, backward below. [rad]
    """

    begin: float
    end: float
    angle: float

    def scaled(self, factor: float) -> Bend:
        """Return the bend, its lengths times a factor above zero."""
        return Bend(begin=self.begin * factor, end=self.end * factor, angle=self.angle)

    @property
    def over(self) -> float:
        """Length along the middle line. [mm]"""
        return self.end - self.begin

    @property
    def middle(self) -> float:
        """Length along the outline of its middle. [mm]"""
        return (self.begin + self.end) / 2


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Swept:
    """Circles along a line in the side view.

    Attributes
    ----------
    spine : (k, 2) float
        Middle of each circle, [forward, height], first worked first. [mm]
    tilt : (k,) float
        Of each circle's normal, from upward towards forward. [rad]
    radius : (k,) float
        >= 0. [mm]
    along : (k,) float
        Length along the outline, never going back. [mm]
    bends : tuple of Bend
        Where the spine bends; empty for level circles.

    Raises
    ------
    InputError
        If a value is not finite, or the circles cut each other inside a bend.
    """

    spine: Floats
    tilt: Floats
    radius: Floats
    along: Floats
    bends: tuple[Bend, ...] = ()

    def __post_init__(self) -> None:
        for name in ("spine", "tilt", "radius", "along"):
            object.__setattr__(self, name, frozen(getattr(self, name)))
        if not all(np.isfinite(each).all() for each in (self.spine, self.tilt, self.radius, self.along)):
            raise InputError(Problem("every length and angle of a bent part is finite"))

    @classmethod
    def bent(cls, outline: Outline, bends: Sequence[Bend], *, turned: float = 0.0) -> Self:
        """Return an outline whose axis bends.

        Parameters
        ----------
        outline : Outline
            Radius against length along the spine.
        bends : sequence of Bend
            In order, none over another.
        turned : float
            Tilt of the first circle. [rad]
        """
        at = _stations(outline, bends)
        tilt = np.full(len(at), turned)
        for bend in bends:
            tilt += bend.angle * np.clip((at[:, 1] - bend.begin) / bend.over, 0.0, 1.0)
        return cls._along(at, tilt, tuple(bends))

    @classmethod
    def on_line(cls, outline: Outline, line: ArrayLike, bends: Sequence[Bend]) -> Self:
        """Return an outline swept along a smooth line, as long as the outline is high.

        Parameters
        ----------
        outline : Outline
        line : (m, 2) array-like
            [forward, height] of points close together, first worked first. [mm]
        bends : sequence of Bend
            The bends that the line amounts to.
        """
        points = np.asarray(line, dtype=np.float64)
        step = np.diff(points, axis=0)
        length = np.append(0.0, np.cumsum(np.hypot(*step.T)))
        middle = (length[1:] + length[:-1]) / 2
        at = _stations(outline, bends)
        tilt = np.interp(at[:, 1] - at[0, 1], middle, np.unwrap(np.arctan2(step[:, 0], step[:, 1])))
        return cls._along(at, tilt, tuple(bends))

    @classmethod
    def level(cls, outline: Outline, forward: ArrayLike) -> Self:
        """Return an outline whose circles stay level and move forward by (k,) at its points. [mm]"""
        points = outline.resampled(SECTIONS).points
        ahead = np.interp(
            np.linspace(0.0, outline.length, SECTIONS), outline.arc, np.asarray(forward, dtype=float)
        )
        spine = np.column_stack([ahead, points[:, 1]])
        return cls(spine=spine, tilt=np.zeros(len(points)), radius=points[:, 0], along=points[:, 1])

    @classmethod
    def _along(cls, at: Floats, tilt: Floats, bends: tuple[Bend, ...]) -> Self:
        half, step = (tilt[1:] + tilt[:-1]) / 2, np.diff(at[:, 1])
        forward = np.append(0.0, np.cumsum(np.sin(half) * step))
        height = np.append(0.0, np.cumsum(np.cos(half) * step))
        return cls(
            spine=np.column_stack([forward, height]), tilt=tilt, radius=at[:, 0], along=at[:, 1], bends=bends
        )

    def scaled(self, factor: float) -> Swept:
        """Return the surface, every length times a factor above zero."""
        bends = tuple(bend.scaled(factor) for bend in self.bends)
        return Swept(
            spine=self.spine * factor,
            tilt=self.tilt,
            radius=self.radius * factor,
            along=self.along * factor,
            bends=bends,
        )

    @property
    def is_level(self) -> bool:
        """Whether all circles lie level."""
        return not self.tilt.any()

    @property
    def forward(self) -> Floats:
        """Unit vector to the front of each circle, in its plane, (k, 2): [forward, height]."""
        return np.column_stack([np.cos(self.tilt), -np.sin(self.tilt)])

    def points(self) -> Floats:
        """Return points of the surface, (k, angles, 3): each circle from behind round to behind."""
        out = self.radius[:, None] * np.cos(ROUND)
        across = self.radius[:, None] * np.sin(ROUND)
        x, z = (self.spine[:, i, None] + out * self.forward[:, i, None] for i in (0, 1))
        return np.stack([x, across, z], axis=2)

    def distance(self, points: ArrayLike) -> Floats:
        """Return how far points lie off the surface, (n,), above zero outside. [mm]

        The nearest circle tells it: hypot(rho - r, zeta) for a point rho from a circle's normal and zeta off
        its plane.
        """
        at = np.asarray(points, dtype=np.float64)
        _, out, off, radius = self._nearest(at)
        apart = np.hypot(out, at[:, 1]) - radius
        return np.asarray(np.hypot(apart, off) * np.where(apart < 0, -1.0, 1.0))

    def off_planes(self, points: ArrayLike) -> tuple[Floats, Floats]:
        """Return how far points lie off the tangent plane at the nearest circle, and its normals.

        Returns
        -------
        (n,) float, (n, 3) float
            Above zero outside [mm]; outward unit vectors.
        """
        at = np.asarray(points, dtype=np.float64)
        nearest, out, off, radius = self._nearest(at)
        forward, rho = self.forward, np.maximum(np.hypot(out, at[:, 1]), 1e-9)
        step = np.diff(self.spine, axis=0, append=self.spine[-1:])
        along = step[:, 1] * forward[:, 0] - step[:, 0] * forward[:, 1]
        steep = np.arctan2(np.gradient(self.radius), np.maximum(along, 0.0) + 1e-9)[nearest]
        ahead, across = np.cos(steep) * out / rho, np.cos(steep) * at[:, 1] / rho
        fx, fz = forward[nearest].T
        normal = np.column_stack([ahead * fx + np.sin(steep) * fz, across, ahead * fz - np.sin(steep) * fx])
        return np.asarray((rho - radius) * np.cos(steep) - off * np.sin(steep)), normal

    def _nearest(self, at: Floats) -> tuple[Ints, Floats, Floats, Floats]:
        """Return the nearest circle of each point, how far it is ahead and off its plane, and its radius."""
        (cx, cz), (fx, fz) = self.spine.T, self.forward.T
        told = []
        part = max(AT_ONCE // len(self.radius), 1)
        for i in range(0, len(at), part):
            x, z = at[i : i + part, None, 0] - cx, at[i : i + part, None, 2] - cz
            out, off = x * fx + z * fz, z * fx - x * fz
            squared = (np.sqrt(out**2 + at[i : i + part, None, 1] ** 2) - self.radius) ** 2 + off**2
            best = np.argmin(squared, axis=1)
            rows = np.arange(len(best))
            told.append((best, out[rows, best], off[rows, best], self.radius[best]))
        best, out, off, radius = (np.concatenate(each) for each in zip(*told, strict=True))
        return best, out, off, radius

    def off_spine(self, middles: ArrayLike) -> Floats:
        """Return how far points [forward, height] lie off the line of the middles, (n,). [mm]"""
        at, first, run = np.asarray(middles, dtype=np.float64), self.spine[:-1], np.diff(self.spine, axis=0)
        squared = np.maximum(np.einsum("ij,ij->i", run, run), 1e-12)
        offset = at[:, None] - first
        share = np.clip(np.einsum("ijk,jk->ij", offset, run) / squared, 0.0, 1.0)
        return np.asarray(np.linalg.norm(offset - share[..., None] * run, axis=2).min(axis=1))

    @property
    def length(self) -> float:
        """Along the spine. [mm]"""
        return float(np.hypot(*np.diff(self.spine, axis=0).T).sum())

    @property
    def end_tilt(self) -> float:
        """Of the last circle against the first. [rad]"""
        return float(self.tilt[-1] - self.tilt[0])

    @property
    def sizes(self) -> tuple[float, float, float]:
        """From back to front, across, and from the lowest to the highest point. [mm]"""
        length, width, height = np.ptp(self.points().reshape(-1, 3), axis=0).tolist()
        return length, width, height

    @property
    def volume(self) -> float:
        """Inside, open ends closed flat; by Pappus, each slice its circle times its middle's way. [mm^3]"""
        step = np.diff(self.spine, axis=0)
        half = (self.tilt[1:] + self.tilt[:-1]) / 2
        along = step[:, 0] * np.sin(half) + step[:, 1] * np.cos(half)
        a, b = self.radius[:-1], self.radius[1:]
        return float(np.pi / 3 * np.sum(along * (a * a + a * b + b * b)))


def _stations(outline: Outline, bends: Sequence[Bend]) -> Floats:
    """Return [radius, length along] close together, every corner of the outline and of the bends in it."""
    arc = np.linspace(0.0, outline.length, SECTIONS)
    edges = [each for bend in bends for each in (bend.begin, bend.end)]
    low, high = outline.points[[0, -1], 1]
    corners = np.interp([each for each in edges if low < each < high], outline.points[:, 1], outline.arc)
    arc = np.sort(np.concatenate([arc, corners, outline.arc[_sharp(outline)]]))
    return np.column_stack([np.interp(arc, outline.arc, values) for values in outline.points.T])


def _sharp(outline: Outline) -> Ints:
    """Return the points of an outline at which it has a corner."""
    run = np.diff(outline.points, axis=0)
    turn = np.abs(np.diff(np.unwrap(np.arctan2(run[:, 1], run[:, 0]))))
    return np.flatnonzero(turn > CORNER) + 1


CORNER = 0.2
"""Turn of an outline from which it is a corner. [rad]"""


def bends_of_line(line: ArrayLike) -> tuple[Floats, tuple[Bend, ...]]:
    """Return a smooth line through points, and the bends that it amounts to.

    Each run of the line that turns one way is told as one bend, alike all along, with the same angle, the
    same middle and the same spread of its turning: so what comes after it lies where the line has it.

    Parameters
    ----------
    line : (m, 2) array-like
        [forward, height], first worked first, m >= 3. [mm]

    Returns
    -------
    (k, 2) float, tuple of Bend
        The line close together, and its bends by length along it. [mm]
    """
    from scipy.interpolate import Akima1DInterpolator
    from scipy.ndimage import gaussian_filter1d

    given = np.asarray(line, dtype=np.float64)
    chord = np.append(0.0, np.cumsum(np.hypot(*np.diff(given, axis=0).T)))
    fine = Akima1DInterpolator(chord, given, method="makima")(np.linspace(0.0, chord[-1], LINE))
    step = np.diff(fine, axis=0)
    length = np.append(0.0, np.cumsum(np.hypot(*step.T)))
    turn = np.diff(
        gaussian_filter1d(np.unwrap(np.arctan2(step[:, 0], step[:, 1])), BLUR * LINE, mode="nearest")
    )
    at = length[1:-1]
    bends = []
    edges = np.flatnonzero(np.diff(np.sign(turn))) + 1
    for run in np.split(np.arange(len(turn)), edges):
        angle = float(turn[run].sum())
        if abs(angle) < LEAST_BEND:
            continue
        share = turn[run] / angle
        middle = float(share @ at[run])
        half = float(np.sqrt(3 * (share @ (at[run] - middle) ** 2)))
        begin, end = max(middle - half, 0.0), min(middle + half, float(length[-1]))
        bends.append(Bend(begin=begin, end=end, angle=angle))
    return np.asarray(fine), tuple(bends)


BLUR = 0.04
"""Part of a line over which its turning is blurred before it is told as bends: drawn lines swing a little."""

LINE = 600
"""Points that a smooth line is drawn with."""

LEAST_BEND = np.radians(3.0)
"""A turn of less is taken as straight. [rad]"""
