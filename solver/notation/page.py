"""A page cut into what may be rounds: labels, lines that go on, and remarks."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import pairwise

from solver.notation.classes import core, mostly_known
from solver.notation.dialect import declared_terms, language, own_abbreviations
from solver.notation.entries import BREAK, LONGEST_LINE, Entry, rows_of, untagged, with_labels
from solver.notation.fold import Folded, fold
from solver.notation.lexicon import Lexicon, lexicon
from solver.notation.loops import only_loops
from solver.notation.tokens import shape


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
        for part in BREAK.split(line)
    ]
    folds = [(number, line, fold(untagged(line[:LONGEST_LINE]))) for number, line in lines]
    texts = [folded.text for _, _, folded in folds]
    declared = declared_terms(texts)
    known = lexicon(language(texts, declared))
    known = known.declared(own_abbreviations(texts, known))
    rows = [row for number, line, folded in folds for row in rows_of(number, line, folded, known)]
    rows = with_labels(rows, known)
    numbered = _numbered(rows)
    entries = _kinds(rows, numbered=numbered, known=known)
    by_line: dict[int, str] = {}
    for number, _, folded in folds:
        by_line[number] = f"{by_line[number]} {folded.text}" if number in by_line else folded.text
    return Page(known, declared, tuple(entries), numbered, tuple(by_line.values()))


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
    works = core(row.tokens) and mostly_known(classes)
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
    if not works or not mostly_known(classes):
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
