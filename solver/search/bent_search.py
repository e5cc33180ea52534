"""The rounds of a part that bends: its straight rounds fitted, bends worked in, solved, and corrected."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from solver.errors import ConvergenceError, InputError, Problem
from solver.rounds import Start
from solver.rounds.reading import words_to_read
from solver.search.bent_form import ENOUGH, GOOD, BentForm, formed
from solver.search.bent_girths import girth_off, girths_of, nearer, wanted_girths
from solver.search.bent_length import lengthened, rows_missing
from solver.search.bent_lie import ring_tilts
from solver.search.bent_plan import Known, Straight, Turn, combined, tilt_of
from solver.search.bent_rounds import bent_piece
from solver.search.bent_straight import straight_rounds
from solver.search.making import Making
from solver.search.shaped_bends import is_step, shaped_reach, shaped_turns, stepped, tilted
from solver.wanted.gauge import Gauge
from solver.wanted.outline import Outline
from solver.wanted.swept import Bend, Swept

SOLVES, MOST_SOLVES = 8, 16
"""Sets of rounds that are solved at the most: where one holds the form well, and where none does yet."""

LEVEL_SHARES = (0.5, 1.0)
"""Parts of the bends of a belly's middle line that are tried in turn."""

HALF_A_ROW = 0.5
"""Rows that may be missing or too many."""

WIDE, PLAIN_GIRTH = (0.93, 0.95), 0.025
"""Plain rounds are taken where girths from each part of the greatest radius on are off by less than that: one
wide round alone is seen too."""

GIRTH_STEPS, GIRTH_GAIN = 4, 0.0005
"""Times that straight rounds are moved by whole stitches, and what a move has to gain. [parts of a girth]"""


def fit_bent(
    wanted: Swept,
    outline: Outline,
    bends: Sequence[Bend],
    making: Making,
    gauge: Gauge,
    *,
    increases: str,
    start: Start = Start.RING,
    chain: int | None = None,
    by: str | None = None,
    progress: Callable[[float], None] | None = None,
) -> tuple[BentForm, int]:
    """Return the rounds whose form lies nearest to a surface that bends, and how many were solved.

    Parameters
    ----------
    wanted : Swept
    outline : Outline
        Of the same part without its bends, radius against length along it.
    bends : sequence of Bend
        Where rounds tilt against their neighbours by more than evenly tall stitches give.
    making : Making
        How the straight part is made.
    gauge : Gauge
    increases : str
        "staggered" or "stacked".
    start : Start
        `CHAIN` for a toe that is begun on a short chain; an open start is told by `making`.
    chain : int, optional
        Chains that it begins with, the skipped one included; left out: as many as a ring has stitches.
    by : {"heights", "shaping"}, optional
        How bends are worked; left out: the plainest that holds the form.
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Notes
    -----
    Of level circles (a belly) evenly worked rounds are tried first, then more and more of the bends: turned a
    little, a round form often is the belly, and the plainest rounds that hold it are taken.

    Raises
    ------
    InputError, ConvergenceError
        If no whole stitches make the part, or no form has a balance.
    """
    *plain, nearest = straight_rounds(outline, making, gauge, increases, start, chain)
    tried = 0
    for straight in plain:
        try:
            best, more = _fit_any(wanted, bends, straight, making, gauge, by, progress)
        except (ConvergenceError, InputError):
            continue
        best, _, longer = _lengthened(best, wanted, bends, straight, making, gauge)
        tried += more + longer
        girth = max(girth_off(best.form, best.points, wanted, thick_from=part) for part in WIDE)
        if best.worst(gauge.stitch_width) < ENOUGH and girth < PLAIN_GIRTH:
            return best, tried
    best, more = _fit_any(wanted, bends, nearest, making, gauge, by, progress)
    best, straight, longer = _lengthened(best, wanted, bends, nearest, making, gauge)
    if wanted.is_level:
        return best, tried + more
    return _girthed(best, tried + more + longer, wanted, bends, straight, making, gauge)


