"""Sizes of a part as one measures them: outside, where the fabric has a thickness."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.rounds import Finish, Start

if TYPE_CHECKING:
    from solver.wanted.part import AnyPart

ML = 1000.0
"""Cubic millimetres in a millilitre."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """Sizes of a part, outside sizes where the fabric has a thickness.

    Attributes
    ----------
    length : float or None
        Along a chain; None for a part that has no chain. [mm]
    width, height : float
        Across, and upward from the start. [mm]
    girth : float
        Round the part as seen from above. [mm]
    volume : float
        Inside the middle of the fabric. [ml]
    """

    length: float | None = None
    width: float
    height: float
    girth: float
    volume: float

    def as_dict(self) -> dict[str, float]:
        """Return the sizes as plain data."""
        along = {} if self.length is None else {"length_mm": self.length}
        return {
            **along,
            "width_mm": self.width,
            "height_mm": self.height,
            "girth_mm": self.girth,
            "volume_ml": self.volume,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """What a fabric's thickness adds to sizes of its middle. [mm]"""

    across: float
    along: float

    @classmethod
    def of(cls, gauge_thickness: float, *, start: Start, finish: Finish) -> Wall:
        """Return the wall of a stuffed part: a whole thickness across, half of one at each closed end."""
        closed = (start is not Start.OPEN) + (finish is not Finish.OPEN)
        return cls(across=gauge_thickness, along=closed * gauge_thickness / 2)

    def added(
        self, *, length: float | None = None, width: float, height: float, girth: float, volume: float
    ) -> Sizes:
        """Return the outside sizes; of a volume in cubic millimetres the inside one."""
        return Sizes(
            length=None if length is None else length + self.across,
            width=width + self.across,
            height=height + self.along,
            girth=girth + float(np.pi) * self.across,
            volume=volume / ML,
        )


def wall_of(part: AnyPart) -> Wall:
    """Return what the thickness of a part's fabric adds to sizes of its middle."""
    thickness = part.gauge.thickness
    if part.kind == "folded":
        return Wall(across=0.0, along=0.0)
    if not part.is_stuffed:
        return Wall(across=0.0, along=thickness)
    return Wall.of(thickness, start=part.start, finish=part.work.finish)
