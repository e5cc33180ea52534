"""Lengths as people write them, and as they like to read them; inside, everything is millimetres."""

from __future__ import annotations

import json
import math
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from typing import NoReturn

from solver.errors import InputError, Problem

MM_PER_INCH = 25.4
_MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH}
_SPELLINGS = {
    "": "mm",
    '"': "in",
    "inch": "in",
    "inches": "in",
    **{f"{prefix}met{end}{s}": unit
       for prefix, unit in (("", "m"), ("centi", "cm"), ("milli", "mm"))
       for end in ("re", "er")
       for s in ("", "s")},
}  # fmt: skip
_EXAMPLES = 'Write it like 80, "80 mm", "8 cm", "3.15 in" or "3 1/4 in".'
_WRITTEN = re.compile(
    r"""(?P<sign>[-+]?)\s*
        (?: (?: (?P<whole>\d+) (?:\s+|\s*-\s*) )? (?P<top>\d+) \s*/\s* (?P<bottom>\d+)
          | (?P<decimal> \d+(?:[.,]\d*)? | [.,]\d+ ) )
        \s*(?P<unit>[^\d\s.,/+-]*)\.?""",
    re.VERBOSE,
)
_VULGAR_FRACTION = re.compile("(?<=[0-9])(?=[¼½¾⅐-⅞])")
# Group separators are written before exactly three digits, and never after a lone zero.
_MAYBE_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}")


def to_mm(written: object, *, signed: bool = False) -> float:
    """Read a length as a person writes it.

    Parameters
    ----------
    written : object
        A number (millimetres) or text: a decimal number with a point or a comma, or a fraction
        ("3 1/4", "3¼"), then mm, cm, m, in, inch or an inch mark; without a unit it is millimetres.
    signed : bool
        Whether a length below zero is allowed (a height against a drawing's own zero line).

    Returns
    -------
    float
        The length. [mm]

    Raises
    ------
    InputError
        If it is no length, has a unit that is not known, could be read in two ways, is not finite, or is
        below zero where that is not allowed.
    """
    if isinstance(written, str):
        mm = _from_text(written)
    elif isinstance(written, int | float) and not isinstance(written, bool):
        try:
            mm = float(written)
        except OverflowError:  # a whole number with more than 308 digits
            mm = math.inf
    else:
        _refuse("a length is a number of millimetres, or text with its unit", written)
    if not math.isfinite(mm):
        _refuse("a length is finite", written)
    if mm < 0.0 and not signed:
        _refuse("a length is not below zero", written, "Leave the minus sign out.")
    return mm


_ML_PER_UNIT = {"": 1.0, "ml": 1.0, "cm3": 1.0, "cc": 1.0, "cl": 10.0, "dl": 100.0, "l": 1000.0}
_VOLUME = re.compile(r"(\d+(?:[.,]\d*)?|[.,]\d+)\s*([^\d\s.,]*3?)\.?")


def to_ml(written: str) -> float:
    """Read a volume as a person writes it.

    Parameters
    ----------
    written : str
        A decimal number with a point or a comma, then ml, cm3, cc, cl, dl or l; without a unit millilitres.

    Returns
    -------
    float
        The volume. [ml]

    Raises
    ------
    InputError
        If it is no volume, could be read in two ways, or has a unit that is not known.
    """
    examples = 'Write it like 250, "250 ml", "250 cm3" or "0.25 l".'
    match = _VOLUME.fullmatch(_plain(written))
    if match is None:
        _refuse("a volume is a number of millilitres, or one with its unit", written, examples)
    number, unit = match[1], match[2].lower()
    unit = re.sub("^(milli|centi|deci)?lit(re|er)s?$", lambda each: f"{(each[1] or '')[:1]}l", unit)
    if unit not in _ML_PER_UNIT:
        _refuse(f'a volume is in ml, cm3, cl, dl or l, and "{match[2]}" is none of them', written, examples)
    if _MAYBE_THOUSANDS.fullmatch(number):
        rule = "a comma before three digits could mark thousands or decimals"
        _refuse(rule, written, "Use a point for decimals, and no mark for thousands.")
    return float(number.replace(",", ".")) * _ML_PER_UNIT[unit]


def in_mm(mm: float) -> str:
    """Return a length in millimetres for people: one decimal below 20 mm, none above.

    Parameters
    ----------
    mm : float
        The length. [mm]
    """
    return f"{mm:.1f} mm" if abs(mm) < 20.0 else f"{mm:.0f} mm"


@dataclass(frozen=True, slots=True)
class Length:
    """A length that is told in a sentence, as its language tells lengths; `mm` >= 0. [mm]"""

    mm: float


def in_inches(mm: float) -> str:
    """Return a length in inches for people: in sixteenths, from 2 in in eighths, from 20 in in quarters.

    Parameters
    ----------
    mm : float
        The length, >= 0. [mm]
    """
    inches = mm / MM_PER_INCH
    finest = 16 if inches < 2.0 else 8 if inches < 20.0 else 4
    nearest = Fraction(round(inches * finest), finest)
    whole, part = divmod(nearest, 1)
    if not part:
        return f"{whole} in"
    return f"{whole} {part} in" if whole else f"{part} in"


def in_both(mm: float) -> str:
    """Return a length in millimetres with inches behind it: "63 mm (2 1/2 in)".

    Parameters
    ----------
    mm : float
        The length, >= 0. [mm]
    """
    return f"{in_mm(mm)} ({in_inches(mm)})"


def _from_text(text: str) -> float:
    match = _WRITTEN.fullmatch(_plain(text))
    if match is None:
        _refuse("a length is a number with a unit", text)
    decimal = match["decimal"]
    if decimal is None:
        if not float(match["bottom"]):
            _refuse("the lower number of a fraction is not zero", text)
        number = float(match["whole"] or 0) + float(match["top"]) / float(match["bottom"])
    elif _MAYBE_THOUSANDS.fullmatch(decimal):
        rule = "a comma before three digits could mark thousands or decimals"
        _refuse(rule, text, "Use a point for decimals, and no mark for thousands.")
    else:
        number = float(decimal.replace(",", "."))
    unit = match["unit"].lower()
    unit = _SPELLINGS.get(unit, unit)
    if unit not in _MM_PER_UNIT:
        rule = f'a length is in mm, cm, m or in, and "{match["unit"]}" is not one of them'
        _refuse(rule, text)
    return (-number if match["sign"] == "-" else number) * _MM_PER_UNIT[unit]


def _plain(text: str) -> str:
    """Return the text with typographic fractions, spaces, minus signs and inch marks made plain."""
    text = _VULGAR_FRACTION.sub(" ", text)  # 3¼ would fold to 31/4
    text = re.sub("''|′′|’’|[″“”]", '"', text)
    return unicodedata.normalize("NFKC", text).replace("\u2044", "/").replace("\u2212", "-").strip()


def _refuse(rule: str, got: object, remedy: str = _EXAMPLES) -> NoReturn:
    try:
        shown = json.dumps(got, ensure_ascii=False) if isinstance(got, str) else str(got)
    except ValueError:  # Python writes no whole number of more than 4300 digits
        shown = "a number with thousands of digits"
    raise InputError(Problem(rule, got=shown if len(shown) <= 60 else f"{shown[:57]}...", remedy=remedy))
