"""Several sizes in one line: "6 (8) sc in MR - 6 (8) sts", "6 (8, 10) times", each read by itself."""

from __future__ import annotations

import re
from functools import partial

#: A number, larger ones in brackets behind it, and a word or the end of a bracket: the sizes of one part.
_UNIT = (
    r"(?:sts?|stitch(?:es)?|sc|dc|hdc|htr|tr|ch|chains?|fM|M|ms|m|pb|p|v|st[kn]?|сбн|п|目"
    r"|times|mal|fois|veces|vezes|раз)"
)
_NUMBERS = r"\d{1,3}(?:\s?[,;:/]\s?\d{1,3}){0,3}"
_SIZED = re.compile(
    rf"(?<![\d(-])(?<![x×*] )(?<![x×*])(\d{{1,3}})\s?\(({_NUMBERS})\)(?=\s*{_UNIT}\b|\s*[\])}}])"
)
_SPAN = r"\d{1,3}(?:\s?-\s?\d{1,3})?"
_ANY = re.compile(rf"(?<![\d(])({_SPAN})\s?\(({_SPAN}(?:\s?[,;:/]\s?{_SPAN}){{0,3}})\)")
#: "6/8 sc", "(12/16)", "x 6/8": the same with a slash.
_SLASHED = re.compile(r"(?<![\d/.,-])(?<![^\W\d_])(\d{1,3})/(\d{1,3}(?:/\d{1,3}){0,2})(?![\d/]| ?[^\W\d_]*/)")
#: Lines in which sizes stand side by side with a slash, before a page is taken to have them.
_SLASHED_LINES = 3
#: Lines that must speak of several sizes before a page is taken to have them.
_LINES = 2


def sizes(text: str) -> tuple[str, ...]:
    """Return a page once for each size that its lines tell side by side; signs keep their places."""
    lines = text.split("\n")
    told = [match for line in lines for match in _SIZED.finditer(line) if _grows(match)]
    if len({match.string for match in told}) < _LINES:
        return _slashed(lines) or (text,)
    many = max(len(_values(match)) for match in told)
    return tuple("\n".join(_ANY.sub(partial(_one, size=i), line) for line in lines) for i in range(many))


def _slashed(lines: list[str]) -> tuple[str, ...]:
    """Return the same of a page that parts its sizes by slashes; none where it does not."""
    told = [[match for match in _SLASHED.finditer(line) if _grows(match)] for line in lines]
    many = {len(_values(match)) for matches in told for match in matches}
    working = [
        matches for line, matches in zip(lines, told, strict=True) if matches and _COUNTED.search(line)
    ]
    if len(many) != 1 or len(working) < _SLASHED_LINES:
        return ()
    return tuple(
        "\n".join(_SLASHED.sub(partial(_one, size=i), line) for line in lines) for i in range(many.pop())
    )


#: Sizes where a count stands: in brackets, behind a sign, at the end.
_COUNTED = re.compile(r"[(\[={:-]\s?\d{1,3}(?:/\d{1,3})+|\d/\d{1,3}\s?(?:sts?|M|m)?[.)]*\s*$")


def _values(match: re.Match[str]) -> list[str]:
    return [match[1], *(one.strip() for one in re.split("[,;:/]", match[2]))]


def _grows(match: re.Match[str]) -> bool:
    """Tell the sizes of a part, each larger than the one before, from a count behind a number."""
    numbers = [int(re.split(r"\D+", value)[-1]) for value in _values(match)]
    return numbers == sorted(set(numbers)) and numbers[-1] <= len(numbers) * numbers[0]


def _one(match: re.Match[str], *, size: int) -> str:
    """Return the number of one size, in as many signs as stood there."""
    values = _values(match)
    if not _grows(match) or size >= len(values):
        return match[0]
    return values[size].ljust(len(match[0])) if size == 0 else values[size].rjust(len(match[0]))
