"""US or UK terms: declared, or told from the words; and words that belong to the other set."""

from __future__ import annotations

from collections import defaultdict

from solver.notation.likeliest import Line
from solver.notation.reader import Read

_UK_ONLY = frozenset({"htr", "dtr", "trtr"})
#: Lines that must work a stitch before another stitch alone on a line looks like one of the other terms.
_USUAL = 4


def page_terms(found: Read) -> tuple[str, bool]:
    """Return the terms of a page and whether it declares them; empty for languages with one set."""
    code = found.page.lexicon.code
    if not code.startswith("en-") and code != "letters":
        return "", False
    if found.page.declared:
        return found.page.declared, True
    return ("UK" if code == "en-UK" else "US"), False


def strangers(found: Read, terms: str, *, declared: bool) -> dict[int, list[tuple[str, str, int, int]]]:
    """Return, by line, the words that belong to the other terms: message, mend, place in the folded line."""
    told: dict[int, list[tuple[str, str, int, int]]] = defaultdict(list)
    if not terms:
        return told
    placed = [_placed(line) for line in found.lines]
    held = [{word for word, _, _ in words} for words in placed]
    with_sc = sum("sc" in words for words in held)
    with_dc = sum("dc" in words for words in held)
    others = sum(bool({"hdc", "tr", "htr", "half"} & words) for words in held)
    lone_dc = not declared and not others and with_sc >= _USUAL and with_dc <= max(1, with_sc // _USUAL)
    for i, words in enumerate(placed):
        for word, start, end in words:
            if terms == "US" and word in _UK_ONLY and (declared or with_sc):
                now = {"htr": "hdc", "dtr": "tr", "trtr": "dtr"}[word]
                told[i].append(
                    (f'"{word}" is a UK word, the rest is in US terms.', f"{word} -> {now}", start, end)
                )
            elif terms == "UK" and word == "sc" and (declared or with_dc > with_sc):
                told[i].append(('"sc" is a US word, the rest is in UK terms.', "sc -> dc", start, end))
            elif terms == "US" and word == "dc" and lone_dc and "sc" not in held[i]:
                message = '"dc" among rounds of sc: the UK word for sc, or a taller stitch meant?'
                told[i].append((message, "dc -> sc", start, end))
            if told.get(i):
                break
    return {i: here for i, here in told.items() if here}


def _placed(line: Line) -> list[tuple[str, int, int]]:
    """Return the words of a line as they are written (folded), and where."""
    text = line.entry.folded.text
    out: list[tuple[str, int, int]] = []
    for token in line.entry.tokens:
        if token.cls in "sdilk" or token.cls == "g":
            word = "".join(sign for sign in text[token.start : token.end] if sign.isalpha())
            out.append((word, token.start, token.end))
    return out
