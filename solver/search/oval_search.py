"""Whole stitches for an elongated part: few structural numbers, searched against the form in space.

Three numbers shape a part on a chain: straight stitches, the widest end and the number of rounds. The ends
of the rounds between follow the wanted profile. Each trial is solved as a stitch fabric; the next is the
best that a linear model of length, width and height predicts among all whole moves by one or two, and what
came of it corrects the model (Broyden's method; J. Nocedal and S. Wright, Numerical Optimization, 2nd ed.,
11.1; memory). By the plans that meet everything, plainer rounds are tried then.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Ints
from solver.errors import ConvergenceError, PlumplineError
from solver.form.stitches import TOLERANCE, StitchForm
from solver.rounds import Finish
from solver.search.oval_ends import changes, end_counts
from solver.search.oval_plan import SEAM_END, OvalMaking, Plan, first_plan, tolerances
from solver.search.oval_trial import Trial, tried
from solver.wanted.part import Fit
from solver.wanted.stadium import Stadium

TRIALS, MOST_TRIALS = 10, 20
"""Forms that a search may solve: to improve a plan that meets everything, and to find one at all."""

MOST_STITCHES = 20_000
"""Stitches of all forms together from which on a search is content with `TRIALS`."""

SLIM = 0.6
"""Part of the widest end that geometry asks for below which a part is another shape, sizes met or not."""

WORTH_TRYING = 1.15
"""Predicted cost over that of a plan that meets everything, up to which another is still tried."""

MANY, FEW, MOST_COARSE = 1200, 450, 4.0
"""Stitches from which on a coarser fabric is searched first, how many that has about, and how many times as
large its stitches are at the most."""

PATIENCE = 8.0
"""Seconds of work after which a search is content with the best so far; the rest takes it to about ten."""

FINISHED = 3
"""Trials solved to the end where they miss a size there after all: a drawn-in end may pucker late."""

PRICES = (2.0, 1.0, 0.5)
"""Prices of a change of step, in squared stitches. By one plan the first leaves 45 % of the changes of the
nearest rounds, 0.02 stitch further from the drawing in the mean of 58 parts; the last 68 %, 0.005."""

PLAIN_TRIALS = 4
"""Plain rounds whose forms are tried, plainest first."""

BESIDE = 2
"""Plans beside the nearest one that plain rounds are tried by where none by its own is as good."""

PLAINNESS = 0.24
"""Part of the tolerance that plainness may take up beyond what the nearest whole stitches leave off."""

NO_FURTHER = 0.25
"""Tolerances by which plain rounds may miss a size more than the nearest ones, where those miss it too."""

CLOSED_MOVES = (
    (0.9, 0.49, 0.02),
    (0.03, 0.27, 0.53),
    (0.01, -0.05, 0.95),
    (-0.02, 0.03, 0.68),
    (0.21, 0.11, 0.21),
)
OPEN_MOVES = (
    (0.65, 0.49, 0.12),
    (0.05, 0.21, 0.41),
    (0.02, -0.11, 1.12),
    (0.01, 0.11, 0.42),
    (0.18, 0.13, 0.15),
)
"""What one stitch more in each side, one more in each widest end (in stitch widths) and one more round (in
row heights) do to length, width, height, width at mid-length and fullness, of closed and of open parts: where
the search starts, and what it corrects. Means over the bench's parts, at the plan of their geometry."""

CORRECTED = 0.8
"""Part of what a move did otherwise than the model said that corrects it: whole stitches are not linear."""


@dataclass(frozen=True, slots=True)
class Found:
    """What a search came to.

    Attributes
    ----------
    best : Trial
        Its form solved to the end.
    exact : Trial or None
        The nearest rounds, where plainer ones were chosen.
    solved : int
        Sets of numbers tried.
    hurried : bool
        Whether the search was ended by the clock, with the best so far.
    """

    best: Trial
    exact: Trial | None
    solved: int
    hurried: bool = False


