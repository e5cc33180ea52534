"""A page cut into entries: lines, and pieces of lines, with their labels."""

from __future__ import annotations

import re
from dataclasses import dataclass

from solver.notation.classes import core
from solver.notation.fold import Folded, unscanned
from solver.notation.labels import Label, inner_labels, labels
from solver.notation.lexicon import Lexicon
from solver.notation.token import Token, shape
from solver.notation.tokens import tokens

#: Longest line that is looked at; the rest of a longer one is left unread, and said so.
LONGEST_LINE = 2500

BREAK = re.compile(r"<br\s*/?>|[\u2028\u2029\x0b\x0c]")
_TAG = re.compile(r"</?[a-zA-Z][^<>]{0,300}>|<!--.*?-->")
_ENTITY = re.compile(r"&(?:amp|nbsp|times|ndash|mdash|#\d{1,5}|lt|gt|quot);")
_ENTITIES = {
    "&amp;": "&",
    "&nbsp;": " ",
    "&times;": "×",
    "&ndash;": "-",
    "&mdash;": "-",
    "&lt;": "<",
    "&gt;": ">",
    "&quot;": '"',
}
#: What may stand before a label, one row each: it is passed over, again and again.
_BEFORE_LABEL = tuple(
    re.compile(pattern)
    for pattern in (
        r"\d{1,3}\s?\|\s?(?=[^\W\d_]+\.?\s?\d)",  # the number of a line of a table
        r"[\[(]?\d{1,2}[:.]\d\d(?:[:.]\d\d)?(?:\s?[ap]m)?[\])]?\s(?:\s*[-,>])?",  # the time of a message
        r"(?:okay|ok|then|now|and|so|finally|lastly)[,.]?\s+(?=(?:r|rnd|rd|round|row)\.?\s?\d)",
        r"next\s+(?=(?:r|rnd|rd|round|row)\s?\d{1,3}(?![^\W_]))",  # "Next R7:", not "Next rnd. 1dc in each"
        r"[-·+○◦☐☑✓✔►>]+(?=\s)|[-·+○◦☐☑✓✔►>]+(?:\s+(?=[-·+○◦☐☑✓✔►>]))",
        r"[(\[][^\W\d_][^()\[\]]{0,24}[)\]]\s*(?=(?:r|rnd|rd|round|row)\.?\s?\d)",  # of which photo it is
        r"\*(?=\s[^*]*$)",
        # "*Rnd 6-9:", "~ Rnds 3-5:"; a single star before stitches opens a repeat
        r"[*~_|]+\s?(?=(?:r|rnds?|rds?|rounds?|rows?|runden?|tours?|toer(?:en)?|gir[oi]|vueltas?|carr|omg|varv|okr|ряды?)"
        r"\.?\s?\d)",
        r"[^\w\s\x21-\x7e×·♯➕-➗\ue000-\uf8ff]+(?=\s*[^\W_])",  # small pictures; not the signs of colours
    )
)


def _bullet_end(text: str) -> int:
    """Return where a line begins behind bullets, times and small pictures."""
    at = len(text) - len(text.lstrip())
    while True:
        match = next(
            (found for one in _BEFORE_LABEL if (found := one.match(text, at)) and found.end() > at), None
        )
        if match is None:
            return at
        at = match.end() + len(text[match.end() :]) - len(text[match.end() :].lstrip())


@dataclass(frozen=True, slots=True)
class Entry:
    """A piece of the page that may be a round.

    Attributes
    ----------
    line : int
        Number of its (first) line, from 1.
    text : str
        As it was written.
    folded : Folded
        In the form that is read.
    labels : tuple of Label
        The ways to read its label, the longest first; empty without one.
    kind : str
        "round", "even" (further rounds told in prose), "chain", "empty" (a label alone), "loops" (into
        the loops of which earlier round the next one is worked), "remark".
    tokens : tuple of Token
        What stands behind the label.
    start : int
        Where it begins in the folded line.
    offset : int
        Where `text` begins in the original line.
    heading : bool
        Whether a heading stood right before.
    """

    line: int
    text: str
    folded: Folded
    labels: tuple[Label, ...]
    kind: str
    tokens: tuple[Token, ...] = ()
    start: int = 0
    offset: int = 0
    heading: bool = False

    @property
    def label(self) -> Label | None:
        """The label as it is taken."""
        return self.labels[0] if self.labels else None


