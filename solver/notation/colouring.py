"""Colours of a page read back: names in brackets before the stitches, and lines that change the yarn.

A name that colours stitches is put out of the reader's sight before anything else looks at the line: one sign
that no language uses stands in its place. Where that sign stands tells afterwards which stitches are meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from collections.abc import Sequence as Seq
from dataclasses import dataclass
from itertools import islice, product
from typing import TYPE_CHECKING

from solver.notation.choices import readings
from solver.notation.classes import CLOSE, OPEN
from solver.notation.fold import folded
from solver.notation.grammar import tree
from solver.notation.instructions import TooManyError, open_ended, totals
from solver.notation.token import Token
from solver.notation.words import available, words

if TYPE_CHECKING:
    from solver.notation.lexicon import Lexicon
    from solver.notation.likeliest import Line

#: The first of the signs; each name of a page has its own (Unicode, private use area).
_FIRST = 0xE100
#: Names of one page, and words of one name.
_MOST_NAMES, _MOST_WORDS = 60, 4
_BRACKET = re.compile(r"[(\[]\s*([^()\[\]{}\n]{1,40}?)\s*[)\]]:?(?=\s*(?:[(\[\w]|$))")
_LISTED = re.compile(r"\s*(?:colou?rs?|yarns?)\s*(?::|=|-)\s*(.+?)\.?\s*", re.IGNORECASE)
_BEFORE = re.compile(r"(?:^|[:.,;()\[\]]|[x×*]\s?\d{1,3},?)\s*$", re.IGNORECASE)
#: A name at the end of a line colours what stands on the next one.
_LEADS = re.compile(r"[,:]\s*$")
_WORD = re.compile(r"[^\W\d_]+")
#: Readings of one segment that are tried, and sets of them.
_MOST_READINGS, _MOST_SETS = 4, 256


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of a page.

    Attributes
    ----------
    names : tuple of str
        As they are written, in the order in which they turn up.
    changes : mapping of int to str
        By the number of a line that changes the yarn, its name.
    """

    names: tuple[str, ...] = ()
    changes: Mapping[int, str] | None = None

    def sign(self, name: str) -> str:
        """Return the sign of a name; empty when it is none of the page's."""
        at = next((k for k, known in enumerate(self.names) if known.lower() == name.lower()), None)
        return "" if at is None else chr(_FIRST + at)

    def name(self, token: Token) -> str | None:
        """Return the name that a token stands for."""
        at = ord(token.text) - _FIRST if len(token.text) == 1 else -1
        return self.names[at] if 0 <= at < len(self.names) else None

    def hidden(self, line: str) -> str:
        """Return a line with a sign in the place of each name that colours stitches."""
        if not self.names:
            return line

        def sign(match: re.Match[str]) -> str:
            found = self.sign(match[1])
            if not found or not _opens(line, match):
                return match[0]
            return found + " " * (len(match[0]) - 1)

        line = _BRACKET.sub(sign, line)
        return _with_name(self.names).sub(sign, line)


def _with_name(names: Seq[str]) -> re.Pattern[str]:
    told = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    return re.compile(rf"\b(?:with|in)\s+({told}):(?=\s|$)", re.IGNORECASE)


def palette(lines: Seq[tuple[int, str]], known: Lexicon) -> Palette:
    """Return the colours of a page: those that it lists, and names in brackets that are words of colour."""
    declared: dict[str, str] = {}
    changes: dict[int, str] = {}
    sentences, lists = (
        list(_sentences("color_first", "color_change")),
        list(_sentences("color_all", most=400)),
    )
    for number, line in lines:
        listed = next(filter(None, (each.fullmatch(line.strip()) for each in (_LISTED, *lists))), None)
        if listed:
            declared |= {name.strip().lower(): name.strip() for name in re.split(r"[,;]", listed[1])}
        for sentence in sentences:
            match = sentence.fullmatch(line.strip())
            if match:
                changes[number] = match[1]
                declared.setdefault(match[1].lower(), match[1])
    bracketed: dict[str, int] = {}
    for _, line in lines:
        for match in _BRACKET.finditer(line):
            if not match[1].isdigit() and match[1].lower() not in declared and _opens(line, match):
                bracketed[match[1]] = bracketed.get(match[1], 0) + 1
    for name, times in bracketed.items():
        classes = _classes(name, known)
        if classes and (set(classes) == {"C"} or (set(classes) <= {"C", "z"} and times > 1)):
            declared.setdefault(name.lower(), name)
    kept = tuple(name for name in declared.values() if name and len(name) <= 40)[:_MOST_NAMES]
    return Palette(kept, changes)


#: Signs before a name that are looked at.
_NEAR = 12


