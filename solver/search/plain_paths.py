"""Sequences of counts that are little to read, searched round by round on a quadratic of the misfit.

A round is one repeat where the stitches gained or lost divide those worked into. A sequence keeps going where
its step stays the same.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from solver.arrays import Bools, Floats, Ints, frozen
from solver.search.counts import LEAST_OF_FLAT
from solver.search.making import Making
from solver.search.rows import Rows

EVEN, WHOLE, SHAPED, UNEVEN = 1.0, 1.0, 2.0, 50.0
"""Things to read: in even rounds, in "inc x 6", in "(4 sc, inc) x 6"; what a round of no one repeat costs."""

TURN = 18.0
"""What a change of step costs, in things to read."""

USUAL = {6: 0.0, 3: 0.5, 5: 2.0, 4: 2.0, 2: 5.0, 1: 10.0}
UNUSUAL = 5.0
"""What a round costs by the number of its repeats, in things to read: six and three are what hands know, one
or two increases make a round lopsided."""

NEAR_TIP, POINTED, BLUNT = 5, 2.0, 2
"""Rounds from a drawn-in end in which steps that grow away from it, as at a nipple, have a price: for each
stitch beyond so many. In things to read."""

RING_OF_SIX, RING_OF_OTHERS = 0.0, 0.5

HALVED, FEW = 4.0, 9
"""What it costs, in things to read, to halve more than so many stitches on the last round before a cinch: the
end comes out as a nipple."""

LOOSE = 1.6
"""Times the squared tolerance up to which sequences are followed: the quadratic is no more than a guess."""

LOOSER = 20.0
"""The same for multiples, which are few and lie farther off."""

RIDGE = 2e-3
"""Part of the mean bend that is added to each, where counts of opposite sign make no odds."""

KEPT, ALIKE = 480, 3
"""Sequences that are followed from round to round; of those, how many with the same count and step."""

LONG = 60
"""Rounds beyond which half as many are followed."""

KEPT_FAR, ALIKE_FAR = 1500, 16
"""The same for multiples."""

_NONE = 1000
"""A step that is like no other."""


@dataclass(frozen=True, slots=True, eq=False)
class Misfit:
    """Squared misfit as a quadratic of the counts, least + |root (n - best)|^2, in squared tolerances.

    Attributes
    ----------
    best : (n,) float
        Counts, not whole, where it is least.
    least : float
        There, >= 0.
    root : (n, n) float
        Lower triangular: the first i rows tell what is lost by the first i counts, the rest at their best.
    """

    best: Floats
    least: float
    root: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "best", frozen(self.best))
        object.__setattr__(self, "root", frozen(self.root))

    @classmethod
    def about(cls, counts: Floats, *, cost: float, slope: Floats, bend: Floats, unit: float) -> Misfit:
        """Return the quadratic with this cost, half slope and half second slope at `counts`.

        Parameters
        ----------
        counts : (n,) float
        cost : float
            [mm^2]
        slope : (n,) float
        bend : (n, n) float
        unit : float
            What counts as one. [mm^2]
        """
        bend = bend + np.eye(len(counts)) * RIDGE * np.trace(bend) / len(counts)
        step = -cho_solve(cho_factor(bend), slope)
        # a Cholesky factor from the last count backwards: each count's share, those after it at their best
        root = np.linalg.cholesky(bend[::-1, ::-1])[::-1, ::-1].T
        return cls(counts + step, max(cost + float(slope @ step), 0.0) / unit, root / np.sqrt(unit))

    def at(self, counts: Ints) -> float:
        """Return the squared misfit of counts. [squared tolerances]"""
        off = self.root @ (counts - self.best)
        return self.least + float(off @ off)


@dataclass(frozen=True, slots=True, eq=False)
class _Paths:
    """Sequences so far: counts (p, i), last step, turns taken (p,), misfit, things to read with it."""

    counts: Ints
    step: Ints
    turns: Ints
    misfit: Floats
    score: Floats


def plain_paths(
    misfit: Misfit, rows: Rows, making: Making, *, nearness: float, uneven: bool, enough: float = np.inf
) -> list[Ints]:
    """Return sequences of counts that are little to read and lie near the outline, the best first.

    Beam search from the first round on. What the misfit of a whole sequence must come to, however it goes on,
    is known exactly for the quadratic (its triangular root), so hopeless ones are dropped at once.

    Parameters
    ----------
    misfit : Misfit
    rows : Rows
        Where counts may turn, begin and end.
    making : Making
        What counts are multiples of, and which ends are drawn in.
    nearness : float
        Things to read that a misfit of the whole tolerance is worth.
    uneven : bool
        Allow rounds that are no one repeat, at their price.
    enough : float
        Things to read, those for the misfit among them, beyond which a sequence is not followed.

    Returns
    -------
    list of (n,) int
        Empty where none comes near.
    """
    rounds, far = len(misfit.best), making.multiple > 1
    beam = _Beam(
        misfit=misfit,
        steps=_steps(rows.most, making.multiple),
        following=_following(rows.directions),
        least=rows.least,
        nearness=nearness,
        loose=LOOSER if far else LOOSE,
        uneven=uneven,
        enough=enough,
        kept=(KEPT_FAR, ALIKE_FAR) if far else (KEPT // (1 + (rounds > LONG)), ALIKE),
    )
    paths = beam.begun(rows.first, multiple=making.multiple, open_start=making.start_open)
    for i in range(1, rounds):
        tip = (not making.start_open and i <= NEAR_TIP) - (not making.finish_open and i >= rounds - NEAR_TIP)
        paths = beam.carried_on(paths, tip=tip)
        if not len(paths.counts):
            return []
    if not making.finish_open:
        paths.score[_halved(paths.counts)] += HALVED
    last = paths.counts[:, -1]
    fits = (last >= rows.last[0]) & (last <= rows.last[1]) & (paths.score <= enough)
    paths = _picked(paths, np.flatnonzero(fits))
    return list(paths.counts[np.argsort(paths.score, kind="stable")])


def reading_of(counts: Ints, making: Making) -> float:
    """Return what a whole sequence is to read, changes of step and all, in things."""
    open_start = making.start_open
    before, after = np.concatenate([counts[:1], counts[:-1]]), counts
    step = after - before
    last = np.concatenate([[_NONE], [0 if open_start else counts[0]], step[1:-1]])[: len(counts)]
    price = _price(before, step, last)
    halved = HALVED * (not making.finish_open and bool(_halved(counts)))
    return float(price[1:].sum() + _first_price(counts[:1], open_start=open_start)[0] + halved)


def _halved(counts: Ints) -> Bools:
    """Tell of sequences whether their last round halves many stitches."""
    before = counts[..., -2]
    return np.asarray((2 * counts[..., -1] == before) & (before > FEW))


def _first_price(counts: Ints, *, open_start: bool) -> Floats:
    ring = 0.0 if open_start else np.where(counts == 6, RING_OF_SIX, RING_OF_OTHERS)
    return np.asarray(EVEN + ring + 0.0 * counts)


def _price(before: Ints, step: Ints, last: Ints) -> Floats:
    """Return what steps from `before` cost to read after the step `last`."""
    size = np.abs(step)
    usual = np.full(int(size.max(initial=0)) + 1, UNUSUAL)
    for number, price in USUAL.items():
        usual[number : number + 1] = price
    whole = np.where(step > 0, size == before, 2 * size == before)
    shaped = np.where(whole, WHOLE, SHAPED) + usual[size]
    shaped = np.where(_divides(size, before), shaped, UNEVEN)
    even = np.where(last == 0, 0.0, EVEN)
    return np.asarray(np.where(step == 0, even, shaped) + np.where(step == last, 0.0, TURN))


def _divides(size: Ints, before: Ints) -> Bools:
    return np.asarray(before % np.maximum(size, 1) == 0)


def _following(directions: tuple[int, ...]) -> Ints:
    """Return, for each number of turns taken and a fall, no change, a rise: the number then, -1 for none."""
    table = np.full((len(directions) + 1, 3), -1, dtype=np.int64)
    for taken in range(len(directions) + 1):
        table[taken, 1] = taken
        for sign in (-1, 1):
            now = max(taken - 1, 0)
            ahead = [k + 1 for k in range(now, len(directions)) if directions[k] == sign]
            table[taken, sign + 1] = ahead[0] if ahead else -1
    return table


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Beam:
    """What sequences are carried on by: see `plain_paths`; `following` is that of `_following`."""

    misfit: Misfit
    steps: Ints
    following: Ints
    least: int
    nearness: float
    loose: float
    uneven: bool
    enough: float
    kept: tuple[int, int]

    def begun(self, first: tuple[int, int], *, multiple: int, open_start: bool) -> _Paths:
        """Return the sequences of one round."""
        low, high = first
        counts = np.arange(-(-low // multiple) * multiple, high + 1, multiple, dtype=np.int64)
        lost = self.misfit.least + (self.misfit.root[0, 0] * (counts - self.misfit.best[0])) ** 2
        return _Paths(
            counts=counts[:, None],
            step=0 * counts if open_start else counts,
            turns=0 * counts,
            misfit=lost,
            score=_first_price(counts, open_start=open_start) + self.nearness * lost,
        )

    def carried_on(self, paths: _Paths, *, tip: int) -> _Paths:
        """Return the best sequences one round longer; `tip` is 1 next to a ring, -1 next to a cinch."""
        misfit, steps, i = self.misfit, self.steps, paths.counts.shape[1]
        before, size = paths.counts[:, -1:], np.abs(steps)
        turns = self.following[paths.turns][:, np.sign(steps) + 1]
        lost = (paths.counts - misfit.best[:i]) @ misfit.root[i, :i]
        own = misfit.root[i, i] * (before + steps - misfit.best[i])
        more = (lost[:, None] + own) ** 2
        misfits = paths.misfit[:, None] + more
        fits = (turns >= 0) & (misfits <= self.loose) & (before + steps >= self.least)
        fits &= np.where(steps < 0, 2 * size <= before, size <= before)
        path, which = np.nonzero(fits)
        if not self.uneven:  # few are left to divide
            whole = _divides(size[which], before[path, 0])
            path, which = path[whole], which[whole]
        if not len(path):
            return _picked(paths, path)
        step, there, last = steps[which], before[path, 0], paths.step[path]
        price = _price(there, step, last)
        if tip:
            price += POINTED * np.maximum(tip * (np.abs(step) - np.abs(last)) - BLUNT, 0)
        longer = _Paths(
            counts=there + step,
            step=step,
            turns=turns[path, which],
            misfit=misfits[path, which],
            score=paths.score[path] + price + self.nearness * more[path, which],
        )
        kept = _best_of_each(longer, *self.kept)
        kept = kept[longer.score[kept] <= self.enough]
        counts = np.column_stack([paths.counts[path[kept]], longer.counts[kept]])
        return replace(_picked(longer, kept), counts=counts)


def _steps(most: int, multiple: int) -> Ints:
    """Return the changes that a round may make: what lies flat, or the multiple above where that is far."""
    top = most // multiple
    top = max(1, top + (top * multiple < LEAST_OF_FLAT * most))
    return multiple * np.arange(-top, top + 1)


def _best_of_each(paths: _Paths, kept: int, alike: int) -> Ints:
    """Return the best `kept`, no more than `alike` of one count, step and number of turns."""
    order = np.argsort(paths.score, kind="stable")
    state = ((paths.counts + 1) * 64 + paths.step)[order] * 64 + paths.turns[order]
    grouped = np.argsort(state, kind="stable")
    fresh = np.concatenate([[True], np.diff(state[grouped]) != 0])
    place = np.arange(len(grouped))
    rank = np.empty_like(place)
    rank[grouped] = place - np.maximum.accumulate(np.where(fresh, place, 0))
    return np.asarray(order[rank < alike][:kept])


def _picked(paths: _Paths, which: Ints) -> _Paths:
    return _Paths(
        paths.counts[which],
        paths.step[which],
        paths.turns[which],
        paths.misfit[which],
        paths.score[which],
    )
