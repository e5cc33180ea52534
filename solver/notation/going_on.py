"""Lines that go on: broken in the midst of a word, a bracket or a sentence, or before their count."""

from __future__ import annotations

import re
from dataclasses import replace

from solver.notation.classes import core, mostly_known
from solver.notation.entries import Entry
from solver.notation.fold import Folded
from solver.notation.lexicon import Lexicon
from solver.notation.token import shape
from solver.notation.tokens import tokens

ONLY_COUNT = re.compile(r"[=-]?[(\[{<]?[T=q]*n[tsTq]*[)\]}>]?[.q]*")
#: A star that is no times sign.
_STAR = re.compile(r"(?<![)\]}*])\*|\*(?!n)")
_GOES_ON = re.compile(r"[,;]?(?:r[fq]*(?:[*naxXe(\[]|[.]?$)|a|x?n?x|[)\]}*](?!\*))")


def broken_off(before: Entry, row: Entry) -> bool:
    """Tell whether a line may be one that was broken to fit a column, by its letters alone."""
    shown = before.text.rstrip()
    long = len(shown) >= _WRAPPED_FROM and not shown.endswith((".", "!", "?", ":", ")", "]"))
    return long and row.line == before.line + 1 and row.text.lstrip()[:1].islower()


#: Signs of a line from which it may have been broken.
_BROKEN_FROM = 40


def sentence_goes_on(before: Entry, row: Entry) -> bool:
    """Tell whether a line goes on with the sentence of the line before."""
    shown = before.text.rstrip()
    begins = row.text.lstrip()[:1]
    indented = row.text[:2].isspace() and not before.text[:1].isspace()
    return (
        row.line == before.line + 1
        and len(shown) >= _BROKEN_FROM
        and not shown.endswith((".", "!", "?", ":", ")", "]"))
        and (begins.islower() or (indented and not begins.isupper()))
    )


def has_count(entry: Entry) -> bool:
    """Tell whether a line states a count."""
    classes = shape(entry.tokens)
    return bool(
        re.search(
            r"[(\[{<][T=q]*n[tsTqz,]*[)\]}>]|[=~>][q(]*n[ts]?|[-,.:]n[ts]?T?[.-]?$|n[ts]?[TR]|T[=:q]*n",
            classes,
        )
    )


def unfinished(last: Entry, row: Entry, classes: str) -> bool:
    """Tell whether a line goes on with the round of the line before."""
    before = shape(last.tokens)
    if row.line - last.line - last.text.count("\n") > 1:
        return False
    opened = before.count("(") + before.count("[") > before.count(")") + before.count("]")
    open_star = len(_STAR.findall(before)) % 2 == 1 and "r" not in before and "x" not in before
    if ONLY_COUNT.fullmatch(classes):
        return not has_count(last)
    if _wrapped(last, row, classes, opened=opened):
        return True
    works = core(row.tokens) or bool(_GOES_ON.match(classes))
    if not works or not mostly_known(classes):
        return False
    if opened or open_star or before.endswith(",") or before.endswith("+"):
        return True
    return (
        not has_count(last)
        and not re.search("[ZK]", classes)
        and (bool(_GOES_ON.match(classes)) or has_count(row))
    )


#: Words that can't end a line: "in", "next", "each", a number, "and", "from", "with".
_HANGING = re.compile(r"[pNemFfv,(\[]$")
#: Words of a place alone: "each of the".
_PLACE = re.compile("[eqpNLFm]+")
_NUMBER_LAST = re.compile(r"[^)\]xX*]n$")
_WRAPPED_FROM = 24


def _wrapped(last: Entry, row: Entry, classes: str, *, opened: bool) -> bool:
    """Tell a line that was broken to fit a column."""
    shown = last.text.rsplit("\n", 1)[-1].rstrip()
    begins = row.text.lstrip()[:1]
    if not begins or (begins.isalpha() and begins.isupper()) or has_count(last):
        return False
    before = shape(last.tokens)
    if opened and re.match(r"[^(\[]{0,6}[)\]]", classes):
        return True
    hangs = bool(_HANGING.search(before.rstrip("q")))
    stitched = any(token.cls in "sidtclnrxHO" for token in row.tokens)
    stitched = stitched or (hangs and _PLACE.fullmatch(classes) is not None)
    if shown.endswith(":") and "," in last.text and (begins.islower() or begins.isdigit()):
        return stitched  # "..., turn to the other side of the ch:" / "sc in each of the next 9 ch"
    if shown.endswith((".", "!", "?", ":", ")", "]")):
        return False
    broken = "\n" in last.text  # once before, so a short line is no sign of an end
    if begins.islower() and (_NUMBER_LAST.search(before) or len(shown) >= _WRAPPED_FROM or broken):
        return stitched
    return stitched and begins in "([*0123456789" + begins.lower() and hangs


_HYPHENATED = re.compile(r"[^\W\d_]-$")


def hyphenated(before: Entry, row: Entry) -> bool:
    """Tell a line that ends in the midst of a word, which the next one ends."""
    broken = _HYPHENATED.search(before.folded.text.rstrip()) is not None
    return broken and row.text.lstrip()[:1].islower() and not row.labels


def joined(entry: Entry, row: Entry, known: Lexicon) -> Entry:
    """Return an entry that goes on over a further line."""
    begun = entry.folded.text.rstrip()
    hyphen = hyphenated(entry, row)
    if hyphen or _word_goes_on(begun, row, known):
        ahead, joint = (begun[:-1], "") if hyphen else (begun, " ")
        behind = row.folded.text.lstrip()
        there = row.folded.origin[len(row.folded.text) - len(behind) :]
        origin = (
            *entry.folded.origin[: len(ahead)],
            *(len(entry.text) for _ in joint),
            *(len(entry.text) + 1 + place for place in there),
        )
        words = Folded(f"{ahead}{joint}{behind}", origin)
        start = entry.labels[0].end if entry.labels else entry.start
        found = tuple(tokens(words, known, start))
        return replace(entry, text=f"{entry.text}\n{row.text}", folded=words, tokens=found)
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


_LAST_WORD, _FIRST_WORD = re.compile(r"[^\W\d_]+$"), re.compile(r"\s*([^\W\d_]+)")


def _word_goes_on(begun: str, row: Entry, known: Lexicon) -> bool:
    """Tell whether a line broke within a spelling of two words: "4 double", "crochets, inc"."""
    last, first = _LAST_WORD.search(begun), _FIRST_WORD.match(row.folded.text)
    return bool(last and first and not row.labels and known.find(f"{last[0]} {first[1]}"))
