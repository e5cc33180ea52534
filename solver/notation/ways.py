"""The ways to read the instructions of one line."""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq
from dataclasses import replace

from solver.notation.choices import Reading, readings
from solver.notation.classes import core, unknown
from solver.notation.counts import MOST_WORDS, Content, contents
from solver.notation.dialect import language
from solver.notation.entries import Entry
from solver.notation.fits import Way
from solver.notation.grammar import tree
from solver.notation.lexicon import languages, lexicon
from solver.notation.loose import loosened
from solver.notation.remarks import asides
from solver.notation.token import Token, shape
from solver.notation.tokens import tokens

#: What it costs to work all of a line whose label stands in two languages.
_SAID_TWICE = 2.0


def ways_of(entry: Entry) -> list[Way]:
    """Return the ways to read the instructions of an entry, the likeliest first."""
    found: list[Way] = []
    if len(entry.tokens) > MOST_WORDS:
        return found
    doubled = entry.label is not None and entry.label.doubled
    for line, cost, told in asides(entry.tokens):
        for content in contents(line):
            if unknown(content.body):
                continue
            found += _guessed(content)
            for body, extra in _languages_apart(content.body, doubled=doubled):
                found += _ways(content, body, extra, cost, told)
    return found


def loose_ways(entry: Entry) -> list[Way]:
    """Return the ways to read an entry that leave out what may be a remark, where no other comes out."""
    if len(entry.tokens) > MOST_WORDS:
        return []
    return [
        way
        for line, cost, told in loosened(entry.tokens)
        for content in contents(line)
        if content.stated and not unknown(content.body)
        for way in _ways(content, content.body, 0.0, cost, told)
    ]


#: What it costs to take an unknown word for a stitch.
_GUESSED = 4.0
_STRANGE = re.compile(r"(?:^|[,;.:(*\[{n])z(?=$|[,;.:)*\]}])")
_GUESSES = (("i", "inc"), ("d", "dec"), ("s", "sc"))


def stranger(body: Seq[Token]) -> Token | None:
    """Return a short unknown word that stands where a stitch should; None without one."""
    kept = [token for token in body if token.cls not in "qb"]
    match = _STRANGE.search(shape(kept))
    if match is None:
        return None
    token = kept[match.end() - 1]
    return token if len(token.text) <= _SHORT and token.text.isalpha() else None


_SHORT = 5


def _guessed(content: Content) -> list[Way]:
    """Return the ways to read a line that has an unknown word for a stitch, each stitch tried."""
    word = stranger(content.body)
    if word is None or not core(content.body):
        return []
    found: list[Way] = []
    for cls, name in _GUESSES:
        body = [
            replace(token, cls=cls, text=name) if token.cls == "z" and token.text == word.text else token
            for token in content.body
        ]
        taken = replace(content, body=tuple(body), unknown=word.text, instead=name)
        found += _ways(taken, body, 0.0, _GUESSED, "")
    return found


def halves(entry: Entry, way: Way) -> list[tuple[list[Way], str]]:
    """Return the ways to read what a line tells in other languages behind a slash, each with its language."""
    doubled = entry.label is not None and entry.label.doubled
    for content in contents(entry.tokens):
        pieces = [body for body, _ in _languages_apart(content.body, doubled=doubled)[1:]]
        if way.content.body == content.body and any(t.cls == "z" for piece in pieces[1:] for t in piece):
            # Read as one, the words of the other language passed over.
            return [_half(entry, content, piece) for piece in pieces[1:]]
        if any(tuple(piece) == way.content.body for piece in pieces):
            return [_half(entry, content, piece) for piece in pieces if tuple(piece) != way.content.body]
    return []


def _half(entry: Entry, content: Content, piece: Seq[Token]) -> tuple[list[Way], str]:
    """Return the ways to read a half in the words of its own language; none where words are not known."""
    start, stop = piece[0].start, piece[-1].end
    likely = language([entry.folded.text[start:stop]], "")
    found: list[Way] = []
    for code in (likely, *(one for one in languages() if one != likely)):
        # A few letters may be words of several languages: "10 v".
        body = tokens(entry.folded, lexicon(code), start, stop)
        if core(body) and not any(token.cls == "z" for token in body):
            found += _ways(replace(content, body=tuple(body)), body, 0.0, 0.0, "")
    return found, likely


def _ways(content: Content, body: Seq[Token], extra: float, cost: float, told: str) -> list[Way]:
    node = tree(body)
    if node is None:
        return []
    taken = content if extra == 0 else replace(content, body=tuple(body))
    more = (told,) if told else ()
    return [
        Way(taken, Reading(one.node, one.cost + extra + cost, (*one.taken, *more))) for one in readings(node)
    ]


def _languages_apart(body: Seq[Token], *, doubled: bool) -> list[tuple[Seq[Token], float]]:
    """Return a body, and its pieces where slashes may part one language from another."""
    depth = 0
    pieces: list[list[Token]] = [[]]
    for token in body:
        depth += (token.cls in "([{") - (token.cls in ")]}")
        if token.cls == "/" and depth == 0:
            pieces.append([])
        else:
            pieces[-1].append(token)
    if len(pieces) == 1:
        pieces = _apart_by_dash(body)
    told = [piece for piece in pieces if core(piece) or any(token.cls in "nz" for token in piece)]
    if not 2 <= len(told) <= 3 or not any(core(piece) for piece in told):
        return [(body, 0.0)]
    # Where the label is said twice, so are the instructions.
    whole = _SAID_TWICE if doubled else 0.0
    return [(body, whole), *((piece, 0.5 + 0.1 * i) for i, piece in enumerate(told))]


def _apart_by_dash(body: Seq[Token]) -> list[list[Token]]:
    """Return what stands on both sides of a dash, where one side has words of another language."""
    at = [i for i, token in enumerate(body) if token.cls == "-" and not token.glued and 0 < i < len(body) - 1]
    sides = [list(body[: at[0]]), list(body[at[0] + 1 :])] if len(at) == 1 else []
    strange = [any(token.cls == "z" for token in side) for side in sides]
    alike = [shape([token for token in side if token.cls in "()[]x"]) for side in sides]
    return sides if sides and strange[0] != strange[1] and alike[0] == alike[1] != "" else [list(body)]


def garbled(entry: Entry) -> bool:
    """Tell a line that looks like a round, and can't be read, from a remark that happens to have a label."""
    if entry.kind in ("chain", "empty"):
        return False
    found = [token for token in entry.tokens if token.cls not in "q"]
    classes = shape(found)
    return core(found) or (bool(found) and not any(cls in "ZKCjuSM" for cls in classes))
