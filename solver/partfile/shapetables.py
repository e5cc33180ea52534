"""The tables of shapes that a part file tells by points or by sizes."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Annotated

import numpy as np
from pydantic import BeforeValidator, Field, model_validator

from solver.errors import InputError, Problem
from solver.partfile.benttables import BendTable, Line, Pair, bent_outline
from solver.partfile.problems import as_written
from solver.partfile.tables import (
    MOST_POINTS,
    Bent,
    ShapeTable,
    Sides,
    Size,
    drawn_out,
    one_of,
    size_of,
    told,
)
from solver.units import to_mm
from solver.wanted.outline import Outline
from solver.wanted.shapes import named_shapes
from solver.wanted.stadium import Stadium, domed, flat, seamed, soled, soled_open

CLOSEST = 0.01
"""Between points of a spine. [mm]"""


def _straight(value: object) -> float | Sides:
    """Return the length of straight sides, or their lengths at rising heights. [mm]"""
    if not isinstance(value, list):
        return size_of(value)
    if not 2 <= len(value) <= MOST_POINTS:
        rule = f"straight, as a list, has 2 to {MOST_POINTS} [height, length] pairs"
        remedy = 'For sides of one length write one: straight = "40 mm".'
        raise told(Problem(rule, got=str(len(value)), remedy=remedy))
    pairs = tuple(_side(entry, number) for number, entry in enumerate(value, start=1))
    for number, ((low, _), (high, _)) in enumerate(itertools.pairwise(pairs), start=2):
        if high <= low:
            rule = f"the heights of straight rise, and that of entry {number} doesn't"
            got = f"{high:g} mm after {low:g} mm"
            raise told(Problem(rule, got=got, remedy="Put the entries in the order of their heights."))
    if not any(length for _, length in pairs):
        rule = "the straight sides of an oval section have a length somewhere"
        raise told(Problem(rule, got="0 mm all the way", remedy="Leave section and straight out."))
    return pairs


def _cut(value: object) -> float:
    """Return where a part is cut: a length, or a share of its height as a number below zero. [mm]"""
    if isinstance(value, str) and value.rstrip().endswith("%"):
        try:
            share = float(value.rstrip()[:-1]) / 100
        except ValueError:
            share = 0.0
        if not 0 < share < 1:
            raise told(Problem("a share of the height is above 0 and below 100 %", got=as_written(value)))
        return -share
    return size_of(value)


def _side(entry: object, number: int) -> tuple[float, float]:
    """Return one entry of a list of straight sides: height and length. [mm]"""
    if not isinstance(entry, list) or len(entry) != 2:
        rule = f"entry {number} of straight is a pair: [height, length of the straight sides there]"
        raise told(Problem(rule, got=as_written(entry), remedy="Write it as [10, 40]."))
    try:
        return to_mm(entry[0], signed=True), to_mm(entry[1])
    except InputError as error:
        problem = error.problems[0]
        raise told(replace(problem, rule=f"entry {number} of straight: {problem.rule}")) from None


_Cut = Annotated[float, BeforeValidator(_cut)]
_Straight = Annotated[float | Sides, BeforeValidator(_straight)]
_Between = Annotated[str, one_of(("smooth", "straight"))]
_Section = Annotated[str, one_of(("round", "oval"))]
_Base = Annotated[str, one_of(("domed", "flat"))]


class RoundTable(ShapeTable):
    """A shape by its half silhouette: a solid of revolution, or drawn out along straight sides."""

    section: _Section = Field("round", description='"round" or "oval"')
    straight: _Straight | None = Field(
        None, description="a length: of the straight sides of an oval section; or a list of [height, length]"
    )
    spine: Annotated[list[Pair], Field(min_length=3, max_length=MOST_POINTS)] | None = Field(
        None, description=f"a list of 3 to {MOST_POINTS} [forward, height] pairs, the first worked first"
    )
    bends: Annotated[list[BendTable], Field(min_length=1, max_length=8)] | None = Field(
        None, description="a list of 1 to 8 tables: { at = ..., angle = ..., over = ... }"
    )

    cut: _Cut | None = Field(
        None, description='a length from the end worked first, where the part ends open; or a share, "80 %"'
    )

    @model_validator(mode="after")
    def _straight_fits(self) -> RoundTable:
        if self.section == "oval" and self.straight is None:
            remedy = 'Give their length: straight = "40 mm".'
            rule = "an oval section has straight sides"
            raise told(Problem(rule, remedy=remedy, place="section"))
        if self.section == "round" and self.straight is not None:
            remedy = 'Write section = "oval" too, or leave straight out.'
            rule = "straight belongs to an oval section, and this one is round"
            raise told(Problem(rule, remedy=remedy, place="straight"))
        return self

    @model_validator(mode="after")
    def _one_spine(self) -> RoundTable:
        if self.spine and self.bends:
            rule = "a part bends by its spine or by bends, not both"
            raise told(Problem(rule, remedy="Leave one of them out.", place="bends"))
        if (self.spine or self.bends) and self.section == "oval":
            rule = "a part that bends has a round section"
            raise told(Problem(rule, remedy="Leave section and straight out.", place="section"))
        if self.spine and np.hypot(*np.diff(np.array(self.spine, dtype=float), axis=0).T).min() < CLOSEST:
            rule = f"points of a spine that follow each other lie at least {CLOSEST:g} mm apart"
            raise told(Problem(rule, remedy="Leave one of the two out.", place="spine"))
        if self.kind == "bent" and not (self.spine or self.bends):
            rule = "a bent part has a spine, or bends"
            remedy = (
                "Write spine = [[0, 0], [0, 40], [20, 70]], or bends = [{ at = 40, angle = 60, over = 20 }]."
            )
            raise told(Problem(rule, remedy=remedy, place="kind"))
        return self

    @property
    def is_oval(self) -> bool:
        """Whether it is worked along a chain."""
        return self.section == "oval"

    @property
    def is_bent(self) -> bool:
        """Whether its axis bends."""
        return bool(self.spine or self.bends)

    def bent(self, outline: Outline) -> Bent:
        """Return the wanted surface of a part whose axis bends, and its bends."""
        spine = np.array(self.spine, dtype=float) if self.spine else None
        return bent_outline(outline, spine=spine, bends=tuple(each.bend for each in self.bends or ()))

    def outline(self, *, start: str | None, finish: str | None) -> Outline:
        """Return the wanted outline, its ends as the work asks; as usual for the shape where it doesn't."""
        raise NotImplementedError

    def cut_outline(self, *, start: str | None, finish: str | None) -> Outline:
        """Return the wanted outline, ended open where it is cut."""
        if self.cut is None:
            return self.outline(start=start, finish=finish)
        if finish not in (None, "open"):
            remedy = "Leave finish out, or cut."
            raise InputError(Problem("a part that is cut ends open there", got=f'"{finish}"', remedy=remedy))
        whole = self.outline(start=start, finish=None)
        height = self.cut if self.cut > 0 else -self.cut * whole.height
        return whole.cut(height)

    def surface(self, *, finish: str | None, sole: str | None) -> Stadium:
        """Return the outline drawn out along the straight sides."""
        assert self.straight is not None  # as an oval section has
        ends = {"open": "open", "seamed": "cinched", "cinched": "cinched"}
        outline = self.cut_outline(start="ring", finish=ends[finish] if finish else None)
        return drawn_out(outline, self.straight)


