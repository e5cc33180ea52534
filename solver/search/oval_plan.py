"""The few numbers that shape a part on a chain, and where the geometry of the wanted surface puts them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats
from solver.rounds import Begin, Finish, Increases
from solver.rounds.along_chain import first_end
from solver.wanted.part import TOLERANCE, Fit
from solver.wanted.stadium import POINTS, Stadium

NEAR = 0.03
"""A size within this part of the wanted one is met; half a stitch or half a row is always close enough."""

FULLNESS = 0.12
"""How far the ends may lie outside the wanted surface on average, or inside, in stitches."""

SEAM_END = 2
"""Stitches in each end of a seamed edge: its seam is as long as the chain then."""

ROUND_SHARE = 0.4
"""Part of the stuffing's stretch by which an oval stretches round it: its long sides carry no tension there
(measured on the stitch fabric's own forms)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OvalMaking:
    """How an elongated part is to be made.

    Attributes
    ----------
    stitch_width, row_height : float
        w and h. [mm]
    stretch : float
        Of the fabric, by the stuffing.
    pressure : float
        p/k. [1/mm]
    stiffness_ratio : float
        k_w/k_c, > 0.
    finish : Finish
    held : bool
        An open edge is sewn to something stiff, and so held to its wanted outline.
    sole : float
        Half the width of a stiff flat insert that holds the base; 0 for none. [mm]
    chain, end : int or None
        Chains and stitches in each end chain, where they are given.
    begin : Begin
        Where rounds begin.
    increases : Increases
        Set off, or in line.
    multiple : int
        What the stitches of each end are a multiple of, 1 to 5.
    fit : Fit
        The plainest rounds within the tolerance, or the nearest.
    tolerance : float
        Root mean square distance that plain rounds may have. [stitch widths]
    """

    stitch_width: float
    row_height: float
    stretch: float
    pressure: float
    finish: Finish
    stiffness_ratio: float = 1.0
    held: bool = True
    sole: float = 0.0
    chain: int | None = None
    end: int | None = None
    begin: Begin = Begin.SIDE
    increases: Increases = Increases.STAGGERED
    multiple: int = 1
    fit: Fit = Fit.PLAIN
    tolerance: float = TOLERANCE

    @property
    def flat_end(self) -> float:
        """Stitches more in each end that lie flat: pi h / w, half of a flat circle's."""
        return np.pi * self.row_height / self.stitch_width

    @property
    def first_end(self) -> int:
        """Stitches in each end chain: as given, or so that round 1 lies flat."""
        w, h = self.stitch_width, self.row_height
        return self.end or first_end(stitch_width=w, row_height=h, multiple=self.multiple)


@dataclass(frozen=True, slots=True)
class Plan:
    """The structural numbers of a part on a chain.

    Attributes
    ----------
    side : int
        Straight stitches of each side, >= 0.
    widest : int
        Stitches in each end where it is widest.
    rounds : int
    """

    side: int
    widest: int
    rounds: int


def tolerances(wanted: Stadium, making: OvalMaking) -> Floats:
    """Return how far off length, width, height, width at mid-length and fullness may be, (5,). [mm]"""
    stitch, row = making.stitch_width / 2, making.row_height / 2
    near = np.maximum(
        NEAR * np.array([wanted.length, wanted.width, wanted.height, wanted.width]),
        [stitch, stitch, row, stitch],
    )
    return np.append(near, FULLNESS * making.stitch_width)


def first_plan(wanted: Stadium, making: OvalMaking) -> Plan:
    """Return the plan that the geometry of the wanted surface suggests."""
    w, h = making.stitch_width, making.row_height
    course, wale = 1 + ROUND_SHARE * making.stretch, 1 + making.stretch / making.stiffness_ratio
    side = making.chain - 3 if making.chain else wanted.straights[0] / (course * w) - 1
    widest = 1 + np.pi * wanted.half_round(np.linspace(0, 1, POINTS)).max() / (course * w)
    return Plan(
        max(round(side), 0), max(round(widest), SEAM_END + 1), max(round(wanted.meridian / (wale * h)), 2)
    )
