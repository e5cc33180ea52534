"""Remarks in a line, told from its instructions."""

from __future__ import annotations

import re
from collections.abc import Iterator

from solver.notation.brackets import COUNTS, bracket_end, groups
from solver.notation.classes import CORE, core
from solver.notation.tokens import Token, shape


def _clauses(found: list[Token]) -> Iterator[list[Token]]:
    """Yield the parts of a line between separators that stand outside brackets; a separator ends its part."""
    depth = 0
    current: list[Token] = []
    ends = {group.end for group in groups(found) if group.kind in COUNTS}
    for i, token in enumerate(found):
        current.append(token)
        if token.cls in "([{":
            depth += 1
        elif token.cls in ")]}":
            depth = max(0, depth - 1)
            if i in ends and depth == 0:
                yield current
                current = []
        elif depth == 0 and token.cls in ",;.:" and not _and_between_numbers(found, i):
            yield current
            current = []
    if current:
        yield current


def _and_between_numbers(found: list[Token], at: int) -> bool:
    """Tell the "and" of "between rounds 3 and 4", which ends no clause."""
    return (
        found[at].text in ("and", "then")
        and 0 < at < len(found) - 1
        and found[at - 1].cls in "no"
        and found[at + 1].cls in "now"
    )


def _without_other_start(found: list[Token]) -> list[Token]:
    """Drop the second of two ways to begin: "6 sc in ring or ch 2, 6 sc in 2nd ch from hook"."""
    at = next((i for i, token in enumerate(found) if token.text == "or"), None)
    if at is None or not core(found[:at]) or not any(t.cls in "MH" for t in found[at:] + found[:at]):
        return found
    ends = [group.at for group in groups(found) if group.kind in COUNTS and group.at > at]
    return found[:at] + (found[ends[0] :] if ends else [])


def without_remarks(found: list[Token]) -> list[Token]:
    """Return the tokens of a line without its remarks."""
    found = _without_other_start(_without_remark_brackets(found))
    kept: list[Token] = []
    for clause in _clauses(found):
        classes = shape(clause)
        telling = "Z" in classes or "K" in classes or "C" in classes
        if telling and not CORE.search(shape([t for t in clause if t.cls not in "qC"])):
            kept += _counts_of(clause)
            continue
        if any(token.text == "remark" for token in clause) and not re.search(r"[id]|n[sc]", classes):
            kept += _counts_of(clause)
            continue
        kept += clause
    return kept


def _counts_of(clause: list[Token]) -> list[Token]:
    """Return the counts in brackets that stand in a remark, and the sign that ends it."""
    found = [
        token
        for group in groups(clause)
        if group.kind in ("count", "several", "both", "unit")
        for token in clause[group.at : group.end + 1]
    ]
    if clause[-1].cls in ".;":
        found.append(clause[-1])
    return found


def _without_remark_brackets(found: list[Token]) -> list[Token]:
    """Drop brackets that say nothing of stitches: "(RS)", "(optional)", "(or ch 2, ...)", "(make 2)"."""
    out: list[Token] = []
    at = 0
    while at < len(found):
        end = bracket_end(found, at)
        if end is None or found[at].cls == "<":
            out.append(found[at])
            at += 1
            continue
        inner = [token for token in found[at + 1 : end] if token.cls != "q"]
        classes = shape(inner)
        remark = (
            not inner
            or (inner[0].cls == "o" and inner[0].text == "or")
            or (not re.search(r"[nX]", classes) and "w" in classes and re.search(r"[idE]", classes))
            or (not re.search(r"[idnEDGX]|s|t", classes) and "r" not in classes and "a" not in classes)
            or (re.search(r"[ZKCY]", classes) and not re.search(r"[id]|n[sc]|s[np]", classes))
        )
        if remark:
            if "b" in classes:
                out += [token for token in inner if token.cls == "b"]
            at = end + 1
            continue
        out.append(found[at])
        at += 1
    return out
