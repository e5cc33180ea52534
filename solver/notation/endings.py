"""What becomes of a part's last edge, by the words behind its rounds: sewn flat, drawn in, left open."""

from __future__ import annotations

import re
from functools import cache

from solver.notation.entries import Entry
from solver.notation.lexicon import pieces
from solver.notation.reader import Read
from solver.notation.words import words

#: Lines behind the last round that may tell of its edge; what comes later is about putting parts together.
_LINES = 4
#: Words that may stand where a phrase of the tables has "...".
#: The first letter of scripts that put no spaces between words.
_NO_SPACES = "\u3040"
_BETWEEN = r"(?: \S+){0,8}? "
_SENTENCE = re.compile(r"[.;!?]")
#: As in the tables, under [also]; the first that is found counts.
_NOTIONS = ("seamed", "cinched", "closed", "opened")


def endings(found: Read) -> tuple[str, ...]:
    """Return, for each part of a page, "seamed", "cinched", "closed", "opened", "open", or "".

    "opened" is a tail for sewing, as strangers leave it on closed parts too; "open" is said in our own words,
    which tell an open edge from a closed one.
    """
    lines = found.lines
    told = [""] * (lines[-1].part + 1 if lines else 0)
    for line, after in zip(lines, (*lines[1:], None), strict=False):
        if after is None or after.part != line.part:
            stop = after.entry.line if after else len(found.page.texts) + 1
            told[line.part] = _ending(_behind(found, line.entry, stop), found.page.lexicon.code)
    return tuple(told)


def tells_of_seam(text: str, code: str) -> bool:
    """Tell whether a folded line speaks of a last edge sewn flat, in the language of a word table."""
    return _ending([text], code) == "seamed"


def _behind(found: Read, entry: Entry, stop: int) -> list[str]:
    """Return the lines from the end of a part's last round to the next part or heading."""
    last = entry.line + entry.text.count("\n")
    told: list[str] = []
    for text in found.page.texts[last - 1 : max(stop - 1, last)]:
        if told and text.rstrip().endswith(":"):
            break
        if told and _goes_on(told[-1], text):
            told[-1] += f"{'' if text.strip()[:1] >= _NO_SPACES else ' '}{text.strip()}"
        elif text.strip():
            told.append(text.strip())
    return told[: _LINES + 1]


def _goes_on(before: str, text: str) -> bool:
    """Tell whether a line goes on with a sentence that was broken to fit a column."""
    begins = text.strip()[:1]
    small = begins.islower() or begins.isdigit() or begins >= _NO_SPACES
    return small and not before.endswith((".", "!", "?", ":", ")", "]", "\N{IDEOGRAPHIC FULL STOP}"))


def _ending(texts: list[str], code: str) -> str:
    left_open = False
    patterns = _patterns(code)
    if any(_ours(code) in pieces(text) for text in texts):
        return "open"
    for sentence in (pieces(each) for text in texts for each in _SENTENCE.split(text)):
        notion = next((name for name in _NOTIONS if patterns[name].search(sentence)), "")
        if notion == "opened" or (notion and patterns["never"].search(sentence)):
            left_open = True
        elif notion:
            return notion
    return "opened" if left_open else ""


@cache
def _ours(code: str) -> str:
    """Return the sentence that our own pages say of an open edge."""
    return pieces(words(code).say("plain", "finish_open"))


@cache
def _patterns(code: str) -> dict[str, re.Pattern[str]]:
    """Return what to search for, by notion; English stays readable under every other language."""
    tables = [words(code), *([] if code.startswith("en-") else [words("en-US")])]
    return {
        notion: re.compile(
            r"\b(?:"
            + "|".join(_phrase(phrase) for table in tables for phrase in table.also.get(notion, ()))
            + r")\b"
        )
        for notion in (*_NOTIONS, "never")
    }


def _phrase(phrase: str) -> str:
    return _BETWEEN.join(re.escape(pieces(part)) for part in phrase.split("..."))
