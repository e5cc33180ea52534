"""A part that is wanted, and how it is worked."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Self

from solver.rounds import Begin, Finish, Increases, Start
from solver.wanted.flat_outline import FlatOutline
from solver.wanted.gauge import Gauge, Stuffing
from solver.wanted.outline import Outline
from solver.wanted.own_lines import OwnLines
from solver.wanted.stadium import Stadium
from solver.wanted.supplies import Supplies
from solver.wanted.swept import Bend, Swept


class Edge(StrEnum):
    """What holds an open edge: sewn to something stiff and so kept to its wanted outline, or nothing."""

    HELD = "held"
    FREE = "free"


class Fit(StrEnum):
    """Which rounds are written: the plainest that hands can't tell from the nearest, or the nearest."""

    PLAIN = "plain"
    EXACT = "exact"


class BendBy(StrEnum):
    """What bends a part: stitches of several heights, or increases on one side and decreases opposite."""

    HEIGHTS = "heights"
    SHAPING = "shaping"


TOLERANCE = 0.25
"""Root mean square distance from the drawing that plain rounds may have unless told. [stitch widths]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class AnyWork:
    """How any kind of part is worked.

    Attributes
    ----------
    finish : Finish
    edge : Edge
        What holds an open edge.
    increases : Increases
        Set off, or in line.
    terms : str
        "US" or "UK".
    fit : Fit
        The plainest rounds within `tolerance` of the drawing, or the nearest.
    tolerance : float
        Root mean square distance that plain rounds may have. [stitch widths]
    multiple : int
        What every count is a multiple of, 1 to 8; on a chain, the stitches of each end from round 1 on.
    joined : bool
        Whether each round is joined with a slip stitch; else they run on as a spiral.
    """

    finish: Finish
    edge: Edge
    increases: Increases
    terms: str
    fit: Fit = Fit.PLAIN
    tolerance: float = TOLERANCE
    multiple: int = 1
    joined: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Work(AnyWork):
    """How a round part is worked, to a finish that is `CINCHED` or `OPEN`.

    Attributes
    ----------
    start : Start
        `RING` or `OPEN`.
    ring : int or None
        Stitches in the ring; None leaves the number to the solver.
    bend_by : BendBy or None
        How a part that bends is to bend; None takes the plainest that holds its form.
    chain : int or None
        Chains that a foot begins with, the skipped one included; None leaves the number to the solver.
    """

    start: Start
    ring: int | None
    bend_by: BendBy | None = None
    chain: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OvalWork(AnyWork):
    """How a part on a chain is worked, to any finish.

    Attributes
    ----------
    chain : int or None
        Chains in all, the skipped one included; None leaves the number to the solver.
    ends : int or None
        Stitches in each end chain; None leaves the number to the gauge.
    begin : Begin
        Where rounds begin.
    sole : bool
        Whether a stiff flat insert holds the base.
    """

    chain: int | None
    ends: int | None
    begin: Begin
    sole: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AnyPart:
    """A part of any kind.

    Attributes
    ----------
    title : str
    gauge : Gauge
    stuffing : Stuffing
    work : AnyWork
    notes : tuple of str
        What was assumed in reading, as sentences for the maker.
    supplies : Supplies
        Yarn, colours, and what is sewn on.
    own_lines : OwnLines
        What its designer has to say on sheets.
    from_top : bool
        Whether its shape stands with the end above that is worked first.
    """

    title: str
    gauge: Gauge
    stuffing: Stuffing
    work: AnyWork
    notes: tuple[str, ...]
    supplies: Supplies = field(default_factory=Supplies)
    own_lines: OwnLines = field(default_factory=OwnLines)
    from_top: bool = False

    @property
    def stands_on_finish(self) -> bool:
        """Whether pictures show it with the end above that is worked first; patches tell it themselves."""
        return self.supplies.down == "finish" or (self.from_top and not self.supplies.patches)

    @property
    def kind(self) -> str:
        """The name of its kind."""
        raise NotImplementedError

    @property
    def start(self) -> Start:
        """How it is begun."""
        raise NotImplementedError

    @property
    def half_width(self) -> float:
        """Half its width: what a stuffing's pressure goes by. [mm]"""
        raise NotImplementedError

    @property
    def is_stuffed(self) -> bool:
        """Whether it is stuffed: else it is a flat piece, or folded flat."""
        return self.stuffing.stretch > 0

    @property
    def is_flat(self) -> bool:
        """Whether it is one layer that lies flat."""
        return self.kind in ("flat oval", "rows")

    @property
    def pressure(self) -> float:
        """Of its stuffing, p/k. [1/mm]"""
        return self.stuffing.pressure(self.half_width)

    def scaled(self, factor: float) -> Self:
        """Return the part with its drawing so many times as large, > 0."""
        raise NotImplementedError

    def worked(self, **changes: object) -> Self:
        """Return the part worked in another way."""
        return replace(self, work=replace(self.work, **changes))  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Part(AnyPart):
    """A round part.

    Attributes
    ----------
    outline : Outline
        Of the middle of the fabric.
    work : Work
    """

    outline: Outline
    work: Work

    @property
    def kind(self) -> str:
        """The name of its kind."""
        return "round" if self.is_stuffed else "folded"

    @property
    def start(self) -> Start:
        """How it is begun."""
        return self.work.start

    @property
    def half_width(self) -> float:
        """Half its greatest width. [mm]"""
        return self.outline.width / 2

    def scaled(self, factor: float) -> Part:
        """Return the part with its drawing so many times as large, > 0."""
        return replace(self, outline=self.outline.scaled(factor), supplies=self.supplies.scaled(factor))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OvalPart(AnyPart):
    """An elongated part, stuffed or flat.

    Attributes
    ----------
    wanted : Stadium
        Of the middle of the fabric; without height for a flat piece.
    work : OvalWork
    """

    wanted: Stadium
    work: OvalWork

    @property
    def kind(self) -> str:
        """The name of its kind."""
        if not self.wanted.height:
            return "flat oval"
        return "oval" if self.is_stuffed else "folded"

    @property
    def start(self) -> Start:
        """How it is begun."""
        return Start.CHAIN

    @property
    def half_width(self) -> float:
        """Half its width. [mm]"""
        return self.wanted.width / 2

    @property
    def is_stuffed(self) -> bool:
        """Whether it is stuffed: else it is a flat piece, or folded flat."""
        return self.wanted.height > 0 and self.stuffing.stretch > 0

    def scaled(self, factor: float) -> OvalPart:
        """Return the part with its drawing so many times as large, > 0."""
        return replace(self, wanted=self.wanted.scaled(factor), supplies=self.supplies.scaled(factor))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BentPart(AnyPart):
    """A part whose axis bends, or that stands out in front.

    Attributes
    ----------
    wanted : Swept
        Of the middle of the fabric.
    outline : Outline
        Of the same part without its bends: radius against length along it.
    bends : tuple of Bend
        Where rounds are to tilt against each other.
    work : Work
    """

    wanted: Swept
    outline: Outline
    bends: tuple[Bend, ...]
    work: Work

    @property
    def kind(self) -> str:
        """The name of its kind."""
        return "bent"

    @property
    def start(self) -> Start:
        """How it is begun."""
        return self.work.start

    @property
    def half_width(self) -> float:
        """Half its greatest width. [mm]"""
        return self.outline.width / 2

    def scaled(self, factor: float) -> BentPart:
        """Return the part with its drawing so many times as large, > 0."""
        wanted = self.wanted.scaled(factor)
        bends = tuple(bend.scaled(factor) for bend in self.bends)
        outline, supplies = self.outline.scaled(factor), self.supplies.scaled(factor)
        return replace(self, wanted=wanted, outline=outline, bends=bends, supplies=supplies)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RowsPart(AnyPart):
    """A flat piece worked in rows.

    Attributes
    ----------
    outline : FlatOutline
        As it lies when done: of a folded piece, of one layer.
    work : AnyWork
        Its finish `OPEN`, or `SEAMED`: worked in one with its mirror image, folded and sewn.
    """

    outline: FlatOutline

    @property
    def kind(self) -> str:
        """The name of its kind."""
        return "rows"

    @property
    def start(self) -> Start:
        """How it is begun."""
        return Start.ROWS

    @property
    def half_width(self) -> float:
        """Half its width. [mm]"""
        return self.outline.width / 2

    @property
    def is_stuffed(self) -> bool:
        """Whether it is stuffed."""
        return False

    def scaled(self, factor: float) -> RowsPart:
        """Return the part with its drawing so many times as large, > 0."""
        return replace(self, outline=self.outline.scaled(factor), supplies=self.supplies.scaled(factor))
