"""The tables of a part file: their keys, what each may hold, and what it holds when left out."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import cache, partial
from typing import Annotated, Any

import numpy as np
from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    create_model,
    model_validator,
)
from pydantic_core import PydanticCustomError

from solver.errors import InputError, Problem
from solver.gauge import (
    DEFAULT_FIRMNESS,
    FIRMNESS,
    GREATEST_STRETCH,
    STIFFNESS_RATIOS,
    Gauge,
    Stuffing,
)
from solver.outline import SAME_POINT, Outline
from solver.partfile.problems import as_written, nearest
from solver.shapes import named_shapes
from solver.stadium import Stadium, domed, flat, seamed, soled, soled_open
from solver.units import to_mm

MOST_POINTS = 2000
"""Points that an outline may have; one traced by hand has a few hundred at most."""

TRACED_KINDS = ("sketch", "drawing", "model")
"""Shapes that are read from another file."""

KINDS = ("outline", *TRACED_KINDS, *named_shapes(), "oval", "flat oval")
"""What a shape may be."""


Sides = tuple[tuple[float, float], ...]
"""Heights, and the lengths of the straight sides there. [mm]"""


class Table(BaseModel):
    """A table of the part file; the description of a field completes the sentence "`key` is ..."."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


def _told(problem: Problem) -> PydanticCustomError:
    """Return the error by which a validator tells a problem; its place is a key of the table."""
    return PydanticCustomError("told", "{problem}", {"problem": problem})


def _length(value: object, *, signed: bool = False) -> float:
    try:
        return to_mm(value, signed=signed)
    except InputError as error:
        raise _told(error.problems[0]) from None


def _size(value: object) -> float:
    mm = _length(value)
    if mm <= 0.0:
        raise _told(Problem("this length is above zero", got=as_written(value)))
    return mm


def _straight(value: object) -> float | Sides:
    """Return the length of straight sides, or their lengths at rising heights. [mm]"""
    if not isinstance(value, list):
        return _size(value)
    if not 2 <= len(value) <= MOST_POINTS:
        rule = f"straight, as a list, has 2 to {MOST_POINTS} [height, length] pairs"
        remedy = 'For sides of one length write one: straight = "40 mm".'
        raise _told(Problem(rule, got=str(len(value)), remedy=remedy))
    pairs = tuple(_side(entry, number) for number, entry in enumerate(value, start=1))
    for number, ((low, _), (high, _)) in enumerate(itertools.pairwise(pairs), start=2):
        if high <= low:
            rule = f"the heights of straight rise, and that of entry {number} doesn't"
            got = f"{high:g} mm after {low:g} mm"
            raise _told(Problem(rule, got=got, remedy="Put the entries in the order of their heights."))
    if not any(length for _, length in pairs):
        rule = "the straight sides of an oval section have a length somewhere"
        raise _told(Problem(rule, got="0 mm all the way", remedy="Leave section and straight out."))
    return pairs


def _side(entry: object, number: int) -> tuple[float, float]:
    """Return one entry of a list of straight sides: height and length. [mm]"""
    if not isinstance(entry, list) or len(entry) != 2:
        rule = f"entry {number} of straight is a pair: [height, length of the straight sides there]"
        raise _told(Problem(rule, got=as_written(entry), remedy="Write it as [10, 40]."))
    try:
        return to_mm(entry[0], signed=True), to_mm(entry[1])
    except InputError as error:
        problem = error.problems[0]
        raise _told(replace(problem, rule=f"entry {number} of straight: {problem.rule}")) from None


def one_of(words: Collection[str]) -> BeforeValidator:
    """Return the check that a text is one of `words`; any other is answered with the nearest of them."""

    def check(value: object) -> object:
        if isinstance(value, str) and value in words:
            return value
        kind, near = "one_of", nearest(str(value), words)
        raise PydanticCustomError(kind, kind, {"near": near})

    return BeforeValidator(check)


