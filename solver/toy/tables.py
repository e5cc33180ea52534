"""The tables of a toy file: what it tells of a part besides the part itself, and what it may hold."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, StringConstraints, model_validator

from solver.errors import Problem
from solver.partfile.problems import as_written, nearest
from solver.partfile.schema import File
from solver.partfile.sheettable import SheetTable
from solver.partfile.tables import Size, Table, length_of, one_of, told
from solver.toy.model import TOP, Front, Join, Spot

MOST_PARTS = 60
"""Parts of a toy."""
MOST_MADE = 24
"""Of one part."""
_AT = 'Write at = "top", at = { height = "31 mm", turn = 40 } or at = { round = 16, stitch = 9 }.'
_SPOT = ("height", "turn", "round", "stitch")


def _number(table: dict[str, Any], key: str, *, whole: bool) -> float:
    value = table[key]
    fits = isinstance(value, int if whole else int | float) and not isinstance(value, bool)
    if not fits or not (1 <= value <= 5000 if whole else abs(value) <= 360):
        meaning = "a whole number, from 1" if whole else "degrees from the middle of the front, -360 to 360"
        raise told(Problem(f"{key} is {meaning}", got=as_written(value)))
    return float(value)


def _spot(value: object) -> Spot:
    """Return a place as it is written, or tell what is wrong with it."""
    if isinstance(value, Spot):
        return value
    if value == "top":
        return TOP
    if not isinstance(value, dict):
        raise told(Problem("at is a place on the other part", got=as_written(value), remedy=_AT))
    for key in value:
        if key not in _SPOT:
            near = nearest(str(key), _SPOT)
            remedy = f'Did you mean "{near}"?' if near else _AT
            raise told(Problem(f'"{key}" is not a key of at', remedy=remedy))
    by_height, by_round = "height" in value, "round" in value
    if by_height is by_round or by_height is ("stitch" in value) or (by_round and "turn" in value):
        rule = "a place is told by height and turn, or by round and stitch"
        raise told(Problem(rule, got=", ".join(value) or "nothing", remedy=_AT))
    if by_height:
        turn = _number(value, "turn", whole=False) if "turn" in value else 0.0
        return Spot(height=length_of(value["height"]), turn=turn)
    round_, stitch = (int(_number(value, key, whole=True)) for key in ("round", "stitch"))
    return Spot(round=round_, stitch=stitch)


At = Annotated[Spot, BeforeValidator(_spot)]
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60)]
Degrees = Annotated[float, Field(ge=-180.0, le=180.0)]


class EyesTable(Table):
    """An eye or a nose, or two alike."""

    diameter: Size = Field(description="the diameter of one")
    at: At = Field(description='a place: { height = "34 mm", turn = 28 } or { round = 16, stitch = 9 }')
    twins: bool = Field(False, description="true or false: are there two, left and right")


class PlaceTable(Table):
    """What a toy file tells of a part besides the part itself."""

    file: Name | None = Field(None, description="the name of a part file, in quotes")
    on: Name | None = Field(None, description="the name of the part that it sits on, in quotes")
    at: At | None = Field(
        None, description='a place: "top", { height = "31 mm", turn = 40 } or { round = 16, stitch = 9 }'
    )
    join: Annotated[str, one_of(tuple(Join))] | None = Field(
        None, description=f"one of: {', '.join(Join)}, in quotes"
    )
    twins: bool = Field(False, description="true or false: are there two, left and right")
    make: Annotated[int, Field(ge=1, le=MOST_MADE)] = Field(
        1, description=f"how many sit evenly round, a whole number from 1 to {MOST_MADE}"
    )
    lean: Degrees = Field(0.0, description="degrees downward from straight out, -180 to 180")
    spin: Degrees = Field(0.0, description="degrees about its own axis, -180 to 180")
    front: Annotated[str, one_of(tuple(Front))] = Field("side", description='"side" or "end"')
    chain: Annotated[int, Field(ge=0, le=60)] | None = Field(
        None, description='for join = "joined": chains between the two, a whole number from 0 to 60'
    )
    edge: Annotated[str, one_of(("start", "finish"))] | None = Field(
        None, description='"start" or "finish": which end is joined'
    )
    eyes: list[EyesTable] = Field([], description="tables, each under [[parts.NAME.eyes]]")
    noses: list[EyesTable] = Field([], description="tables, each under [[parts.NAME.noses]]")

    @model_validator(mode="after")
    def _fits(self) -> PlaceTable:
        if self.twins and self.make not in (1, 2):
            rule = "twins are two, left and right"
            raise told(
                Problem(rule, got=f"make = {self.make}", remedy="Leave one of them out.", place="make")
            )
        return self


class DrawingTable(Table):
    """The drawing that a toy was read off."""

    file: Name = Field(description="the name of an SVG drawing, in quotes")
    height: Size | None = Field(None, description="how high the toy in it is")


class ToyTable(Table):
    """The whole file; each part is checked by itself, so that all errors are told at once."""

    title: Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=100)] | None = (
        Field(None, description="one line of text in quotes, at most 100 characters")
    )
    gauge: dict[str, Any] | str | None = Field(
        None, description='a table, or the name of a gauge file: gauge = "gauge.toml"'
    )
    stuffing: dict[str, Any] | None = Field(None, description="a table: [stuffing] on a line of its own")
    yarn: dict[str, Any] | None = Field(None, description="a table: [yarn] on a line of its own")
    sheet: SheetTable | None = Field(None, description="a table: [sheet] on a line of its own")
    drawing: DrawingTable | None = Field(None, description="a table: [drawing] on a line of its own")
    parts: dict[str, Any] = Field(description="tables, one a part: [parts.body], [parts.head]")


PART_KEYS = frozenset(File.model_fields)
"""Keys of a part's table that belong to the part itself, as in a part file."""
