"""The plainest counts whose stuffed form is as near the outline as hands can tell."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np

from solver.arrays import Floats, Ints
from solver.errors import ConvergenceError
from solver.search.making import Making
from solver.search.membrane import RestFabric
from solver.search.plain_paths import Misfit, plain_paths, reading_of
from solver.search.rows import Rows, laid
from solver.search.trials import Trial, quadratic, tried
from solver.wanted.outline import Outline

SIZE_SHARE, SIZE_ROWS = 0.015, 0.5
"""Of a height or width, and rows, the greater of which it may be off by."""

NEARNESS, NEARNESS_UNEVEN = (520.0, 900.0), 420.0
"""Things to read that a misfit of the whole tolerance is worth, and where that leads out of it."""

AIM_SHARE = 0.01
"""Of a size that is aimed at."""

MARGIN = 0.88
"""Share of the tolerance that the search keeps to."""

STRAY = 0.5
"""Share of the tolerance, beyond the nearest counts, that is granted where those are out of it themselves."""

RIPPLE, RIPPLE_PRICE = 0.1, 25.0
"""Part of a round's stitches that may hang slack before it shows; what each such round costs, in things to
read."""

NIPPLE, NEAR_TIP = np.radians(15.0), 4
"""How much steeper a form may grow toward a drawn-in tip than its outline does, over so many rows."""

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

LIKE, SOME, SOME_OF_MULTIPLES = 3, 5, 60
"""Sequences that differ in so few rounds are nearly the same; so many of them are tried."""

AROUND = 2
"""Numbers of rounds about whose best the misfit is taken anew, and how often."""


class Within(IntEnum):
    """Where a form lies: within tolerance, within what is granted beyond it, or neither."""

    TOLERANCE = 0
    GRANTED = 1
    NEITHER = 2


@dataclass(frozen=True, slots=True, eq=False)
class _Judged:
    """Counts on the real form, and what they are worth: things to read, those for the misfit among them."""

    trial: Trial
    rows: Rows
    score: float
    within: Within


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
    choices = [laid(outline, making, rest, number=number) for number in sorted(numbers)]
    if _sixes_suit(outline, making) and (found := _in_sixes(outline, making, choices, exact)):
        return found
    granted: _Judged | None = None
    for nearness, uneven in (*((one, False) for one in NEARNESS), (NEARNESS_UNEVEN, True)):
        best = _Search(outline, making, exact, nearness, uneven=uneven).over(choices)
        if best and best.within is Within.TOLERANCE:
            return best.trial
        granted = granted or best
    return granted.trial if granted and making.aim is None else None


def _rank(judged: _Judged) -> tuple[Within, float]:
    """Return what makes one better than another: to be within tolerance, then to be little to read."""
    return judged.within, judged.score


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


def _in_sixes(outline: Outline, making: Making, choices: list[Rows], exact: Trial) -> Trial | None:
    """Return the plainest counts of a ball in sixes, or None if there are none within tolerance."""
    sixes = replace(making, ring=SIXES, multiple=SIXES)
    rows = [replace(one, first=(SIXES, SIXES), last=(SIXES, SIXES), most=SIXES) for one in choices]
    for nearness in NEARNESS:
        search = _Search(outline, sixes, exact, nearness, uneven=False, softened=making.multiple == 1)
        if (found := search.over(rows)) and found.within is Within.TOLERANCE:
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


@dataclass(frozen=True, slots=True, eq=False)
class _Search:
    """One search.

    Attributes
    ----------
    outline, making
        What is wanted.
    exact : Trial
        The nearest counts.
    nearness : float
        Things to read that a misfit of the whole tolerance is worth.
    uneven : bool
        Whether rounds of no one repeat are allowed.
    softened : bool
        Whether a last round that would halve twelve stitches is given more.
    """

    outline: Outline
    making: Making
    exact: Trial
    nearness: float
    uneven: bool
    softened: bool = False

    def over(self, choices: list[Rows]) -> _Judged | None:
        """Return the plainest counts within tolerance, over several numbers of rounds."""
        bests: list[_Judged] = []
        for rows in choices:
            misfit, guess = self._about_optimum(rows)
            known = any(best.within is Within.TOLERANCE for best in bests)
            if best := self._best(misfit, rows, guess, known=known):
                bests.append(best)
        known = self.making.multiple > 1 and any(best.within is Within.TOLERANCE for best in bests)
        for _ in range(AROUND * (not known)):
            bests.sort(key=_rank)
            for k, judged in enumerate(bests[:AROUND]):
                trial = judged.trial
                misfit = self._about(trial)
                again = self._best(misfit, judged.rows, trial.form.points)
                if again and _rank(again) < _rank(judged):
                    bests[k] = again
        best = min(bests, key=_rank, default=None)
        return best if best and best.within is not Within.NEITHER else None

    def _about_optimum(self, rows: Rows) -> tuple[Misfit, Floats]:
        """Return the misfit about the best counts that are not whole, and the form there."""
        counts, guess = rows.asked, rows.guess
        for _ in range(2):
            trial = tried(counts, self.outline, self.making, guess)
            misfit = self._about(trial)
            counts, guess = np.maximum(misfit.best, 1.0), trial.form.points
            if self.making.folded:  # far from what is asked for its quadratic tells nothing
                counts = np.clip(counts, 0.7 * rows.asked, 1.3 * rows.asked)
        return misfit, guess

    def _about(self, trial: Trial) -> Misfit:
        slope, bend = quadratic(trial, self.making)
        return Misfit.about(trial.counts, cost=trial.cost, slope=slope, bend=bend, unit=self._unit)

    @property
    def _unit(self) -> float:
        assert self.making.tolerance is not None
        return (self.making.tolerance * self.making.stitch_width) ** 2

    def _best(self, misfit: Misfit, rows: Rows, guess: Floats, *, known: bool = False) -> _Judged | None:
        """Return the best of the sequences that a search finds, judged on their forms.

        Where one within tolerance is known already, no more multiples than `BEYOND` are tried.
        """
        far = self.making.multiple > 1
        most, some = (TRIED_OF_MULTIPLES, SOME_OF_MULTIPLES) if far else (TRIED, SOME)
        if far and self.making.aim:  # the scale moves too, and is searched outside
            most = TRIED_WITH_AIM
        if len(rows.asked) > MANY_ROUNDS:  # each takes longer, and single rounds show less
            most = -(-most // 4)
        paths = plain_paths(misfit, rows, self.making, nearness=self.nearness, uneven=self.uneven)
        judged, left = [], BEYOND if far and known else len(paths)
        enough = np.inf  # what the best within tolerance is worth: whose words alone are more is not solved
        for counts in _unlike(paths, most, some):
            if found := self._judged(counts, rows, guess, enough=enough):
                judged.append(found)
                if found.within is Within.TOLERANCE:
                    enough = min(enough, found.score)
                if far and found.within is Within.TOLERANCE:
                    left = min(left, BEYOND)
            left -= 1
            if not left:
                break
        return min(judged, key=_rank, default=None)

    def _judged(self, counts: Ints, rows: Rows, guess: Floats, *, enough: float = np.inf) -> _Judged | None:
        """Return counts judged on the form that they become; None without one, or with more to read."""
        if self.softened and counts[-2] == 2 * counts[-1]:
            counts = np.concatenate([counts[:-1], [LAST_OF_BALL]])
        reading = reading_of(counts, self.making)
        if reading > enough:
            return None
        try:
            trial = tried(counts, self.outline, self.making, guess)
        except ConvergenceError:
            return None
        slack = -trial.form.course_stretch[1:][: len(counts)][self.making.shaped(counts)]
        ripples = int(np.count_nonzero(slack > RIPPLE))
        score = reading + self.nearness * trial.cost / self._unit
        return _Judged(trial, rows, score + RIPPLE_PRICE * ripples, self._within(trial))

    def _within(self, trial: Trial) -> Within:
        """Tell where a form lies. Where the nearest counts are out of tolerance a little more is granted."""
        for within, granted in ((Within.TOLERANCE, 0.0), (Within.GRANTED, STRAY)):
            if self._keeps_to(trial, granted):
                return within
        return Within.NEITHER

    def _keeps_to(self, trial: Trial, granted: float) -> bool:
        """Tell whether a form has no nipple and is near enough, in shape and in sizes.

        So many times the tolerance beyond what the nearest counts come to is granted, where it is above 0.
        """
        as_exact = granted or self.making.multiple > 1
        if self._steepening(trial) > NIPPLE + (self._steepening(self.exact) if as_exact else 0.0):
            return False
        limit = np.sqrt(self._unit)
        near = MARGIN * limit
        if granted:
            near = max(near, np.hypot(self.exact.rms, granted * limit))
        return bool(trial.rms <= near) and all(
            abs(off) <= (max(allowed, abs(nearest) + granted * allowed) if granted else allowed)
            for off, nearest, allowed in zip(
                self._off(trial), self._off(self.exact), self._allowed(), strict=True
            )
        )

    def _steepening(self, trial: Trial) -> float:
        """Return how much steeper a form grows toward its ends than the outline does: a nipple. [rad]."""
        points, drawn = trial.form.points, self.outline
        arc = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        there = np.column_stack(
            [np.interp(arc / arc[-1] * drawn.length, drawn.arc, x) for x in drawn.points.T]
        )
        got, wanted = (np.arctan2(*np.diff(np.abs(line), axis=0).T[::-1]) for line in (points, there))
        worst = 0.0
        for closed, way in ((not self.making.start_open, 1), (not self.making.finish_open, -1)):
            if closed:
                # from the body toward the tip: how far a slope rises above the flattest before it
                own, asked = (
                    np.abs(np.pi / 2 - np.abs(a - np.pi / 2))[::way][:NEAR_TIP][::-1] for a in (got, wanted)
                )
                rise = own - np.minimum.accumulate(own) - (asked - np.minimum.accumulate(asked))
                worst = max(worst, float(rise.max()))
        return worst

    def _off(self, trial: Trial) -> list[float]:
        """Return by how much the sizes are off: height, width, and what is aimed at. [mm]."""
        form, aim = trial.form, self.making.aim
        off = [form.size - self.outline.height, form.width - self.outline.width]
        if aim:
            off = [apart for apart, one in zip(off, ("height", "width"), strict=True) if one != aim.measure]
            off.append(aim.off(form) / aim.weight)
        return off

    def _allowed(self) -> list[float]:
        """Return by how much each of those may be off. [mm]."""
        half, aim = SIZE_ROWS * self.making.row_height, self.making.aim
        sizes = {"height": self.outline.height, "width": self.outline.width}
        allowed = [
            max(SIZE_SHARE * size, half) for one, size in sizes.items() if not aim or one != aim.measure
        ]
        if aim:
            allowed.append(AIM_SHARE * aim.size * aim.unit / aim.weight)
        return allowed
