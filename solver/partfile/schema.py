"""The tables of a part file: their keys, what each may hold, and what it holds when left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    create_model,
    model_validator,
)

from solver.errors import Problem
from solver.partfile.benttables import BellyTable, FootTable
from solver.partfile.flattable import RowsTable
from solver.partfile.shapetables import DrawnTable, FlatOvalTable, NamedTable, OvalTable
from solver.partfile.sheettable import SheetTable
from solver.partfile.tables import PRINTED, Count, Length, ShapeTable, Size, Table, one_of, told
from solver.partfile.traced import TABLES as TRACED
from solver.rounds import HEIGHTS, Heights
from solver.rounds.stitch import LEAST_ROWS, MOST_ROWS
from solver.wanted.gauge import (
    DEFAULT_FIRMNESS,
    FIRMNESS,
    GREATEST_STRETCH,
    NOT_STUFFED,
    STIFFNESS_RATIOS,
    Gauge,
    Stuffing,
)
from solver.wanted.part import TOLERANCE
from solver.wanted.shapes import named_shapes

KINDS = ("outline", *TRACED, *named_shapes(), "oval", "flat oval", "bent", "belly", "foot", "flat")
"""What a shape may be."""


_Title = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=100, pattern=PRINTED),
]
_Kind = Annotated[str, one_of(KINDS), BeforeValidator(lambda kind: ALIASES.get(str(kind), kind))]
_Firmness = Annotated[str, one_of((*FIRMNESS, NOT_STUFFED))]
_Start = Annotated[str, one_of(("ring", "open", "chain"))]
_Finish = Annotated[str, one_of(("cinched", "open", "seamed"))]
_Begin = Annotated[str, one_of(("side", "end"))]
_Sole = Annotated[str, one_of(("stiff", "none"))]
_Increases = Annotated[str, one_of(("staggered", "stacked"))]
_Fit = Annotated[str, one_of(("plain", "exact"))]
_Terms = Annotated[str, one_of(("US", "UK"))]
_BendBy = Annotated[str, one_of(("heights", "shaping"))]
_Worked = Annotated[str, one_of(("rows",))]
_Edge = Annotated[str, one_of(("held", "free"))]


ALIASES = {"sphere": "ball"}
"""Other words for shapes."""

_ROWS = f"{LEAST_ROWS:g} to {MOST_ROWS:g}"
_Rows = Annotated[float, Field(ge=LEAST_ROWS, le=MOST_ROWS)]


class Circle(Table):
    """A flat circle worked from a ring, measured."""

    rounds: Count = Field(description="the number of rounds in the circle, above zero")
    stitches: Count = Field(description="the number of stitches in its last round, above zero")
    across: Size = Field(description="its diameter")


class HeightsTable(Table):
    """How tall other stitches are, measured on swatches of them."""

    slst: _Rows = Field(HEIGHTS.slst, description=f"the height of a slip stitch in rows, {_ROWS}")
    hdc: _Rows = Field(HEIGHTS.hdc, description=f"the height of a half double crochet in rows, {_ROWS}")
    dc: _Rows = Field(HEIGHTS.dc, description=f"the height of a double crochet in rows, {_ROWS}")


class GaugeTable(Table):
    """A swatch, or a flat circle, and the thickness of the fabric."""

    stitches: Count | None = Field(None, description="the number of stitches across the swatch, above zero")
    rows: Count | None = Field(None, description="the number of rounds along the swatch, above zero")
    over: Size = Field(100.0, description="the measured length of the swatch")
    circle: Circle | None = Field(None, description="a table: { rounds = ..., stitches = ..., across = ... }")
    thickness: Length = Field(0.0, description="the thickness of the fabric")
    heights: HeightsTable | None = Field(
        None,
        description="a table: { slst = ..., hdc = ..., dc = ... }, heights in rows of single crochet",
    )
    stiffness_ratio: Annotated[float, Field(ge=STIFFNESS_RATIOS[0], le=STIFFNESS_RATIOS[1])] = Field(
        1.0,
        description="how much stiffer the fabric is along a part than round it, "
        f"{STIFFNESS_RATIOS[0]:g} to {STIFFNESS_RATIOS[1]:g}",
    )

    error: Annotated[float, Field(ge=0.0, le=0.5)] | None = Field(
        None, description="the share by which sizes may be off, 0 to 0.5, as `plumpline gauge` tells it"
    )
    lean: Annotated[float, Field(ge=-1.0, le=1.0)] | None = Field(
        None,
        description="how many stitches the beginning of the round moves on with every round, -1 to 1: above "
        "zero in the direction of work, below zero against it",
    )

    @model_validator(mode="after")
    def _one_measure(self) -> GaugeTable:
        if (self.stitches is None) is (self.circle is None):
            rule = "a gauge is a swatch or a flat circle: it has stitches, or circle, not both"
            remedy = "Write stitches = ... (and rows = ...), or circle = { rounds = ..., ... }."
            raise told(Problem(rule, got="both" if self.circle else "neither", remedy=remedy))
        if self.circle and self.model_fields_set & {"rows", "over"}:
            rule = "rows and over belong to a swatch, and this gauge is a flat circle"
            raise told(Problem(rule, remedy="Leave them out.", place="circle"))
        return self

    def gauge(self) -> Gauge:
        """Return the gauge that was measured."""
        measured = replace(self._measured(), lean=self.lean)
        return measured if self.error is None else replace(measured, error=self.error)

    def _measured(self) -> Gauge:
        heights = Heights(**self.heights.model_dump()) if self.heights else HEIGHTS
        if circle := self.circle:
            return Gauge.from_circle(
                rounds=circle.rounds,
                stitches=circle.stitches,
                across_mm=circle.across,
                thickness=self.thickness,
                stiffness_ratio=self.stiffness_ratio,
                heights=heights,
            )
        assert self.stitches is not None  # as a swatch has
        return Gauge.from_swatch(
            stitches=self.stitches,
            rows=self.rows,
            over_mm=self.over,
            thickness=self.thickness,
            stiffness_ratio=self.stiffness_ratio,
            heights=heights,
        )


class Ball(Table):
    """A finished stuffed ball, measured."""

    stitches: Count = Field(description="the number of stitches in its widest round, above zero")
    girth: Size = Field(description="the length of a tape round its widest place")


class StuffingTable(Table):
    """A word for the firmness, or a measured ball or stretch, which replaces the word's."""

    firmness: _Firmness = Field(
        DEFAULT_FIRMNESS, description=f"one of: {', '.join((*FIRMNESS, NOT_STUFFED))}"
    )
    ball: Ball | None = Field(None, description="a table: { stitches = ..., girth = ... }")
    stretch: Annotated[float, Field(gt=0.0, le=GREATEST_STRETCH)] | None = Field(
        None,
        description=f"how far the stuffing stretches the fabric, above 0 and at most {GREATEST_STRETCH:g}",
    )

    @model_validator(mode="after")
    def _one_measure(self) -> StuffingTable:
        if self.ball and self.stretch:
            rule = "a stuffing was measured once: it has ball or stretch, not both"
            raise told(Problem(rule, remedy="Leave one of them out.", place="ball"))
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
    worked: _Worked | None = Field(None, description='"rows", for a flat piece')
    bend_by: _BendBy | None = Field(None, description='"heights" or "shaping"')
    multiple: Annotated[int, Field(ge=1, le=8)] = Field(1, description="a whole number from 1 to 8")
    increases: _Increases = Field("staggered", description='"staggered" or "stacked"')
    rounds: _Fit = Field("plain", description='"plain" or "exact"')
    tolerance: Annotated[float, Field(gt=0, le=1)] = Field(
        TOLERANCE,
        description="how far from the drawing plain rounds may lie on average, above 0 to 1 stitch width",
    )
    terms: _Terms = Field("US", description='"US" or "UK"')
    joined: bool = Field(
        False, description="true: each round is joined with a slip stitch; or false: a spiral"
    )

    @model_validator(mode="after")
    def _fits(self) -> WorkTable:
        if self.ring and self.start in ("open", "chain"):
            how = "open" if self.start == "open" else "on a chain"
            rule = f'ring belongs to start = "ring", and this part starts {how}'
            raise told(Problem(rule, got=str(self.ring), remedy="Leave one of them out.", place="ring"))
        if self.rounds == "exact" and "tolerance" in self.model_fields_set:
            rule = "tolerance is for plain rounds, and these are exact"
            raise told(Problem(rule, remedy="Leave one of them out.", place="tolerance"))
        if self.ring and self.ring % self.multiple:
            rule = f"the ring holds a multiple of {self.multiple} stitches, as multiple asks of every round"
            raise told(Problem(rule, got=str(self.ring), remedy="Leave ring out.", place="ring"))
        return self


class ShapeKind(BaseModel):
    """The kind of a shape, read before its other keys, which depend on it."""

    model_config = ConfigDict(frozen=True, strict=True)

    kind: _Kind = Field(
        description='the name of a shape in quotes, or "outline", "oval", "flat oval", "bent", "belly", '
        '"foot", "flat", "sketch", "drawing", "model"'
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
    sheet: dict[str, Any] = Field({}, description="a table: [sheet] on a line of its own")


@cache
def shape_table(kind: str) -> type[ShapeTable]:
    """Return the table of a shape of this kind: drawn, traced, by its sizes, or named."""
    own: dict[str, type[ShapeTable]] = {
        "outline": DrawnTable,
        "oval": OvalTable,
        "flat oval": FlatOvalTable,
        "bent": DrawnTable,
        "belly": BellyTable,
        "foot": FootTable,
        "flat": RowsTable,
    }
    if kind in own:
        return own[kind]
    if kind in TRACED:
        return TRACED[kind]
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
    models += [("gauge", GaugeTable), ("stuffing", StuffingTable), ("work", WorkTable), ("sheet", SheetTable)]
    return {key: table for table, model in models for key in model.model_fields}