class OvalTable(ShapeTable):
    """An elongated part by its sizes."""

    length: Size = Field(description="a length: the greatest size, along the chain")
    width: Size = Field(description="a length: the size across the chain")
    height: Size = Field(description="a length: the size upward from the chain")
    base: _Base | None = Field(None, description='"domed" or "flat"')

    @model_validator(mode="after")
    def _long(self) -> OvalTable:
        _longer(self.length, self.width)
        return self

    def surface(self, *, finish: str | None, sole: str | None) -> Stadium:
        """Return the surface that stuffing gives such a part."""
        is_flat = self.base == "flat" or (self.base is None and sole == "stiff")
        closed, left_open = (soled, soled_open) if is_flat else (seamed, domed)
        build = left_open if finish == "open" else closed
        return build(length=self.length, width=self.width, height=self.height)


class FlatOvalTable(ShapeTable):
    """A flat oval by its sizes."""

    length: Size = Field(description="a length: the greatest size, along the chain")
    width: Size = Field(description="a length: the size across the chain")

    @model_validator(mode="after")
    def _long(self) -> FlatOvalTable:
        _longer(self.length, self.width)
        return self

    def surface(self, *, finish: str | None, sole: str | None) -> Stadium:
        """Return the flat surface."""
        return flat(length=self.length, width=self.width)


def _longer(length: float, width: float) -> None:
    if length < width:
        rule = "an oval part is at least as long, along its chain, as wide"
        remedy = "Give length the larger size, or choose a round shape."
        raise told(Problem(rule, got=f"{length:g} mm and {width:g} mm", remedy=remedy, place="length"))


class DrawnTable(RoundTable):
    """A shape drawn by its points, whose ends are as drawn."""

    points: Line = Field(
        description=f"a list of 2 to {MOST_POINTS} [radius, height] pairs, the first worked first"
    )
    between: _Between = Field("smooth", description='"smooth" or "straight"')

    def outline(self, *, start: str | None, finish: str | None) -> Outline:
        """Return the curve or the lines through the points."""
        points = np.array(self.points, dtype=float).reshape(-1, 2)
        return Outline.smooth(points) if self.between == "smooth" else Outline(points)


class NamedTable(RoundTable):
    """A named shape; the fields of its sizes are added for each name."""

    def outline(self, *, start: str | None, finish: str | None) -> Outline:
        """Return the shape's outline at its sizes."""
        own = {"kind", "first", "section", "straight", "cut", "spine", "bends"}
        sizes = self.model_dump(exclude=own, exclude_none=True)
        first = getattr(self, "first", None)
        shape = named_shapes()[self.kind]
        return shape.outline(
            sizes,
            first=first,
            start_open=None if start is None else start == "open",
            finish_open=None if finish is None else finish == "open",
        )

    def stands_on_finish(self, *, start: str | None) -> bool:
        """Return whether it is worked from the top; a tube that is open at both ends stands as worked."""
        return start != "open" and named_shapes()[self.kind].stands_on_finish(
            first=getattr(self, "first", None)
        )
