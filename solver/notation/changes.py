"""What a line says of its change beside its count: "(+6 = 18)", "[24 sts, +6]", "[12 -> 18]"."""

from __future__ import annotations

import re
from collections.abc import Iterator

from solver.notation.finding import Finding, columns
from solver.notation.likeliest import Line
from solver.notation.token import Token, shape

_CHANGE = re.compile(r"[(\[](?:nt[,;:/]?|n[,;:/])?([+-])(n)[tidA]*(?:=n[ts]*)?[)\]](?![xX*]|n[xX])")
_FROM = re.compile(r"(?<![(\[]n)[(\[](n)t?-*~nt?[)\]]")


def wrong_change(line: Line) -> Iterator[Finding]:
    """Yield what is wrong with the change that a line states, where all else in it comes out."""
    fit = line.fit
    if fit is None or fit.there is None or len(fit.counts) != 1 or not fit.comes_out:
        return
    kept = [token for token in line.entry.tokens if token.cls != "q"]
    classes = shape(kept)
    change = _CHANGE.search(classes)
    if change is not None:
        number = kept[change.start(2)]
        said = number.value if change[1] == "+" else -number.value
        made = fit.counts[0] - fit.there
        if said != made:
            yield _told(line, number, abs(made), f"Says {said:+d}, the stitches change by {made:+d}.")
    begun = _FROM.search(classes)
    if begun is not None:
        number = kept[begun.start(1)]
        if number.value != fit.there:
            yield _told(line, number, fit.there, f"Says that {number.value} are there, has {fit.there}.")


def _told(line: Line, number: Token, right: int, message: str) -> Finding:
    place = columns(line, number.start, number.end)
    text = line.entry.text
    mended = text[: place[0]] + str(right) + text[place[1] :]
    return Finding("count", message, f"{number.value} -> {right}", mended, *place)
