"""Labels of rounds: "Rnd 5:", "R4 - R6 -", "13 to 15 rnds:", "3º carr.:", "6 8." with the dash lost."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import NamedTuple

from solver.notation.lexicon import Lexicon

_NUMBER = r"\d{1,3}(?:(?:st|nd|rd|th|ª|º|ere|er|eme|ste|de|re|e|a|o)(?![^\W\d_]))?"
#: Most rounds of one range.
_LONGEST = 999
_SEPARATOR = r"\s*[:.)\-=,\]>]"
#: The same behind a number alone: "8 / (sc, dec) x 6 / (12)".
_BARE_SEPARATOR = rf"(?:{_SEPARATOR}|\s/(?=\s))"

#: "6-8 sc 30": the dash alone makes it a label.
_TIGHT_RANGE = r"(?:(?<=\d-\d)|(?<=\d-\d\d)|(?<=\d-\d\d\d))"


@dataclass(frozen=True, slots=True)
class Label:
    """The label of a line.

    Attributes
    ----------
    numbers : tuple of int
        The rounds that it names.
    end : int
        Where it ends in the folded line.
    worded : bool
        Whether a word for a round stands in it.
    separated : bool
        Whether a sign ends it.
    tight : bool
        Whether it is a range whose dash touches both numbers.
    doubled : bool
        Whether it is said in two languages: "Rnd 2 / 2. Rd:".
    every : bool
        Whether it stands for every second round from there: "Rnd 2 and all even rnds:".
    """

    numbers: tuple[int, ...]
    end: int
    worded: bool
    separated: bool
    tight: bool = False
    doubled: bool = False
    every: bool = False

    @property
    def ranged(self) -> bool:
        """Whether it names more than one round."""
        return len(self.numbers) > 1


class _Patterns(NamedTuple):
    worded: re.Pattern[str]
    number_first: re.Pattern[str]
    bare: re.Pattern[str]
    inside: re.Pattern[str]
    listed: re.Pattern[str]
    split: re.Pattern[str]
    bracketed: re.Pattern[str]
    every: re.Pattern[str]


def labels(text: str, at: int, lexicon: Lexicon) -> list[Label]:
    """Return the ways to read a label that begins at a place of a folded line, the longest first."""
    patterns = _patterns(lexicon.labels, lexicon.ranges, lexicon.all_even)
    if patterns.bracketed.match(text, at):
        at += 1
    text = _in_digits(text, at, lexicon)
    twice = _TWICE.match(text, at)
    if twice and twice[1] == twice[2]:
        # "V2/R2:", in whatever languages
        return [Label((int(twice[1]),), twice.end(), True, True, doubled=True)]
    for worded, pattern in ((True, patterns.number_first), (True, patterns.worded), (False, patterns.bare)):
        match = pattern.match(text, at)
        if match:
            if pattern is patterns.number_first and _is_many(match, text, lexicon):
                continue
            ways = list(_ways(match, text, patterns, worded=worded))
            if pattern is patterns.worded:
                ways += _dash_lost(match, text)
            if ways:
                return [_with_every(_with_double(way, text), text, patterns) for way in ways]
    return []


_TWICE = re.compile(r"[^\W\d_]{1,9}\.?\s?(\d{1,3})\s?/\s?[^\W\d_]{1,9}\.?\s?(\d{1,3})\s*[:=)-]")
#: What stands before the sign that ends a label of words alone.
_SPOKEN = re.compile(r"[^\W\d_](?:[^\W\d_]|[ -](?=[^\W\d_])){2,47}(?=\s?[:.=)]|\s-|,)")


def _in_digits(text: str, at: int, lexicon: Lexicon) -> str:
    """Return a line with its label in words, "Rounds five to eight:", in digits; signs keep their places."""
    match = _SPOKEN.match(text, at)
    if match is None:
        return text
    out, said = [], []
    for word in re.finditer(r"[^\W\d_]+(?:[ -][^\W\d_]+)?|[ -]", match[0]):
        for part in (
            (word[0],)
            if " ".join(re.split("[ -]", word[0])) in lexicon.numbers
            else re.split("([ -])", word[0])
        ):
            key = part.replace("-", " ")
            value = lexicon.numbers.get(key) or (1 if lexicon.find(key) == ("first", "F") else 0)
            kind = "n" if value else "w" if part in lexicon.labels else "j" if part in lexicon.ranges else "z"
            said.append("" if part in ("", " ", "-", "the") else kind)
            out.append(str(value).ljust(len(part)) if value else part)
    if re.fullmatch("w?n(?:jw?n)*w?", "".join(said)) is None or "w" not in said:
        return text
    return text[:at] + "".join(out) + text[match.end() :]


def told_for_all(text: str, lexicon: Lexicon) -> bool:
    """Tell whether a folded line speaks of every second round: "All even rounds: sc in each st"."""
    return _patterns(lexicon.labels, lexicon.ranges, lexicon.all_even).every.match(text.lstrip()) is not None


def _with_every(label: Label, text: str, patterns: _Patterns) -> Label:
    """Return a label with "and all even rounds" taken in."""
    match = patterns.every.match(text, label.end)
    if match is None or label.ranged:
        return label
    return replace(label, end=match.end(), separated=True, every=True)


_RUN_TOGETHER = re.compile(r"\d{2,6}")


def _dash_lost(match: re.Match[str], text: str) -> list[Label]:
    """Return ranges whose dash a page copy lost: "Rnds 1218:" for 12 to 18."""
    digits = _RUN_TOGETHER.search(text, match.start())
    if digits is None or not re.match(_SEPARATOR, text[digits.end() :]):
        return []
    if re.match(r"\s*-\s*\d", text[digits.end() :]):  # "Rnds 15-26" has its dash
        return []
    many = text[match.start() : digits.start()].strip(" .").endswith("s") or len(digits[0]) > 3
    if not many or re.search(r"\d", text[match.start() : digits.start()]):
        return []
    found = []
    for cut in range(1, len(digits[0])):
        first, last = int(digits[0][:cut]), int(digits[0][cut:])
        if digits[0][cut] != "0" and 0 < first < last <= first + 60:
            tail = re.compile(_SEPARATOR).match(text, digits.end())
            assert tail is not None
            found.append(Label(tuple(range(first, last + 1)), tail.end(), True, True))
    return found


_DOUBLE = re.compile(
    r"\s*/\s*(?:[^\W\d_]{1,9}\.?\s?)?(\d{1,3})[.ªº]?(?:\s*-\s*(\d{1,3})[.ªº]?)?(?:\s?-?[^\W\d_]{1,9}\.?)?\s*[:=)]"
)


def _with_double(label: Label, text: str) -> Label:
    """Return a label with the same one in a further language behind a slash taken in."""
    match = _DOUBLE.match(text, label.end)
    if not match or int(match[1]) != label.numbers[0] or int(match[2] or match[1]) != label.numbers[-1]:
        return label
    return replace(label, end=match.end(), separated=True, doubled=True)


#: "V shape, R12-R13.": rounds that are only spoken of.
_NOTHING_BEHIND = re.compile(r"[ .]*(?:[^\W\d_]{0,6}\s?\d{1,3})?[ .!]*")
_WORKS = re.compile(r"\s?[:=-]?\s?[\d(\[*]")
#: Signs in which a round can be told, between two labels.
_LEAST_WORK = 3


def inner_labels(text: str, lexicon: Lexicon) -> list[int]:
    """Return the places in a folded line where a further round begins: "... [18]R3: ..."."""
    patterns = _patterns(lexicon.labels, lexicon.ranges, lexicon.all_even)
    places = [
        match.start("label")
        for match in patterns.inside.finditer(text)
        if not _counts_rounds(match["label"], lexicon) and not _NOTHING_BEHIND.fullmatch(text, match.end())
    ]
    run: list[int] = []
    last, end = 0, 0
    for match in patterns.listed.finditer(text):
        number = int(match["number"])
        if len(run) == 1 and number == last + 1 and match.start("label") < end + _LEAST_WORK:
            # "Eyes at R11/R12"
            run = []
            continue
        if run and (number != last + 1 or match.start("label") < end + _LEAST_WORK):
            continue
        works = _WORKS.match(text, match.end()) and re.search(r"\d", text[end : match.start()])
        if run and not match["sign"] and not works:
            # "between R5 and R6", "in the last st of rnd 9."
            continue
        # "R1 6sc / R2 6inc R3 ..."
        run.append(match.start("label"))
        last, end = int(match["last"] or number), match.end()
    if len(run) > 1:
        places += run
    if not places:
        places = _numbered_inside(text)
    return sorted(set(places))


_NUMBER_INSIDE = re.compile(
    r"(?:^\s*|(?<=[\w)\]}.;,:])\s+)(\d{1,3})(?:\s?-\s?(\d{1,3}))?([.):])\s+(?=[^\W_]|[(\[*])"
)


def _numbered_inside(text: str) -> list[int]:
    """Return where rounds begin in "1. mr 6 2. sc 6 3. inc x 6": numbers that run on, each with its sign."""
    run: list[int] = []
    last, sign = 0, ""
    for match in _NUMBER_INSIDE.finditer(text):
        number = int(match[1])
        if not run and text[: match.start(1)].strip() and not text[: match.start(1)].rstrip().endswith(":"):
            return []
        if run and (number != last + 1 or match[3] != sign):
            continue
        run.append(match.start(1))
        last, sign = int(match[2] or number), match[3]
    parted = len(run) > 1 and text[: run[1]].rstrip()[-1:] in tuple(";)]}")
    return run if len(run) > _ROUNDS_IN_LINE or parted else []


#: So many numbers that run on in a line are rounds; fewer may be stitches before a full stop.
_ROUNDS_IN_LINE = 2


_ROUNDS = re.compile(r"(\d+)\s?([^\W\d_]+)")


def _counts_rounds(label: str, lexicon: Lexicon) -> bool:
    """Tell "4 rounds = 2 cm" from "4 round:"."""
    match = _ROUNDS.match(label)
    return match is not None and int(match[1]) > 1 and (match[2].endswith("s") or match[2] in lexicon.many)


def _is_many(match: re.Match[str], text: str, lexicon: Lexicon) -> bool:
    """Tell "5 rounds (30 sts) are 5 cm", which is no label, from "2 rnd:"."""
    word = match[0].rstrip(" .").split()[-1].lstrip("0123456789").strip(".-")
    many = word.endswith("s") or word in lexicon.many
    plural = many and match["chain"].isdigit() and match["chain"] != "1"
    return plural and not re.match(r"\s*[:.)=\]>-]", text[match.end() :])


def _ways(match: re.Match[str], text: str, patterns: _Patterns, *, worded: bool) -> Iterator[Label]:
    chain = match["chain"]
    parts = patterns.split.split(chain)
    numbers = [int(re.match(r"\d+", part)[0]) for part in parts[::2]]  # type: ignore[index]
    signs = [sign.strip(" .") for sign in parts[1::2]]
    tight = [sign == "-" for sign in parts[1::2]]
    ends = _ends(chain, parts, match.start("chain"))
    closed = re.match(r"\s*[:=]", text[match.end() :]) is not None
    for used in range(len(numbers), 0, -1):
        end = match.end() if used == len(numbers) else ends[used - 1]
        covered = _covered(numbers[:used], signs[: used - 1])
        if covered is None:
            continue
        tail = re.compile(_SEPARATOR if worded else _BARE_SEPARATOR).match(text, end)
        separated = (
            text[max(end - 1, 0) : end] in tuple(":.)-=,]>") or tail is not None or match[0].startswith("#")
        )
        if not worded and not separated and not (used > 1 and signs[used - 2] == "-"):
            continue
        if used > 1 and signs[used - 2] in ("", ",", "/") and not separated:
            continue
        again = len(numbers) == 2 * used and numbers[used:] == numbers[:used]  # "Rd 4-6 / rnd 4-6:"
        worded_range = used < len(numbers) and re.match(r"-+\s*[^\W\d_]", signs[used - 1])  # "R12-R13, sc"
        if used < len(numbers) and signs[used - 1] and not again and (closed or worded_range):
            continue
        if worded and not separated and re.search(r"[^\W\d_]\s?[:-]\s*$", text[: match.start("chain")]):
            # "Rnd: 6 sc in ring" has no number.
            continue
        yield Label(covered, tail.end() if tail else end, worded, separated, used > 1 and tight[used - 2])


def _ends(chain: str, parts: list[str], start: int) -> list[int]:
    ends = []
    place = start
    for i, part in enumerate(parts):
        place += len(part)
        if i % 2 == 0:
            ends.append(place)
    return ends


def _covered(numbers: list[int], signs: list[str]) -> tuple[int, ...] | None:
    """Return the rounds that numbers and the signs between them name; None when they can't be a label."""
    covered = [numbers[0]]
    for sign, number in zip(signs, numbers[1:], strict=True):
        if number <= covered[-1] or number - covered[-1] > _LONGEST:
            return None
        if (
            sign in ("&", "and", "+", ",", "und", "et", "y", "e", "en", "и", "ja", "og", "och", "i", "/")
            and number > covered[-1] + 1
        ):
            covered.append(number)
        elif sign == "" and (number - covered[-1] > 40 or any(signs)):
            return None  # no dash is lost where another one stands: "#3-#5 12 sc"
        else:
            covered += range(covered[-1] + 1, number + 1)
    return tuple(covered)


