"""Lines taken at their word: where a sum does not come out and the wording, not the sum, may be why.

A line is accused of its sum where that sum is certain: its wording is plain, or comes out elsewhere in the
part; or the next line is worked into what it makes and not into what it states; or it is off by no more than
a slip of the pen; or every word of it is known, and one other number mends it. Any other line was read in
part: it is taken at the count that it states, and told so.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from collections.abc import Sequence as Seq
from dataclasses import replace

from solver.notation.choices import Reading
from solver.notation.classes import core
from solver.notation.counts import contents, said
from solver.notation.fits import MOST_ROUNDS, Fit, Step, Way
from solver.notation.instructions import Sequence, TooManyError, Worked, worked
from solver.notation.likeliest import Line, best_chain
from solver.notation.mend import LONGEST, body_mends
from solver.notation.token import Token, shape
from solver.notation.ways import garbled

#: Most lines of a part that are taken at their word, one after the other.
_MOST = 24


#: The lines of a part in their order, by their entries.
_Steps = dict[int, Step]


def read_part(steps: list[Step], part: int) -> list[Line]:
    """Return the lines of a part, each in its likeliest reading, or at its word where none is certain."""
    lines = best_chain(steps, part)
    by_entry: _Steps = {id(step.entry): step for step in steps}
    for _ in range(_MOST):
        # The first such line alone: those behind it may only follow from it.
        taken = next(
            (
                (line, fit)
                for i, line in enumerate(lines)
                if (fit := _judged(lines, i, by_entry[id(line.entry)])) is not None
            ),
            None,
        )
        if taken is None:
            break
        by_entry[id(taken[0].entry)].settled = taken[1]
        lines = best_chain(steps, part)
    return _in_a_strange_hand(_counted_otherwise(lines, by_entry, part), by_entry, part)


#: How far all counts of a part may be off by the same, and how many tell that they are counted otherwise.
_SAME_WAY, _COUNTS = 3, 3


def _counted_otherwise(lines: list[Line], steps: _Steps, part: int) -> list[Line]:
    """Return a part, its counts taken as right where all are off alike, or tell the change instead."""
    off = _miscounted(lines)
    changes = [
        fit.there is not None and line.stated == abs(fit.counts[-1] - fit.there) for line, fit, _ in off
    ]
    by = {difference for *_, difference in off}
    right = sum(line.stated is not None for line in lines) - len(off)
    alike = len(by) == 1 and len(off) >= _COUNTS and right <= len(off) and abs(max(by)) <= _SAME_WAY
    if not alike and not (len(off) >= _COUNTS - 1 and all(changes)):
        return lines
    note = f"counted with {max(by):+d} in every round" if alike else "the number is the change, not the count"
    for _ in range(_MOST):
        for line, fit, difference in off:
            if not alike or difference in by:
                reading = fit.way.reading._replace(taken=(*fit.way.reading.taken, note))
                settled = fit._replace(way=replace(fit.way, reading=reading), count_ok=True)
                steps[id(line.entry)].settled = settled
        lines = best_chain(list(steps.values()), part)
        # Those that followed a count before follow what is made now.
        off = _miscounted(lines) if alike else []
        if not any(difference in by for *_, difference in off):
            break
    return lines


def _miscounted(lines: list[Line]) -> list[tuple[Line, Fit, int]]:
    """Return the lines that use what is there and state another count than they make, with the difference."""
    return [
        (line, line.fit, line.stated - line.fit.counts[-1])
        for line in lines
        if line.fit is not None
        and line.fit.uses_ok
        and not line.fit.count_ok
        and line.stated is not None
        and not line.fit.at_word
    ]


#: Lines that must not come out, and their share, before a whole part is not understood.
_OFF, _OFF_SHARE = 3, 0.5


def _in_a_strange_hand(lines: list[Line], steps: _Steps, part: int) -> list[Line]:
    """Return a part, its lines at their word that don't come out, where most of them don't."""
    off = _not_understood(lines)
    judged = sum(
        line.fit is not None and (line.fit.there is not None or line.stated is not None) for line in lines
    )
    if len(off) < _OFF or len(off) <= _OFF_SHARE * judged:
        return lines
    for _ in range(_MOST):
        if not off:
            break
        line, fit = off[0]
        stated = fit.counts[-1] if line.stated is None else line.stated
        steps[id(line.entry)].settled = _taken(line, fit.way, stated)
        lines = best_chain(list(steps.values()), part)
        off = _not_understood(lines)
    return lines


def _not_understood(lines: list[Line]) -> list[tuple[Line, Fit]]:
    """Return the lines that don't come out, and are worded like none that does."""
    return [
        (line, line.fit)
        for line in lines
        if line.fit is not None and not _settled(line.fit) and not _proven(lines, line.fit)
    ]