def untagged(line: str) -> str:
    """Blank out what a web page adds, keeping every other sign in its place."""
    if line.count("|") > 1:
        line = _without_bars(line)
    if "<" in line:
        line = _TAG.sub(lambda match: " " * len(match[0]), line)
    if "w/" in line or "W/" in line:
        # "join w/ sl st"
        line = _WITH.sub(lambda match: " " * len(match[0]), line)
    if "up a l" in line or "up l" in line:
        # The old way to write a decrease, told stitch by stitch.
        line = _OLD_DECREASE.sub(lambda match: "dec".ljust(len(match[0])), line)
    if "through" in line and "hook" in line:
        line = _CLUSTER.sub(lambda match: "popcorn".ljust(len(match[0])), line)
    if "**" in line:
        line = line.replace("**", "  ")
    if "make" in line:
        line = _COPIES.sub(lambda match: " " * len(match[0]), line)
    line = unscanned(line)
    if "&" in line:
        line = _ENTITY.sub(_entity, line)
    return line


_BARRED = re.compile(
    r"\s*(\|?)\s*(?:[^\W\d_]{1,7}\.?\s?)?\d{1,3}(?:\s?[-–]\s?\d{1,3})?\s*(\|)[^|]*(\|)[^|]*(\|?)\s*"
)


_LABELLED_TWICE = re.compile(r"\D{0,12}(\d{1,3})[^|:]{0,12}\|[^\d|]{0,12}(\d{1,3})(?![^|:]{12})[^|]*?[:)=]")


def _without_bars(line: str) -> str:
    """Return a row of a table, "| 3 | (sc, inc) x 6 | 18 |", as a line: "3 : (sc, inc) x 6 = 18"."""
    match = _BARRED.fullmatch(line)
    if match is None:
        return line
    signs = list(line)
    twice = _LABELLED_TWICE.match(line)
    if twice and twice[1] == twice[2]:
        # "Rd 1 | rnd 1: 6 fM in MR | 6 sc in MR": two languages
        return line.replace("|", "/")
    for group, sign in ((1, " "), (2, ":"), (3, "="), (4, " ")):
        if match[group]:
            signs[match.start(group)] = sign
    return "".join(signs)


_GAP = r"(?:\t[ \t]*| {2,}| ?\t| ?; ?)"
_COLUMNS = re.compile(
    rf"\s*((?:[^\W\d_]{{1,7}}\.?\s?)?\d{{1,3}}(?:\s?[-–]\s?\d{{1,3}})?(?:\.? ?[^\W\d_]{{1,7}}\.?)?)({_GAP})"
    rf"(\S.*?)({_GAP})(\d{{1,3}}(?:\s?[^\W\d_]{{1,9}}\.?)?)\s*"
)
_BETWEEN = re.compile(_GAP)
#: Rows from which lines with gaps are a table.
_ROWS = 3


def uncolumned(lines: list[tuple[int, str]]) -> list[tuple[int, str]]:
    """Return the rows of a table set with blanks as lines: "3   (sc, inc) x 6   18", with : and = in it."""
    rows = {number: match for number, line in lines if (match := _COLUMNS.fullmatch(line))}
    if len(rows) < _ROWS:
        rows = {number: match for number, line in lines if (match := _COUNT_SECOND.fullmatch(line))}
        if len(rows) >= _ROWS and [int(match[1]) for match in rows.values()][:2] == [1, 2]:
            return [(number, _signed(rows[number]) if number in rows else line) for number, line in lines]
        rows = {number: match for number, line in lines if (match := _COUNTS_ALONE.fullmatch(line))}
        if len(rows) < _ROWS or [int(match[1]) for match in rows.values()][:2] != [1, 2]:
            return lines
    return [(number, _signed(rows[number]) if number in rows else line) for number, line in lines]


#: "3   18   (sc, inc) x 6": the count before the work.
_COUNT_SECOND = re.compile(rf"\s*(\d{{1,3}})({_GAP})(\d{{1,3}})({_GAP})(\S.*[^\W\d].*)")
#: "3 18 +6": the number of a round, what it makes, and the change.
_COUNTS_ALONE = re.compile(r"\s*(\d{1,3})(\s+)(\d{1,3})(?:(\s+)([+-]\d{1,3}))?\s*")