def _opens(line: str, match: re.Match[str]) -> bool:
    """Tell whether a name stands where instructions begin, not behind them."""
    ends = not line[match.end() : match.end() + _NEAR].strip()
    near = line[max(match.start() - _NEAR, 0) : match.start()]
    return bool((_LEADS if ends else _BEFORE).search(near))


def _classes(name: str, known: Lexicon) -> str:
    """Return the classes of the words of a name; empty where it is none."""
    parts = _WORD.findall(folded(name))
    if not parts or len(parts) > _MOST_WORDS or re.search(r"[\d,;:=]", name):
        return ""
    whole = known.find(" ".join(parts))
    if whole is not None:
        return whole[1]
    return "".join(found[1] if (found := known.find(part)) is not None else "z" for part in parts)


def _sentences(*wanted: str, most: int = 40) -> Iterator[re.Pattern[str]]:
    """Yield sentences of our own pages that name yarns, in all languages."""
    told = set()
    for code in available():
        for sentence in wanted:
            told.add(words(code).say("plain", sentence, number=0, n=0, half=0, name="\0", other=0))
    for text in sorted(told):
        yield re.compile(re.escape(text).replace(re.escape("\0"), rf"([^.:;。]{{1,{most}}})"), re.IGNORECASE)


def colours_of(line: Line, known: Palette, in_hand: str) -> tuple[tuple[str, ...], ...]:
    """Return for each round of a line the colour of each stitch that it makes.

    Parameters
    ----------
    line : Line
        As it was read.
    known : Palette
    in_hand : str
        The yarn in hand before it; empty when nobody knows.

    Returns
    -------
    tuple of tuple of str
        Empty where no colour is known, or where it can't be told which stitches have it.
    """
    fit = line.fit
    if fit is None or not fit.counts:
        return ()
    segments = list(_segments(_unfolded(list(fit.way.content.body), known), known, in_hand))
    if not segments:
        return ()
    if len({name for name, _ in segments}) == 1:
        name = segments[0][0]
        return tuple((name,) * count for count in fit.counts) if name else ()
    if len(set(fit.counts)) > 1 or any(not name for name, _ in segments):
        return ()
    made = _made([body for _, body in segments], fit.counts[0])
    if made is None:
        return ()
    names = tuple(name for (name, _), n in zip(segments, made, strict=True) for _ in range(n))
    return (names,) * len(fit.counts)


def _segments(body: Seq[Token], known: Palette, in_hand: str) -> Iterator[tuple[str, list[Token]]]:
    """Yield the instructions of each colour."""
    name, current = in_hand, []  # type: str, list[Token]
    for token in body:
        marked = known.name(token)
        if marked is None:
            current.append(token)
            continue
        if any(each.cls not in _NO_STITCH for each in current):
            yield name, current
        name, current = marked, []
    if any(each.cls not in _NO_STITCH for each in current):
        yield name, current


#: What stands before the first colour without a stitch in it: "in a magic ring, with navy: ...".
_NO_STITCH = "q,;.:pMC"


def _unfolded(body: list[Token], known: Palette) -> list[Token]:
    """Return instructions with each bracket that holds colours told as often as it is worked."""
    stack: list[int] = []
    for at, token in enumerate(body):
        if token.cls in OPEN:
            stack.append(at)
        elif token.cls in CLOSE and stack:
            begin = stack.pop()
            inner = body[begin + 1 : at]
            if not any(known.name(each) is not None for each in inner):
                continue
            behind = [each for each in body[at + 1 : at + 4] if each.cls != "q"]
            times = next((each.value for each in behind[:2] if each.cls in "nX"), 1)
            used = 2 if times > 1 and behind and behind[0].cls in "x*" else int(times > 1)
            return _unfolded([*body[:begin], *(inner * min(times, 200)), *body[at + 1 + used :]], known)
    return body


def _made(bodies: Seq[list[Token]], count: int) -> list[int] | None:
    """Return how many stitches each segment makes; None where they don't come to the whole."""
    ways: list[list[int | None]] = []
    for body in bodies:
        node = tree(body)
        if node is None:
            return None
        own: list[int | None] = []
        try:
            for reading in islice(readings(node), _MOST_READINGS):
                told = None if open_ended(reading.node) else totals(reading.node)[1]
                if told not in own:
                    own.append(told)
        except TooManyError:
            return None
        ways.append(own)
    for picked in islice(product(*ways), _MOST_SETS):
        known = [each for each in picked if each is not None]
        left = count - sum(known)
        open_ = len(picked) - len(known)
        if (open_ == 0 and left == 0) or (open_ == 1 and left >= 0):
            return [left if each is None else each for each in picked]
    return None