def _settled(fit: Fit) -> bool:
    """Tell a line that comes out, or is not judged."""
    return fit.at_word or fit.comes_out


def _judged(lines: Seq[Line], at: int, step: Step) -> Fit | None:
    """Return what is made of a line that is wrong and not plain: taken at its word, or to be accused as read.

    None where nothing has to be changed.
    """
    if step.settled is not None:
        return None
    line = lines[at]
    fit = line.fit
    after = lines[at + 1].fit if at + 1 < len(lines) else None
    if fit is None:
        stated = said(line.entry.tokens) if garbled(line.entry) else None
        numbers = [token.value for token in line.entry.tokens if token.cls == "n"]
        half_read = core(line.entry.tokens) or (stated is not None and numbers.count(stated) > 1)
        if (
            stated is None
            or not half_read
            or step.begun.kind == "chain"
            or after is None
            or not _comes_out(after, stated)
        ):
            return None
        return _taken(line, Way(contents(line.entry.tokens)[0], Reading(Sequence(()), 0.0, ())), stated)
    stated = line.stated
    cut = fit.first.over > 0 and not (fit.count_ok and fit.way.content.stated)
    if stated is None or (fit.comes_out and not cut) or fit.given:
        return None
    if fit.sides is not None or _borne_out(line, after, stated) or _proven(lines, fit):
        return None
    tried = step.fits.get(fit.there) or [one for fits in step.fits.values() for one in fits]
    if _plain(fit):
        # Accused as it is read; of two such readings as the one in which a repeat alone is wrong.
        beside = [one for one in tried if one is not fit and one.cost < fit.cost + _BESIDE][:_TRIED]
        return next((one for one in beside if _repeat_wrong(line, one, stated)), None)
    body = _without_lead(fit.way.content.body)
    known = all(token.cls != "z" for token in body)
    if not any(token.cls in _STITCHES for token in body) and any(token.cls in _AS_OTHER for token in body):
        # The words of another line, which are known by it.
        return None
    if sum("e" in clause and "n" not in clause for clause in re.split("[,;.]", shape(body))) > 1:
        # "sc in each ch, sc in each st of the leg": how many of each is told nowhere.
        return _taken(line, fit.way, stated)
    if _off_elsewhere(lines, fit):
        return _taken(line, fit.way, stated)
    likely = [one for one in tried if one.cost < fit.cost + _LIKELY]
    for one in (fit, *likely[:_TRIED]):
        if _mended(replace(line, fit=one), stated):
            return None if one is fit else one
    if _near(fit, stated, _SLIP if known or fit.uses_ok else 1):
        return None
    return next((one for one in likely if _near(one, stated, 1)), None) or _taken(line, fit.way, stated)


def _repeat_wrong(line: Line, fit: Fit, stated: int) -> bool:
    """Tell whether another number of repeats makes a reading come out that is not the likeliest."""
    if fit.there is None or fit.way.reading.taken == (line.fit.way.reading.taken if line.fit else ()):
        return False
    mends = body_mends(replace(line, fit=fit), uses=fit.there, makes=stated)
    return any(mend.kind == "multiplier" for mend in mends)


def _off_elsewhere(lines: Seq[Line], fit: Fit) -> bool:
    """Tell whether another line worded in the same way does not come out either: the wording may be why."""
    return any(not _settled(other) for _, other in _worded_like(lines, fit))


def _proven(lines: Seq[Line], fit: Fit) -> bool:
    """Tell whether a line worded in the same way comes out: its words are understood."""
    return any(
        other.comes_out and not other.at_word and line.stated is not None
        for line, other in _worded_like(lines, fit)
    )


def _worded_like(lines: Seq[Line], fit: Fit) -> Iterator[tuple[Line, Fit]]:
    """Yield the other lines that are worded in the same way."""
    worded = shape(fit.way.content.body)
    for line in lines:
        other = line.fit
        if other is not None and other is not fit and shape(other.way.content.body) == worded:
            yield line, other


