"""The tables of coloured patches in a part file, and what they mean."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

import numpy as np
from pydantic import BeforeValidator, Field, StringConstraints, model_validator

from solver.arrays import enclosed
from solver.errors import InputError, Problem
from solver.partfile.problems import as_written
from solver.partfile.tables import PRINTED, Length, Signed, Size, Table, one_of, told
from solver.wanted.patches import DETAIL, Ellipse, End, Laid, Patch, Picture, Place, Polygon, Stripe

MOST_CORNERS = 200
"""Corners of a polygon."""

Name = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=40, pattern=PRINTED),
]
NAME = "a word or two in quotes, at most 40 characters"
_Degrees = Annotated[float, Field(ge=-180.0, le=180.0)]
_Shape = Annotated[str, one_of(("ellipse", "stripe", "polygon", "picture"))]
_Laid = Annotated[str, one_of(tuple(Laid))]
_File = Annotated[str, Field(min_length=1, max_length=1000, pattern=PRINTED)]

KEYS: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "ellipse": (("colour", "width"), ("height",)),
    "stripe": (("colour", "width"), ("low", "high")),
    "polygon": (("colour", "points"), ()),
    "picture": (("file", "width"), ("height",)),
}
"""For each shape the keys that it must have, and those that it may have beside the common ones."""
_COMMON = ("name", "shape", "at", "laid", "tilt", "detail", "twins")


def _place(value: object) -> object:
    if isinstance(value, str):
        if value not in tuple(End):
            rule = 'a place is "top", "bottom", or a table: { height = "31 mm", turn = 40 }'
            raise told(Problem(rule, got=as_written(value)))
        return {"end": value}
    return value


class PlaceTable(Table):
    """Where the middle of a patch lies."""

    height: Length | None = Field(None, description="a length above the lowest place of the part")
    turn: _Degrees | None = Field(
        None, description="degrees from the middle front to the part's own left, -180 to 180"
    )
    end: str | None = Field(None, description='"top" or "bottom"')


class PatchTable(Table):
    """A patch of colour."""

    name: Name | None = Field(None, description=NAME)
    shape: _Shape = Field(description='"ellipse", "stripe", "polygon" or "picture"')
    colour: Name | None = Field(None, description=NAME)
    at: Annotated[PlaceTable | None, BeforeValidator(_place)] = Field(
        None, description='a place: "top", "bottom", or a table: { height = "31 mm", turn = 40 }'
    )
    laid: _Laid | None = Field(None, description='"wrapped", "straight", "front" or "side"')
    tilt: _Degrees = Field(0.0, description="degrees against the clock, -180 to 180")
    twins: bool = Field(False, description="true or false: is there another on the other side of the front")
    detail: Annotated[int, Field(ge=1, le=20)] = Field(
        DETAIL, description="a whole number of stitches, 1 to 20: the smallest piece of colour that stays"
    )
    width: Size | None = Field(None, description="a length: its size across")
    height: Size | None = Field(None, description="a length: its size up and down")
    low: Length | None = Field(None, description="the height of the part at which it begins")
    high: Size | None = Field(None, description="the height of the part at which it ends")
    points: (
        Annotated[
            list[Annotated[list[Signed], Field(min_length=2, max_length=2)]],
            Field(min_length=3, max_length=MOST_CORNERS),
        ]
        | None
    ) = Field(
        None, description=f'a list of 3 to {MOST_CORNERS} corners, right and up: [["-10 mm", "0 mm"], ...]'
    )
    file: _File | None = Field(None, description="the name of a picture in quotes, beside this file")

    @model_validator(mode="after")
    def _fits(self) -> PatchTable:
        needed, may = KEYS[self.shape]
        for key in needed:
            if getattr(self, key) is None:
                rule = f'a patch of shape = "{self.shape}" has {" and ".join(needed)}'
                raise told(Problem(rule, got=f"no {key}", remedy=f"Write {key} = ..."))
        for key in sorted(self.model_fields_set - {*needed, *may, *_COMMON}):
            rule = f'{key} does not belong to a patch of shape = "{self.shape}"'
            remedy = f"It has {', '.join((*needed, *may, *_COMMON[2:]))}."
            raise told(Problem(rule, got=as_written(getattr(self, key)), remedy=remedy))
        at_end = self.at is not None and self.at.end is not None
        if at_end and self.laid not in (None, "straight"):
            rule = f"a patch at the {self.at.end if self.at else ''} is laid on straight"
            raise told(Problem(rule, got=as_written(self.laid), remedy="Leave laid out, or tell a height."))
        if at_end and (self.twins or self.shape == "stripe"):
            rule = "at an end there is room for one patch that is no stripe"
            raise told(Problem(rule, remedy="Tell a height and a turn instead."))
        if self.twins and not (self.at and self.at.turn and abs(self.at.turn) < 180):
            rule = "twins lie on the left and on the right of the front: their turn is not 0 or 180"
            raise told(Problem(rule, got=as_written(self.at.turn if self.at else 0), remedy="Change turn."))
        if self.low is not None and self.high is not None and self.low >= self.high:
            raise told(Problem("low lies below high", got=f"low {self.low:g}, high {self.high:g} mm"))
        if self.points is not None and abs(enclosed(np.array(self.points))) < 1e-6:
            raise told(Problem("the corners of a polygon enclose an area", got=as_written(self.points)))
        return self


def patches(
    tables: list[PatchTable],
    yarns: Mapping[str, str],
    *,
    folder: Path,
    file: str,
    lines: Mapping[Any, int],
    within: str = "",
) -> tuple[Patch, ...]:
    """Return the patches that tables tell, each twin after the other.

    Parameters
    ----------
    tables : list of PatchTable
    yarns : mapping of str to str
        Colour of each yarn, "#rrggbb".
    folder : Path
        Where pictures are looked for.
    file : str
        The part file.
    lines : mapping
        The line of each table, key and list entry.
    within : str
        The table that all stand in, as "parts.head."; empty for a file of their own.

    Raises
    ------
    InputError
        With everything that is wrong with their pictures.
    """
    found: list[Patch] = []
    problems: list[Problem] = []
    for number, table in enumerate(tables, start=1):
        line = _line(lines, f"{within}colours", number - 1)
        where = f"[[{within}colours.patches]], entry {number}" + (f", line {line}" if line else "")
        try:
            own = _patch(table, number, yarns, folder=folder, where=where, file=file)
        except InputError as error:
            problems += [_placed(each, where, file) for each in error.problems]
            continue
        found.append(own)
        if table.twins:
            found.append(own.mirrored())
    if problems:
        raise InputError(*problems)
    return tuple(found)


def _line(lines: Mapping[Any, int], table: str, k: int) -> int:
    for steps in ((f"{table}.patches", k), (table, "patches", k), (f"{table}.patches",), (table, "patches")):
        if steps in lines:
            return lines[steps]
    return 0


def most_of(picture: Picture) -> str:
    """Return the colour that covers most of a picture."""
    counts = np.bincount(picture.dots.ravel(), minlength=len(picture.colours) + 1)[1:]
    return picture.colours[int(counts.argmax())]


def without(picture: Picture, colour: str) -> Picture:
    """Return a picture that is clear where it has a colour."""
    if colour not in picture.colours:
        return picture
    own = 1 + picture.colours.index(colour)
    return replace(picture, dots=np.where(picture.dots == own, 0, picture.dots))


def _placed(problem: Problem, where: str, file: str) -> Problem:
    if problem.place:
        return problem
    rule = problem.rule if not problem.file or problem.file == file else f"{problem.file}: {problem.rule}"
    return Problem(rule, problem.got, problem.remedy, place=where, file=file)


def _patch(
    table: PatchTable, number: int, yarns: Mapping[str, str], *, folder: Path, where: str, file: str
) -> Patch:
    at = table.at or PlaceTable.model_validate({})
    laid = Laid(table.laid) if table.laid else Laid.STRAIGHT if at.end else Laid.WRAPPED
    turn = at.turn if at.turn is not None else 90.0 if laid is Laid.SIDE else 0.0
    known: dict[str, Any] = {
        "name": table.name or f"{table.colour or table.shape} {number}",
        "colours": (table.colour or "",),
        "place": Place(height=at.height, turn=turn, end=End(at.end) if at.end else None),
        "laid": laid,
        "tilt": table.tilt,
        "detail": table.detail,
        "told_in": where,
        "file": file,
    }
    width, height = table.width or 0.0, table.height or table.width or 0.0
    match table.shape:
        case "ellipse":
            return Ellipse(width=width, height=height, **known)
        case "stripe":
            return Stripe(width=width, low=table.low, high=table.high, **known)
        case "polygon":
            return Polygon(points=np.array(table.points), **known)
    from solver.tracing.areas import read_areas

    if not yarns:
        rule = "a picture is worked in the yarns that [colours] yarns tells"
        raise InputError(Problem(rule, got="no yarns", remedy='Write yarns = { white = "#f4f1e8", ... }.'))
    dots = read_areas(folder / (table.file or ""), yarns)
    names = tuple(yarns)
    known["colours"] = names
    known["name"] = table.name or Path(table.file or "").stem
    height = table.height or width * dots.shape[0] / dots.shape[1]
    return Picture(dots=dots, width=width, height=height, **known)


_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def yarn_table(value: object) -> object:
    """Return a table of yarns as it was, or tell what is wrong with it."""
    remedy = 'Write it like yarns = { white = "#f4f1e8", grey = "#8a8d91" }.'
    if not isinstance(value, dict):
        msg = "yarns is a table of names and colours"
        raise told(Problem(msg, got=as_written(value), remedy=remedy))
    for name, colour in value.items():
        if not (isinstance(colour, str) and _HEX.fullmatch(colour)):
            msg = f"the colour of {name} is # and six digits 0-9, a-f"
            raise told(Problem(msg, got=as_written(colour), remedy=remedy))
        if not 1 <= len(name) <= 40 or not name.isprintable():
            raise told(Problem(f"the name of a yarn is {NAME}", got=as_written(name)))
    return value
