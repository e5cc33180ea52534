"""How tall stitches other than single crochet are, from what a maker measured on swatches of them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from solver.errors import InputError, Problem
from solver.rounds import Heights
from solver.units import to_mm

EXAMPLE = "hdc: 14 rows over 10 cm"

_NAMES = {"slst": "slst", "sl st": "slst", "hdc": "hdc", "dc": "dc"}
_TALL = re.compile(
    r"(sl ?st|hdc|dc)\s*:?\s*(\d+(?:[.,]\d+)?)\s*(?:rows|rounds)?\s*(?:over|in|/)?\s*(\S.*)?", re.I
)


def heights_of(told: Sequence[str], row_height: float) -> Heights:
    """Return how tall stitches are in rows of single crochet; those not told as they are assumed.

    Parameters
    ----------
    told : sequence of str
        Like "hdc: 14 rows over 10 cm"; a length left out is 10 cm.
    row_height : float
        Of single crochet, on its own swatch. [mm]

    Raises
    ------
    InputError
        If a text is none of these, tells a stitch twice, or a stitch taller or lower than any is.
    """
    rows: dict[str, float] = {}
    for text in told:
        match = _TALL.fullmatch(text.strip())
        number = float(match[2].replace(",", ".")) if match else 0.0
        name = _NAMES[match[1].lower()] if match else ""
        if not match or not number or name in rows:
            rule = "rows of slip stitches (slst), half doubles (hdc) or doubles (dc) over a length, each once"
            raise InputError(Problem(rule, got=text, remedy=f'Write it like --tall "{EXAMPLE}".'))
        rows[name] = to_mm(match[3] or "10 cm") / number / row_height
    return Heights(**rows)
