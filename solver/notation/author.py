"""A technical editor's list for the author of a page: what readers stumble over though the sums are right."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from collections.abc import Sequence as Seq
from dataclasses import dataclass
from enum import StrEnum

from solver.notation.fold import fold
from solver.notation.lexicon import pieces
from solver.notation.likeliest import Line
from solver.notation.proof import Proof
from solver.notation.reader import Read
from solver.notation.token import Token, shape
from solver.notation.tokens import tokens
from solver.notation.words import words


class RemarkKind(StrEnum):
    """What an editor's remark is about."""

    UNEXPLAINED = "unexplained"
    UNUSED = "unused"
    TERMS = "terms"
    NO_COUNT = "no count"
    STYLE = "style"
    STUFFING = "stuffing"
    EYES = "eyes"


@dataclass(frozen=True, slots=True)
class Remark:
    """One remark.

    Attributes
    ----------
    kind : RemarkKind
        What it is about.
    line : int
        Where it stands, from 1; 0 for the page as a whole.
    message : str
        One plain sentence.
    """

    kind: RemarkKind
    line: int
    message: str


def remarks(found: Read, proof: Proof) -> tuple[Remark, ...]:
    """Return what an editor would tell the author of a page, in the order of its lines.

    Parameters
    ----------
    found : Read
        The page, read.
    proof : Proof
        The same, proof-read.
    """
    told = [
        *_abbreviations(found),
        *_terms(found, proof),
        *_counts(found),
        *_styles(found),
        *_closed_too_early(found),
    ]
    return tuple(sorted(told, key=lambda one: one.line))


# ---- abbreviations and terms -------------------------------------------------------------------------------

#: Classes of words that a list of abbreviations explains.
_EXPLAINED = "sidlcb"
_DEFINES = re.compile(
    r"(?:^|(?<=[,;.:(\[*])|(?<=\s\s))\s*[-*]?\s*"
    r"([^\W\d_][^\W\d_./]{0,8}(?:[ .-](?:st|sc|tog|dec|inc)\.?)?\d?(?:tog)?)"
    r"\s*(?:[=:–—-]|means|is short for)\s+(?=[^\W\d_])"
)
_IN_BRACKETS = re.compile(r"[^\W\d_]{4,}(?:\s[^\W\d_]+)?\s\(([^\W\d_]{1,5}(?:\s?st)?)\)")
_LONGEST = 6


def _abbreviations(found: Read) -> Iterator[Remark]:
    """Tell of abbreviations that are used and not explained, or explained and not used."""
    rounds = {line.entry.line for line in found.lines}
    explained: dict[str, int] = {}
    for number, text in enumerate(found.page.texts, start=1):
        patterns = (_IN_BRACKETS,) if number in rounds else (_DEFINES, _IN_BRACKETS)
        for pattern in patterns:
            for match in pattern.finditer(text):
                explained.setdefault(pieces(match[1]), number)
    used: dict[str, int] = {}
    for line in found.lines:
        text = line.entry.folded.text
        for token in line.entry.tokens:
            word = pieces(text[token.start : token.end])
            if token.cls in _EXPLAINED and len(word.replace(" ", "")) <= _LONGEST and word.isascii():
                used.setdefault(word, line.entry.line)
    known = found.page.lexicon
    meant = {known.find(word) for word in explained} - {None}
    missing = [word for word in used if word not in explained and known.find(word) not in meant]
    if missing and not explained:
        listed = ", ".join(missing)
        yield Remark(RemarkKind.UNEXPLAINED, 0, f"No abbreviation is explained: {listed}.")
    elif missing:
        for word in missing:
            message = f'"{word}" is used here first and explained nowhere.'
            yield Remark(RemarkKind.UNEXPLAINED, used[word], message)
    notions = {known.find(word) for word in used}
    for word, number in explained.items():
        entry = known.find(word)
        if entry is not None and entry[1] in _EXPLAINED and word not in used and entry not in notions:
            yield Remark(RemarkKind.UNUSED, number, f'"{word}" is explained and never used.')


def _terms(found: Read, proof: Proof) -> Iterator[Remark]:
    """Tell of terms that are not declared, or of both in one page."""
    if not found.page.lexicon.code.startswith("en-"):
        return
    mixed = [line.line for line in proof.lines for one in line.problems if one.kind == "terms"]
    for number in mixed:
        yield Remark(RemarkKind.TERMS, number, "US and UK words are mixed on this page.")
    if not proof.declared:
        message = f"It is not said whether the terms are US or UK; the words look {proof.terms}."
        yield Remark(RemarkKind.TERMS, 0, message)


# ---- counts and styles -------------------------------------------------------------------------------------


def _counts(found: Read) -> Iterator[Remark]:
    """Tell of rounds without a count."""
    for line in found.lines:
        fit = line.fit
        if fit is not None and fit.counts and not fit.way.content.stated and line.rounds[:1] != (0,):
            message = f"A reader can't check that there are {fit.counts[-1]} stitches."
            yield Remark(RemarkKind.NO_COUNT, line.entry.line, message)


