"""Lines in their order: bare numbers that run on, and tables read from the bottom up."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

from solver.notation.classes import core, starts
from solver.notation.entries import Entry
from solver.notation.labels import Label
from solver.notation.lexicon import Lexicon
from solver.notation.token import Token, shape
from solver.notation.tokens import tokens

_BARE = re.compile(
    r"\s*(\d{1,3})(?:\s?(?:-|&|and|to|,)\s?(\d{1,3})(?=\s))?(\s?[^\W\d_sv]\.)?\s+(?=[^\s:.,)=-])(?!\d{1,3}\s?-)"
)


def with_bare_labels(rows: list[Entry], known: Lexicon) -> list[Entry]:
    """Take "1 6SC IN RING", "2 INC X 6" for rounds 1 and 2, where the numbers run on."""
    out = list(rows)
    run: list[tuple[int, Entry]] = []
    due = 1
    numbers = [_bare_number(row) for row in rows]
    for i, row in enumerate(rows):
        number = numbers[i]
        if number == 0:
            if row.labels and run:
                due = row.labels[0].numbers[-1] + 1
            continue
        match = _BARE.match(row.folded.text, row.start)
        assert match is not None
        cut = tuple(tokens(row.folded, known, match.end()))
        begins = core(cut) and (
            (number == 1 and starts(cut))
            or (number == 2 and not run and _slips(cut, i, rows, numbers, known))
        )
        if not begins and not (run and _works(cut) and _runs_on(number, due, numbers[i + 1 :])):
            continue
        run = [*run, (i, row)] if not begins else [(i, row)]
        last = int(match[2] or number)
        due = last + 1
        label = Label(tuple(range(number, last + 1)), match.end(), worded=False, separated=True)
        out[i] = replace(row, labels=(label,), tokens=cut)
    if len(run) == 1:
        out[run[0][0]] = run[0][1]
    return out


_COUNT_AHEAD = re.compile(r"\s*\(?(\d{1,3})\)?\s*[/|:=)>-]+\s+(?=\S)")
#: Lines with a count in front, before that is the way of a page.
_AHEAD = 4


def with_counts_ahead(rows: list[Entry]) -> list[Entry]:
    """Take "6 / mr", "12 / sc, 3 rnds" for counts in front, where the numbers are not those of rounds."""
    told = [
        (i, match)
        for i, row in enumerate(rows)
        if row.labels
        and not row.labels[0].worded
        and not row.labels[0].ranged
        and (match := _COUNT_AHEAD.match(row.folded.text, row.start)) is not None
        and row.tokens
    ]
    numbers = [int(match[1]) for _, match in told]
    # Rounds are counted one by one; stitches stay, fall, and grow by more.
    steps = [b - a for a, b in pairwise(numbers)]
    runs_on = sum(step == 1 for step in steps)
    if len(told) < _AHEAD or runs_on > 0.25 * len(steps) or 0 not in steps or min(numbers) < _FEWEST:
        return rows
    out = list(rows)
    last = 0
    for i, match in told:
        row = rows[i]
        second = _SECOND_COLUMN.match(shape(row.tokens))
        if second and row.tokens[0].value == last + 1:
            # "18 | 3 | (sc, inc) x 6": its number stands behind the count
            row = replace(row, tokens=row.tokens[second.end() :])
        several = _SEVERAL.search(shape(row.tokens))
        last = 0 if starts(row.tokens) else last
        rounds = range(last + 1, last + 1 + (row.tokens[several.start()].value if several else 1))
        last = rounds[-1] if rounds else last
        label = Label(tuple(rounds) or (last,), match.end(), worded=True, separated=True)
        place = row.folded.text.index(match[1], match.start())
        number = Token("n", match[1], int(match[1]), place, place + len(match[1]), False)
        opened, closed = (replace(number, cls=one, text=one, glued=False) for one in "()")
        out[i] = replace(row, labels=(label,), tokens=(*row.tokens, opened, number, closed))
    return out


_SEVERAL, _SECOND_COLUMN = re.compile("nA?w"), re.compile("n[=/:|]")


#: The fewest stitches of a round.
_FEWEST = 3


def _bare_number(row: Entry) -> int:
    """Return the number that a line without a label begins with; 0 without one."""
    match = _BARE.match(row.folded.text, row.start)
    if match is None or (row.labels and not (match[2] and match[3] and not row.labels[0].ranged)):
        return 0
    if match[2] and not 0 < int(match[2]) - int(match[1]) < _RANGE:
        return 0
    return int(match[1])


def _works(cut: tuple[Token, ...]) -> bool:
    """Tell an instruction, be it "(18) sc" alone."""
    return core(cut) or re.search("[sidEDl]|[ab].*n", shape(cut)) is not None


def _runs_on(number: int, due: int, following: list[int]) -> bool:
    """Tell whether a number is that of the round that is due, or a neighbour's, by mistake."""
    if number == due:
        return True
    after = next((one for one in following if one), 0)
    goes_on = after in (number, number + 1, due, due + 1) or not after
    return goes_on and abs(number - due) <= _ASTRAY


def _slips(cut: tuple[Token, ...], at: int, rows: list[Entry], numbers: list[int], known: Lexicon) -> bool:
    """Tell whether a 2 stands for a first round: another 2 follows, or the 1 that it was swapped with."""
    place = next((i for i, number in enumerate(numbers) if i > at and number), None)
    if place is None:
        return False
    row = rows[place]
    match = _BARE.match(row.folded.text, row.start)
    begins = starts(tokens(row.folded, known, match.end() if match else row.start))
    return (numbers[place] == 2 and starts(cut)) or (numbers[place] == 1 and begins)


#: Most rounds of a range without a sign behind it.
_RANGE = 60
#: How far the number of a round may be off, for it to be one.
_ASTRAY = 2


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