def _lengthened(
    best: BentForm,
    wanted: Swept,
    bends: Sequence[Bend],
    straight: Straight,
    making: Making,
    gauge: Gauge,
) -> tuple[BentForm, Straight, int]:
    """Return the form with a straight round more or fewer where rows are missing or too many."""
    missing = 0.0 if wanted.is_level else rows_missing(best.form, wanted)
    if abs(missing) <= HALF_A_ROW:
        return best, straight, 0
    tried, nearest, chosen = 0, None, straight
    for trial, turns in lengthened(straight, best.turns, more=1 if missing > 0 else -1):
        tried += 1
        try:
            found = formed(wanted, trial, turns, bends[: len(turns)], making, gauge)
        except (ConvergenceError, InputError):
            continue
        if nearest is None or found.worst(gauge.stitch_width) < nearest.worst(gauge.stitch_width):
            nearest, chosen = found, trial
    allowed = max(ENOUGH, best.worst(gauge.stitch_width))
    if nearest and nearest.worst(gauge.stitch_width) <= allowed:
        return nearest, chosen, tried
    return best, straight, tried


def _girthed(
    best: BentForm,
    tried: int,
    wanted: Swept,
    bends: Sequence[Bend],
    straight: Straight,
    making: Making,
    gauge: Gauge,
) -> tuple[BentForm, int]:
    """Return the form with straight rounds moved by whole stitches while that brings girths nearer."""
    seen = {straight.counts}
    for _ in range(GIRTH_STEPS):
        got, asked = girths_of(best.form), wanted_girths(best.form.fabric, best.points, wanted)
        for trial in nearer(straight, best.turns, got, asked):
            if trial.counts in seen:
                continue
            seen.add(trial.counts)
            tried += 1
            try:
                found = formed(wanted, trial, best.turns, bends[: len(best.turns)], making, gauge)
            except (ConvergenceError, InputError):
                continue
            holds = found.worst(gauge.stitch_width) <= max(ENOUGH, best.worst(gauge.stitch_width))
            missing, before = (abs(rows_missing(each.form, wanted)) for each in (found, best))
            if holds and found.girth < best.girth - GIRTH_GAIN and missing <= max(HALF_A_ROW / 2, before):
                best, straight = found, trial
                break
        else:
            break
    return best, tried


def _fit_any(
    wanted: Swept,
    bends: Sequence[Bend],
    straight: Straight,
    making: Making,
    gauge: Gauge,
    by: str | None,
    progress: Callable[[float], None] | None,
) -> tuple[BentForm, int]:
    """Return the rounds of one of the ways to bend, before their girths are seen to."""
    if wanted.is_level:
        return _fit_level(wanted, bends, straight, making, gauge, by, progress)
    if not bends or by == "heights" or (by is None and not _in_reach(straight, bends)):
        return _fit(wanted, bends, straight, making, gauge, progress)
    if by == "shaping":
        best, tried = _fit_shaped(wanted, bends, straight, making, gauge)
        if best is None:
            rule = "increases and decreases bend no part as short or as thin as this one"
            raise InputError(Problem(rule, remedy="Leave bend_by out.", place="bend_by"))
        return best, tried
    tall, tried = _fit(wanted, bends, straight, making, gauge, progress)
    if len(bends) > 2:
        jobs, steps = stepped(straight, bends)
        both, more = _fit(wanted, jobs, straight, making, gauge, progress, steps)
        return (both if _better(both, tall, gauge.stitch_width) else tall), tried + more
    if tall.worst(gauge.stitch_width) < 1 and not is_step(bends):
        return tall, tried
    shaped, more = _fit_shaped(wanted, bends, straight, making, gauge)
    better = shaped and _better(shaped, tall, gauge.stitch_width)
    return shaped if shaped and better else tall, tried + more


def _fit_shaped(
    wanted: Swept, bends: Sequence[Bend], straight: Straight, making: Making, gauge: Gauge
) -> tuple[BentForm | None, int]:
    """Return the best rounds that bend by increases and decreases, and how many were solved."""
    best: BentForm | None = None
    seen: set[tuple[Turn, ...]] = set()
    shares: dict[int, float] = {}
    while len(seen) < SOLVES:
        ways = shaped_turns(straight, bends, shares)
        turns = next((each for each in ways if each not in seen), None)
        if turns is None:
            break
        seen.add(turns)
        try:
            found = formed(wanted, straight, turns, bends[:1], making, gauge)
        except (ConvergenceError, InputError):
            continue
        if best is None or found.worst(gauge.stitch_width) < best.worst(gauge.stitch_width):
            best = found
        if best.worst(gauge.stitch_width) < GOOD:
            break
        pattern = turns[0].pattern
        came = float(np.degrees(found.tilt * np.sign(bends[0].angle) + abs(bends[0].angle)))
        if not is_step(bends):
            told = came / max(tilted(pattern.shaped, turns[0].rounds, pattern.count), 0.5)
            shares[pattern.shaped] = float(np.clip(told, 0.3, 2.0))
    return best, len(seen)


