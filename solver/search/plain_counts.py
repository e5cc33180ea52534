"""The plainest counts whose stuffed form is as near the outline as hands can tell."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Ints
from solver.search.making import Making
from solver.search.membrane import RestFabric
from solver.search.plain_judge import Judge, Judged, Within
from solver.search.plain_paths import plain_paths, reading_of
from solver.search.rows import Rows, laid
from solver.search.trials import Nearby, Trial, nearby, tried
from solver.wanted.outline import Outline

NEARNESS, NEARNESS_UNEVEN = (520.0, 900.0), 420.0
"""Things to read that a misfit of the whole tolerance is worth, and where that leads out of it."""

BALL = 0.03
"""Part of its radius that a ball's outline may be off a circle by."""

SIXES = 6
"""Stitches gained and lost in each round of a ball, and worked into its ring, as every recipe has it."""

LEAST_ROUND, NEAR_SIXES = 27, 2
"""Fewest stitches round a ball that six a round is fine enough for, and how far off sixes they may be."""

LAST_OF_BALL = 8
"""Stitches in the last round of a ball, where twelve halved would come out as a nipple."""

TRIED, TRIED_OF_MULTIPLES = 24, 300
"""Sequences tried on the real form from each search; many more of multiples, which lie farther off."""

TRIED_WITH_AIM = 30
"""The same of multiples where a size is aimed at: each of many drawings is tried."""

MANY_ROUNDS = 60
"""Rounds beyond which a quarter of that is tried."""

BEYOND = 12
"""Of multiples, how many more are tried once one is within tolerance."""

LOT = 8
"""Sequences that are solved at once."""

UNSURE = 0.4
"""Squared tolerances by which counts may come out nearer than the quadratic tells."""

LIKE, SOME, SOME_OF_MULTIPLES = 3, 5, 60
"""Sequences that differ in so few rounds are nearly the same; so many of them are tried."""

AROUND = 2
"""Numbers of rounds about whose best the misfit is taken anew, and how often."""


def plainest(outline: Outline, making: Making, rest: RestFabric, *, exact: Trial) -> Trial | None:
    """Return the plainest counts within tolerance of the outline, or None if there are none.

    For each number of rounds about the rest meridian: sequences of few things to read by a quadratic of the
    misfit, then tried on the real form, which alone judges; the quadratic is taken anew about the best.

    Parameters
    ----------
    outline : Outline
        The wanted form.
    making : Making
        With its tolerance.
    rest : RestFabric
        What the outline asks for.
    exact : Trial
        The nearest counts: where they are out of tolerance, plain ones may be a little more so.
    """
    whole = rest.length / making.row_height - making.closing_rows
    numbers = {max(2, int(np.floor(whole)) + k) for k in (-1, 0, 1, 2)}
    judge, granted = Judge(outline, making, exact), None
    starts = [Start.of(laid(outline, making, rest, number=number), judge) for number in sorted(numbers)]
    starts.sort(key=lambda start: judge.misfit(start.near).least)
    if _sixes_suit(outline, making) and (found := _in_sixes(outline, making, starts, exact)):
        return found
    for nearness, uneven in (*((one, False) for one in NEARNESS), (NEARNESS_UNEVEN, True)):
        best = _Search(judge, nearness, uneven=uneven).over(starts)
        if best and best.within is Within.TOLERANCE:
            return best.trial
        granted = granted or best
    return granted.trial if granted and making.aim is None else None


def _sixes_suit(outline: Outline, making: Making) -> bool:
    """Tell whether a part is a ball whose stitches are nearly a multiple of six, and may be so."""
    if (
        making.folded
        or making.start_open
        or making.finish_open
        or making.ring not in (None, SIXES)
        or SIXES % making.multiple
    ):
        return False
    off = np.hypot(outline.points[:, 0], outline.points[:, 1] - outline.middle) / (outline.width / 2) - 1
    round_ = np.pi * outline.width / making.stitch_width
    away = abs(round_ - SIXES * round(round_ / SIXES))
    return bool(np.abs(off).max() <= BALL and round_ >= LEAST_ROUND and away <= NEAR_SIXES)


def _in_sixes(outline: Outline, making: Making, starts: list[Start], exact: Trial) -> Trial | None:
    """Return the plainest counts of a ball in sixes, or None if there are none within tolerance."""
    judge = Judge(outline, replace(making, ring=SIXES, multiple=SIXES), exact)
    end = (SIXES, SIXES)
    rows = [replace(start.rows, first=end, last=end, most=SIXES) for start in starts]
    starts = [replace(start, rows=one) for start, one in zip(starts, rows, strict=True)]
    for nearness in NEARNESS:
        search = _Search(judge, nearness, softened=making.multiple == 1)
        if (found := search.over(starts)) and found.within is Within.TOLERANCE:
            return found.trial
    return None


