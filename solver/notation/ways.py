"""The ways to read the instructions of one line."""

from __future__ import annotations

from collections.abc import Sequence as Seq
from dataclasses import replace

from solver.notation.classes import core, unknown
from solver.notation.counts import contents
from solver.notation.entries import Entry
from solver.notation.fits import Way
from solver.notation.grammar import tree
from solver.notation.instructions import Reading, readings
from solver.notation.tokens import Token, shape

#: What it costs to work all of a line whose label stands in two languages.
_SAID_TWICE = 2.0


def ways_of(entry: Entry) -> list[Way]:
    """Return the ways to read the instructions of an entry, the likeliest first."""
    found: list[Way] = []
    doubled = entry.label is not None and entry.label.doubled
    for content in contents(entry.tokens):
        if unknown(content.body):
            continue
        for body, extra in _languages_apart(content.body, doubled=doubled):
            node = tree(body)
            if node is None:
                continue
            taken = content if extra == 0 else replace(content, body=tuple(body))
            found += [Way(taken, Reading(one.node, one.cost + extra, one.taken)) for one in readings(node)]
    return found


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
    told = [piece for piece in pieces if core(piece) or any(token.cls in "nz" for token in piece)]
    if not 2 <= len(told) <= 3 or not any(core(piece) for piece in told):
        return [(body, 0.0)]
    # Where the label is said twice, so are the instructions.
    whole = _SAID_TWICE if doubled else 0.0
    return [(body, whole), *((piece, 0.5 + 0.1 * i) for i, piece in enumerate(told))]


def garbled(entry: Entry) -> bool:
    """Tell a line that looks like a round, and can't be read, from a remark that happens to have a label."""
    if entry.kind in ("chain", "empty"):
        return False
    found = [token for token in entry.tokens if token.cls not in "q"]
    classes = shape(found)
    return core(found) or (bool(found) and not any(cls in "ZKCjuSM" for cls in classes))