Count = Annotated[float, Field(gt=0.0, allow_inf_nan=False)]
Length = Annotated[float, BeforeValidator(_length)]
Size = Annotated[float, BeforeValidator(_size)]
_Straight = Annotated[float | Sides, BeforeValidator(_straight)]
_Signed = Annotated[float, BeforeValidator(partial(_length, signed=True))]
_Pair = Annotated[list[_Signed], Field(min_length=2, max_length=2)]
_Title = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=100, pattern=r"^[^\x00-\x1f\x7f]*$"),
]
_Kind = Annotated[str, one_of(KINDS)]
_Firmness = Annotated[str, one_of(FIRMNESS)]
_Between = Annotated[str, one_of(("smooth", "straight"))]
_Section = Annotated[str, one_of(("round", "oval"))]
_Base = Annotated[str, one_of(("domed", "flat"))]
_Start = Annotated[str, one_of(("ring", "open", "chain"))]
_Finish = Annotated[str, one_of(("cinched", "open", "seamed"))]
_Begin = Annotated[str, one_of(("side", "end"))]
_Sole = Annotated[str, one_of(("stiff", "none"))]
_Increases = Annotated[str, one_of(("staggered", "stacked"))]
_Terms = Annotated[str, one_of(("US", "UK"))]
_Edge = Annotated[str, one_of(("held", "free"))]


class Circle(Table):
    """A flat circle worked from a ring, measured."""

    rounds: Count = Field(description="the number of rounds in the circle, above zero")
    stitches: Count = Field(description="the number of stitches in its last round, above zero")
    across: Size = Field(description="its diameter")


class GaugeTable(Table):
    """A swatch, or a flat circle, and the thickness of the fabric."""

    stitches: Count | None = Field(None, description="the number of stitches across the swatch, above zero")
    rows: Count | None = Field(None, description="the number of rounds along the swatch, above zero")
    over: Size = Field(100.0, description="the measured length of the swatch")
    circle: Circle | None = Field(None, description="a table: { rounds = ..., stitches = ..., across = ... }")
    thickness: Length = Field(0.0, description="the thickness of the fabric")
    stiffness_ratio: Annotated[float, Field(ge=STIFFNESS_RATIOS[0], le=STIFFNESS_RATIOS[1])] = Field(
        1.0,
        description="how much stiffer the fabric is along a part than round it, "
        f"{STIFFNESS_RATIOS[0]:g} to {STIFFNESS_RATIOS[1]:g}",
    )

    @model_validator(mode="after")
    def _one_measure(self) -> GaugeTable:
        if (self.stitches is None) is (self.circle is None):
            rule = "a gauge is a swatch or a flat circle: it has stitches, or circle, not both"
            remedy = "Write stitches = ... (and rows = ...), or circle = { rounds = ..., ... }."
            raise _told(Problem(rule, got="both" if self.circle else "neither", remedy=remedy))
        if self.circle and self.model_fields_set & {"rows", "over"}:
            rule = "rows and over belong to a swatch, and this gauge is a flat circle"
            raise _told(Problem(rule, remedy="Leave them out.", place="circle"))
        return self

    def gauge(self) -> Gauge:
        """Return the gauge that was measured."""
        if circle := self.circle:
            return Gauge.from_circle(
                rounds=circle.rounds,
                stitches=circle.stitches,
                across_mm=circle.across,
                thickness=self.thickness,
                stiffness_ratio=self.stiffness_ratio,
            )
        assert self.stitches is not None  # as a swatch has
        return Gauge.from_swatch(
            stitches=self.stitches,
            rows=self.rows,
            over_mm=self.over,
            thickness=self.thickness,
            stiffness_ratio=self.stiffness_ratio,
        )


class Ball(Table):
    """A finished stuffed ball, measured."""

    stitches: Count = Field(description="the number of stitches in its widest round, above zero")
    girth: Size = Field(description="the length of a tape round its widest place")


