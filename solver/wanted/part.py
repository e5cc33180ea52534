"""A part that is wanted, and how it is worked."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from solver.rounds import Begin, Finish, Increases, Start
from solver.wanted.gauge import Gauge, Stuffing
from solver.wanted.outline import Outline
from solver.wanted.stadium import Stadium
from solver.wanted.supplies import Supplies


class Edge(StrEnum):
    """What holds an open edge: sewn to something stiff and so kept to its wanted outline, or nothing."""

    HELD = "held"
    FREE = "free"


class Fit(StrEnum):
    """Which rounds are written: the plainest that hands cannot tell from the nearest, or the nearest."""

    PLAIN = "plain"
    EXACT = "exact"


TOLERANCE = 0.25
"""Root mean square distance from the drawing that plain rounds may have. [stitch widths]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """How a round part is worked.

    Attributes
    ----------
    start : Start
        `RING` or `OPEN`.
    ring : int or None
        Stitches in the ring; None leaves the number to the solver.
    finish : Finish
        `CINCHED` or `OPEN`.
    edge : Edge
        What holds an open edge.
    multiple : int
        What every count is a multiple of, 1 to 8.
    increases : Increases
        Set off, or in line.
    terms : str
        "US" or "UK".
    fit : Fit
        The plainest rounds within `tolerance` of the drawing, or the nearest.
    tolerance : float
        Root mean square distance that plain rounds may have. [stitch widths]
    """

    start: Start
    ring: int | None
    finish: Finish
    edge: Edge
    multiple: int
    increases: Increases
    terms: str
    fit: Fit = Fit.PLAIN
    tolerance: float = TOLERANCE


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Part:
    """A round part that is wanted.

    Attributes
    ----------
    title : str
    gauge : Gauge
    stuffing : Stuffing
    outline : Outline
        Of the middle of the fabric.
    work : Work
    notes : tuple of str
        What was assumed in reading, as sentences for the maker.
    supplies : Supplies
        Yarn, colours, and what is sewn on.
    """

    title: str
    gauge: Gauge
    stuffing: Stuffing
    outline: Outline
    work: Work
    notes: tuple[str, ...]
    supplies: Supplies = field(default_factory=Supplies)


@dataclass(frozen=True, slots=True, kw_only=True)
class OvalWork:
    """How a part on a chain is worked.

    Attributes
    ----------
    chain : int or None
        Chains in all, the skipped one included; None leaves the number to the solver.
    ends : int or None
        Stitches in each end chain; None leaves the number to the gauge.
    begin : Begin
        Where rounds begin.
    finish : Finish
        `SEAMED`, `CINCHED` or `OPEN`.
    edge : Edge
        What holds an open edge.
    sole : bool
        Whether a stiff flat insert holds the base.
    increases : Increases
        Set off, or in line.
    terms : str
        "US" or "UK".
    fit : Fit
        The plainest rounds within `tolerance` of the drawing, or the nearest.
    tolerance : float
        Root mean square distance that plain rounds may have. [stitch widths]
    multiple : int
        What the stitches of each end are a multiple of, from round 1 on, 1 to 5.
    """

    chain: int | None
    ends: int | None
    begin: Begin
    finish: Finish
    edge: Edge
    sole: bool
    increases: Increases
    terms: str
    fit: Fit = Fit.PLAIN
    tolerance: float = TOLERANCE
    multiple: int = 1


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OvalPart:
    """An elongated part that is wanted, stuffed or flat.

    Attributes
    ----------
    title : str
    gauge : Gauge
    stuffing : Stuffing
    wanted : Stadium
        Of the middle of the fabric; without height for a flat piece.
    work : OvalWork
    notes : tuple of str
        What was assumed in reading, as sentences for the maker.
    supplies : Supplies
        Yarn, colours, and what is sewn on.
    """

    title: str
    gauge: Gauge
    stuffing: Stuffing
    wanted: Stadium
    work: OvalWork
    notes: tuple[str, ...]
    supplies: Supplies = field(default_factory=Supplies)

    @property
    def is_flat(self) -> bool:
        """Whether it is a flat piece, not stuffed."""
        return self.wanted.height == 0
