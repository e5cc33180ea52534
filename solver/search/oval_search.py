"""Whole stitches for an elongated part: few structural numbers, searched against the form in space.

Three numbers shape a part on a chain: straight stitches, the widest end and the number of rounds. The ends
of the rounds between follow the wanted profile. Each trial is solved as a stitch fabric; the next is the
best that the form's exact sensitivities (`oval_moves`) predict among all whole moves by one or two, and what
came of it corrects them (Broyden's method; J. Nocedal and S. Wright, Numerical Optimization, 2nd ed., 11.1;
memory). Of parts of many stitches a coarser fabric is searched first, and its sensitivities are carried over.
The search stops where no move is predicted to gain. By the plans that meet everything, plainer rounds are
tried then.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Floats, Ints
from solver.errors import ConvergenceError, PlumplineError
from solver.form.stitches import TOLERANCE, StitchForm
from solver.rounds import Finish
from solver.search.oval_coarse import coarser_making, finer_plan
from solver.search.oval_ends import changes, end_counts
from solver.search.oval_moves import Outlook, carried_moves, exact_moves, outlook, usual_slopes
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

WORTH_TRYING, NEARER = 1.1, 0.9
"""Predicted cost over that of the best plan, up to which another is still tried: where it is predicted to
meet everything, and where it is not."""

NEARLY, LIKELY = 8.0, 1.5
"""Cost of a plan that misses something by little, and predicted cost over it up to which others are tried."""

ENOUGH, NO_GAIN, NO_GAIN_MET = 0.2, 4, 3
"""Cost of a plan that meets everything, below which no other is looked for, and trials one after the other
that gain nothing, after which no more are made; and where all is met."""

MANY = 900
"""Stitches from which on a coarser fabric is searched first."""

SURPASSED = 4.0
"""Cost of what geometry suggests over the best, on a coarser fabric, from which it is tried no more."""

COARSELY = 0.3
"""Share of the work that a coarser fabric is told to be."""

BOTH_UP_TO, EXACT_UP_TO = 2500, 1600
"""Stitches up to which what geometry suggests is tried beside what a coarser fabric came to, and nodes up to
which a form's exact sensitivities are worked out; they cost more than a form beyond."""

PATIENCE, LARGE, FOR_LARGE = 4.0, 8000, 1.6
"""Seconds of work after which a search is content with the best so far, so many times that for parts of so
many stitches: the rest takes up to three more, and nobody waits longer than ten."""

FAR, SHORT = 50.0, 0.2
"""Cost, now and as predicted of any move, from which a part can't be what is wanted whatever its rounds (one
size off by four tolerances), and the part of that time that is spent on it."""

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
        Whether the clock ended the search, with the best so far.
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
    failed = False
    for last in (False,) * (FINISHED - 1) + (True,):
        exact, patient = search.nearest(), last or search.is_late
        best = exact if making.fit is Fit.EXACT or failed else search.plainest(exact)
        try:
            done = search.finished(best, patient=patient)
        except ConvergenceError:
            if patient:
                raise
            failed = True
            continue
        if done.met or not best.met or search.is_late:
            break
    return Found(done, exact if exact.ends != done.ends else None, len(search.known), search.cut)