_TIMES = (
    ("x 6", re.compile(r"[)\]*}]\s?x\s?\d|[^\W\d]\sx\s?\d")),
    ("6x", re.compile(r"\d\s?x\b")),
    ("* 6", re.compile(r"[)\]}]\s?\*\s?\d")),
    ("6 times", re.compile(r"\d\s?times")),
)
_COUNTS = (
    ("(18)", re.compile(r"\(\s?=?\s?\d+[^()]{0,14}\)\W*$")),
    ("[18]", re.compile(r"\[\s?=?\s?\d+[^\[\]]{0,14}\]\W*$")),
    ("= 18", re.compile(r"=\s?\d+\s?[^\W\d]{0,10}\W*$")),
    ("- 18", re.compile(r"-\s?\d+\s?[^\W\d]{0,10}\W*$")),
)
_LABELS = (
    ("Rnd 1", re.compile(r"rnds?\b")),
    ("Round 1", re.compile(r"rounds?\b")),
    ("R1", re.compile(r"r\s?\d")),
    ("Row 1", re.compile(r"rows?\b")),
)


def _styles(found: Read) -> Iterator[Remark]:
    """Tell of lines that write a repeat, a count or a label in another way than most."""
    texts = {line.entry.line: line.entry.folded.text[line.entry.start :] for line in found.lines}
    for what, styles in (("A repeat", _TIMES), ("The count", _COUNTS), ("The label", _LABELS)):
        ways: dict[int, str] = {}
        for number, text in texts.items():
            way = next((name for name, pattern in styles if pattern.search(text)), "")
            if way and (what != "The label" or re.match(r"\W*(?:\d+\w*\s)?r", text)):
                ways[number] = way
        counted = Counter(ways.values())
        if len(counted) < 2:
            continue
        usual, often = counted.most_common(1)[0]
        for number, way in ways.items():
            if way != usual and counted[way] < often:
                message = f'{what} is written like "{way}" here, like "{usual}" elsewhere.'
                yield Remark(RemarkKind.STYLE, number, message)


# ---- stuffing and eyes -------------------------------------------------------------------------------------

#: An opening of so many stitches or fewer, at most this share of the widest round, lets no stuffing in
#: (common practice, no source).
_SMALL, _SHARE = 9, 0.5


def _closed_too_early(found: Read) -> Iterator[Remark]:
    """Tell of parts that close before they are stuffed, or before their eyes are placed."""
    for part in range(found.lines[-1].part + 1 if found.lines else 0):
        lines = [line for line in found.lines if line.part == part and line.fit is not None]
        closing = _closing(lines)
        if closing is None:
            continue
        later = [line.entry.line for line in found.lines if line.part > part]
        end = min(later) - 1 if later else len(found.page.texts)
        first = lines[0].entry.line
        stuffed = _spoken(found, "stuff", first, end)
        at = closing.entry.line
        if not any(number <= at for number in stuffed):
            opening = closing.fit.counts[-1] if closing.fit else 0
            where = f" (it is told in line {stuffed[0]})" if stuffed else ""
            message = f"This leaves an opening of {opening} stitches, and nothing was stuffed before{where}."
            yield Remark(RemarkKind.STUFFING, at, message)
        eyes = [number for number in _spoken(found, "eyes", first, end) if number > lines[-1].entry.line]
        if eyes and lines[-1].fit is not None and lines[-1].fit.counts[-1] <= _SMALL:
            message = "Eyes are placed when the part is closed: their washers can't be put on any more."
            yield Remark(RemarkKind.EYES, eyes[0], message)


def _closing(lines: Seq[Line]) -> Line | None:
    """Return the line from which a part lets no stuffing in; None where it stays open."""
    widest = 0
    for line in lines:
        assert line.fit is not None
        for count in line.fit.counts:
            if widest and count <= min(_SMALL, _SHARE * widest):
                return line
            widest = max(widest, count)
    return None


def _spoken(found: Read, notion: str, first: int, end: int) -> list[int]:
    """Return the lines that speak of stuffing or of eyes."""
    known = found.page.lexicon
    if notion == "eyes":
        table = words("en-US" if known.code == "letters" else known.code)
        names = {pieces(word) for word in (*table.also.get("eyes", ()), "eye", "eyes")}
        return [
            number
            for number in range(first, end + 1)
            if names & set(pieces(found.page.texts[number - 1]).split())
        ]
    return [
        number
        for number in range(first, end + 1)
        if any(token.text == notion for token in _tokens(found, number))
    ]


def _tokens(found: Read, number: int) -> list[Token]:
    text = found.page.texts[number - 1]
    kept = tokens(fold(text), found.page.lexicon)
    return kept if shape(kept) else []
