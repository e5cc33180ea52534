"""A gauge as one tells it in a line: one spelling for every command and every file."""

from __future__ import annotations

import re
from typing import Any

from solver.errors import InputError, Problem
from solver.units import to_mm

_NUMBER = r"\d+(?:[.,]\d+)?"
_TWO_COUNTS = re.compile(
    rf"\s*(?P<first>{_NUMBER})\s*(?P<of>stitches|sts?|sc|dc|rounds|rnds?|rows?)?"
    rf"(?:\s*(?:[x×,*/]|by|and)\s*(?P<second>{_NUMBER})\s*(?:rows?|rounds|rnds?|stitches|sts?|sc|dc)?)?"
    r"(?:\s*(?:over|across|to|per|in|/|=|,)+\s*(?:across\s*)?(?P<over>\S.*?))?\s*",
    re.IGNORECASE,
)
_LEAST_BARE = 25.0
"""A length without a unit from here on is in mm; a shorter one may be cm or inches."""

SPELLING = '"20 x 22 over 10 cm", or name a gauge file; leave the rows out where you did not count them'


def two_counts(text: str, *, example: str, place: str = "") -> tuple[float, float | None, float]:
    """Return two counts and a length from "20 x 21 over 10 cm"; 10 cm where no length is given. [mm]

    The second count is None where there is only one.

    Raises
    ------
    InputError
        If the text can't be understood, tells something that is not above zero, or a length without a unit.
    """
    match = _TWO_COUNTS.fullmatch(text)
    if match:
        first, second = (
            float(each.replace(",", ".")) if each else None for each in (match["first"], match["second"])
        )
        over = to_mm(match["over"] or "10 cm")
        if match["over"] and re.fullmatch(_NUMBER, match["over"]) and over < _LEAST_BARE:
            rule, bare = "the length of a gauge has its unit", match["over"]
            remedy = f'Say whether it is "{bare} cm" or "{bare} in".'
            raise InputError(Problem(rule, got=text, remedy=remedy, place=place))
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


def is_spelled(text: str) -> bool:
    """Return whether a text tells a gauge itself, and is no name of a file."""
    return bool(re.match(r"\s*\d", text)) and not text.lower().rstrip().endswith(".toml")


def spelled_table(text: str, *, place: str = "gauge") -> dict[str, Any]:
    """Return the keys of a [gauge] table that a text like "20 x 22 over 10 cm" stands for.

    Raises
    ------
    InputError
        As for `two_counts`.
    """
    stitches, rows, over = two_counts(text, example=SPELLING, place=place)
    return {"stitches": stitches, **({} if rows is None else {"rows": rows}), "over": over}
