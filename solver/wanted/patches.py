"""Coloured patches as they are wanted: what each covers in its own plane, in mm, and where it is laid on."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Bools, Floats, Ints, frozen

if TYPE_CHECKING:
    from typing import Any, Self

DETAIL = 2
"""Stitches in a piece of colour that stays, unless told: none stands alone."""


class Laid(StrEnum):
    """How a patch is laid on: as a tape measures along the part, straight on, or as seen from one side."""

    WRAPPED = "wrapped"
    STRAIGHT = "straight"
    FRONT = "front"
    SIDE = "side"


class End(StrEnum):
    """An end of the part, as a place."""

    TOP = "top"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the middle of a patch lies.

    Attributes
    ----------
    height : float or None
        Above the part's lowest place; None: half way up. [mm]
    turn : float
        Round the part from the middle of its front, to its own left. [degrees]
    end : End or None
        The very top or bottom instead.
    """

    height: float | None = None
    turn: float = 0.0
    end: End | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Patch:
    """A patch of colour.

    Attributes
    ----------
    name : str
    colours : tuple of str
        What its numbers mean: where `cover` tells 1, the first. A picture has several.
    place : Place
    laid : Laid
    tilt : float
        Of the patch in its plane, against the clock as one looks at it. [degrees]
    detail : int
        Stitches in the smallest piece of colour that stays, from 1.
    told_in : str
        Where the file tells it, for messages.
    file : str
        That file.
    """

    name: str
    colours: tuple[str, ...]
    place: Place = field(default_factory=Place)
    laid: Laid = Laid.WRAPPED
    tilt: float = 0.0
    detail: int = DETAIL
    told_in: str = ""
    file: str = ""

    def cover(self, x: Floats, y: Floats) -> Ints:
        """Return the number of the colour at places of its plane; 0 where it leaves what is beneath.

        Parameters
        ----------
        x, y : (...) float
            To the right, as one looks at it, and up, from its middle. [mm]
        """
        turn = np.radians(self.tilt)
        c, s = np.cos(turn), np.sin(turn)
        return self._cover(c * x + s * y, c * y - s * x)

    def _cover(self, x: Floats, y: Floats) -> Ints:
        raise NotImplementedError

    @property
    def is_even(self) -> bool:
        """Whether its right half is its left half in the mirror."""
        return self.tilt % 180.0 == 0.0

    @property
    def is_stripe(self) -> bool:
        """Whether its edges run on: then each of them is followed by itself."""
        return False

    def mirrored(self) -> Self:
        """Return its twin on the other side of the front."""
        return replace(self, place=replace(self.place, turn=-self.place.turn), tilt=-self.tilt)

    def scaled(self, factor: float) -> Self:
        """Return it so many times as large and as high up, > 0: every length that it has."""
        lengths: dict[str, Any] = {
            name: factor * getattr(self, name)
            for name in ("width", "height", "low", "high", "points")
            if getattr(self, name, None) is not None
        }
        high = self.place.height
        place = self.place if high is None else replace(self.place, height=factor * high)
        return replace(self, place=place, **lengths)

    def twins(self, other: Patch) -> bool:
        """Return whether another is its twin."""
        mine = self.mirrored()
        return type(other) is type(self) and all(
            getattr(mine, name) == getattr(other, name)
            for name in ("colours", "place", "laid", "tilt", "detail")
        )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Ellipse(Patch):
    """An ellipse, or a circle. Sizes are of the whole. [mm]"""

    width: float
    height: float

    def _cover(self, x: Floats, y: Floats) -> Ints:
        return _yes((2 * x / self.width) ** 2 + (2 * y / self.height) ** 2 < 1)

    @property
    def is_even(self) -> bool:
        """Whether its right half is its left half in the mirror."""
        return self.tilt % 90.0 == 0.0 or self.width == self.height

    def twins(self, other: Patch) -> bool:
        """Return whether another is its twin."""
        return (
            Patch.twins(self, other)
            and isinstance(other, Ellipse)
            and (self.width, self.height) == (other.width, other.height)
        )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Stripe(Patch):
    """A stripe up the part.

    Attributes
    ----------
    width : float
        [mm]
    low, high : float or None
        Heights of the part between which it runs. [mm]
    """

    width: float
    low: float | None = None
    high: float | None = None

    def _cover(self, x: Floats, y: Floats) -> Ints:
        return _yes(np.abs(x) < self.width / 2)

    @property
    def is_stripe(self) -> bool:
        """Whether its edges run on: then each of them is followed by itself."""
        return True

    def twins(self, other: Patch) -> bool:
        """Return whether another is its twin."""
        return (
            Patch.twins(self, other)
            and isinstance(other, Stripe)
            and (self.width, self.low, self.high) == (other.width, other.low, other.high)
        )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Polygon(Patch):
    """An area within straight edges.

    Attributes
    ----------
    points : (n, 2) float
        Its corners, right and up from its middle; the last joins the first. [mm]
    """

    points: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "points", frozen(self.points))

    def _cover(self, x: Floats, y: Floats) -> Ints:
        x = np.abs(x) if self._mirrors else x
        inside = np.zeros(np.shape(x), dtype=bool)
        for (ax, ay), (bx, by) in zip(self.points, np.roll(self.points, -1, axis=0), strict=True):
            if ay != by:  # a ray to the right crosses an odd number of edges (from memory)
                crossed = (ay > y) != (by > y)
                inside ^= crossed & (x < ax + (y - ay) * (bx - ax) / (by - ay))
        return _yes(inside)

    @property
    def _mirrors(self) -> bool:
        gaps = np.linalg.norm((self.points * [-1, 1])[:, None] - self.points[None], axis=2)
        return bool((gaps.min(axis=1) < 1e-6).all())

    @property
    def is_even(self) -> bool:
        """Whether its right half is its left half in the mirror."""
        return self._mirrors and self.tilt % 180.0 == 0.0

    def mirrored(self) -> Polygon:
        """Return its twin on the other side of the front."""
        return replace(Patch.mirrored(self), points=(self.points * [-1, 1])[::-1])

    def twins(self, other: Patch) -> bool:
        """Return whether another is its twin."""
        if not (Patch.twins(self, other) and isinstance(other, Polygon)):
            return False
        mine, theirs = (np.array(sorted(each.points.tolist())) for each in (self.mirrored(), other))
        return mine.shape == theirs.shape and bool(np.allclose(mine, theirs))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Picture(Patch):
    """A picture in her colours.

    Attributes
    ----------
    dots : (rows, columns) int
        Number of the colour of each dot, the top row first; 0 where the picture is clear.
    width, height : float
        Of the whole picture. [mm]
    """

    dots: Ints
    width: float
    height: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "dots", np.array(self.dots))
        self.dots.setflags(write=False)

    def _cover(self, x: Floats, y: Floats) -> Ints:
        rows, columns = self.dots.shape
        x = np.abs(x) if self._mirrors else x
        across = np.floor((x / self.width + 0.5) * columns).astype(np.int64)
        down = np.floor((0.5 - y / self.height) * rows).astype(np.int64)
        within = (across >= 0) & (across < columns) & (down >= 0) & (down < rows)
        found = self.dots[np.clip(down, 0, rows - 1), np.clip(across, 0, columns - 1)]
        return np.asarray(np.where(within, found, 0))

    @property
    def _mirrors(self) -> bool:
        return bool((self.dots != self.dots[:, ::-1]).mean() < UNLIKE)

    @property
    def is_even(self) -> bool:
        """Whether its right half is its left half in the mirror."""
        return self._mirrors and self.tilt % 180.0 == 0.0

    def mirrored(self) -> Picture:
        """Return its twin on the other side of the front."""
        return replace(Patch.mirrored(self), dots=self.dots[:, ::-1])

    def twins(self, other: Patch) -> bool:
        """Return whether another is its twin."""
        return (
            Patch.twins(self, other)
            and isinstance(other, Picture)
            and (self.width, self.height) == (other.width, other.height)
            and np.array_equal(self.dots[:, ::-1], other.dots)
        )


UNLIKE = 0.01
"""Share of a picture's dots in which its halves may differ and still be meant alike."""


def _yes(inside: Bools) -> Ints:
    return np.asarray(inside).astype(np.int64)
