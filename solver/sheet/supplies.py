"""What a pattern takes, as a list and a table: yarn by colour with balls, filling, tools, eyes, time."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from solver.advice.materials import PINCH, YARDS_PER_METRE, time_of
from solver.sheet.model import Block, Grid, Heading, Points, Words
from solver.trade import likely_weight, nearest_hook
from solver.units import Length
from solver.wanted.supplies import MAIN_YARN

if TYPE_CHECKING:
    from solver.sentences.say import Sentences
    from solver.solving.solved import Solved
    from solver.wanted.own_lines import OwnLines
    from solver.wanted.part import AnyPart

BALL = 50.0
"""Yarn in a ball where it is not told. [g] Common practice, no source."""


def needs(
    lines: OwnLines, parts: Sequence[tuple[str, Solved, int]], say: Sentences, *, large: bool = False
) -> Iterator[Block]:
    """Yield what the maker needs.

    Parameters
    ----------
    lines : OwnLines
    parts : sequence of (str, Solved, int)
        Each with its size (empty where there is one) and how many of it. Sizes stand for each other: what
        they take is not added up.
    say : Sentences
    large : bool
        In large letters: a list, where a table has no room.
    """
    yield Heading(say.say("need"))
    items = [*_yarn_and_hook(lines, parts[0][1].part, say)]
    items.append(say.say("tools"))
    labels = dict.fromkeys(label for label, _, _ in parts)
    for each in labels:
        items += _amounts(each, [part for part in parts if part[0] == each], say)
    items += _hard(parts, say)
    yield Points(tuple(items))
    ball = lines.ball or BALL
    yarns = _yarns(parts, say, ball)
    yield Points(tuple(yarns.lines())) if large else yarns
    yield Words(say.say("ball_guess", grams=f"{ball:g}"))


def _yarn_and_hook(lines: OwnLines, part: AnyPart, say: Sentences) -> Iterator[str]:
    """Yield yarn and hook as the designer names them, or else what the standard table has for the gauge."""
    weight = likely_weight(part.gauge.stitch_width)
    if lines.yarn:
        yield say.say("yarn_named", name=lines.yarn.rstrip("."))
    else:
        label = part.supplies.yarn.metres_per_100g
        least, most = (0.9 * label, 1.1 * label) if label else weight.metres_per_100g
        metres = {"low": 10 * round(least / 10), "high": 10 * round(most / 10)}
        yield say.say("yarn_any", weight=f"{weight.number} ({weight.name})", **metres)
    if lines.hook:
        yield say.say("hook", name=lines.hook.rstrip("."))
    else:
        size, letter = nearest_hook(weight.toy_hook_mm * weight.toy_stitches * part.gauge.stitch_width / 100)
        told = say.within("mm", n=size)
        yield say.say("hook_any", size=f"{told} ({letter})" if letter and say.table.terms == "US" else told)


def _hard(parts: Sequence[tuple[str, Solved, int]], say: Sentences) -> Iterator[str]:
    """Yield eyes, noses and buttons, those of one size together; sizes stand for each other."""
    counts: dict[str, Counter[tuple[str, float]]] = {}
    for label, solved, make in parts:
        for extra in solved.part.supplies.extras:
            kind = (f"{extra.name.removesuffix('s')}s_needed", extra.diameter)
            counts.setdefault(label, Counter())[kind] += extra.count * make
    for label, own in counts.items():
        for (name, diameter), count in own.items():
            told = say.counted(name, count, size=Length(diameter))
            yield f"{label}: {told}" if label else told


def _amounts(label: str, parts: Sequence[tuple[str, Solved, int]], say: Sentences) -> Iterator[str]:
    """Yield filling, eyes and time of one size."""
    told = []
    filling = sum(solved.materials.stuffing.value * make for _, solved, make in parts)
    if filling:
        pinch = "_pinch" if filling < PINCH else ""
        told.append(say.say(f"stuffing{pinch}", grams=f"{filling:.0f}"))
    quick, slow = (sum(solved.materials.hours[i] * make for _, solved, make in parts) for i in (0, 1))
    unit, low, high = time_of(quick, slow)
    if not say.is_english:  # no halves in words
        low, high = (say.number(_as_number(each)) for each in (low, high))
    told.append(say.say(unit, low=low, high="10" if low == high else high))
    yield from (f"{label}: {text}" if label else text for text in told)


def _yarns(parts: Sequence[tuple[str, Solved, int]], say: Sentences, ball: float) -> Grid:
    """Return the table of yarns: the most of each colour that is to be expected, over all parts."""
    totals: dict[tuple[str, str], list[float]] = {}
    for label, solved, make in parts:
        own = solved.materials
        main = solved.part.supplies.main_colour or MAIN_YARN
        told = [(each.colour, each.metres, each.grams) for each in own.colours] or [
            (main, own.metres, own.grams)
        ]
        for colour, metres, grams in told:
            here = totals.setdefault((colour, label), [0.0, 0.0])
            here[0] += metres.most * make
            here[1] += grams.most * make
    rows = tuple(
        (
            ", ".join(filter(None, (say.say("main") if colour == MAIN_YARN else colour, label))),
            _whole(metres),
            *[_whole(metres * YARDS_PER_METRE)] * say.is_english,
            _whole(grams),
            str(math.ceil(grams / ball - 1e-9)),
        )
        for (colour, label), (metres, grams) in totals.items()
    )
    head = tuple(say.say(name) for name in ("yarn", "metres", *["yards"] * say.is_english, "grams"))
    return Grid((*head, say.say("balls_of", grams=f"{ball:g}")), rows)


def _as_number(told: str) -> float:
    """Return hours or minutes as they are told, "2 1/2", as a number."""
    return sum(float(Fraction(each)) for each in told.split())


def _whole(value: float) -> str:
    return str(math.ceil(value - 1e-9))
