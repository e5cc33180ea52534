"""Lines in their order: bare numbers that run on, and tables read from the bottom up."""

from __future__ import annotations

import re
from dataclasses import replace

from solver.notation.classes import core, starts
from solver.notation.entries import Entry
from solver.notation.labels import Label
from solver.notation.lexicon import Lexicon
from solver.notation.tokens import tokens

_BARE = re.compile(r"\s*(\d{1,3})\s+(?=[^\s:.,)=-])")


def with_bare_labels(rows: list[Entry], known: Lexicon) -> list[Entry]:
    """Take "1 6SC IN RING", "2 INC X 6" for rounds 1 and 2, where the numbers run on."""
    out = list(rows)
    run: list[tuple[int, Entry]] = []
    due = 1
    for i, row in enumerate(rows):
        match = _BARE.match(row.folded.text, row.start)
        if row.labels or match is None:
            if row.labels and run:
                due = row.labels[0].numbers[-1] + 1
            continue
        number = int(match[1])
        cut = tuple(tokens(row.folded, known, match.end()))
        begins = number == 1 and starts(cut) and core(cut)
        if not begins and (number != due or not run or not core(cut)):
            continue
        run = [*run, (i, row)] if not begins else [(i, row)]
        due = number + 1
        label = Label((number,), match.end(), worded=False, separated=True)
        out[i] = replace(row, labels=(label,), tokens=cut)
    if len(run) == 1:
        out[run[0][0]] = run[0][1]
    return out


def upright(entries: list[Entry]) -> list[Entry]:
    """Turn round a table that is read from the bottom up: 5, 4, 3, 2, 1."""
    out: list[Entry] = []
    run: list[Entry] = []
    for entry in entries:
        number = entry.label.numbers[0] if entry.label and not entry.label.ranged else 0
        due = run[-1].label.numbers[0] - 1 if run and run[-1].label else 0
        if run and (not number or number != due):
            out += run
            run = []
        if number and (not run or number == due):
            run.append(entry)
        else:
            out.append(entry)
        if len(run) > 2 and number == 1:
            out += reversed(run)
            run = []
    return out + run