def _in_reach(straight: Straight, bends: Sequence[Bend]) -> bool:
    """Whether increases and decreases can make these bends."""
    if not bends:
        return False
    if len(bends) > 2:
        return bool(stepped(straight, bends)[1])
    reach = shaped_reach(bends, count=straight.count_at(bends[0].middle))
    return bool(np.degrees(max(abs(bend.angle) for bend in bends)) <= reach + 1e-6)


def _better(found: BentForm, best: BentForm, stitch_width: float) -> bool:
    """Whether a form is nearer, or its rounds plainer where both hold what is wanted."""
    one, other = found.worst(stitch_width), best.worst(stitch_width)
    if one < 1 and other < 1:
        return words_to_read(found.piece) < words_to_read(best.piece)
    return one < other


def _fit_level(
    wanted: Swept,
    bends: Sequence[Bend],
    straight: Straight,
    making: Making,
    gauge: Gauge,
    by: str | None,
    progress: Callable[[float], None] | None,
) -> tuple[BentForm, int]:
    """Return the rounds of a belly: evenly worked ones first, then more and more of its bends."""
    best, tried = _fit(wanted, [], straight, making, gauge, progress)
    width = gauge.stitch_width
    if not bends or (by is None and best.worst(width) < ENOUGH):
        return best, tried
    for share in LEVEL_SHARES:
        parts = [replace(bend, angle=bend.angle * share) for bend in bends]
        found, solved = _fit(wanted, parts, straight, making, gauge, progress)
        tried += solved
        best = found if found.worst(width) < best.worst(width) else best
        if best.worst(width) < ENOUGH:
            return best, tried
    return best, tried


def _fit(
    wanted: Swept,
    bends: Sequence[Bend],
    straight: Straight,
    making: Making,
    gauge: Gauge,
    progress: Callable[[float], None] | None,
    steps: Mapping[int, Sequence[Turn]] = MappingProxyType({}),
) -> tuple[BentForm, int]:
    """Return the best rounds with these bends, and how many were solved; `steps` as `combined` takes them."""
    known = Known()
    best: BentForm | None = None
    seen: set[tuple[Turn, ...]] = set()
    fault: ConvergenceError | InputError | None = None
    while len(seen) < (SOLVES if best and best.worst(gauge.stitch_width) < ENOUGH else MOST_SOLVES):
        turns = next((each for each in combined(straight, bends, known, steps) if each not in seen), None)
        if turns is None:
            break
        seen.add(turns)
        if progress:
            progress(len(seen) / (SOLVES + 1))
        try:
            found = formed(wanted, straight, turns, bends, making, gauge)
        except (ConvergenceError, InputError) as error:  # or it bends where the tip still grows
            fault = error
            continue
        if best is None or found.worst(gauge.stitch_width) < best.worst(gauge.stitch_width):
            best = found
        if best.worst(gauge.stitch_width) < GOOD or not bends:
            break
        known = _learned(known, found, wanted, bends, straight)
    if best is None:
        raise fault or ConvergenceError(
            what="the bent form", iterations=0, residual=np.inf, tried="no bend fits"
        )
    return best, len(seen)


def _learned(
    known: Known, found: BentForm, wanted: Swept, bends: Sequence[Bend], straight: Straight
) -> Known:
    """Return what a form tells of the patterns in it, besides what was known."""
    tilts = ring_tilts(found.form.fabric, found.points)
    edges, moved = [], 0
    for turn in found.turns:
        edges.append((turn.first + moved, turn.first + moved + turn.rounds))
        moved += turn.rounds - (turn.last - turn.first)
    begins = [0, *((before[1] + after[0]) // 2 for before, after in itertools.pairwise(edges))]
    ends = [*begins[1:], len(tilts) - 1]
    order = np.linspace(0, 1e-6, len(wanted.along))
    places = bent_piece(straight, found.turns, bends)[1][1:]
    told = np.interp(places, wanted.along + order, wanted.tilt)
    for bend, turn, begin, end in zip(bends, found.turns, begins, ends, strict=True):
        if turn.pattern.shaped:
            continue
        beyond = float(tilts[end] - tilts[begin] - (told[end] - told[begin]))
        share = (abs(bend.angle) + beyond * np.sign(bend.angle)) / (
            turn.rounds * tilt_of(turn.pattern, straight)
        )
        known = known.more(turn.pattern, share)
    return known
