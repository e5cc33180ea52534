"""Two sizes in one line: "6 (8) sc in MR - 6 (8) sts", each read by itself."""

from __future__ import annotations

import re

#: A number, a larger one in brackets behind it, and a word: the two sizes of one part.
_UNIT = r"(?:sts?|stitch(?:es)?|sc|dc|hdc|htr|tr|ch|chains?|fM|M|ms|m|pb|p|v|st[kn]?|сбн|п|目)"
_SIZED = re.compile(rf"(?<![\d(-])(?<![x×*] )(?<![x×*])(\d{{1,3}})\s?\((\d{{1,3}})\)(?=\s*{_UNIT}\b)")
_ANY = re.compile(r"(?<![\d(])(\d{1,3}(?:\s?-\s?\d{1,3})?)\s?\((\d{1,3}(?:\s?-\s?\d{1,3})?)\)")
#: Lines that must speak of two sizes before a page is taken to have them.
_LINES = 2


def sizes(text: str) -> tuple[str, ...]:
    """Return a page once for each size that its lines tell side by side; signs keep their places."""
    lines = text.split("\n")
    told = [line for line in lines if any(_grows(match) for match in _SIZED.finditer(line))]
    if len(told) < _LINES:
        return (text,)
    first = "\n".join(_ANY.sub(_smaller, line) for line in lines)
    second = "\n".join(_ANY.sub(_larger, line) for line in lines)
    return first, second


def _grows(match: re.Match[str]) -> bool:
    small, large = int(match[1]), int(match[2])
    return small < large <= 2 * small


def _sized(match: re.Match[str]) -> bool:
    small, large = (int(re.split(r"\D+", match[i])[-1]) for i in (1, 2))
    return small < large <= 2 * small


def _smaller(match: re.Match[str]) -> str:
    return match[1].ljust(len(match[0])) if _sized(match) else match[0]


def _larger(match: re.Match[str]) -> str:
    return match[2].rjust(len(match[0])) if _sized(match) else match[0]