class StuffingTable(Table):
    """A word for the firmness, or a measured ball or stretch, which replaces the word's."""

    firmness: _Firmness = Field(DEFAULT_FIRMNESS, description=f"one of: {', '.join(FIRMNESS)}")
    ball: Ball | None = Field(None, description="a table: { stitches = ..., girth = ... }")
    stretch: Annotated[float, Field(gt=0.0, le=GREATEST_STRETCH)] | None = Field(
        None,
        description=f"how far the stuffing stretches the fabric, above 0 and at most {GREATEST_STRETCH:g}",
    )

    @model_validator(mode="after")
    def _one_measure(self) -> StuffingTable:
        if self.ball and self.stretch:
            rule = "a stuffing was measured once: it has ball or stretch, not both"
            raise _told(Problem(rule, remedy="Leave one of them out.", place="ball"))
        return self

    def stuffing(self, gauge: Gauge) -> Stuffing:
        """Return the stuffing: of the word, of the ball worked at this gauge, or of the stretch."""
        if self.stretch:
            return Stuffing(self.stretch, "your own measured stuffing", measured=True)
        if self.ball:
            return Stuffing.of_ball(stitches=self.ball.stitches, girth_mm=self.ball.girth, gauge=gauge)
        return Stuffing.of_firmness(self.firmness)


class WorkTable(Table):
    """How the part is worked."""

    start: _Start | None = Field(None, description='"ring" or "open"; or "chain" for an oval part')
    ring: Annotated[int, Field(ge=3, le=12)] | None = Field(
        None, description="a whole number of stitches in the ring, 3 to 12"
    )
    chain: Annotated[int, Field(ge=2, le=400)] | None = Field(
        None, description="a whole number of chains, the skipped one included, 2 to 400"
    )
    ends: Annotated[int, Field(ge=3, le=5)] | None = Field(
        None, description="a whole number of stitches in each end chain, 3, 4 or 5"
    )
    begin: _Begin = Field("side", description='"side" or "end"')
    finish: _Finish | None = Field(None, description='"cinched" or "open"; or "seamed" for an oval part')
    edge: _Edge = Field("held", description='"held" or "free"')
    sole: _Sole | None = Field(None, description='"stiff" or "none"')
    multiple: Annotated[int, Field(ge=1, le=8)] = Field(1, description="a whole number from 1 to 8")
    increases: _Increases = Field("staggered", description='"staggered" or "stacked"')
    terms: _Terms = Field("US", description='"US" or "UK"')

    @model_validator(mode="after")
    def _ring_fits(self) -> WorkTable:
        if self.ring and self.start in ("open", "chain"):
            how = "open" if self.start == "open" else "on a chain"
            rule = f'ring belongs to start = "ring", and this part starts {how}'
            raise _told(Problem(rule, got=str(self.ring), remedy="Leave one of them out.", place="ring"))
        if self.ring and self.ring % self.multiple:
            rule = f"the ring holds a multiple of {self.multiple} stitches, as multiple asks of every round"
            raise _told(Problem(rule, got=str(self.ring), remedy="Leave ring out.", place="ring"))
        return self


class ShapeTable(Table):
    """A shape of some kind."""

    kind: str

    @property
    def is_oval(self) -> bool:
        """Whether it is worked along a chain."""
        return True

    def surface(self, *, finish: str | None, sole: str | None) -> Stadium:
        """Return the wanted surface of an oval part, its ends as the work asks.

        Parameters
        ----------
        finish : {"open", "seamed", "cinched"} or None
        sole : {"stiff", "none"} or None
            A base of which nothing is said is flat on a stiff sole.
        """
        raise NotImplementedError


