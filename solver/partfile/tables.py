"""What the tables of a part file are made of: their base, lengths, words, and any shape."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import partial
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError

from solver.errors import InputError, Problem
from solver.partfile.problems import as_written, nearest
from solver.units import to_mm
from solver.wanted.outline import SAME_POINT, Outline
from solver.wanted.stadium import Stadium
from solver.wanted.swept import Bend, Swept

MOST_POINTS = 2000
"""Points that an outline may have; one traced by hand has a few hundred at most."""

PRINTED = r"^[^\x00-\x1f\x7f-\x9f\x{2028}\x{2029}\x{fffe}\x{ffff}]*$"
"""Text without control characters, or what no file of the web may hold."""

MOST_LENGTH = 1e5
"""Beyond it no number is a length of a toy, and sums of them overflow. [mm]"""

Sides = tuple[tuple[float, float], ...]
"""Heights, and the lengths of the straight sides there. [mm]"""


@dataclass(frozen=True, slots=True, eq=False)
class Bent:
    """A part that bends: its surface, its outline without the bends, and the bends."""

    wanted: Swept
    outline: Outline
    bends: tuple[Bend, ...]


class Table(BaseModel):
    """A table of the part file; the description of a field completes the sentence "`key` is ..."."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


def told(problem: Problem) -> PydanticCustomError:
    """Return the error by which a validator tells a problem; its place is a key of the table."""
    return PydanticCustomError("told", "{problem}", {"problem": problem})


def length_of(value: object, *, signed: bool = False) -> float:
    """Return a written length, or tell what is wrong with it. [mm]"""
    try:
        mm = to_mm(value, signed=signed)
    except InputError as error:
        raise told(error.problems[0]) from None
    if abs(mm) > MOST_LENGTH:
        raise told(Problem(f"a length is at most {MOST_LENGTH / 1000:g} m", got=as_written(value)))
    return mm


def size_of(value: object) -> float:
    """Return a written length above zero, or tell what is wrong with it. [mm]"""
    mm = length_of(value)
    if mm <= 0.0:
        raise told(Problem("this length is above zero", got=as_written(value)))
    return mm


def one_of(words: Collection[str]) -> BeforeValidator:
    """Return the check that a text is one of `words`; any other is answered with the nearest of them."""

    def check(value: object) -> object:
        if isinstance(value, str) and value in words:
            return value
        kind, near = "one_of", nearest(str(value), words)
        raise PydanticCustomError(kind, kind, {"near": near})

    return BeforeValidator(check)


Count = Annotated[float, Field(gt=0.0, allow_inf_nan=False)]
Length = Annotated[float, BeforeValidator(length_of)]
Size = Annotated[float, BeforeValidator(size_of)]
Signed = Annotated[float, BeforeValidator(partial(length_of, signed=True))]


class ShapeTable(Table):
    """A shape of some kind."""

    kind: str

    @property
    def is_oval(self) -> bool:
        """Whether it is worked along a chain."""
        return True

    @property
    def is_bent(self) -> bool:
        """Whether its axis bends, or it stands out in front."""
        return False

    def stands_on_finish(self, *, start: str | None) -> bool:
        """Return whether the end that is worked last is below, as far as the shape tells."""
        return False

    def bent(self, outline: Outline) -> Bent:
        """Return the wanted surface of a part that bends, whose outline without its bends this is."""
        raise NotImplementedError

    def surface(self, *, finish: str | None, sole: str | None) -> Stadium:
        """Return the wanted surface of an oval part, its ends as the work asks.

        Parameters
        ----------
        finish : {"open", "seamed", "cinched"} or None
        sole : {"stiff", "none"} or None
            A base of which nothing is said is flat on a stiff sole.
        """
        raise NotImplementedError


def drawn_out(outline: Outline, straight: float | Sides) -> Stadium:
    """Return an outline drawn out along straight sides, of one length or of several against height. [mm]

    Raises
    ------
    InputError
        If a height lies outside the part.
    """
    if isinstance(straight, float):
        return Stadium(straight, outline.points)
    low, high = outline.points[[0, -1], 1].tolist()
    for number, (height, _) in enumerate(straight, start=1):
        if not low - SAME_POINT <= height <= high + SAME_POINT:
            rule = f"the heights of straight lie within the part, from {low:.6g} to {high:.6g} mm"
            got = f"{height:g} mm in entry {number}"
            remedy = "Beyond the first and the last entry the length stays the same."
            raise InputError(Problem(rule, got=got, remedy=remedy, place="straight"))
    return Stadium.tapered(outline.points, straight)
