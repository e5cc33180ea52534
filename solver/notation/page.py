"""A page cut into what may be rounds: labels, lines that go on, and remarks."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

from solver.notation.classes import core, mostly_known, starts
from solver.notation.colouring import Palette, palette
from solver.notation.dialect import declared_terms, language, own_abbreviations, own_brackets, own_labels
from solver.notation.entries import BREAK, LONGEST_LINE, Entry, rows_of, uncolumned, untagged
from solver.notation.fold import Folded, fold
from solver.notation.going_on import (
    ONLY_COUNT,
    broken_off,
    has_count,
    hyphenated,
    joined,
    sentence_goes_on,
    unfinished,
)
from solver.notation.labelled import with_labels
from solver.notation.labels import told_for_all
from solver.notation.lexicon import Lexicon, lexicon
from solver.notation.loops import only_loops
from solver.notation.order import upright, with_bare_labels, with_counts_ahead
from solver.notation.spelling import slips
from solver.notation.token import shape


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
    cut : frozenset of int
        Numbers of lines that are read in part, being longer than any line of rounds.
    titles : tuple of (int, str)
        Lines that look like headings, with their words.
    colours : Palette
        Names of its yarns.
    slips : mapping of str to str
        Misspelt words, each with the notion that it is taken for.
    """

    lexicon: Lexicon
    declared: str
    entries: tuple[Entry, ...]
    numbered: bool = True
    texts: tuple[str, ...] = ()
    cut: frozenset[int] = frozenset()
    titles: tuple[tuple[int, str], ...] = ()
    colours: Palette = field(default_factory=Palette)
    slips: Mapping[str, str] = field(default_factory=dict)


def page(text: str) -> Page:
    """Take a page apart."""
    lines = [
        (number, part.rstrip())
        for number, line in enumerate(re.split(r"\r\n|\r|\n", text), start=1)
        for part in BREAK.split(line)
    ]
    spread = [line for _, line in uncolumned(lines)]
    folds = [
        (number, line, fold(untagged(plain[:LONGEST_LINE])))
        for (number, line), plain in zip(lines, spread, strict=True)
    ]
    texts = [folded.text for _, _, folded in folds]
    declared = declared_terms(texts)
    known = lexicon(language(texts, declared))
    known = known.declared(own_abbreviations(texts, known), own_brackets(texts, known))
    known = known.labelled(own_labels(texts, known))
    colours = palette(lines, known)
    if colours.names:
        folds = [
            (number, line, fold(untagged(colours.hidden(plain[:LONGEST_LINE]))))
            for (number, line), plain in zip(lines, spread, strict=True)
        ]
    rows = _rows(folds, known)
    wrong = slips(rows, known)
    if wrong:
        known = known.declared(wrong, known.in_one)
        rows = _rows(folds, known)
    numbered = _numbered(rows)
    entries = upright(_kinds(rows, numbered=numbered, known=known))
    cut = frozenset(number for number, line in lines if len(line) > LONGEST_LINE)
    by_line: dict[int, str] = {}
    for number, _, folded in folds:
        by_line[number] = f"{by_line[number]} {folded.text}" if number in by_line else folded.text
    return Page(
        known,
        declared,
        tuple(entries),
        numbered,
        tuple(by_line.values()),
        cut,
        tuple(_titles(rows, entries)),
        colours,
        wrong,
    )


def _rows(folds: list[tuple[int, str, Folded]], known: Lexicon) -> list[Entry]:
    rows = [row for number, line, folded in folds for row in rows_of(number, line, folded, known)]
    return with_labels(with_bare_labels(with_counts_ahead(rows), known), known)


def _numbered(rows: list[Entry]) -> bool:
    # a label stands for as many lines as it names rounds; what goes on behind a comma needs none of its own
    labelled = bare = 0
    for before, row in pairwise((None, *rows)):
        classes = shape(row.tokens) if row else ""
        if row is None or not core(row.tokens) or not _STITCHED.search(classes):
            continue
        if row.label is not None:
            labelled += len(row.label.numbers)
        elif before is not None and before.labels and not before.tokens:
            labelled += 1
        elif before is None or not (before.text.endswith(",") or broken_off(before, row)):
            bare += mostly_known(classes)
    return labelled > 0 and labelled >= 0.2 * (labelled + bare)


