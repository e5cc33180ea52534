"""From the word tables to one look-up: what kind of word is this, in this language, on this page?

Every notion of the tables has a class of one letter; the phrases (`phrases`) are patterns over these letters,
so that one engine reads all languages.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

from solver.notation.fold import folded, unmixed
from solver.notation.words import Words, available, words

#: The class of each notion.
CLASS: Mapping[str, str] = MappingProxyType(
    {
        "sc": "s", "hdc": "s", "dc": "s", "tr": "s", "dtr": "s", "fancy": "s",
        "chain": "c", "slip": "l", "inc": "i", "inc3": "i", "dec": "d", "dec3": "d",
        "stitch": "t", "inc_or_stitch": "t", "together": "g", "skip": "k", "shift": "S", "double_each": "D",
        "in": "p", "next": "N", "same": "m", "last": "L", "first": "F", "each": "e", "other": "2",
        "around": "a", "even": "E", "round": "w", "row": "w", "remaining": "R", "before": "B",
        "ring": "M", "hook": "H", "other_side": "O", "foundation": "W",
        "blo": "b", "flo": "b", "both_loops": "b",
        "times": "x", "repeat": "r", "more": "A", "from": "f", "to": "v", "as_before": "P",
        "and": ",", "then": ",", "or": "o",
        "total": "T", "turn": "u", "join": "j", "fasten_off": "Z", "close": "Z", "stuff": "Z",
        "color": "C", "marker": "K", "remark": "Z", "part": "Y", "of": "q", "noise": "q", "evenly": "V",
        "group": "U", "aside": "Q", "counts_as": "Q", "not_counted": "Q",
    }
)  # fmt: skip

#: Lettered labels ("R 5") would swallow words of the text; they are read only where a label may stand.
_ONLY_IN_LABELS = frozenset({"r", "v", "t", "h", "p", "rd", "rg", "р", "ring", "rng"})
_TELLING = (
    "sc", "hdc", "slip", "inc", "dec", "round", "stitch", "each", "repeat", "ring", "even", "around", "next",
    "same", "last", "in", "together", "times", "total",
)  # fmt: skip
#: Classes of words for stitches and rings.
_NAMING = "sidclM"
_LABEL_WORDS = ("round", "row")
_PIECE = re.compile(r"[^\W\d_]+|\d+")
#: Signs of scripts that put no blanks between words: each is a piece of its own.
IDEOGRAPH = re.compile(r"[\u2e80-\u9fff\uf900-\ufaff\uac00-\ud7af\u1100-\u11ff]")
_WITH_NUMBERS = frozenset({"inc", "inc3", "dec", "dec3", "first", "same"})


@dataclass(frozen=True, slots=True)
class Lexicon:
    """The words of one language, ready to be looked up.

    Attributes
    ----------
    code : str
        Language and terms ("en-US", "de").
    entries : mapping of str to tuple (str, str)
        From the pieces of a spelling, joined by blanks, to its notion and its class.
    numbers : mapping of str to int
        Number words.
    often : frozenset of str
        Those among them that say how often ("twice").
    ordinals : frozenset of str
        Those among them that name a place ("third").
    labels : frozenset of str
        Words that may stand before or after the number of a round.
    ranges : frozenset of str
        Words that may stand between the numbers of a range.
    longest : mapping of str to int
        For each piece that a spelling can begin with, the most pieces that such a spelling has.
    many : frozenset of str
        Words for rounds, where they name several.
    all_even : frozenset of str
        Words that speak of every second round.
    in_one : frozenset of int
        Numbers n for which "(n sc)" are worked in one stitch, as a page may declare.
    """

    code: str
    entries: Mapping[str, tuple[str, str]]
    numbers: Mapping[str, int]
    often: frozenset[str]
    ordinals: frozenset[str]
    labels: frozenset[str]
    ranges: frozenset[str]
    longest: Mapping[str, int]
    many: frozenset[str] = frozenset()
    all_even: frozenset[str] = frozenset()
    in_one: frozenset[int] = frozenset()

    def find(self, pieces: str) -> tuple[str, str] | None:
        """Return notion and class of a spelling, look-alike letters allowed; None when it is not known."""
        found = self.entries.get(pieces)
        if found is None and not pieces.isascii():
            found = self.entries.get(unmixed(pieces))
        return found

    def declared(self, spellings: Mapping[str, str], in_one: frozenset[int] = frozenset()) -> Lexicon:
        """Return the same words with a page's own abbreviations (spelling to notion) laid over them."""
        if not spellings and not in_one:
            return self
        own = {key: (notion, CLASS[notion]) for key, notion in spellings.items()}
        return replace(
            self,
            entries=MappingProxyType({**self.entries, **own}),
            longest=_longest((*self.longest, *own), self.longest),
            in_one=in_one,
        )

    def labelled(self, letters: frozenset[str]) -> Lexicon:
        """Return the same words with further letters that stand before the number of a round."""
        return self if letters <= self.labels else replace(self, labels=self.labels | letters)

    def most_pieces(self, first: str) -> int:
        """Return the most pieces of a spelling that begins with a piece; 0 when none does."""
        found = self.longest.get(first, 0)
        return found if found or first.isascii() else self.longest.get(unmixed(first), 0)