class _Search:
    """The trials so far, and the model of what a move does."""

    def __init__(self, wanted: Stadium, making: OvalMaking, progress: Callable[[float], None] | None) -> None:
        self.wanted, self.making, self.progress = wanted, making, progress
        self.known: dict[tuple[Plan, float], Trial | None] = {}
        self.stitches = 0
        self.form: StitchForm | None = None
        self.moves: tuple[StitchForm, Floats, float] | None = None
        self.fineness, self.exact, self.surpassed, self.cut = 1.0, False, False, False
        self.start = first_plan(wanted, making)
        self.begun, self.patience, self.hopeless = time.thread_time(), PATIENCE, False
        self.scale = tolerances(wanted, making)
        self.corrected = np.zeros((5, 3))

    def begin_coarsely(self) -> None:
        """Start a part of many stitches from what a coarser fabric of its shape comes to, and its model."""
        making, plan = self.making, self.start
        stitches = plan.rounds * (2 * plan.side + 1.4 * plan.widest)
        if stitches < MANY:
            return
        if stitches >= LARGE:
            self.patience = FOR_LARGE * PATIENCE
        f, coarser = coarser_making(making, stitches=stitches)
        coarse = _Search(self.wanted, coarser, self._part_told(0.0, COARSELY))
        coarse.begun, coarse.patience = self.begun, self.patience
        try:
            coarse.begin_coarsely()
            best = coarse.nearest()
        except PlumplineError:
            return  # too coarse a fabric: the fine one starts from its geometry
        self.progress = self._part_told(COARSELY, 1.0)
        self.hopeless = coarse.hopeless
        move: Floats = np.zeros(3)
        if not coarse.hopeless:
            # what whole stitches of the coarse fabric left off is made up for in fine ones
            model = coarse.outlook(best).slopes / f
            fitted = np.linalg.lstsq(model / self.scale[:, None], -best.miss / self.scale, rcond=None)
            move = np.asarray(fitted[0], dtype=np.float64)
        if coarse.moves:
            self.moves = (coarse.moves[0], coarse.moves[1], coarse.moves[2] / f)
        if making.finish is not Finish.SEAMED:
            self.form = best.form
        self.fineness, geometric = f, (first_plan(self.wanted, coarser), 0.0)
        known = coarse.known.get(geometric)
        self.surpassed = known.cost > SURPASSED * best.cost if known else geometric in coarse.known
        self.start = finer_plan(making, plan, coarser, best.plan, finer=f, move=move)

    def _part_told(self, first: float, last: float) -> Callable[[float], None] | None:
        """Return what tells a part of the work as that share of it all."""
        told = self.progress
        return (lambda share: told(first + (last - first) * share)) if told else None

    def nearest(self) -> Trial:
        """Return the trial nearest to the wanted surface.

        Raises
        ------
        ConvergenceError
            If the plan that geometry suggests has no balance.
        """
        first = self.attempt(self.start)
        sure = self.surpassed or self.hopeless or self.stitches >= BOTH_UP_TO or self.is_late
        if not first or not (first.cost <= ENOUGH or sure):
            self.attempt(first_plan(self.wanted, self.making))
        known = [each for (_, price), each in self.known.items() if each and not price]
        # where none has a form, trying to the end tells why
        best = min(known or [tried(self.wanted, self.making, self.start, tolerance=TOLERANCE)], key=_worth)
        slimmest, idle = SLIM * first_plan(self.wanted, self.making).widest, 0
        view: Outlook | None = None
        while len(self.known) < (TRIALS if best.met or self.stitches > MOST_STITCHES else MOST_TRIALS):
            content = best.met and (best.cost < ENOUGH or idle >= NO_GAIN_MET)
            if content or idle >= NO_GAIN or self.out_of_time():
                break
            view = view or self.outlook(best)
            ranked = list(self._ranked(view, slimmest=slimmest))
            if not ranked:
                break
            (misses, predicted), plan, move = min(ranked, key=lambda each: each[0])
            self.hopeless = min(best.cost, predicted) > FAR
            worth_trying = self._worth_trying(best, misses=misses) * best.cost
            if ((best.met or misses) and predicted > worth_trying) or self.out_of_time():
                break
            idle += 1
            trial = self.attempt(plan)
            if trial is None:
                continue
            unlike = trial.miss - best.miss - (view.slopes + self.corrected) @ move
            self.corrected = self.corrected + CORRECTED * np.outer(unlike, move) / (move @ move)
            if _worth(trial) < _worth(best):
                best, view, idle = trial, None, 0
        return best

    @staticmethod
    def _worth_trying(best: Trial, *, misses: bool) -> float:
        """Return the predicted cost over the best's up to which another plan is tried."""
        if not best.met and best.cost < NEARLY:
            return LIKELY
        return NEARER if misses else WORTH_TRYING

    def outlook(self, trial: Trial) -> Outlook:
        """Return what moves from a trial are predicted to do, by its own sensitivities where it is small."""
        fabric = trial.form.fabric
        if fabric.node_count <= EXACT_UP_TO and not self.exact and not (self.hopeless and self.moves):
            with suppress(ConvergenceError):
                self.moves, self.exact = (trial.form, exact_moves(self.making, trial), 1.0), True
                self.corrected = np.zeros((5, 3))
                return outlook(self.wanted, trial, self.moves[1])
        if self.moves:
            form, moves, part = self.moves
            moves = carried_moves(form, moves, fabric, part=part)
        else:
            moves = np.zeros((3, fabric.node_count, 3))
        view = outlook(self.wanted, trial, moves)
        if self.moves:
            return view
        return replace(view, slopes=usual_slopes(self.making))

    @property
    def is_late(self) -> bool:
        """Whether the search has taken as long as anybody waits: the best so far is taken then."""
        return time.thread_time() > self.begun + self.patience * (SHORT if self.hopeless else 1.0)

    def out_of_time(self) -> bool:
        """Whether the search has to end here, which is remembered."""
        self.cut = self.cut or self.is_late
        return self.is_late

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
            if self.out_of_time():
                break
            plain = self.attempt(*ways[ends])
            if plain and self._as_good(plain, exact):
                return plain
        return self._plain_beside(exact)

    def _plain_beside(self, exact: Trial) -> Trial:
        """Return plain rounds by a plan one stitch beside the nearest one, or the nearest rounds."""
        beside, slopes = [], self.outlook(exact).slopes
        for side, widest in itertools.product((0,) if self.making.chain else (-1, 0, 1), (-1, 1)):
            plan = Plan(exact.plan.side + side, exact.plan.widest + widest, exact.plan.rounds)
            miss = (exact.miss + (slopes + self.corrected) @ [side, widest, 0]) / self.scale
            if plan.side >= 0 and plan.widest > SEAM_END:
                beside.append((float(miss @ miss), plan))
        for _, plan in sorted(beside, key=lambda each: each[0])[:BESIDE]:
            ends = end_counts(self.wanted, self.making, plan, price=PRICES[0])
            if changes(ends) >= changes(exact.ends) or self.out_of_time():
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

    def finished(self, trial: Trial, *, patient: bool) -> Trial:
        """Return a trial with its form solved to the end, and keep it so.

        Raises
        ------
        ConvergenceError
            If it has no balance.
        """
        plan, price = trial.plan, trial.price
        self.known[plan, price] = None
        if self.progress:
            self.progress(0.95)
        how = {"price": price, "tolerance": TOLERANCE}
        done = tried(self.wanted, self.making, plan, **how, near=trial.form, patient=patient)
        self.known[plan, price] = done
        return done

    def _ranked(self, view: Outlook, *, slimmest: float) -> Iterator[tuple[tuple[bool, float], Plan, Ints]]:
        """Yield the plans near a trial that are not known: what each may be worth, plan and move."""
        far, plan = 2 * self.fineness, view.trial.plan
        reach = sorted({*range(-2, 3), *(round(sign * part * far) for sign in (-1, 1) for part in (0.5, 1))})
        for move in itertools.product((0,) if self.making.chain else reach, reach, reach):
            next_ = Plan(plan.side + move[0], plan.widest + move[1], plan.rounds + move[2])
            if next_.side < 0 or next_.widest <= max(SEAM_END, slimmest) or next_.rounds < 2:
                continue
            if (next_, 0.0) not in self.known:
                by = np.array(move)
                yield view.worth(self.wanted, self.making, by, corrected=self.corrected), next_, by


def _worth(trial: Trial) -> tuple[bool, float]:
    return not trial.met, trial.cost