def _unlike(paths: list[Ints], most: int, some: int) -> list[Ints]:
    """Return the best sequences, of those that are nearly the same no more than some."""
    chosen: list[Ints] = []
    for counts in paths:
        near = sum(np.count_nonzero(counts != other) <= LIKE for other in chosen)
        if near < some:
            chosen.append(counts)
        if len(chosen) == most:
            break
    return chosen


def _enough(bests: list[Judged]) -> float:
    """Return what the best within tolerance is worth, infinite where there is none."""
    return min((best.score for best in bests if best.within is Within.TOLERANCE), default=np.inf)


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """So many rounds, and the neighbourhood of their best counts that are not whole."""

    rows: Rows
    near: Nearby

    @classmethod
    def of(cls, rows: Rows, judge: Judge) -> Start:
        """Return the start of a search by these rounds."""
        counts, guess = rows.asked, rows.guess
        for _ in range(2):
            near = nearby(tried(counts, judge.outline, judge.making, guess), judge.making)
            counts = np.maximum(judge.misfit(near).best, 1.0)
            guess = near.trial.form.points
            if judge.making.folded:  # far from what is asked for its quadratic tells nothing
                counts = np.clip(counts, 0.7 * rows.asked, 1.3 * rows.asked)
        return cls(rows, near)


@dataclass(frozen=True, slots=True, eq=False)
class _Search:
    """One search.

    Attributes
    ----------
    judge : Judge
        Knows what is wanted, and how it is made.
    nearness : float
        Things to read that a misfit of the whole tolerance is worth.
    uneven : bool
        Whether rounds of no one repeat are allowed.
    softened : bool
        Whether a last round that would halve twelve stitches is given more.
    """

    judge: Judge
    nearness: float
    uneven: bool = False
    softened: bool = False

    def over(self, starts: list[Start]) -> Judged | None:
        """Return the plainest counts within tolerance, over several numbers of rounds."""
        bests: list[Judged] = []
        for start in starts:
            if best := self._best(start.near, start.rows, _enough(bests)):
                bests.append(best)
        known = self.judge.making.multiple > 1 and _enough(bests) < np.inf
        about: list[Trial] = []
        for _ in range(AROUND * (not known)):
            bests.sort(key=lambda best: best.rank)
            for k, judged in enumerate(bests[:AROUND]):
                if judged.trial in about:
                    continue
                about.append(judged.trial)
                near = nearby(judged.trial, self.judge.making)
                again = self._best(near, judged.rows, _enough(bests))
                if again and again.rank < judged.rank:
                    bests[k] = again
        best = min(bests, key=lambda best: best.rank, default=None)
        return best if best and best.within is not Within.NEITHER else None

    def _best(self, near: Nearby, rows: Rows, enough: float) -> Judged | None:
        """Return the best of the sequences that a search finds, judged on their forms.

        Those are left out that by the quadratic, and a margin for what it is off, come to more than what is
        `enough`: the worth of the best within tolerance so far. Once there is one no more multiples than
        `BEYOND` are tried.
        """
        making, misfit, far = self.judge.making, self.judge.misfit(near), self.judge.making.multiple > 1
        most, some = (TRIED_OF_MULTIPLES, SOME_OF_MULTIPLES) if far else (TRIED, SOME)
        if far and making.aim:  # the scale moves too, and is searched outside
            most = TRIED_WITH_AIM
        if len(rows.asked) > MANY_ROUNDS:  # each takes longer, and single rounds show less
            most = -(-most // 4)
        unsure = np.inf if far else UNSURE
        paths = plain_paths(
            misfit,
            rows,
            making,
            nearness=self.nearness,
            uneven=self.uneven,
            enough=enough + unsure * self.nearness,
        )
        paths = [self._softened(counts) for counts in _unlike(paths, most, some)]
        judged, left = [], BEYOND if far and enough < np.inf else len(paths)
        while paths and left > 0:
            lot, paths = paths[: min(LOT, left)], paths[LOT:]
            left -= len(lot)
            least = [
                reading_of(counts, making) + self.nearness * max(misfit.at(counts) - unsure, 0.0)
                for counts in lot
            ]
            lot = [counts for counts, score in zip(lot, least, strict=True) if score <= enough]
            found = self.judge.judged(lot, rows, near, nearness=self.nearness)
            judged += found
            enough = min(enough, _enough(found))
            if far and enough < np.inf:
                left = min(left, BEYOND)
        return min(judged, key=lambda best: best.rank, default=None)

    def _softened(self, counts: Ints) -> Ints:
        """Return counts with more in a last round that would halve twelve stitches, where that is wanted."""
        halved = self.softened and counts[-2] == 2 * counts[-1]
        return np.concatenate([counts[:-1], [LAST_OF_BALL]]) if halved else counts
