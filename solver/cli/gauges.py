"""A gauge as one tells it on the command line: one spelling for every command, or a gauge file."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.wanted.gauge import Gauge, Stuffing

_NUMBER = r"\d+(?:[.,]\d+)?"
_TWO_COUNTS = re.compile(
    rf"\s*(?P<first>{_NUMBER})\s*(?P<of>stitches|sts?|sc|dc|rounds|rnds?|rows?)?"
    rf"(?:\s*(?:[x×,*]|by|and)\s*(?P<second>{_NUMBER})\s*(?:rows?|rounds|rnds?|stitches|sts?|sc|dc)?)?"
    r"(?:\s*(?:over|across|to|per|in|/|=|,)+\s*(?:across\s*)?(?P<over>\S.*?))?\s*",
    re.IGNORECASE,
)


def two_counts(text: str, *, example: str, place: str = "") -> tuple[float, float | None, float]:
    """Return two counts and a length from "20 x 21 over 10 cm"; 10 cm where no length is given. [mm]

    The second count is None where there is only one.

    Raises
    ------
    InputError
        If the text can't be understood, or tells something that is not above zero.
    """
    from solver.units import to_mm

    match = _TWO_COUNTS.fullmatch(text)
    if match:
        first, second = (
            float(each.replace(",", ".")) if each else None for each in (match["first"], match["second"])
        )
        over = to_mm(match["over"] or "10 cm")
        if first and (second is None or second > 0) and over > 0:
            return first, second, over
    raise InputError(
        Problem(
            "a gauge is two counts and a length, all above zero",
            got=text,
            remedy=f"Write it like {example}.",
            place=place,
        )
    )


def gauge_told(text: str, *, place: str = "--gauge") -> tuple[Gauge, Stuffing | None]:
    """Return the gauge that a text like "20 x 22 over 10 cm" tells, or that a gauge file holds.

    Of a file the stuffing too, where it has one.

    Raises
    ------
    InputError
        If it can't be understood, or the file can't be read.
    """
    from solver.partfile.gaugefile import load_gauge
    from solver.wanted.gauge import Gauge

    if text.lower().endswith(".toml"):
        return load_gauge(Path(text))
    example = '"20 x 22 over 10 cm", or name a gauge file; leave the rows out where you did not count them'
    stitches, rows, over = two_counts(text, example=example, place=place)
    return Gauge.from_swatch(stitches=stitches, rows=rows, over_mm=over), None
