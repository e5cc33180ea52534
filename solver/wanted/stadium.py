"""The wanted surface of an elongated part: a profile swept round a straight segment.

Every horizontal section is two half circles joined by straight sides. With D(x, y) the distance in plan
from the segment |x| <= a / 2, y = 0, the surface is D = rho(z). A stuffed part started on a chain takes
such a form by itself; an ellipse serves as its profile where nothing else is asked for. The segment may be
longer at one level than at another, a(z).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solver.arrays import Floats, frozen
from solver.errors import InputError, Problem

LEVEL = 1e-6
"""Heights that differ less are one level. [mm]"""

BLOCK = 60_000
"""Pairs of a point and a level whose distances are worked out at a time."""

NEAREST = 1001
"""Points of a profile among which the nearest is looked for."""

POINTS = 361
"""Points of a profile that is drawn here."""


@dataclass(frozen=True, slots=True, eq=False)
class Stadium:
    """A wanted surface D = rho(z).

    Attributes
    ----------
    straight : float
        a, length of the segment and of each straight side, >= 0; where it changes with the height, the one
        length that stands for all. [mm]
    profile : (n, 2) float
        rho and height, first worked first; heights never go back. [mm]
    straights : (n,) float
        a at each point of the profile, linear between; left out: `straight` all the way. [mm]

    Raises
    ------
    InputError
        If a size is below zero or not finite, or the profile has no width.
    """

    straight: float
    profile: Floats
    straights: Floats = None  # type: ignore[assignment]  # an array once made

    def __post_init__(self) -> None:
        profile = frozen(self.profile)
        object.__setattr__(self, "profile", profile)
        given = self.straights if self.straights is not None else np.full(len(profile), self.straight)
        object.__setattr__(self, "straights", frozen(given))
        if not np.isfinite(self.straight) or self.straight < 0:
            raise InputError(
                Problem("the straight sides have a length of zero or more", got=f"{self.straight}")
            )
        if not np.isfinite(profile).all() or profile.min() < -1e-9 or profile[:, 0].max() <= 0:
            raise InputError(Problem("the profile of an elongated part has a width, and no size below zero"))
        if len(self.straights) != len(profile) or not (self.straights >= 0).all():
            raise InputError(Problem("each point of the profile has straight sides of zero or more"))

    @classmethod
    def tapered(cls, profile: ArrayLike, sides: ArrayLike) -> Stadium:
        """Return the surface whose straight sides change with the height.

        Parameters
        ----------
        profile : (n, 2) float
            rho and height. [mm]
        sides : (k, 2) float
            Height and length of the straight sides there, heights never going back; linear between, level
            beyond. [mm]

        Notes
        -----
        `straight` is the mean of the lengths along the profile, weighted by rho: of all single lengths the
        one whose ends lie nearest to the wanted ones, by least squares over the surface of the ends.
        """
        points = np.asarray(profile, dtype=float)
        heights, lengths = np.asarray(sides, dtype=float).T
        # corners of the lengths are points of the profile too, so that all between is linear
        points = dense(points, heights)
        straights = np.interp(points[:, 1], heights, lengths)
        step = np.linalg.norm(np.diff(points, axis=0), axis=1)
        middle = (points[1:, 0] + points[:-1, 0]) / 2
        mean = (straights[1:] + straights[:-1]) / 2
        return cls(float(np.average(mean, weights=step * middle)), points, straights)

    def reshaped(self, profile: ArrayLike) -> Stadium:
        """Return the surface of another profile, its straight sides as long at each level as here."""
        if self.is_even:
            return Stadium(self.straight, np.asarray(profile, dtype=float))
        return Stadium.tapered(profile, np.column_stack([self.profile[:, 1], self.straights]))

    @property
    def is_even(self) -> bool:
        """Whether the straight sides are of one length all the way."""
        return bool(np.ptp(self.straights) <= LEVEL)

    @property
    def even(self) -> Stadium:
        """The surface with straight sides of one length, as crochet can follow it."""
        return Stadium(self.straight, self.profile)

    def scaled(self, factor: float) -> Stadium:
        """Return the surface with all its lengths times a factor above zero."""
        return Stadium(self.straight * factor, self.profile * factor, self.straights * factor)

    @property
    def width(self) -> float:
        """Greatest size across the straight sides. [mm]"""
        return float(2 * self.profile[:, 0].max())

    @property
    def length(self) -> float:
        """Greatest size along the straight sides. [mm]"""
        return float((self.straights + 2 * self.profile[:, 0]).max())

    @property
    def height(self) -> float:
        """Size along the axis. [mm]"""
        return float(np.ptp(self.profile[:, 1]))

    @property
    def base(self) -> float:
        """Half the width of a flat base; 0 for a domed one. [mm]"""
        rho, z = self.profile.T
        return float(rho[z <= z[0] + LEVEL].max())

    @property
    def meridian(self) -> float:
        """Length of the profile. [mm]"""
        return float(np.linalg.norm(np.diff(self.profile, axis=0), axis=1).sum())

    @property
    def volume(self) -> float:
        """Volume inside, open ends closed flat. [mm^3]"""
        rho, z = self.profile.T
        a, b, s, t = self.straights[:-1], self.straights[1:], rho[:-1], rho[1:]
        # the mean over a step of pi rho^2 + 2 rho a, both linear in it
        area = np.pi * (s**2 + s * t + t**2) / 3 + (2 * s * a + 2 * t * b + s * b + t * a) / 3
        return float(np.sum(area * np.diff(z)))

    @property
    def girth(self) -> float:
        """Greatest perimeter of a section. [mm]"""
        return float((2 * self.straights + 2 * np.pi * self.profile[:, 0]).max())

    def radius(self, share: ArrayLike) -> Floats:
        """Return rho at shares of the meridian, from 0 (first worked) to 1. [mm]"""
        return self._at(share, self.profile[:, 0])

    def half_round(self, share: ArrayLike) -> Floats:
        """Return rho of ends whose straight sides are as long as at the base, and the half girth the same.

        rho + (a - a_0) / pi at shares of the meridian: what ends have to be where straight sides keep their
        stitches. [mm]
        """
        return self._at(share, self.profile[:, 0] + (self.straights - self.straights[0]) / np.pi)

    def _at(self, share: ArrayLike, values: Floats) -> Floats:
        """Return values of the profile's points at shares of the meridian."""
        along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(self.profile, axis=0), axis=1)))
        return np.asarray(np.interp(np.asarray(share) * along[-1], along, values))

    def distance(self, points: ArrayLike) -> Floats:
        """Return how far points lie outside the surface, negative inside.

        Parameters
        ----------
        points : (n, 3) float
            The segment along x through the origin's axis, heights as in the profile. [mm]

        Notes
        -----
        A point is as far from the section at a level as its distance in plan from that section, and the
        level's from its own, tell together; the least over all levels, linear between those of the profile.
        """
        every = np.asarray(points, dtype=float)
        if self.is_even:
            return self._distance_even(every)
        block = max(1, BLOCK // len(self.profile))  # small enough for the processor's own memory
        parts = [self._distance(every[first : first + block]) for first in range(0, len(every), block)]
        return np.concatenate(parts) if parts else np.zeros(0)

    def _distance_even(self, points: Floats) -> Floats:
        """Return the same where all sections have one segment: a distance from the profile, in the plane."""
        from scipy.spatial import cKDTree

        x, y, z = points.T
        at = np.hypot(np.maximum(np.abs(x) - self.straight / 2, 0.0), y)
        along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(self.profile, axis=0), axis=1)))
        close = np.unique(np.append(along, np.linspace(0.0, along[-1], NEAREST)))
        line = np.column_stack([np.interp(close, along, each) for each in self.profile.T])
        flat = np.column_stack([at, z])
        # of steps so short the nearest one begins or ends at the nearest point
        nearest = cKDTree(line).query(flat)[1]
        apart = np.full(len(flat), np.inf)
        for first in (np.maximum(nearest - 1, 0), np.minimum(nearest, len(line) - 2)):
            step, to = line[first + 1] - line[first], flat - line[first]
            length = np.maximum(np.sum(step * step, axis=1), 1e-12)
            share = np.clip(np.sum(step * to, axis=1) / length, 0.0, 1.0)
            apart = np.minimum(apart, np.linalg.norm(to - share[:, None] * step, axis=1))
        rho, level = self.profile.T
        inside = at < np.interp(z, level, rho, left=0.0, right=0.0)
        return np.asarray(np.where(inside, -apart, apart))

    def _distance(self, points: Floats) -> Floats:
        x, y, z = points.T
        rho, level = self.profile.T
        plan = np.hypot(np.maximum(np.abs(x)[:, None] - self.straights / 2, 0.0), y[:, None])
        out, up = plan - rho, level - z[:, None]
        a, b = -out[:, :-1], -up[:, :-1]
        out, up = np.diff(out, axis=1), np.diff(up, axis=1)
        share = np.clip((a * out + b * up) / np.maximum(out * out + up * up, 1e-12), 0.0, 1.0)
        a, b = a - share * out, b - share * up
        apart = np.sqrt((a * a + b * b).min(axis=1))
        half = np.interp(z, level, self.straights) / 2
        at = np.hypot(np.maximum(np.abs(x) - half, 0.0), y)
        inside = at < np.interp(z, level, rho, left=0.0, right=0.0)
        return np.asarray(np.where(inside, -apart, apart))

    def perimeter_places(self, count: int, *, height_share: float, first: float) -> Floats:
        """Return points spread evenly round the section at a share of the meridian.

        Parameters
        ----------
        count : int
            How many.
        height_share : float
            Where along the meridian, 0 to 1.
        first : float
            Where the first lies, in point distances from the tip of the first end (at positive x) on the
            way that rounds run, clockwise from above.

        Returns
        -------
        (count, 2) float
            x and y. [mm]
        """
        rho, a = float(self.radius(height_share)), float(self._at(height_share, self.straights))
        perimeter = 2 * np.pi * rho + 2 * a
        at = np.mod((first + np.arange(count)) * perimeter / count, perimeter)
        turns = np.array([0.0, 0.5, 0.5, 1.5, 1.5, 2.0]) * np.pi
        known = np.cumsum([0.0, np.pi * rho / 2, a, np.pi * rho, a, np.pi * rho / 2])
        # zero-length sides would make equal abscissae: a hair apart keeps the order
        known += np.arange(6) * 1e-12 * perimeter
        angle = np.interp(at, known, turns)
        centre = np.interp(at, known, np.array([0.5, 0.5, -0.5, -0.5, 0.5, 0.5])) * a
        return np.column_stack([centre + rho * np.cos(angle), -rho * np.sin(angle)])


