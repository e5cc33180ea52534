"""The tables of a part file that tell yarn, colours, and what is sewn on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field, model_validator
from pydantic_core import PydanticCustomError

from solver.errors import Problem
from solver.partfile.patchtables import NAME, Name, PatchTable, yarn_table
from solver.partfile.problems import as_written
from solver.partfile.tables import Count, Length, Size, Table, one_of
from solver.wanted.patches import Patch
from solver.wanted.supplies import Band, Cord, Extra, Supplies, Yarn

MOST_LISTED = 50
"""Colour bands and cords that a part may have."""
FLAT = 0.3
"""Height of an eye or a button over its diameter, where it is not given. ASSUMED."""

_RANGE = re.compile(r"\s*(\d{1,4})\s*(?:[-–]\s*(\d{1,4})\s*)?")
_GRAMS = {"": 1.0, "g": 1.0, "kg": 1000.0, "oz": 28.349523125}
_WEIGHT = re.compile(r"\s*(\d+(?:[.,]\d*)?)\s*(g|kg|oz)?\s*")


def _told(rule: str, got: object, remedy: str) -> PydanticCustomError:
    return PydanticCustomError(
        "told", "{problem}", {"problem": Problem(rule, got=as_written(got), remedy=remedy)}
    )


def _grams(value: object) -> float:
    remedy = 'Write it like 7.5, "7.5 g" or "0.25 oz".'
    if isinstance(value, str) and (match := _WEIGHT.fullmatch(value)):
        grams = float(match[1].replace(",", ".")) * _GRAMS[match[2] or ""]
    elif isinstance(value, int | float) and not isinstance(value, bool):
        grams = float(min(value, 1e9))
    else:
        msg = "a weight is a number of grams, or text with its unit g, kg or oz"
        raise _told(msg, value, remedy)
    if not 0.0 < grams < 1e5:
        msg = "a weight is above zero and below 100 kg"
        raise _told(msg, value, remedy)
    return grams


def _ranges(value: object) -> tuple[tuple[int, int], ...]:
    remedy = 'Write it like rounds = "1-8" or rounds = "1-4, 9, 12-15".'
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    if not isinstance(value, str):
        msg = "rounds are numbers and ranges of numbers, in quotes"
        raise _told(msg, value, remedy)
    found = []
    for piece in value.split(","):
        match = _RANGE.fullmatch(piece)
        if not match:
            msg = "rounds are numbers and ranges of numbers, in quotes"
            raise _told(msg, value, remedy)
        first, last = int(match[1]), int(match[2] or match[1])
        if not 1 <= first <= last:
            msg = "a range of rounds starts at 1 or later and ends no earlier than it starts"
            raise _told(msg, value, remedy)
        found.append((first, last))
    return tuple(found)


def _few(value: list[Any]) -> list[Any]:
    if len(value) > MOST_LISTED:
        msg = f"a list here has at most {MOST_LISTED} entries"
        raise _told(msg, len(value), "Leave some out.")
    return value


Weight = Annotated[float, BeforeValidator(_grams)]
_Rounds = Annotated[tuple[tuple[int, int], ...], BeforeValidator(_ranges)]


class SwatchTable(Table):
    """A swatch that was weighed."""

    stitches: Count = Field(description="the number of stitches across the swatch, above zero")
    rows: Count = Field(description="the number of rows along the swatch, above zero")
    weight: Weight = Field(description='its weight: a number of grams, or "7.5 g"')


class YarnTable(Table):
    """The yarn."""

    swatch: SwatchTable | None = Field(
        None, description='a table: { stitches = 20, rows = 20, weight = "7.5 g" }'
    )
    metres_per_100g: Annotated[float, Field(ge=5.0, le=3000.0)] | None = Field(
        None, description="the metres in 100 g of the yarn, 5 to 3000, as its label says"
    )


class BandTable(Table):
    """Rounds in one colour, by their numbers or by height."""

    colour: Name = Field(description=NAME)
    rounds: _Rounds | None = Field(None, description='numbers of rounds, like "1-8, 12"')
    low: Length | None = Field(None, description="the height at which the colour begins")
    high: Size | None = Field(None, description="the height at which the colour ends")

    @model_validator(mode="after")
    def _one_way(self) -> BandTable:
        by_height = self.low is not None or self.high is not None
        if by_height is (self.rounds is not None):
            rule = "a colour lies by rounds, or by height (low, high), and not by both"
            remedy = "Leave one of them out." if by_height else 'Write rounds = "1-8", or low and high.'
            raise _told(rule, "both" if by_height else "neither", remedy)
        if self.low is not None and self.high is not None and self.low >= self.high:
            msg = "low lies below high"
            remedy = "Swap them." if self.low > self.high else "Leave room between them."
            raise _told(msg, f"low {self.low:g}, high {self.high:g} mm", remedy)
        return self


class ColoursTable(Table):
    """The colours of the rounds."""

    main: Name | None = Field(None, description=NAME)
    bands: Annotated[list[BandTable], AfterValidator(_few)] = Field(
        [], description='a list of tables: [{ colour = "red", rounds = "1-8" }]'
    )
    patches: Annotated[list[PatchTable], AfterValidator(_few)] = Field(
        [], description="a list of tables: [[colours.patches]], each on a line of its own"
    )
    yarns: Annotated[dict[str, str], BeforeValidator(yarn_table)] = Field(
        {}, description='a table of your yarns: { white = "#f4f1e8", grey = "#8a8d91" }'
    )
    down: Annotated[str, one_of(("start", "finish"))] = Field("start", description='"start" or "finish"')
    traced: bool = Field(
        True, description="true or false: are the colours of a traced shape worked, in your yarns"
    )


class HardTable(Table):
    """Eyes or buttons, all alike."""

    diameter: Size = Field(description="the diameter of one")
    height: Size | None = Field(None, description="how far one stands out of the fabric")
    count: Annotated[int, Field(ge=1, le=1000)] = Field(2, description="a whole number, from 1")


class CordTable(Table):
    """A chain, a tail or another cord."""

    name: Name = Field("cord", description=NAME)
    length: Size = Field(description="its free length; of a loop, all the way round")
    loop: bool = Field(False, description="true or false: are both ends fixed")


class ExtrasTable(Table):
    """What is fixed to the part."""

    eyes: HardTable | None = Field(None, description='a table: { diameter = "9 mm", count = 2 }')
    buttons: HardTable | None = Field(None, description='a table: { diameter = "15 mm", count = 3 }')
    cords: Annotated[list[CordTable], AfterValidator(_few)] = Field(
        [], description='a list of tables: [{ name = "tail", length = "20 cm" }]'
    )


def supplies(
    yarn: YarnTable | None,
    colours: ColoursTable | None,
    extras: ExtrasTable | None,
    patches: tuple[Patch, ...] = (),
    main: str | None = None,
) -> Supplies:
    """Return what the tables tell; nothing where one is missing."""
    yarn = yarn or YarnTable.model_validate({})
    colours = colours or ColoursTable.model_validate({})
    extras = extras or ExtrasTable.model_validate({})
    swatch = yarn.swatch
    return Supplies(
        yarn=Yarn(
            grams_per_stitch=swatch.weight / (swatch.stitches * swatch.rows) if swatch else None,
            metres_per_100g=yarn.metres_per_100g,
        ),
        main_colour=main or colours.main or "",
        bands=tuple(
            Band(colour=band.colour, rounds=band.rounds or (), low=band.low, high=band.high)
            for band in colours.bands
        ),
        extras=tuple(
            Extra(
                name=name,
                diameter=hard.diameter,
                height=hard.height or FLAT * hard.diameter,
                count=hard.count,
            )
            for name, hard in (("eyes", extras.eyes), ("buttons", extras.buttons))
            if hard
        ),
        cords=tuple(Cord(name=cord.name, length=cord.length, loop=cord.loop) for cord in extras.cords),
        patches=patches,
        yarns=tuple(colours.yarns.items()),
        down=colours.down,
    )


@cache
def homes() -> Mapping[str, str]:
    """Return the table that each key of these tables belongs to."""
    models: tuple[tuple[str, type[Table]], ...] = (
        ("yarn", YarnTable),
        ("colours", ColoursTable),
        ("extras", ExtrasTable),
    )
    return {key: table for table, model in models for key in model.model_fields}
