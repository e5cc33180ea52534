"""Girths of the rounds of a part that bends, and its straight rounds moved by whole stitches towards them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from solver.arrays import Floats, Ints
from solver.form.fabric import StitchFabric
from solver.form.stitches import StitchForm
from solver.search.bent_plan import Straight, Turn
from solver.wanted.swept import Swept

THICK = 0.5
"""Part of the greatest radius from which a girth counts: thinner rounds are about to close."""


def girths_of(form: StitchForm) -> Floats:
    """Return the girth of every round of a form, (n,). [mm]"""
    rings = form.rings[1 : len(form.fabric.piece.rounds) + 1]
    return np.array([np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).sum() for ring in rings])


def wanted_girths(fabric: StitchFabric, points: Floats, wanted: Swept) -> Floats:
    """Return the girth that is wanted where each round lies, (n,). [mm]"""
    rings = fabric.rings[1 : len(fabric.piece.rounds) + 1]
    middles = np.array([points[ring].mean(axis=0)[[0, 2]] for ring in rings])
    off = ((wanted.spine - middles[:, None]) ** 2).sum(axis=2)
    return np.asarray(2 * np.pi * wanted.radius[off.argmin(axis=1)])


def girth_off(form: StitchForm, points: Floats, wanted: Swept, *, thick_from: float = THICK) -> float:
    """Return how far the girths of the thick rounds lie off the wanted ones on average, as a part of them.

    Of level circles, which rounds may lean against, the widest tells it.
    """
    girths, asked = girths_of(form), wanted_girths(form.fabric, points, wanted)
    if wanted.is_level:
        return abs(float(girths.max() / (2 * np.pi * wanted.radius.max())) - 1)
    thick = asked > thick_from * asked.max()
    thick[[0, -1]] = False
    return float(np.abs(girths[thick] / asked[thick] - 1).mean()) if thick.any() else 0.0


def straight_of(turns: Sequence[Turn], rounds: int) -> Ints:
    """Return which straight round, from 0, each round of a bent part is; -1 where a bend tells, (n,).

    The round that a bend is worked into has its stitches too.
    """
    told: list[int] = []
    at = 0
    for turn in turns:
        told += [*range(at, turn.first - 1), *([-1] * (turn.rounds + 1))]
        at = turn.last
    return np.array([*told, *range(at, at + rounds - len(told))])


def nearer(straight: Straight, turns: Sequence[Turn], got: Floats, asked: Floats) -> Iterator[Straight]:
    """Yield straight rounds whose girths should come nearer: all of them moved, or those of one run alone.

    Parameters
    ----------
    straight : Straight
    turns : sequence of Turn
        How its bends are worked.
    got, asked : (n,) float
        Girths of the rounds of the bent form, and what they should be. [mm]
    """
    of = straight_of(turns, len(got))
    counts = np.array(straight.counts)
    moved = counts.copy()
    for i in np.flatnonzero(asked > THICK * asked.max()):
        if 0 < of[i] < len(counts) - 1:
            moved[of[i]] = round(float(counts[of[i]] * asked[i] / got[i]))
    moved[-1] = moved[-2] if counts[-1] == counts[-2] else counts[-1]
    changed = np.flatnonzero(moved != counts)
    if not len(changed):
        return
    runs = np.split(changed, np.flatnonzero(np.diff(changed) > 1) + 1)
    for some in (changed, *runs) if len(runs) > 1 else (changed,):
        trial = counts.copy()
        trial[some] = moved[some]
        if _workable(trial) and _turns(trial) <= max(_turns(counts), 1):
            yield replace(straight, counts=tuple(trial.tolist()))


def _workable(counts: Ints) -> bool:
    """Whether every round has at most double and at least half the stitches of the one before."""
    return all(before <= 2 * after and after <= 2 * before for before, after in pairwise(counts.tolist()))


def _turns(counts: Ints) -> int:
    """Return how often counts change from rising to falling or back."""
    ways = np.sign(np.diff(counts))
    return int((np.diff(ways[ways != 0]) != 0).sum())