def dense(profile: Floats, levels: Floats | None = None) -> Floats:
    """Return a profile with points close to each other, where it rises, and at given levels. [mm]"""
    z = profile[:, 1]
    wanted = np.append(np.linspace(z[0], z[-1], POINTS), [] if levels is None else levels)
    at = np.unique([up for up in wanted if z[0] < up < z[-1] and np.abs(z - up).min() > LEVEL])
    new = np.column_stack([np.interp(at, z, profile[:, 0]), at])
    return np.insert(profile, np.searchsorted(z, at), new, axis=0)


def seamed(*, length: float, width: float, height: float) -> Stadium:
    """Return the closed part: an ellipse for profile, keel and seam as long as the straight sides. [mm]"""
    angle = np.linspace(0, np.pi, POINTS)
    return _checked(length, width, np.column_stack([width * np.sin(angle), height * (1 - np.cos(angle))]) / 2)


def domed(*, length: float, width: float, height: float) -> Stadium:
    """Return the part with a domed base and an open edge: a quarter ellipse, then straight up. [mm]"""
    deep = min(height, width / 2)
    angle = np.linspace(0, np.pi / 2, POINTS)
    profile = np.column_stack([width / 2 * np.sin(angle), deep * (1 - np.cos(angle))])
    if height > deep:
        up = np.linspace(deep, height, 61)[1:]
        profile = np.vstack([profile, np.column_stack([np.full(60, width / 2), up])])
    return _checked(length, width, profile)


