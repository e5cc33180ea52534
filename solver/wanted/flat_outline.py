"""The drawn outline of a piece worked flat in rows: its two edges against height."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

import numpy as np

from solver.arrays import Floats, enclosed, frozen
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


@dataclass(frozen=True, slots=True, eq=False)
class FlatOutline:
    """Two edges of a flat piece.

    Attributes
    ----------
    left, right : (k, 2) float
        [across, height] of each edge's points from the first row up, heights from 0, never falling; across
        is above zero to the right. [mm]

    Raises
    ------
    InputError
        If an edge turns back down, the two reach to other heights, or cross.
    """

    left: Floats
    right: Floats

    def __post_init__(self) -> None:
        for name in ("left", "right"):
            edge = np.asarray(getattr(self, name), dtype=np.float64)
            if not np.isfinite(edge).all():
                raise InputError(Problem("every length of a flat piece is finite"))
            if (np.diff(edge[:, 1]) < -1e-9).any():
                rule = "the edges of a piece worked in rows never turn back down"
                raise InputError(Problem(rule, remedy="Turn the drawing, or make it of two pieces."))
            object.__setattr__(self, name, frozen(edge - [0.0, edge[0, 1]]))
        if abs(self.left[-1, 1] - self.right[-1, 1]) > 1e-6:
            rule = "both edges reach from the same height to the same height"
            got = f"{self.left[-1, 1]:g} mm and {self.right[-1, 1]:g} mm"
            raise InputError(Problem(rule, got=got))
        if (self.edge("right", self.levels) - self.edge("left", self.levels) < -1e-6).any():
            raise InputError(Problem("the left edge stays to the left of the right one"))

    @classmethod
    def even(cls, points: ArrayLike) -> Self:
        """Return the outline of a piece alike on both sides, from [half width, height] points. [mm]"""
        half = np.asarray(points, dtype=np.float64)
        return cls(half * [-1.0, 1.0], half)

    @property
    def is_even(self) -> bool:
        """Whether both edges are alike."""
        return self.left.shape == self.right.shape and bool(
            np.allclose(self.left * [-1.0, 1.0], self.right, atol=1e-9)
        )

    @property
    def height(self) -> float:
        """From the first row up. [mm]"""
        return float(self.right[-1, 1])

    @property
    def width(self) -> float:
        """From the leftmost to the rightmost place. [mm]"""
        return float(self.right[:, 0].max() - self.left[:, 0].min())

    @property
    def levels(self) -> Floats:
        """Heights close together. [mm]"""
        return np.linspace(0.0, self.height, 201)

    def edge(self, side: str, height: ArrayLike) -> Floats:
        """Return how far across an edge is at heights; side is "left" or "right". [mm]"""
        edge = self.left if side == "left" else self.right
        rising = edge[:, 1] + np.linspace(0, 1e-9, len(edge))
        return np.asarray(np.interp(np.asarray(height, dtype=float), rising, edge[:, 0]))

    @property
    def closed(self) -> Floats:
        """The whole outline, closed: up the right edge, down the left. [mm]"""
        return np.concatenate([self.right, self.left[::-1]])

    @property
    def area(self) -> float:
        """[mm^2]"""
        return abs(enclosed(self.closed))

    @property
    def girth(self) -> float:
        """Length of the outline. [mm]"""
        at = self.closed
        return float(np.linalg.norm(at - np.roll(at, 1, axis=0), axis=1).sum())

    def scaled(self, factor: float) -> FlatOutline:
        """Return the outline with every length times a factor above zero."""
        return FlatOutline(self.left * factor, self.right * factor)

    def mirrored(self) -> FlatOutline:
        """Return the outline with left and right changed over."""
        return FlatOutline(self.right * [-1.0, 1.0], self.left * [-1.0, 1.0])

    @property
    def folds_first(self) -> bool:
        """Whether a folded piece of this outline folds at the first row, as that is the wider end."""
        first, last = (self.edge("right", at) - self.edge("left", at) for at in (0.0, self.height))
        return bool(first > last)

    def turned_over(self) -> FlatOutline:
        """Return the outline with its last row first."""
        flip = np.array([1.0, -1.0])
        left, right = (edge[::-1] * flip for edge in (self.left, self.right))
        return FlatOutline(left, right)
