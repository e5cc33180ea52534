"""The stitches that rounds are worked in, and how tall each is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from solver.errors import InputError, Problem


class Stitch(StrEnum):
    """What one instruction of a round does with the stitches below it."""

    SC = "sc"
    INC = "inc"
    INC3 = "inc3"
    DEC = "dec"
    DEC3 = "dec3"
    SLST = "slst"
    HDC = "hdc"
    HDC_INC = "hdcinc"
    HDC_DEC = "hdcdec"
    DC = "dc"
    DC_INC = "dcinc"
    DC_DEC = "dcdec"

    @property
    def uses(self) -> int:
        """Stitches of the round below that it is worked into."""
        return 3 if self is Stitch.DEC3 else 2 if self in _DECREASES else 1

    @property
    def makes(self) -> int:
        """Stitches that it adds to its own round."""
        return 3 if self is Stitch.INC3 else 2 if self in _INCREASES else 1

    @property
    def plain(self) -> Stitch:
        """The plain stitch that it is worked in: single crochet for `INC`, half double for `HDC_INC`."""
        return _PLAIN.get(self, Stitch.SC)


_INCREASES = frozenset({Stitch.INC, Stitch.INC3, Stitch.HDC_INC, Stitch.DC_INC})
_DECREASES = frozenset({Stitch.DEC, Stitch.DEC3, Stitch.HDC_DEC, Stitch.DC_DEC})
_PLAIN = {
    Stitch.SLST: Stitch.SLST,
    **dict.fromkeys((Stitch.HDC, Stitch.HDC_INC, Stitch.HDC_DEC), Stitch.HDC),
    **dict.fromkeys((Stitch.DC, Stitch.DC_INC, Stitch.DC_DEC), Stitch.DC),
}
WORKED = MappingProxyType({(each.plain, each.uses, each.makes): each for each in Stitch})
"""The stitch that is worked in a plain one, uses so many stitches and makes so many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """How tall stitches are, in rows of single crochet.

    The values that stand here are ASSUMED (common practice, no source); a swatch worked in the stitch tells
    one's own: the rows of single crochet that are as long as one row of it.

    Attributes
    ----------
    slst, hdc, dc : float
        Slip stitch, half double and double crochet, 0.1 to 4.

    Raises
    ------
    InputError
        If a height is outside its range.
    """

    slst: float = 0.3
    hdc: float = 1.5
    dc: float = 2.0

    def __post_init__(self) -> None:
        for name, rows in (("slst", self.slst), ("hdc", self.hdc), ("dc", self.dc)):
            if not LEAST_ROWS <= rows <= MOST_ROWS:
                rule = f"a stitch is {LEAST_ROWS:g} to {MOST_ROWS:g} rows of single crochet tall"
                raise InputError(Problem(rule, got=f"{rows:g} for {name}", place="heights"))

    def of(self, stitch: Stitch) -> float:
        """Return how tall a stitch is. [rows]"""
        return self.by_stitch[stitch]

    @property
    def by_stitch(self) -> Mapping[Stitch, float]:
        """How tall each stitch is. [rows]"""
        plain = {Stitch.SC: 1.0, Stitch.SLST: self.slst, Stitch.HDC: self.hdc, Stitch.DC: self.dc}
        return {stitch: plain[stitch.plain] for stitch in Stitch}


LEAST_ROWS, MOST_ROWS = 0.1, 4.0
"""Of single crochet that a stitch may be as tall as."""

HEIGHTS = Heights()