def soled(*, length: float, width: float, height: float) -> Stadium:
    """Return the closed part on a flat sole: a circle of the width for profile, cut flat at the base. [mm]

    Raises
    ------
    InputError
        If it is lower than half its width (the circle has no side then) or higher than wide.
    """
    if not width / 2 <= height <= width:
        rule = "a closed part on a flat sole is from half its width to its whole width high"
        got = f"{height:g} mm high and {width:g} mm wide"
        remedy = "Leave the top open, or change its height."
        raise InputError(Problem(rule, got=got, remedy=remedy))
    sole = np.sqrt(height * (width - height))
    base = np.arctan2(sole, height - width / 2)  # angle of the sole's edge from the axis, downwards
    angle = np.linspace(base, np.pi, POINTS)
    arc = np.column_stack([width / 2 * np.sin(angle), height - width / 2 - width / 2 * np.cos(angle)])
    return _checked(length, width, np.vstack([[[0.0, 0.0]], arc]))


def soled_open(*, length: float, width: float, height: float) -> Stadium:
    """Return the part on a flat sole with an open edge: a rounded corner at the base, then straight up. [mm]

    The corner is round to a quarter of the width, or to the height where that is less.
    """
    corner = min(height, width / 4)
    angle = np.linspace(0, np.pi / 2, 61)
    arc = np.column_stack([width / 2 - corner * (1 - np.sin(angle)), corner * (1 - np.cos(angle))])
    profile = np.vstack([[[0.0, 0.0]], arc, [[width / 2, height]] if height > corner else np.zeros((0, 2))])
    return _checked(length, width, profile)


def flat(*, length: float, width: float) -> Stadium:
    """Return the flat piece, a surface without height. [mm]"""
    return _checked(length, width, np.array([[0.0, 0.0], [width / 2, 0.0]]))


def _checked(length: float, width: float, profile: Floats) -> Stadium:
    if length < width:
        rule = "the length of an elongated part, along its straight sides, is at least its width"
        remedy = "Give length the larger size, or choose a round shape."
        raise InputError(Problem(rule, got=f"{length:g} mm long, {width:g} mm wide", remedy=remedy))
    return Stadium(length - width, profile)
