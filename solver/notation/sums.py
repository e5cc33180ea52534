"""What is wrong with a line's sums: it does not use the stitches that are there, or not make what it says."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from collections.abc import Sequence as Seq
from itertools import pairwise
from types import MappingProxyType

from solver.notation.finding import Finding, columns
from solver.notation.instructions import Node, Repeat, Sequence
from solver.notation.likeliest import Line
from solver.notation.mend import Mend, body_mends, count_mend, left_over, mended
from solver.notation.places import SHORT
from solver.notation.strange import unknown_word
from solver.notation.ways import garbled


def reading_problems(
    line: Line,
    after: Line | None,
    usual: frozenset[int] = frozenset(),
    borne: Mapping[str, str] = MappingProxyType({}),
) -> Iterator[Finding]:
    """Yield what is wrong with the sums of a line.

    `after`: the next; `usual`: how often others repeat; `borne`: words that come out with one stitch.
    """
    word = unknown_word(line, borne)
    if word is not None:
        yield word
        return
    if line.fit is None:
        if garbled(line.entry):
            yield Finding(
                "unread",
                "This line can't be read; the lines around it are still checked.",
                "",
                "",
                0,
                len(line.entry.text),
            )
        return
    fit = line.fit
    short = next((told for told in fit.way.reading.taken if told.startswith(SHORT)), "")
    if short:
        yield Finding("consumes", f"Tells of {short}.", "", "", 0, len(line.entry.text))
        return
    cut = fit.first.over > 0 and not (fit.count_ok and fit.way.content.stated)
    if fit.comes_out and not cut:
        return
    if fit.uses_ok and not cut:
        yield _wrong_count(line, after)
        return
    yield from _wrong_use(line, after, usual)


#: Lines that must repeat so often for that to be usual.
_USUAL = 2


def usual_repeats(lines: Seq[Line]) -> frozenset[int]:
    """Return how often the lines of a page that come out repeat what they repeat."""
    told = Counter(
        token.value
        for line in lines
        if line.fit is not None and line.fit.comes_out
        for before, token in pairwise(line.fit.way.content.body)
        if before.cls == "x" and token.cls == "n"
    )
    return frozenset(number for number, often in told.items() if often >= _USUAL)


def _wrong_count(line: Line, after: Line | None) -> Finding:
    """Tell of a line that uses what is there and states another count than it makes."""
    fit = line.fit
    assert fit is not None
    stated = fit.way.content.stated[-1]
    made = fit.counts[-1]
    follows = {
        "true": f" The next line follows {made}.",
        "stated": f" The next line follows {stated.count}.",
        "": "",
    }[line.followed if after is not None and after.fit is not None and after.fit.uses_ok else ""]
    message = f"Makes {made}, says {stated.count}.{follows}"
    count = count_mend(stated, line, made)
    body = (
        body_mends(line, uses=fit.there, makes=stated.count)
        if line.followed != "true" and len(fit.counts) == 1
        else []
    )
    best = body[0] if body else count
    return _with_mend("count", message, line, best, other=count if body else None, stated=stated.start)


def _wrong_use(line: Line, after: Line | None, usual: frozenset[int]) -> Iterator[Finding]:
    """Tell of a line that does not use the stitches that are there."""
    fit = line.fit
    assert fit is not None
    there, uses, made = fit.there, fit.first.uses, fit.counts[-1]
    stated = fit.way.content.stated[-1] if fit.way.content.stated else None
    if there is None:
        yield _wrong_chain(line)
        return
    best = _best_mend(line, after, stated.count if stated else None, usual)
    over = left_over(fit)
    if uses == there and fit.needs and len(fit.counts) > 1:
        # A later round of a range: the first one fits.
        message = f"Worked again as the label says it needs {fit.needs} stitches, has {fit.has}."
        kind = "consumes"
    elif fit.first.fill:
        over = fit.first.over
        message = (
            f"The repeat does not come out even on {there} stitches."
            if over == 0
            else f"The repeat does not fit: of {there} stitches {fit.first.fill} repeats leave {over} over."
            if over > 0
            else f"Needs at least {uses} stitches, has {there}."
        )
        kind = "repeat"
    else:
        lacks = f"{over} left over" if over > 0 else f"{-over} too few"
        message = f"Needs {uses} stitches, has {there}: {lacks}."
        kind = "repeat" if best is not None and best.kind == "multiplier" else "consumes"
        if kind != "repeat" and _one_repeat(fit.way.reading.node):
            told = f"The repeat does not fit. {message}"
            yield (
                _with_mend("repeat", told, line, best)
                if best
                else _unmended("repeat", told, line, over, made, None)
            )
    extra = f" Makes {made}, says {stated.count}." if stated and not fit.count_ok else ""
    if kind == "repeat" and not fit.first.fill and best is not None:
        doubt = f' It fits if "repeat" means {best.old} more, which it does nowhere else on this page.'
        yield _with_mend(
            "repeat",
            f"The repeat does not fit: worked {best.old} times it needs {uses} stitches, has {there}."
            + doubt * line.more_than_said,
            line,
            best,
        )
        yield _with_mend("consumes", message, line, best)
    elif best is not None:
        yield _with_mend(kind, message + extra, line, best)
    else:
        yield _unmended(kind, message + extra, line, over, made, stated.count if stated else None)
    if stated is not None and not fit.count_ok:
        yield _with_mend(
            "count",
            f"Makes {made}, says {stated.count}.",
            line,
            best or count_mend(stated, line, made),
            stated=stated.start,
        )


def _best_mend(line: Line, after: Line | None, stated: int | None, usual: frozenset[int]) -> Mend | None:
    """Return the smallest change with which a line uses what is there and makes what is wanted of it."""
    fit = line.fit
    assert fit is not None
    wanted = stated
    if wanted is None and after is not None and after.fit is not None:
        following = after.fit
        if following.first.fill == 0 and following.there is not None:
            wanted = following.first.uses
    mends = body_mends(line, uses=fit.there, makes=wanted)
    if not mends and stated is None:
        mends = body_mends(line, uses=fit.there, makes=None)
    # A repeat that all the other lines make so often is likelier wrong than what is repeated.
    as_others = [one for one in mends if one.kind == "multiplier" and one.new in map(str, usual)]
    return next(iter(as_others or mends), None)


def _one_repeat(node: Node) -> bool:
    """Tell whether a line is one list of stitches, worked so many times."""
    while isinstance(node, Sequence) and len(node.items) == 1:
        node = node.items[0]
    return isinstance(node, Repeat) and node.times > 1 and isinstance(node.item, Sequence)


def _wrong_chain(line: Line) -> Finding:
    """Tell of a first round that does not fit its chain, or whose sides differ."""
    fit, begun = line.fit, line.begun
    assert fit is not None
    whole = (0, len(line.entry.text))
    sides = fit.sides
    if sides is None:
        return Finding("consumes", f"Uses {fit.first.uses} stitches, which does not fit.", "", "", *whole)
    there = "one" if sides.chain == 1 else str(sides.chain)
    where = f" (line {begun.line})" if begun.line and begun.line != line.entry.line else ""
    if sides.even:
        message = f"Needs a chain of {sides.needed}, has {there}{where}."
        fix = f"chain {sides.chain} -> chain {sides.needed}"
        old = re.compile(rf"(?<!\d){sides.chain}(?!\d)")
        mended_text = old.sub(str(sides.needed), begun.text, count=1)
        if mended_text == begun.text:
            mended_text = ""
        elif where:
            mended_text = f"{mended_text}\n{line.entry.text}"
        return Finding("consumes", message, fix, mended_text, *whole)
    message = f"The two sides differ: {sides.there} stitches between the ends there, {sides.back} back."
    if sides.chain and sides.needed != sides.chain and sides.needed - sides.there + sides.back != sides.chain:
        message += f" The chain is of {there}{where}, the first side needs {sides.needed}."
    first_is_right = not sides.chain or sides.needed == sides.chain
    fix = f"{sides.back} -> {sides.there}" if first_is_right else f"{sides.there} -> {sides.back}"
    return Finding("consumes", message, fix, "", *whole)


def _unmended(kind: str, message: str, line: Line, over: int, made: int, stated: int | None) -> Finding:
    """Return a finding that no single number mends."""
    fix = ""
    if over > 0 and (stated is None or made + over == stated):
        fix = f"{over} more sc at the end."
    elif over > 0:
        fix = f"Work the {over} left over, or check the round before."
    elif over < 0:
        fix = f"Check the number of repeats, or the round before: it would need {-over} more."
    return Finding(
        kind, message, fix, "", *columns(line, line.entry.tokens[0].start, line.entry.tokens[-1].end)
    )


def _with_mend(
    kind: str, message: str, line: Line, mend: Mend, *, other: Mend | None = None, stated: int | None = None
) -> Finding:
    if mend.kind == "count":
        fix = f"({mend.old}) -> ({mend.new})"
    elif mend.kind == "multiplier":
        fix = f"x {mend.old} -> x {mend.new}"
    else:
        fix = f"{mend.old} -> {mend.new}"
    if other is not None:
        fix += f", or ({other.old}) -> ({other.new})"
    place = columns(line, mend.start, mend.end)
    if stated is not None and kind == "count":
        found = line.fit.way.content.stated[-1] if line.fit else None
        if found is not None:
            place = columns(line, found.start, found.end)
    return Finding(kind, message, fix, mended(line, mend), *place)
