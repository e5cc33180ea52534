"""Rows of a part that bends against those that its outline has, and a straight round more or fewer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from solver.form.stitches import StitchForm
from solver.search.bent_plan import Straight, Turn
from solver.wanted.swept import Swept


def rows_missing(form: StitchForm, wanted: Swept) -> float:
    """Return the rows by which a form's middle line is shorter than the wanted one; below zero: longer."""
    middles = np.array([ring.mean(axis=0) for ring in form.rings])
    got = float(np.linalg.norm(np.diff(middles, axis=0), axis=1).sum())
    return (wanted.length - got) / form.fabric.row_height


def lengthened(
    straight: Straight, turns: Sequence[Turn], *, more: int
) -> Iterator[tuple[Straight, tuple[Turn, ...]]]:
    """Yield straight rounds with one more (1) or fewer (-1) in one run between bends, and the bends."""
    edges = [1, *(each for turn in turns for each in (turn.first, turn.last)), len(straight.counts) - 1]
    for begin, end in zip(edges[::2], edges[1::2], strict=True):
        inner = range(begin + 1, end - 1)
        even = [i for i in inner if straight.counts[i - 1] == straight.counts[i] == straight.counts[i + 1]]
        if not even:
            continue
        at = even[len(even) // 2]
        counts = list(straight.counts)
        counts[at : at + (1 if more < 0 else 0)] = [counts[at]] if more > 0 else []
        places = np.interp(
            np.linspace(0, 1, len(counts) + 1), np.linspace(0, 1, len(straight.at)), straight.at
        )
        moved = tuple(
            replace(turn, first=turn.first + more, last=turn.last + more) if turn.first > at else turn
            for turn in turns
        )
        if all(before.last <= after.first for before, after in pairwise(moved)):
            yield replace(straight, counts=tuple(counts), at=places), moved
