"""A part that is wanted, and how it is worked."""

from __future__ import annotations

from dataclasses import dataclass, field

from solver.gauge import Gauge, Stuffing
from solver.outline import Outline
from solver.rounds import Finish, Start
from solver.supplies import Supplies


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """How a part is worked.

    Attributes
    ----------
    start : Start
        `RING` or `OPEN`.
    ring : int or None
        Stitches in the ring; None leaves the number to the solver.
    finish : Finish
        `CINCHED` or `OPEN`.
    edge : str
        What holds an open edge: "held", sewn to something stiff and so kept to its wanted width, or "free".
    multiple : int
        What every count is a multiple of, 1 to 8.
    increases : str
        "staggered" or "stacked".
    terms : str
        "US" or "UK".
    """

    start: Start
    ring: int | None
    finish: Finish
    edge: str
    multiple: int
    increases: str
    terms: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Part:
    """A part that is wanted.

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
