"""Where straight lines meet a part's surface from outside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, frozen

if TYPE_CHECKING:
    from solver.toy.surface import Surface

INSIDE = -1e-9
"""Shares of a triangle's corners that still count as inside it."""


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """Directions and origin of a view along an axis, or of a part that sits on another.

    Attributes
    ----------
    origin : (3,) float
        [mm]
    turned : (3, 3) float
        Its left, its back and its axis, unit vectors, as columns.
    """

    origin: Floats
    turned: Floats

    def __post_init__(self) -> None:
        for name in ("origin", "turned"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    @property
    def axis(self) -> Floats:
        """Unit vector out of the surface."""
        return np.asarray(self.turned[:, 2])

    def inside(self, points: Floats) -> Floats:
        """Return points (..., 3) of the frame as points of what it stands in. [mm]"""
        return np.asarray(points @ self.turned.T + self.origin)

    def seen(self, points: Floats) -> Floats:
        """Return points (..., 3) of what it stands in as points of the frame. [mm]"""
        return np.asarray((points - self.origin) @ self.turned)


class Lines:
    """The lines along a frame's axis, and where they meet a surface that faces them.

    Parameters
    ----------
    surface : Surface
    frame : Frame
        In the surface's own coordinates.
    reach : float
        How far from the axis lines will run. [mm]
    """

    def __init__(self, surface: Surface, frame: Frame, *, reach: float) -> None:
        points, places, triangles = surface.grid
        seen = frame.seen(points)
        corners = seen[triangles]
        flat = corners[..., :2]
        a, b = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
        area = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
        near = (flat.min(axis=1) <= reach).all(axis=1) & (flat.max(axis=1) >= -reach).all(axis=1)
        kept = np.flatnonzero(near & (area > 1e-12))
        self._first, self._a, self._b, self._area = flat[kept, 0], a[kept], b[kept], area[kept]
        self._depths, self._places = corners[kept, :, 2], places[triangles[kept]]

    def meet(self, offsets: Floats, *, outermost: bool = False) -> tuple[Floats, Floats, Floats]:
        """Return height over the frame's origin, ring and turn where lines meet the surface; nan where not.

        Parameters
        ----------
        offsets : (k, 2) float
            Of each line from the axis, to the left and to the back. [mm]
        outermost : bool
            Take what is met first from outside; else what lies nearest to the origin's height.
        """
        told = np.full((3, len(offsets)), np.nan)
        if not len(self._area):
            return told[0], told[1], told[2]
        off = offsets[:, None, :] - self._first[None]
        second = (off[..., 0] * self._b[:, 1] - off[..., 1] * self._b[:, 0]) / self._area
        third = (self._a[:, 0] * off[..., 1] - self._a[:, 1] * off[..., 0]) / self._area
        first = 1 - second - third
        hit = (first >= INSIDE) & (second >= INSIDE) & (third >= INSIDE)
        d = self._depths
        depth = first * d[:, 0] + second * d[:, 1] + third * d[:, 2]
        rank = np.where(hit, -depth if outermost else np.abs(depth), np.inf)
        best = rank.argmin(axis=1)
        lines = np.flatnonzero(hit.any(axis=1))
        cell = best[lines]
        weights = np.stack([share[lines, cell] for share in (first, second, third)], axis=1)
        told[0, lines] = depth[lines, cell]
        told[1:, lines] = np.einsum("kc,kcd->dk", weights, self._places[cell])
        return told[0], told[1], told[2]
