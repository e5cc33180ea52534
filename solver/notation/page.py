"""A page cut into what may be rounds: labels, lines that go on, and remarks."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import pairwise

from solver.notation.counts import core
from solver.notation.dialect import declared_terms, language, own_abbreviations
from solver.notation.fold import Folded, fold
from solver.notation.labels import Label, inner_labels, labels
from solver.notation.lexicon import Lexicon, lexicon
from solver.notation.loops import only_loops
from solver.notation.tokens import Token, shape, tokens

#: Longest line that is looked at; the rest of a longer one is left unread, and said so.
LONGEST_LINE = 4000

_BREAK = re.compile(r"<br\s*/?>|[\u2028\u2029\x0b\x0c]")
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
_BULLET = re.compile(r"\s*(?:[-·+○◦☐☑✓✔►>]+(?=\s)|\*(?=\s[^*]*$))\s*")


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


@dataclass(frozen=True, slots=True)
class Page:
    """A page as it was taken apart.

    Attributes
    ----------
    lexicon : Lexicon
        Its words.
    declared : str
        Terms that it declares ("US", "UK"); empty when it declares none.
    entries : tuple of Entry
        Its rounds and chains; remarks are left out.
    numbered : bool
        Whether its rounds have labels.
    texts : tuple of str
        Every line in the form that is read.
    """

    lexicon: Lexicon
    declared: str
    entries: tuple[Entry, ...]
    numbered: bool = True
    texts: tuple[str, ...] = ()


def page(text: str) -> Page:
    """Take a page apart."""
    lines = [
        (number, part.rstrip())
        for number, line in enumerate(re.split(r"\r\n|\r|\n", text), start=1)
        for part in _BREAK.split(line)
    ]
    folds = [(number, line, fold(_untagged(line[:LONGEST_LINE]))) for number, line in lines]
    texts = [folded.text for _, _, folded in folds]
    declared = declared_terms(texts)
    known = lexicon(language(texts, declared))
    known = known.declared(own_abbreviations(texts, known))
    rows = [row for number, line, folded in folds for row in _rows(number, line, folded, known)]
    rows = _chosen_labels(rows, known)
    numbered = _numbered(rows)
    entries = _kinds(rows, numbered=numbered, known=known)
    by_line: dict[int, str] = {}
    for number, _, folded in folds:
        by_line[number] = f"{by_line[number]} {folded.text}" if number in by_line else folded.text
    return Page(known, declared, tuple(entries), numbered, tuple(by_line.values()))


def _untagged(line: str) -> str:
    """Blank out what a web page adds, keeping every other sign in its place."""
    if "<" in line:
        line = _TAG.sub(lambda match: " " * len(match[0]), line)
    if "up a l" in line or "up l" in line:
        # The old way to write a decrease, told stitch by stitch.
        line = _OLD_DECREASE.sub(lambda match: "dec".ljust(len(match[0])), line)
    if "&" in line:
        line = _ENTITY.sub(_entity, line)
    return line


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


def _rows(number: int, line: str, folded: Folded, known: Lexicon) -> list[Entry]:
    """Cut one line where further labels stand in it."""
    text = folded.text
    start = len(text) - len(text.lstrip())
    bullet = _BULLET.match(text)
    if bullet and bullet.end() > start:
        start = bullet.end()
    cuts = [start, *(place for place in inner_labels(text, known) if place > start + 3)]
    rows: list[Entry] = []
    for at, stop in zip(cuts, [*cuts[1:], len(text)], strict=True):
        part = Folded(text[:stop], folded.origin[:stop])
        found = labels(part.text, at, known)
        first = folded.place(at) if at != start else 0
        last = folded.place(stop) if stop < len(text) else len(line)
        shown = line[first:last].rstrip()
        rows.append(
            Entry(number, shown, part, tuple(found), "", tuple(_cut(part, found, known, at)), at, first)
        )
    return rows


def _cut(part: Folded, found: list[Label], known: Lexicon, at: int) -> list[Token]:
    return tokens(part, known, found[0].end if found else at)


def _chosen_labels(rows: list[Entry], known: Lexicon) -> list[Entry]:
    """Take each label in the way that fits the labels around it."""
    out: list[Entry] = []
    last = 0
    for place, row in enumerate(rows):
        if not row.labels:
            out.append(row)
            continue
        following = next(
            (
                later.labels
                for number, later in enumerate(rows[place + 1 :], start=place + 1)
                if later.labels and (later.labels[0].worded or _likely(later, rows, number))
            ),
            (),
        )
        ways = sorted(enumerate(row.labels), key=lambda way: (-_fits(way[1], last, following), way[0]))
        wrapped = row.folded.text[row.start : row.start + 1] in ("(", "[")
        follows = row.labels[0].numbers[0] == last + 1
        if not row.labels[0].worded and (not _likely(row, rows, place) or (wrapped and not follows)):
            out.append(replace(row, labels=(), tokens=tuple(tokens(row.folded, known, row.start))))
            continue
        best = ways[0][1]
        cut = row.tokens if best is row.labels[0] else tuple(tokens(row.folded, known, best.end))
        out.append(replace(row, labels=(best, *(way for _, way in ways[1:])), tokens=cut))
        last = best.numbers[-1]
    return out


def _fits(label: Label, last: int, following: tuple[Label, ...]) -> float:
    score = 0.0
    if label.numbers[0] == last + 1 or label.numbers[0] == 1:
        score += 1
    if following and following[0].numbers[0] != 1:
        gap = following[0].numbers[0] - label.numbers[-1] - 1
        score += 2 - 0.6 * min(gap, 3) if gap >= 0 else -2
    return score + 0.5 * label.separated + 0.7 * label.tight


def _likely(row: Entry, rows: list[Entry], place: int) -> bool:
    """Tell the bare number of a round ("3.") from that of a heading or a list of materials."""
    classes = shape(row.tokens)
    if core(row.tokens) or re.match(r"[,:.-]*(?:n[ts]|[aE])", classes):
        return _mostly_known(classes) and classes[:1] != "Z"
    return bool(re.fullmatch(r"n?[(\[]?n[)\]]?[.,]?", classes)) and any(
        near.labels for near in (*rows[max(place - 1, 0) : place], *rows[place + 1 : place + 2])
    )


def _numbered(rows: list[Entry]) -> bool:
    # a line that goes on behind a comma needs no label of its own
    works = [
        row
        for before, row in pairwise((None, *rows))
        if row and core(row.tokens) and (row.labels or not (before and before.text.endswith(",")))
    ]
    labelled = sum(bool(row.labels) for row in works)
    return labelled > 0 and labelled >= 0.2 * len(works)


_ONLY_COUNT = re.compile(r"[=-]?[(\[{<]?[T=q]*n[tsTq]*[)\]}>]?[.q]*")
_GOES_ON = re.compile(r"[,;]?(?:r|a|x?n?x|[)\]}*])")
_FOUNDATION = re.compile(r"[qzWpFCZ:,.-]*(?:nc|cn|n?Wn?|W[:,.-]*n)")


def _kinds(rows: list[Entry], *, numbered: bool, known: Lexicon) -> list[Entry]:
    out: list[Entry] = []
    heading = False
    for row in rows:
        classes = shape(row.tokens)
        kind = _kind(row, classes, out, numbered=numbered)
        if kind == "join" and out:
            out[-1] = _joined(out[-1], row)
            continue
        if kind == "remark":
            heading = heading or _is_heading(row, classes)
            continue
        if kind == "loops":
            out.append(replace(row, kind=kind))
            continue
        out.append(replace(row, kind=kind, heading=heading))
        heading = False
    return out


def _is_heading(row: Entry, classes: str) -> bool:
    return (
        bool(row.text)
        and len(row.text) < 60
        and "Z" not in classes
        and not re.search(r"[.!]\s*$", row.text)
        and "C" not in classes
    )


def _kind(row: Entry, classes: str, before: list[Entry], *, numbered: bool) -> str:
    if not row.tokens:
        return "remark" if not row.labels else "empty"
    bare = "".join(cls for cls in classes if cls not in "q")
    if _is_foundation(row, classes):
        return "chain"
    if row.labels:
        return "round"
    if only_loops(row.tokens):
        return "loops"
    works = core(row.tokens) and _mostly_known(classes)
    last = before[-1] if before else None
    if numbered:
        if last is not None and last.kind == "empty" and works and row.line - last.line <= 2:
            return "join"
        if (
            last is not None
            and last.kind == "round"
            and last.label is not None
            and _unfinished(last, row, classes)
        ):
            return "join"
        if (
            works
            and "M" in classes
            and re.search(r"ns|sn|Mn|nM|nt", bare)
            and (last is None or "M" not in shape(last.tokens))
        ):
            return "round"
        if works and re.search(r"nA?w", classes) and re.search(r"E|sa|sp?e|se|ns|r", bare):
            return "even"
        if re.match(r"(?:r[fz]?)wn[.]?(?:$|A|n|x|X)", bare):
            # "Repeat round 5 three more times."
            return "even"
        return "remark"
    if works:
        return "round"
    if last is not None and last.kind == "round" and _ONLY_COUNT.fullmatch(classes) and not _has_count(last):
        return "join"
    return "remark"


def _is_foundation(row: Entry, classes: str) -> bool:
    """Tell a line that only makes a chain, and perhaps joins it into a ring."""
    match = _FOUNDATION.match(classes)
    if not match:
        return False
    number = next((token.value for token in row.tokens[: match.end()] if token.cls == "n"), 0)
    rest = row.tokens[match.end() :]
    works = any(token.cls in "sidkEDrH" for token in rest) or re.search("[tT][)]|[(]n[)]|=n", classes)
    return number > 1 and not works


def _mostly_known(classes: str) -> bool:
    unknown = classes.count("z")
    known = sum(cls in "sidtlcnNeaprEM" for cls in classes)
    return unknown <= 2 or unknown * 1.5 <= known


def _has_count(entry: Entry) -> bool:
    classes = shape(entry.tokens)
    return bool(re.search(r"[(\[{<][T=q]*n[tsTqz,]*[)\]}>]|=[q(]*n[ts]?|[-,.]n[ts]T?[.]?$|n[ts]?T", classes))


def _unfinished(last: Entry, row: Entry, classes: str) -> bool:
    """Tell whether a line goes on with the round of the line before."""
    before = shape(last.tokens)
    if row.line - last.line - last.text.count("\n") > 1:
        return False
    opened = before.count("(") + before.count("[") > before.count(")") + before.count("]")
    open_star = before.count("*") % 2 == 1 and "r" not in before and "x" not in before
    if _ONLY_COUNT.fullmatch(classes):
        return not _has_count(last)
    works = core(row.tokens) or bool(_GOES_ON.match(classes))
    if not works or not _mostly_known(classes):
        return False
    if opened or open_star or before.endswith(",") or before.endswith("+"):
        return True
    return (
        not _has_count(last)
        and not re.search("[ZK]", classes)
        and (bool(_GOES_ON.match(classes)) or _has_count(row))
    )


def _joined(entry: Entry, row: Entry) -> Entry:
    """Return an entry that goes on over a further line."""
    shift = len(entry.folded.text) + 1
    text = f"{entry.text}\n{row.text}"
    # Positions in the second line count on from the first.
    origin = (
        *entry.folded.origin,
        len(entry.text),
        *(len(entry.text) + 1 + place for place in row.folded.origin),
    )
    folded = Folded(f"{entry.folded.text} {row.folded.text}", origin)
    moved = tuple(replace(token, start=token.start + shift, end=token.end + shift) for token in row.tokens)
    kind = "round" if entry.kind == "empty" else entry.kind
    return replace(entry, kind=kind, text=text, folded=folded, tokens=(*entry.tokens, *moved))