@cache
def _patterns(
    label_words: frozenset[str], range_words: frozenset[str], all_even: frozenset[str]
) -> _Patterns:
    word = (
        "(?:"
        + "|".join(re.escape(w).replace(r"\ ", r"\s") for w in sorted(label_words, key=len, reverse=True))
        + ")"
    )
    sign = "|".join(re.escape(w).replace(r"\ ", r"\s") for w in sorted(range_words, key=len, reverse=True))
    # Between two numbers: a dash or a word for "to" or "and", perhaps the label's word again, or a lost dash.
    joint = rf"-+|~|\.\.+|&|/|\+|,(?=\s?\d)|\b(?:{sign})(?![^\W\d_])"
    between = rf"(?:(?:\s?{word})?\s*[.)\]]?\s*(?:{joint})\s*[(\[#]?(?:{word}\.?\s*)?|\s+)"
    chain = rf"(?P<chain>{_NUMBER}(?:{between}{_NUMBER})*)"
    alike = "|".join(re.escape(w).replace(r"\ ", r"\s") for w in sorted(all_even, key=len, reverse=True))
    as_there = r"(?:(?:work|make|follow|repeat|complete)\s+(?=[^:]{3,24}\b(?:as|like|same)\b))?"
    head = rf"{as_there}(?:from\s+|in\s+|for\s+|von\s+|de\s+|del\s+|da\s+|с\s+)?(?:the\s+)?"
    return _Patterns(
        worded=re.compile(
            rf"{head}{word}\s?[.:#-]?\s*(?:no\.?\s*)?{chain}(?!\d|[^\W\d_](?![^\W\d_]*\d))?(?!\s?(?:mm|cm|kg|inch|inches)\b)",
            re.UNICODE,
        ),
        number_first=re.compile(rf"{head}{chain}\s*\.?-?\s?{word}(?![^\W\d_])\.?"),
        bare=re.compile(
            rf"(?P<sign>#\s?)?{chain}(?!\.\d+\s?(?:mm|cm|m|in|ml|g|%|rows|stitches)\b)"
            rf"(?(sign)(?={_SEPARATOR}|\s)|(?={_BARE_SEPARATOR}|\s*[(\[]\d|{_TIGHT_RANGE}\s))"
        ),
        inside=re.compile(
            rf"(?:(?<=[)\]}}.;,:>!])\s*|(?<=\d)\s+|(?<=st|sc)\s+|(?<=sts)\s+)"
            rf"(?P<label>(?:{word}\s?\.?\s*\d{{1,3}}(?:\s*(?:-|\b(?:{sign})\b)\s*\d{{1,3}})?|\d{{1,3}}(?:st|nd|rd|th)?\s{word})\s*[:=.)\-])"
        ),
        listed=re.compile(
            rf"(?:^\s*|(?P<sign>[/,;:.)\]])\s*|\s)(?P<label>{word}\s?\.?\s?(?P<number>\d{{1,3}})"
            rf"(?:\s?-\s?(?:{word}\s?)?(?P<last>\d{{1,3}}))?(?!\d))"
        ),
        split=re.compile(rf"({between})(?=\d)"),
        every=re.compile(
            rf"\W{{0,3}}(?:(?:{sign}|&)\s+)?(?:{alike})(?:\s?-?numbered)?(?:\s+[^\W\d_]{{1,12}}){{0,2}}"
            rf"(?:\s+(?:{sign})\s+(?:{word}\s?)?\d{{1,3}})?\s*[:.=,-]"
        ),
        bracketed=re.compile(rf"[(\[](?={word}?\s?{chain}[)\]]\s?\S)"),
    )