_STITCHED = re.compile("[sidDGMeE]|t.*p|p.*t")
_FOUNDATION = re.compile(r"[qzWpFCZ:,.-]*(?:nc|cn|n?Wn?|W[:,.-]*n)")
#: A chain told in a sentence, before a first round.
_TOLD_CHAIN = re.compile(
    r"(?:[qzWpFCZfvKw:;,.-]|\((?:n?x|xn|qn)\)|H(?!,?n)|n(?=[.n]*[ZzqCH]))*?(?:nc|cq*(?:wq*)?n|Wq*n)"
)


def _kinds(rows: list[Entry], *, numbered: bool, known: Lexicon) -> list[Entry]:
    out: list[Entry] = []
    heading = False
    before: tuple[Entry, str] | None = None
    due = _due(rows)
    for place, row in enumerate(rows):
        classes = shape(row.tokens)
        kind = _kind(row, classes, out, numbered=numbered, known=known)
        if kind == "remark" and due[place] == 1 and _is_foundation(row, classes, _TOLD_CHAIN):
            kind = "chain"
        said_again = classes.startswith("=")
        if (
            kind == "remark"
            and not said_again
            and due[place] == 2
            and ((starts(row.tokens) and _PUT_IN.search(classes)) or _CHAIN_LED.match(classes))
        ):
            # The first round told as a sentence, whatever its other words are.
            kind = "round"
        if not row.labels and before is not None and sentence_goes_on(before[0], row):
            # What goes on with a remark is one; what goes on with a chain belongs to it.
            kind = {"remark": "remark", "chain": "join"}.get(before[1], kind)
        if out and hyphenated(out[-1], row) and row.line == out[-1].line + out[-1].text.count("\n") + 1:
            kind = "join"
        before = (row, before[1] if kind == "join" and before is not None else kind)
        if kind == "join" and out:
            out[-1] = joined(out[-1], row, known)
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


#: Work all the way round, and what it comes to.
_LAST_ROUND = re.compile(
    r"(?:[sidg](?:s|pe?t?)?(?:a|x?n?x)|n[id]|[id]xn|x?nx?\*|[)\]*]x?nx?)[,;.:-]?(?:[(\[]nt?[)\]]|=n)"
)
#: An abbreviation and its meaning; so many of them in one line are a list, and no round.
_EXPLAINED = re.compile(r"(?:^|[,;:.(])\s*[^\W\d_][^\W_]{0,9}(?: st)?\s?=\s?(?=\d? ?[^\W\d_]{2})")
_LISTED = 3
#: "ch7: 6 sc from the 2nd ch"
_CHAIN_LED = re.compile("[qz]*(?:cn|nc)[:,.;]q*(?:n?[si]|[fp]oc)")
_PUT_IN = re.compile("nq?[st]q?p|Mq?,?n[st]")


def _due(rows: list[Entry]) -> list[int]:
    """Return for each line without a label the number of the next one; 0 where none follows."""
    due, following = [0] * len(rows), 0
    for place in range(len(rows) - 1, -1, -1):
        label = rows[place].label
        if label is not None:
            following = label.numbers[0]
        else:
            due[place] = following
    return due


#: Letters of words that lead in another way to begin.
_SENTENCE_BEGINS = 12
#: "22 sts and 23 rounds to 10 cm": a gauge is no round.
_MEASURED = re.compile(r"\d ?(?:cm|mm|см|мм)\b")
_TITLE = re.compile(r"[^\W\d_].{0,58}")
_COUNTED = re.compile(r"\d{1,2}[.)]\s+(?=[^\W\d_])")
_MOST_WORDS = 8


def _titles(rows: list[Entry], entries: list[Entry]) -> Iterator[tuple[int, str]]:
    """Yield the lines that look like the heading of a part."""
    taken = {entry.line for entry in entries}
    for row in rows:
        text = _COUNTED.sub("", row.text.strip(" *_#=-:\t"))
        classes = shape(row.tokens)
        # "Eyes (make 2)" is a heading, "Eyes between rounds 5 and 6" is none.
        talks = re.match("[ZKCQ]", classes) and len(text.split()) > 3
        if (
            row.line not in taken
            and _TITLE.fullmatch(text)
            and len(text.split()) <= _MOST_WORDS
            and not row.text.rstrip().endswith((".", "!", "?", ",", ";"))
            and not talks
            and not re.search(r"[=;]|w[nwn]|ns", f"{text if '=' in text else ''}{classes}")
        ):
            yield row.line, text


