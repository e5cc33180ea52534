"""Rows of a flat piece: its two edges in whole stitches, the best by dynamic programming.

An edge moves by up to two stitches a row (3 in one, 3 together); what it costs is the square of its distance
from the drawn edge at each row's top, and a price on each change of its step, so that rows are plain to read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from solver.arrays import Floats, Ints
from solver.errors import InputError, Problem
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.wanted.flat_outline import FlatOutline

STEPS = (0, 1, -1, 2, -2)
"""Stitches that an edge may move outward in a row, the plainest first."""

PRICES = (1.0, 0.4, 0.15, 0.05, 0.0)
"""What a change of the step costs, the plainest rows first. [stitches squared]"""

_FIRST = {0: (), 1: (Stitch.INC,), 2: (Stitch.INC3,), -1: (Stitch.DEC,), -2: (Stitch.DEC3,)}


@dataclass(frozen=True, slots=True)
class RowsPlan:
    """Rows of a flat piece, and how far their edges lie off the drawn ones.

    Attributes
    ----------
    piece : Piece
    rms : float
        [stitch widths]
    """

    piece: Piece
    rms: float


def flat_plan(
    outline: FlatOutline, *, stitch_width: float, row_height: float, tolerance: float, finish: Finish
) -> RowsPlan:
    """Return the plainest rows whose edges are the drawn ones within a tolerance, or the nearest.

    Parameters
    ----------
    outline : FlatOutline
    stitch_width, row_height : float
        [mm]
    tolerance : float
        Root mean square distance of the edges; 0 asks for the nearest rows. [stitch widths]
    finish : Finish

    Raises
    ------
    InputError
        If it is less than a row high, or narrower than a stitch.
    """
    rows = max(round(outline.height / row_height), 1)
    tops = np.linspace(0.0, outline.height, rows + 1)
    best: RowsPlan | None = None
    for price in PRICES if tolerance else PRICES[-1:]:
        for edges in _edges(outline, tops, stitch_width, price):
            plan = _planned(edges, outline, tops, stitch_width, finish)
            if plan and (best is None or plan.rms < best.rms - 1e-9):
                best = plan
        if best and best.rms <= tolerance:
            break
    if best is None:
        rule = "a piece worked in rows is at least a stitch wide all the way, and grows by 2 stitches an edge"
        remedy = "Draw it wider or taller; or turn it, so that its long way runs along the rows."
        raise InputError(Problem(rule, got=f"{outline.width:.0f} mm wide", remedy=remedy, place="points"))
    return best


def _edges(
    outline: FlatOutline, tops: Floats, width: float, price: float
) -> Iterator[tuple[Ints, Ints, float]]:
    """Yield whole places of the left edge (to the left) and the right one, and where the middle is."""
    left, right = -outline.edge("left", tops) / width, outline.edge("right", tops) / width
    if outline.is_even:
        for middle in (0.0, 0.5):
            edge = _walk(right - middle, price)
            yield edge, edge, middle
        return
    for shift in np.linspace(0.0, 0.75, 4).tolist():
        yield _walk(left + shift, price), _walk(right - shift, price), shift


def _walk(wanted: Floats, price: float) -> Ints:
    """Return whole places nearest to wanted ones, steps within `STEPS`, each change of the step priced."""
    low = int(np.floor(wanted.min())) - 1
    places = np.arange(low, int(np.ceil(wanted.max())) + 2)
    cost = (places - wanted[:, None]) ** 2
    first = cost[0] + cost[1] if len(wanted) > 1 else cost[0]  # row 1 is as wide as the chain
    reached = np.where(np.array(STEPS)[:, None] == 0, first, np.inf)
    came: list[Ints] = []
    for row in cost[2:]:
        changed = reached[None] + price * (np.arange(len(STEPS))[:, None] != np.arange(len(STEPS)))[..., None]
        before = changed.argmin(axis=1)
        least = np.take_along_axis(changed, before[:, None], axis=1)[:, 0]
        next_, back = np.full_like(reached, np.inf), np.zeros(reached.shape, dtype=np.int64)
        for i, step in enumerate(STEPS):
            to = slice(max(step, 0), len(places) + min(step, 0))
            of = slice(max(-step, 0), len(places) + min(-step, 0))
            next_[i, to], back[i, to] = least[i, of] + row[to], before[i, of]
        came.append(back)
        reached = next_
    kind, at = np.unravel_index(int(np.argmin(reached)), reached.shape)
    walked = [int(at)]
    for back in reversed(came):
        step = STEPS[int(kind)]
        kind, at = back[kind, at], at - step
        walked.append(int(at))
    return np.asarray(places[np.array([walked[-1], *walked[::-1]][: len(wanted)])])


def _planned(
    edges: tuple[Ints, Ints, float], outline: FlatOutline, tops: Floats, width: float, finish: Finish
) -> RowsPlan | None:
    """Return the rows between two edges; None where a row can't be worked."""
    left, right, shift = edges
    odd = round(2 * shift) if outline.is_even else 0
    order = list(range(1, len(left)))
    if finish is Finish.SEAMED:  # both layers, up to the fold and back
        order = [*order, *order[::-1]]
    counts = left + right + odd
    if counts.min() < 1:
        return None
    rounds = [Round.plain(int(counts[order[0]]))]
    for number, (i, j) in enumerate(pairwise(order), start=2):
        sides = (int(right[j] - right[i]), int(left[j] - left[i]))
        made = row_of(int(counts[i]), *(sides if number % 2 else sides[::-1]))
        if made is None:
            return None
        rounds.append(made)
    at_left = left + shift if outline.is_even else left - shift
    wide = (
        outline.edge("right", tops) - outline.edge("left", tops) >= width
    )  # a tip has a stitch all the same
    wide = np.concatenate([wide, wide])
    off = np.concatenate([
        right + shift - outline.edge("right", tops) / width,
        at_left + outline.edge("left", tops) / width,
    ])  # fmt: skip
    piece = Piece(Start.ROWS, int(counts[order[0]]), tuple(rounds), finish)
    return RowsPlan(piece, float(np.sqrt(np.mean(off[wide] ** 2))) if wide.any() else np.inf)


def row_of(there: int, first: int, last: int) -> Round | None:
    """Return a row over stitches that are there, its two edges moved outward by so many; None: it can't be.

    Parameters
    ----------
    there : int
    first, last : int
        At its beginning and at its end, -2 to 2.
    """
    begin, end = _FIRST[first], _FIRST[last]
    used = sum(stitch.uses for stitch in (*begin, *end))
    if used <= there:
        return Round((*begin, *[Stitch.SC] * (there - used), *end))
    alone = {
        (1, 3): Stitch.INC3,
        (3, 1): Stitch.DEC3,
        (1, 2): Stitch.INC,
        (2, 1): Stitch.DEC,
        (1, 1): Stitch.SC,
    }
    one = alone.get((there, there + first + last))
    return Round((one,)) if one else None