def _signed(match: re.Match[str]) -> str:
    """Return the row of a table with signs between its columns, every other sign in its place."""
    signs = list(match.string)
    for group, sign in ((2, ":"), (4, "(" if match.re is _COUNTS_ALONE else "=")):
        if match[group]:
            signs[match.start(group) : match.end(group)] = sign.ljust(len(match[group]))
    if match.re is _COLUMNS:
        for gap in _BETWEEN.finditer(match.string, match.start(3), match.end(3)):
            # a further column says it again
            signs[gap.start() : gap.end()] = "/".ljust(len(gap[0]))
    return "".join(" " if sign == "\t" else sign for sign in signs)


#: A popcorn told step by step.
_CLUSTER = re.compile(
    r"\d\s?(?:hdc|htr|dc|tr|sc)s? (?:all )?in(?:to)? (?:the )?(?:next|same|one) (?:sts?|stitch|sc|dc)\b"
    r"[,;:]? ?(?:and )?(?:then )?(?:remove|take|pull|slip|drop|insert)"
    r"[^.;()\[\]]{0,110}?\bthrough\b(?: it| all(?: \w+)?| both)?",
    re.IGNORECASE,
)
#: How many of a part are made.
_COPIES = re.compile(r"\bmake\s+\d{1,2}(?=\s*(?:[.;]|$))")
_WITH = re.compile(r"\b[wW]/(?!o)")
_OLD_DECREASE = re.compile(
    r"(?:draw|pull|pick)(?:ing)? up (?:a )?(?:loop|lp)s? in(?:to)? (?:each of )?(?:the )?next (?:2|two) "
    r"(?:sts?|stitches|sc|dc)"
    r".{0,40}?(?:through|thru) (?:all )?(?:the )?(?:3 |three )?(?:loops|lps)(?: on (?:the )?hook)?",
    re.IGNORECASE,
)


def _entity(match: re.Match[str]) -> str:
    sign = _ENTITIES.get(match[0])
    if sign is None:
        code = int(match[0][2:-1]) if match[0][1] == "#" else 32
        sign = chr(code) if 32 <= code < 0x110000 else " "
    return sign + " " * (len(match[0]) - 1)


# ---- lines -------------------------------------------------------------------------------------------------


def rows_of(number: int, line: str, folded: Folded, known: Lexicon) -> list[Entry]:
    """Cut one line where further labels stand in it."""
    text = folded.text
    start = _bullet_end(text)
    own = labels(text, start, known)
    inside = own[0].end if own else start + 4  # "R4..R6": one label
    cuts = [start, *(place for place in inner_labels(text, known) if place >= max(inside, start + 4))]
    cuts = sorted({*cuts, *_repeats_behind(folded, known, start)})
    rows: list[Entry] = []
    lead: list[Token] = []
    if len(cuts) > 1:
        first_piece = tokens(Folded(text[: cuts[1]], folded.origin[: cuts[1]]), known, start)
        if _COUNT_AHEAD.fullmatch(shape(first_piece)):
            # "(6 sts) R1: 6 sc in MR"
            lead, cuts = first_piece, cuts[1:]
    for at, stop in zip(cuts, [*cuts[1:], len(text)], strict=True):
        part = Folded(text[:stop], folded.origin[:stop])
        found = labels(part.text, at, known)
        ahead, lead = lead, []
        first = folded.place(at) if at != start else 0
        last = folded.place(stop) if stop < len(text) else len(line)
        shown = line[first:last].rstrip()
        rows.append(
            Entry(number, shown, part, tuple(found), "", (*_cut(part, found, known, at), *ahead), at, first)
        )
    return rows


_COUNT_AHEAD = re.compile(r"[(\[{]T?nt?[)\]}][:-]?")
#: Signs in which "Repeat the previous row 3" stands.
_LAST_WORDS = 60
_REPEATED = re.compile(r"(?<=[)\]}.;!])q*(r[fqz]?wn)[.!]?$")


def _repeats_behind(folded: Folded, known: Lexicon, start: int) -> list[int]:
    """Return where a line goes on with "Repeat row 3", which is a round of its own."""
    tail = max(start, len(folded.text) - _LAST_WORDS)
    if _REPEATED.search(shape(tokens(folded, known, tail))) is None:
        return []
    found = tokens(folded, known, start)
    match = _REPEATED.search(shape(found))
    if match is None or not core(found[: match.start(1)]) or match.start(1) < 4:
        return []
    return [found[match.start(1)].start]


def _cut(part: Folded, found: list[Label], known: Lexicon, at: int) -> list[Token]:
    return tokens(part, known, found[0].end if found else at)
