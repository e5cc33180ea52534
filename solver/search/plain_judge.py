"""Plain counts judged on the forms that they become: near enough, little to read, no nipple, no ripple."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from solver.arrays import Ints
from solver.search.making import Making
from solver.search.plain_paths import Misfit, reading_of
from solver.search.rows import Rows
from solver.search.trials import Nearby, Trial, all_tried
from solver.wanted.outline import Outline

SIZE_SHARE, SIZE_ROWS = 0.015, 0.5
"""Of a height or width, and rows, the greater of which it may be off by."""

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


class Within(IntEnum):
    """Where a form lies: within tolerance, within what is granted beyond it, or neither."""

    TOLERANCE = 0
    GRANTED = 1
    NEITHER = 2


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """Counts on the real form, and what they are worth: things to read, those for the misfit among them."""

    trial: Trial
    rows: Rows
    score: float
    within: Within

    @property
    def rank(self) -> tuple[Within, float]:
        """What makes one better than another: to be within tolerance, then to be little to read."""
        return self.within, self.score


class Judge:
    """Tells what counts are worth. None are solved twice.

    Parameters
    ----------
    outline : Outline
        The wanted form.
    making : Making
        With its tolerance.
    exact : Trial
        The nearest counts: where they are out of tolerance, plain ones may be a little more so.
    """

    def __init__(self, outline: Outline, making: Making, exact: Trial) -> None:
        assert making.tolerance is not None
        self.outline, self.making = outline, making
        self.limit = making.tolerance * making.stitch_width
        self._known: dict[bytes, tuple[Trial, Within] | None] = {}
        self._exact_rms, self._exact_off = exact.rms, self._off(exact)
        self._exact_steepening = self._steepening(exact)
        self._allowed = self._allowances()

    def misfit(self, near: Nearby) -> Misfit:
        """Return the quadratic of the misfit near a trial, in squared tolerances."""
        trial = near.trial
        return Misfit.about(
            trial.counts, cost=trial.cost, slope=near.slope, bend=near.bend, unit=self.limit**2
        )

    def judged(self, many: list[Ints], rows: Rows, near: Nearby, *, nearness: float) -> list[Judged]:
        """Return counts judged on the forms that they become, without those that have none.

        Parameters
        ----------
        many : list of (n,) int
        rows : Rows
            What they were searched by.
        near : Nearby
            The trial that they are near to.
        nearness : float
            Things to read that a misfit of the whole tolerance is worth.
        """
        fresh = [counts for counts in many if counts.tobytes() not in self._known]
        trials = all_tried(fresh, self.outline, self.making, [near.form(counts) for counts in fresh])
        for counts, trial in zip(fresh, trials, strict=True):
            self._known[counts.tobytes()] = (trial, self._within(trial)) if trial else None
        return [
            Judged(trial, rows, self._score(trial, nearness), within)
            for trial, within in filter(None, (self._known[counts.tobytes()] for counts in many))
        ]

    def _score(self, trial: Trial, nearness: float) -> float:
        counts = trial.whole
        slack = -trial.form.course_stretch[1:][: len(counts)][self.making.shaped(counts)]
        ripples = int(np.count_nonzero(slack > RIPPLE))
        misfit = trial.cost / self.limit**2
        return reading_of(counts, self.making) + nearness * misfit + RIPPLE_PRICE * ripples

    def _within(self, trial: Trial) -> Within:
        """Tell where a form lies. Where the nearest counts are out of tolerance a little more is granted."""
        if trial.rms > max(MARGIN * self.limit, np.hypot(self._exact_rms, STRAY * self.limit)):
            return Within.NEITHER
        steep = self._steepening(trial)
        for within, granted in ((Within.TOLERANCE, 0.0), (Within.GRANTED, STRAY)):
            if self._keeps_to(trial, granted, steep):
                return within
        return Within.NEITHER

    def _keeps_to(self, trial: Trial, granted: float, steep: float) -> bool:
        """Tell whether a form has no nipple and is near enough, in shape and in sizes.

        So many times the tolerance beyond what the nearest counts come to is granted, where it is above 0.
        """
        as_exact = granted or self.making.multiple > 1
        if steep > NIPPLE + (self._exact_steepening if as_exact else 0.0):
            return False
        near = MARGIN * self.limit
        if granted:
            near = max(near, np.hypot(self._exact_rms, granted * self.limit))
        return bool(trial.rms <= near) and all(
            abs(off) <= (max(allowed, abs(nearest) + granted * allowed) if granted else allowed)
            for off, nearest, allowed in zip(self._off(trial), self._exact_off, self._allowed, strict=True)
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

    def _allowances(self) -> list[float]:
        """Return by how much each of those may be off. [mm]."""
        half, aim = SIZE_ROWS * self.making.row_height, self.making.aim
        sizes = {"height": self.outline.height, "width": self.outline.width}
        allowed = [
            max(SIZE_SHARE * size, half) for one, size in sizes.items() if not aim or one != aim.measure
        ]
        if aim:
            allowed.append(AIM_SHARE * aim.size * aim.unit / aim.weight)
        return allowed
