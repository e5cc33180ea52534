"""The smallest change to a line that makes it use the stitches that are there and make what it states."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Sequence as Seq
from dataclasses import dataclass, replace
from itertools import pairwise

from solver.notation.brackets import Stated
from solver.notation.choices import readings
from solver.notation.fits import Fit
from solver.notation.grammar import tree
from solver.notation.instructions import TooManyError, totals, worked
from solver.notation.likeliest import Line
from solver.notation.token import Token

#: Most numbers of a line that are tried; a longer line is mended at its count alone.
_MOST_NUMBERS = 16
#: Most words and signs of a line that is mended.
LONGEST = 90


@dataclass(frozen=True, slots=True)
class Mend:
    """A change to a line as it was written.

    Attributes
    ----------
    start, end : int
        The place in the folded line.
    old, new : str
        What stands there, and what should.
    kind : str
        "count", "multiplier", "number" or "word".
    """

    start: int
    end: int
    old: str
    new: str
    kind: str


def mended(line: Line, mend: Mend) -> str:
    """Return the original text of a line with a change made."""
    folded, text = line.entry.folded, line.entry.text
    first = folded.place(mend.start) - line.entry.offset
    last = folded.place(mend.end - 1) + 1 - line.entry.offset
    return text[:first] + mend.new + text[last:]


def count_mend(stated: Stated, line: Line, count: int) -> Mend:
    """Return the change of a stated count."""
    inside = [
        t for t in line.entry.tokens if stated.start <= t.start and t.end <= stated.end and t.cls in "no"
    ]
    digits = next((t for t in inside if t.value == stated.count), next(iter(inside), None))
    if digits is None:
        return Mend(stated.start, stated.end, str(stated.count), str(count), "count")
    end = (
        digits.start + len(str(digits.value))
        if line.entry.folded.text[digits.start].isdigit()
        else digits.end
    )
    return Mend(digits.start, end, line.entry.folded.text[digits.start : end], str(count), "count")


def body_mends(line: Line, *, uses: int | None, makes: int | None) -> list[Mend]:
    """Return the changes of one number or word that mend a line, the smallest first.

    Parameters
    ----------
    line : Line
        A line that was read.
    uses, makes : int or None
        Stitches that it should use and make; None when that is free.
    """
    assert line.fit is not None
    body = line.fit.way.content.body
    if len(body) > LONGEST:
        return []
    found = [
        (abs(int(mend.new) - int(mend.old)) if mend.new.isdigit() else 1, mend)
        for mend in _numbers(line, body, uses, makes)
    ]
    found += [(1, mend) for mend in _swapped(line, body, uses, makes)]
    rank = {"multiplier": 0, "number": 1, "word": 2}
    found.sort(
        key=lambda one: (
            one[0] * (1 if one[1].kind == "multiplier" else 1.5),
            rank[one[1].kind],
            _unlike(body, one[1]),
        )
    )
    return [mend for _, mend in found]


def _unlike(body: Seq[Token], mend: Mend) -> int:
    """Return how many different numbers stand before stitches once a mend is made: rounds are regular."""
    pairs = set()
    for token, after in pairwise(body):
        if token.cls == "n" and after.cls in "sidtc":
            value = mend.new if token.start == mend.start else str(token.value)
            pairs.add((value, after.text))
    return len(pairs)


def _numbers(line: Line, body: Seq[Token], uses: int | None, makes: int | None) -> Iterator[Mend]:
    places = [i for i, token in enumerate(body) if token.cls == "n" and _is_written(line, token)]
    for place in places[:_MOST_NUMBERS]:
        token = body[place]
        for value in _candidates(line, body, place, uses, makes):
            if (
                value != token.value
                and 1 <= value <= 2000
                and _comes_out(line, _with(body, place, value), uses, makes)
            ):
                kind = "multiplier" if _multiplies(body, place) else "number"
                yield Mend(token.start, token.end, str(token.value), str(value), kind)
                break


def _is_written(line: Line, token: Token) -> bool:
    return line.entry.folded.text[token.start : token.end] == token.text


def _multiplies(body: Seq[Token], place: int) -> bool:
    before = body[place - 1].cls if place else ""
    after = body[place + 1].cls if place + 1 < len(body) else ""
    star = before == "*" and place > 1 and body[place - 2].cls in ")]}*sidn"
    tight = before == ")" and body[place].glued and after not in tuple("sidtclA")
    return before in ("x", "r") or star or tight or after in ("x", "A")


def _with(body: Seq[Token], place: int, value: int) -> list[Token]:
    changed = list(body)
    changed[place] = replace(body[place], value=value, text=str(value))
    return changed


def _candidates(line: Line, body: Seq[Token], place: int, uses: int | None, makes: int | None) -> list[int]:
    """Return values worth trying: those beside the written one, and the one a straight line leads to."""
    value = body[place].value
    tries = [value + 1, value - 1]
    come = [_literal(line, _with(body, place, v)) for v in (value, value + 1)]
    if come[0] is not None and come[1] is not None:
        for wanted, which in ((uses, 0), (makes, 1)):
            slope = come[1][which] - come[0][which]
            if wanted is not None and slope:
                step, rest = divmod(wanted - come[0][which], slope)
                if rest == 0:
                    tries.append(value + step)
    return list(dict.fromkeys(tries))


def _literal(line: Line, body: Seq[Token]) -> tuple[int, int] | None:
    """Return what a body uses and makes in the way that the line was taken."""
    fit = line.fit
    assert fit is not None
    node = tree(body)
    if node is None:
        return None
    try:
        for reading in readings(node):
            if reading.taken == fit.way.reading.taken:
                if fit.first.fill and fit.there is not None:
                    come = worked(reading.node, fit.there)
                    return come.uses, come.makes
                return totals(reading.node)
        return totals(node)
    except TooManyError:
        return None


def _comes_out(line: Line, body: Seq[Token], uses: int | None, makes: int | None) -> bool:
    node = tree(body)
    if node is None:
        return False
    try:
        for reading in readings(node):
            come = worked(reading.node, uses, makes=makes)
            if (
                come.over <= 0
                and (uses is None or come.uses == uses)
                and (makes is None or come.makes == makes)
            ):
                return True
    except TooManyError:
        return False
    return False


def _swapped(line: Line, body: Seq[Token], uses: int | None, makes: int | None) -> Iterator[Mend]:
    """Yield the change of increases to decreases, or the other way: translations swap them."""
    kinds = {token.cls for token in body} & {"i", "d"}
    if len(kinds) != 1:
        return
    old = kinds.pop()
    new = "d" if old == "i" else "i"
    words = {"i": "inc", "d": "dec"}
    changed = [replace(t, cls=new, text=words[new]) if t.cls == old else t for t in body]
    if _comes_out(line, changed, uses, makes):
        first = next(t for t in body if t.cls == old)
        yield Mend(
            first.start, first.end, line.entry.folded.text[first.start : first.end], words[new], "word"
        )


def left_over(fit: Fit) -> int:
    """Return the stitches that a line leaves unworked (negative: that it lacks)."""
    return 0 if fit.there is None else fit.there - fit.first.uses