def pieces(phrase: str) -> str:
    """Return the words and numbers of a spelling, folded and joined by single blanks."""
    return " ".join(
        " ".join(word) if IDEOGRAPH.search(word) else word for word in _PIECE.findall(folded(phrase))
    )


def languages() -> tuple[str, ...]:
    """Return the codes of the word tables, one for each language: English goes by its US table."""
    return tuple(code for code in available() if code != "en-UK")


@cache
def lexicon(code: str) -> Lexicon:
    """Return the look-up of a word table; English stays readable under every other language."""
    table = words(code)
    entries: dict[str, tuple[str, str]] = {}
    numbers: dict[str, int] = {}
    labels: set[str] = set()
    often: set[str] = set()
    ordinals: set[str] = set()
    english = {"en-US": ["en-UK", "en-US"], "en-UK": ["en-US", "en-UK"]}.get(code, ["en-UK", "en-US"])
    for one in (words(other) for other in english):
        entries.update(_entries(one))
    if table.code not in english:
        # What the table has of its own goes before what it takes from English.
        entries.update(_entries(table, without=words("en-US")))
    tables = [*(words(other) for other in english), table]
    for one in tables:
        ordinals.update(pieces(word) for word in one.also.get("ordinal", ()))
        often.update(pieces(word) for word in one.also.get("often", ()))
        numbers.update({pieces(word): value for word, value in one.numbers.items()})
        labels.update(_labels(one))
    numbers.update(_compound(numbers, ordinals | often))
    if code != "ru":
        # Stitches of a page that was translated in part.
        for key, entry in _entries(words("ru")).items():
            if entry[1] in _NAMING and not key.isascii():
                entries.setdefault(key, entry)
    entries = {key: entry for key, entry in entries.items() if not _two_stitches(key, entry[0], entries)}
    return Lexicon(
        code,
        MappingProxyType(entries),
        MappingProxyType(numbers),
        frozenset(often),
        frozenset(ordinals),
        frozenset(labels),
        frozenset(folded(word) for one in tables for word in one.also.get("range", ())),
        _longest((*entries, *numbers), {}),
        frozenset(
            folded(one[notion].many).strip(" .")
            for one in tables
            for notion in _LABEL_WORDS
            if one[notion].many != one[notion].one
        ),
        frozenset(folded(word) for one in tables for word in one.also.get("all_even", ())),
    )


#: Where the tens begin, and the units end.
_TENS, _UNITS = 20, 10


def _compound(numbers: Mapping[str, int], without: set[str]) -> dict[str, int]:
    """Return the numbers that are said as tens and units: "forty two"."""
    plain = {word: value for word, value in numbers.items() if word not in without and " " not in word}
    return {
        f"{tens} {unit}": many + few
        for tens, many in plain.items()
        if many >= _TENS and many % 10 == 0
        for unit, few in plain.items()
        if 0 < few < _UNITS
    }


def _longest(spellings: Iterable[str], known: Mapping[str, int]) -> Mapping[str, int]:
    longest = dict(known)
    for spelling in spellings:
        parts = spelling.split()
        longest[parts[0]] = max(longest.get(parts[0], 0), len(parts))
    return MappingProxyType(longest)


@cache
def telling(code: str) -> frozenset[str]:
    """Return the spellings that speak for a language; a letter alone only where the table says so."""
    table = words(code)
    own = {
        key
        for notion in _TELLING
        if notion in table.word
        for key in map(pieces, table.word[notion].spellings)
        if len(key) > 1 or not key.isascii()
    }
    if code == "letters":
        own = set()
    return frozenset(
        own | ({pieces(word) for word in table.telltale} if not code.startswith("en-") else set())
    )


def _entries(table: Words, *, without: Words | None = None) -> dict[str, tuple[str, str]]:
    found: dict[str, tuple[str, str]] = {}
    for notion, letter in CLASS.items():
        known = _spellings(without, notion) if without is not None else set()
        for key in _spellings(table, notion) - known:
            # a number between signs without blanks is part of the word: a decrease over 3, in Japanese
            digits = any(part.isdigit() for part in key.split()) and not IDEOGRAPH.search(key)
            if notion == "noise" and key in found:
                continue
            if (digits and notion in _WITH_NUMBERS) or (notion in _LABEL_WORDS and key in _ONLY_IN_LABELS):
                continue
            found[key] = (notion, letter)
    return found


def _two_stitches(key: str, notion: str, found: Mapping[str, tuple[str, str]]) -> bool:
    """Tell "sc inc", which is one increase or a stitch and an increase: the phrases try both."""
    first, blank, last = key.partition(" ")
    return (
        bool(blank)
        and notion in ("inc", "dec")
        and {found.get(first, ("", ""))[1], found.get(last, ("", ""))[1]} in ({"s", "i"}, {"s", "d"})
    )


def _labels(table: Words) -> Iterable[str]:
    for notion in _LABEL_WORDS:
        forms = (*table.word[notion].spellings, *table.also.get(notion, ()))
        yield from (folded(form).strip(" .") for form in forms)


def _spellings(table: Words, notion: str) -> set[str]:
    forms = {*table.also.get(notion, ())}
    if notion in table.word:
        forms.update(table.word[notion].spellings)
    return {pieces(form) for form in forms} - {""}