def fit_oval(
    wanted: Stadium, making: OvalMaking, *, progress: Callable[[float], None] | None = None
) -> Found:
    """Return the best whole-stitch rounds for a wanted surface.

    Parameters
    ----------
    wanted : Stadium
    making : OvalMaking
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    ConvergenceError
        If no plan near the first has a balance.
    """
    search = _Search(wanted, making, progress)
    search.begin_coarsely()
    for _ in range(FINISHED):
        exact = search.nearest()
        best = exact if making.fit is Fit.EXACT else search.plainest(exact)
        done = search.finished(best)
        if done.met or not best.met or search.is_late:
            break
    return Found(done, exact if exact.ends != done.ends else None, len(search.known), search.is_late)


class _Search:
    """The trials so far, and the model of what a move does."""

    def __init__(self, wanted: Stadium, making: OvalMaking, progress: Callable[[float], None] | None) -> None:
        self.wanted, self.making, self.progress = wanted, making, progress
        self.known: dict[tuple[Plan, float], Trial | None] = {}
        self.stitches = 0
        self.form: StitchForm | None = None
        self.start = first_plan(wanted, making)
        self.until = time.thread_time() + PATIENCE
        self.scale = tolerances(wanted, making)
        moves = OPEN_MOVES if making.finish is Finish.OPEN and not making.sole else CLOSED_MOVES
        self.model = np.array(moves) * [making.stitch_width, making.stitch_width, making.row_height]

    def begin_coarsely(self) -> None:
        """Start a part of many stitches from what a coarser fabric of its shape comes to, and its model."""
        making, plan = self.making, self.start
        stitches = plan.rounds * (2 * plan.side + 1.4 * plan.widest)
        if stitches < MANY:
            return
        f = min(np.sqrt(stitches / FEW), MOST_COARSE)
        chain = max(round((making.chain - 2) / f) + 2, 3) if making.chain else None
        w, h = making.stitch_width * f, making.row_height * f
        coarse = _Search(
            self.wanted,
            replace(making, stitch_width=w, row_height=h, chain=chain, end=None, fit=Fit.EXACT),
            None,
        )
        try:
            best = coarse.nearest()
        except PlumplineError:
            return  # too coarse a fabric: the fine one starts from its geometry
        model = coarse.model / f
        # what whole stitches of the coarse fabric left off is made up for in fine ones
        move, *_ = np.linalg.lstsq(model / self.scale[:, None], -best.miss / self.scale, rcond=None)
        side, widest, rounds = np.clip(np.nan_to_num(move), -f, f)
        self.model = model
        self.start = Plan(
            plan.side if making.chain else max(round((best.plan.side + 1) * f - 1 + side), 0),
            max(round(1 + (best.plan.widest - 1) * f + widest), SEAM_END + 1),
            max(round(best.plan.rounds * f + rounds), 2),
        )

    def nearest(self) -> Trial:
        """Return the trial nearest to the wanted surface.

        Raises
        ------
        ConvergenceError
            If the plan that geometry suggests has no balance.
        """
        start = self.start
        first = self.attempt(start) or tried(self.wanted, self.making, start)  # tells why
        known = [each for (_, price), each in self.known.items() if each and not price]
        best = min([first, *known], key=lambda each: (not each.met, each.cost))
        slimmest = SLIM * first_plan(self.wanted, self.making).widest
        while len(self.known) < (TRIALS if best.met or self.stitches > MOST_STITCHES else MOST_TRIALS):
            if self.is_late:
                break
            ranked = list(self._ranked(best, slimmest=slimmest))
            if not ranked:
                break
            predicted, plan, move = min(ranked, key=lambda each: each[0])
            if best.met and predicted > WORTH_TRYING * best.cost:
                break
            trial = self.attempt(plan)
            if trial is None:
                continue
            unlike = trial.miss - best.miss - self.model @ move
            self.model = self.model + CORRECTED * np.outer(unlike, move) / (move @ move)
            if (not trial.met, trial.cost) < (not best.met, best.cost):
                best = trial
        return best

    @property
    def is_late(self) -> bool:
        """Whether the search has taken as long as anybody waits: the best so far is taken then."""
        return time.thread_time() > self.until

    def plainest(self, exact: Trial) -> Trial:
        """Return the plainest rounds that are as good as the nearest ones, or these."""
        sound = [each for each in self.known.values() if each and each.met and self._as_near(each, exact)]
        plans = [each.plan for each in sorted(sound, key=lambda each: each.cost)] or [exact.plan]
        ways: dict[tuple[int, ...], tuple[Plan, float]] = {}
        for plan, price in itertools.product(plans, (0.0, *PRICES)):
            ways.setdefault(end_counts(self.wanted, self.making, plan, price=price), (plan, price))
        plainer = [ends for ends in ways if changes(ends) < changes(exact.ends)]
        # of two as plain the one whose form is known
        for ends in sorted(plainer, key=lambda ends: (changes(ends), ways[ends][1] > 0))[:PLAIN_TRIALS]:
            if self.is_late:
                break
            plain = self.attempt(*ways[ends])
            if plain and self._as_good(plain, exact):
                return plain
        return self._plain_beside(exact)

    def _plain_beside(self, exact: Trial) -> Trial:
        """Return plain rounds by a plan one stitch beside the nearest one, or the nearest rounds."""
        beside = []
        for side, widest in itertools.product((0,) if self.making.chain else (-1, 0, 1), (-1, 1)):
            plan = Plan(exact.plan.side + side, exact.plan.widest + widest, exact.plan.rounds)
            miss = (exact.miss + self.model @ [side, widest, 0]) / self.scale
            if plan.side >= 0 and plan.widest > SEAM_END:
                beside.append((float(miss @ miss), plan))
        for _, plan in sorted(beside, key=lambda each: each[0])[:BESIDE]:
            ends = end_counts(self.wanted, self.making, plan, price=PRICES[0])
            if self.is_late or changes(ends) >= changes(exact.ends):
                continue
            plain = self.attempt(plan, PRICES[0])
            if plain and self._as_good(plain, exact):
                return plain
        return exact

    def _as_near(self, trial: Trial, exact: Trial) -> bool:
        """Whether a form lies so little further from the drawing that hands can't tell."""
        room = PLAINNESS * self.making.tolerance * self.making.stitch_width
        return trial.rms <= exact.rms + room

    def _as_good(self, plain: Trial, exact: Trial) -> bool:
        """Whether hands can't tell a form from the nearest one, sizes and surface."""
        sizes = plain.met or (not exact.met and plain.off <= exact.off + NO_FURTHER)
        return sizes and self._as_near(plain, exact)

    def attempt(self, plan: Plan, price: float = 0.0) -> Trial | None:
        """Return the trial of a plan, solved once; None where it has no balance."""
        if (plan, price) not in self.known:
            try:
                trial = tried(self.wanted, self.making, plan, price=price, near=self.form)
                if self.making.finish is not Finish.SEAMED:  # these are quick, and would hand a bow on and on
                    self.form = trial.form
                self.stitches += sum(trial.piece.counts)
            except ConvergenceError:
                trial = None
            self.known[plan, price] = trial
            if self.progress:
                self.progress(min(len(self.known) / TRIALS, 0.95))
        return self.known[plan, price]

    def finished(self, trial: Trial) -> Trial:
        """Return a trial with its form solved to the end, and keep it so.

        Raises
        ------
        ConvergenceError
            If it has no balance.
        """
        plan, price = trial.plan, trial.price
        done = tried(self.wanted, self.making, plan, price=price, tolerance=TOLERANCE, near=trial.form)
        self.known[plan, price] = done
        return done

    def _ranked(self, best: Trial, *, slimmest: float) -> Iterator[tuple[float, Plan, Ints]]:
        """Yield the plans near the best that are not known: predicted cost, plan and move."""
        reach = (-2, -1, 0, 1, 2)
        for move in itertools.product((0,) if self.making.chain else reach, reach, reach):
            plan = Plan(best.plan.side + move[0], best.plan.widest + move[1], best.plan.rounds + move[2])
            if plan.side < 0 or plan.widest <= max(SEAM_END, slimmest) or plan.rounds < 2:
                continue
            if (plan, 0.0) not in self.known:
                guess = (best.miss + self.model @ np.array(move)) / self.scale
                yield float(guess @ guess), plan, np.array(move)