def _taken(line: Line, way: Way, stated: int) -> Fit:
    rounds = min(max(len(line.fit.counts) if line.fit else len(line.rounds), 1), MOST_ROUNDS)
    there = line.fit.there if line.fit else None
    counts = (stated,) * rounds
    return Fit(way, there, Worked(there or stated, stated, 0, 0), counts, True, True, 0.0, at_word=True)


def _comes_out(fit: Fit, there: int) -> bool:
    """Tell whether a reading uses so many stitches, and makes what it states."""
    try:
        come = worked(fit.way.reading.node, there)
    except TooManyError:
        return False
    stated = fit.way.content.stated
    makes = not stated or len(fit.counts) > 1 or stated[-1].count == come.makes
    return come.uses == there and come.even and come.over <= 0 and makes


def _borne_out(line: Line, after: Fit | None, stated: int) -> bool:
    """Tell whether the next line is worked into what a line makes, and not into what it states."""
    fit = line.fit
    if fit is None or after is None or not fit.uses_ok or line.made is None:
        return False
    return _comes_out(after, line.made) and not _comes_out(after, stated)


#: A slip of the pen is small; a wording taken wrong is far off.
_SLIP = 2
#: What a reading may cost more than one that is as plain.
_BESIDE = 1.0
#: Readings of a line of which one number may mend it.
_TRIED = 4
#: What another reading may cost more than the likeliest.
_LIKELY = 3.0
#: Words that take a round from another line.
_AS_OTHER = "rPm"
_STITCHES = "sidDEGM"


def _near(fit: Fit, stated: int, slip: int) -> bool:
    """Tell whether a line misses what is there, and what it states, by no more than a slip."""
    uses = 0 if fit.there is None else abs(fit.first.uses - fit.there)
    return max(uses, abs(fit.counts[-1] - stated)) <= slip


def _mended(line: Line, stated: int) -> bool:
    """Tell whether one other number would make a line use what is there and make what it states."""
    fit = line.fit
    if fit is None or any(token.cls == "z" for token in _without_lead(fit.way.content.body)):
        return False
    if fit.there is None:
        # Into a ring: how often something is worked.
        mends = body_mends(line, uses=None, makes=stated) if line.begun.kind == "ring" else []
        return any(mend.kind == "multiplier" for mend in mends)
    return bool(body_mends(line, uses=fit.there, makes=stated))


_STITCH = "(?:n?[sidDlk]n?|[sidDlk]xn|n)"
_PLACE = "(?:pq?(?:M|[eNLF]?n?[stc]?[tc]?))"
_ITEM = f"(?:{_STITCH}{_PLACE}?|sng{_PLACE}?|p?e(?:o|n|2)(?:,?o)?[tsc]?(?:[iD]|dn?|s?g))"
_LIST = f"{_ITEM}(?:[,;.+]?{_ITEM})*"
_BRACKET = rf"(?:[(\[{{*<]{_LIST}[.,]?[)\]}}*>])"
_REPEAT = r"(?:[.,;]?\*?xn|,?nA?x|\*n|n|X|,?a|pa|,?r(?:\*?v?\*?a|nA?x|xn|nxA|X))"
_REPEATED = f"(?:{_BRACKET}{_REPEAT}?|nx?{_BRACKET})"
#: Lists of stitches, repeats, rounds that go on to the end; talk without a stitch or a number behind them.
_PLAIN = re.compile(
    rf"[:.,·=~-]*b?(?:cn,|c,)?(?:(?:{_LIST}[,;.]?)?{_REPEATED}(?:[,;.]?(?:{_REPEATED}|{_LIST}))*"
    rf"|{_LIST}(?:[,;]?{_REPEAT})?)(?:,?[jlu]s?)?[,;.:·]*(?:[-.,;:][^nsidcltDGEM([{{]*)?"
)


def _without_lead(body: Seq[Token]) -> Seq[Token]:
    """Return instructions without words that only lead in: "the flower: inc x 6"."""
    match = _LED.match(shape(body))
    return body[match.end() :] if match else body


_LED = re.compile(r"[,.:-]*[^nsidltcDEGM(\[{*:,;.]*z[^nsidltcDEGM(\[{*:,;.]*[,:](?=.*[sidEDM])")


def _plain(fit: Fit) -> bool:
    classes = shape(_without_lead(fit.way.content.body))
    return fit.way.is_plain and len(classes) <= LONGEST and bool(_PLAIN.fullmatch(classes))