def _is_heading(row: Entry, classes: str) -> bool:
    return (
        bool(row.text)
        and len(row.text) < 60
        and "Z" not in classes
        and not re.search(r"[.!]\s*$", row.text)
        and "C" not in classes
    )


def _kind(row: Entry, classes: str, before: list[Entry], *, numbered: bool, known: Lexicon) -> str:
    if not row.tokens:
        return "remark" if not row.labels else "empty"
    bare = "".join(cls for cls in classes if cls not in "q")
    last = before[-1] if before else None
    if _is_foundation(row, classes) and not (numbered and last and _mid_round(last, row, classes)):
        return "chain"
    if row.labels:
        return "empty" if _ASIDE.fullmatch(classes) else "round"
    if _LEGEND.fullmatch(classes):
        return "remark"
    if len(_EXPLAINED.findall(row.folded.text)) >= _LISTED:
        # "Abbreviations: MR = magic ring, sc = single crochet, inc = 2 sc in the same stitch"
        return "remark"
    first = row.tokens[0]
    if first.text == "aside" or (first.text == "remark" and first.end - first.start >= _SENTENCE_BEGINS):
        # "If you have no ring: chain 2 ...", "Without a magic ring: chain 2 ..."
        return "remark"
    if core(row.tokens) and told_for_all(row.folded.text[row.start :], known):
        return "every"
    if only_loops(row.tokens):
        return "loops"
    works = core(row.tokens) and mostly_known(classes)
    if numbered:
        if _MEASURED.search(row.folded.text[row.start :]) or (first.cls == "=" and core(row.tokens)):
            # "22 sts to 10 cm"; "= 6 sc in ring", which says the line above again
            return "remark"
        if last is not None and last.kind == "empty" and works and row.line - last.line <= 2:
            return "join"
        if (
            last is not None
            and last.kind == "round"
            and last.label is not None
            and unfinished(last, row, classes)
        ):
            return "join"
        if (
            works
            and starts(row.tokens)
            and re.search(r"ns|sn|Mn|nM|nt", bare)
            and (last is None or last.kind != "round" or not starts(last.tokens))
        ):
            return "round"
        if last is not None and last.kind == "round" and last.label is not None and _LAST_ROUND.search(bare):
            # "Stuff, then sc2tog around (6) and close."
            return "round"
        if works and re.search(r"nA?w", classes) and re.search(r"E|sa|sp?e|se|ns|r", bare):
            return "even"
        if re.match(r"(?:r[fz]?)(?:wn[.]?(?:$|A|n|x|X)|[LB]w(?:nA?x|nA|X))", bare):
            # "Repeat round 5 three more times."
            return "even"
        return "remark"
    if works and (bare[:1] in "nsidtcl([*{pexMbCO-·" or not re.search("[ZKQ]", classes)):
        return "round"
    if last is not None and last.kind == "round" and ONLY_COUNT.fullmatch(classes) and not has_count(last):
        return "join"
    return "remark"


#: "(right side):" behind a label: what is worked stands on the next line.
_ASIDE = re.compile(r"[(\[][^sidncltEDGMgxr()\[\]]*[)\]][:.]*")
#: "Key: sc - single crochet; inc - 2 sc in one stitch; MR - magic ring"
_LEGEND = re.compile(r"(?:[^;,]{0,3}:)?[sidMctlZEb][-=:][^;,]+(?:[;,][sidMctlZEbq][-=:][^;,]+)+[.]?")


def _mid_round(last: Entry, row: Entry, classes: str) -> bool:
    """Tell whether a line that could found a chain is the midst of a round that was broken."""
    broken = last.kind == "round" and last.label is not None and row.text.lstrip()[:1].islower()
    return broken and not row.labels and unfinished(last, row, classes)


def _is_foundation(row: Entry, classes: str, told: re.Pattern[str] = _FOUNDATION) -> bool:
    """Tell a line that only makes a chain, and perhaps joins it into a ring."""
    match = told.match(classes)
    if not match or "Y" in classes:
        # The chain between two legs founds nothing.
        return False
    number = next((token.value for token in row.tokens[: match.end()] if token.cls == "n"), 0)
    rest = row.tokens[match.end() :]
    works = any(token.cls in "sidkEDrH" for token in rest) or re.search("[tT][)]|[(]n[)]|=n", classes)
    return number > 1 and not works