class RoundTable(ShapeTable):
    """A shape by its half silhouette: a solid of revolution, or drawn out along straight sides."""

    section: _Section = Field("round", description='"round" or "oval"')
    straight: _Straight | None = Field(
        None, description="a length: of the straight sides of an oval section; or a list of [height, length]"
    )

    @model_validator(mode="after")
    def _straight_fits(self) -> RoundTable:
        if self.section == "oval" and self.straight is None:
            remedy = 'Give their length: straight = "40 mm".'
            rule = "an oval section has straight sides"
            raise _told(Problem(rule, remedy=remedy, place="section"))
        if self.section == "round" and self.straight is not None:
            remedy = 'Write section = "oval" too, or leave straight out.'
            rule = "straight belongs to an oval section, and this one is round"
            raise _told(Problem(rule, remedy=remedy, place="straight"))
        return self

    @property
    def is_oval(self) -> bool:
        """Whether it is worked along a chain."""
        return self.section == "oval"

    def outline(self, *, start: str | None, finish: str | None) -> Outline:
        """Return the wanted outline, its ends as the work asks; as usual for the shape where it doesn't."""
        raise NotImplementedError

    def surface(self, *, finish: str | None, sole: str | None) -> Stadium:
        """Return the outline drawn out along the straight sides."""
        assert self.straight is not None  # as an oval section has
        ends = {"open": "open", "seamed": "cinched", "cinched": "cinched"}
        outline = self.outline(start="ring", finish=ends[finish] if finish else None)
        return drawn_out(outline, self.straight)


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
        raise _told(Problem(rule, got=f"{length:g} mm and {width:g} mm", remedy=remedy, place="length"))


class DrawnTable(RoundTable):
    """A shape drawn by its points, whose ends are as drawn."""

    points: Annotated[list[_Pair], Field(min_length=2, max_length=MOST_POINTS)] = Field(
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
        sizes = self.model_dump(exclude={"kind", "first", "section", "straight"}, exclude_none=True)
        first = getattr(self, "first", None)
        shape = named_shapes()[self.kind]
        return shape.outline(
            sizes,
            first=first,
            start_open=None if start is None else start == "open",
            finish_open=None if finish is None else finish == "open",
        )


class ShapeKind(BaseModel):
    """The kind of a shape, read before its other keys, which depend on it."""

    model_config = ConfigDict(frozen=True, strict=True)

    kind: _Kind = Field(
        description='the name of a shape in quotes, or "outline", "oval", "flat oval", "sketch", "drawing", '
        '"model"'
    )


class File(Table):
    """The whole file; each table is checked by itself, so that all errors are told at once."""

    title: _Title | None = Field(None, description="one line of text in quotes, at most 100 characters")
    gauge: dict[str, Any] = Field(description="a table: [gauge] on a line of its own")
    stuffing: dict[str, Any] = Field({}, description="a table: [stuffing] on a line of its own")
    shape: dict[str, Any] = Field(description="a table: [shape] on a line of its own")
    work: dict[str, Any] = Field({}, description="a table: [work] on a line of its own")
    yarn: dict[str, Any] = Field({}, description="a table: [yarn] on a line of its own")
    colours: dict[str, Any] = Field({}, description="a table: [colours] on a line of its own")
    extras: dict[str, Any] = Field({}, description="a table: [extras] on a line of its own")


@cache
def shape_table(kind: str) -> type[ShapeTable]:
    """Return the table of a shape of this kind: drawn, traced, by its sizes, or named."""
    own: dict[str, type[ShapeTable]] = {"outline": DrawnTable, "oval": OvalTable, "flat oval": FlatOvalTable}
    if kind in own:
        return own[kind]
    if kind in TRACED_KINDS:
        from solver.partfile.traced import TABLES  # they are tables like those above

        return TABLES[kind]
    shape = named_shapes()[kind]
    fields: dict[str, Any] = {}
    if shape.ends:
        words = " or ".join(f'"{end}"' for end in shape.ends)
        fields["first"] = (Annotated[str, one_of(shape.ends)] | None, Field(None, description=words))
    for name, meaning in shape.needed.items():
        fields[name] = (Size, Field(description=f"a length: {meaning}"))
    for name, meaning in shape.optional.items():
        fields[name] = (Size | None, Field(None, description=f"a length: {meaning}"))
    return create_model(f"{kind.capitalize()}Table", __base__=NamedTable, **fields)


@cache
def homes() -> Mapping[str, str]:
    """Return the table that each known key belongs to, to tell where a misplaced one goes."""
    models: list[tuple[str, type[Table]]] = [("shape", shape_table(kind)) for kind in KINDS]
    models += [("gauge", GaugeTable), ("stuffing", StuffingTable), ("work", WorkTable)]
    return {key: table for table, model in models for key in model.model_fields}
