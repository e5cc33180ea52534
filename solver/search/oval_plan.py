"""Whole stitches for an elongated part: few structural numbers, searched against the form in space.

Three numbers shape a part on a chain: straight stitches, the widest end and the number of rounds. The ends
of the rounds between follow the wanted profile. Each trial is solved as a stitch fabric; the next is the
best that a linear model of length, width and height predicts among all whole moves by one or two, and what
came of it corrects the model (Broyden's method; J. Nocedal and S. Wright, Numerical Optimization, 2nd ed.,
11.1; memory).
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Floats
from solver.errors import ConvergenceError, InputError, Problem
from solver.form.descent import Supports
from solver.form.fabric import stitch_fabric
from solver.form.stitches import TOLERANCE, StitchForm, stitch_form
from solver.form.stuffed import StuffedForm
from solver.form.views import placed
from solver.rounds import Begin, Finish, Increases, Piece
from solver.rounds.along_chain import first_end, oval_piece
from solver.wanted.stadium import POINTS, Stadium

NEAR = 0.03
"""A size within this part of the wanted one is met; half a stitch or half a row is always close enough."""

SEARCH_TOLERANCE = 1e-2
"""Residual while searching: moves no size by more than 0.03 mm."""

TRIALS, MOST_TRIALS = 10, 20
"""Forms that a search may solve: to improve a plan that meets everything, and to find one at all."""

MOST_STITCHES = 20_000
"""Stitches of all forms together from which on a search is content with `TRIALS`."""

ROUGH = 0.25
"""Root mean square distance from the wanted surface that costs as much as a size just met, in stitches."""

BOW = 0.3
"""Rise of the chain between its ends that costs as much as a size just met, in stitches."""

FULL = 0.975
"""Width at mid-length over greatest width below which a part has a waist."""

SLIM = 0.6
"""Part of the widest end that geometry asks for below which a part is another shape, sizes met or not."""

SEAM_END = 2
"""Stitches in each end of a seamed edge: its seam is as long as the chain then."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OvalMaking:
    """How an elongated part is to be made.

    Attributes
    ----------
    stitch_width, row_height : float
        w and h. [mm]
    stretch : float
        Of the fabric, by the stuffing.
    pressure : float
        p/k. [1/mm]
    stiffness_ratio : float
        k_w/k_c, > 0.
    finish : Finish
    held : bool
        An open edge is sewn to something stiff, and so held to its wanted outline.
    sole : float
        Half the width of a stiff flat insert that holds the base; 0 for none. [mm]
    chain, end : int or None
        Chains and stitches in each end chain, where they are given.
    begin : Begin
        Where rounds begin.
    increases : Increases
        Set off, or in line.
    """

    stitch_width: float
    row_height: float
    stretch: float
    pressure: float
    finish: Finish
    stiffness_ratio: float = 1.0
    held: bool = True
    sole: float = 0.0
    chain: int | None = None
    end: int | None = None
    begin: Begin = Begin.SIDE
    increases: Increases = Increases.STAGGERED

    @property
    def flat_end(self) -> float:
        """Stitches more in each end that lie flat: pi h / w, half of a flat circle's."""
        return np.pi * self.row_height / self.stitch_width

    @property
    def first_end(self) -> int:
        """Stitches in each end chain: as given, or so that round 1 lies flat."""
        return self.end or first_end(stitch_width=self.stitch_width, row_height=self.row_height)


@dataclass(frozen=True, slots=True)
class Plan:
    """The structural numbers of a part on a chain.

    Attributes
    ----------
    side : int
        Straight stitches of each side, >= 0.
    widest : int
        Stitches in each end where it is widest.
    rounds : int
    """

    side: int
    widest: int
    rounds: int


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """A plan and the form that it becomes.

    Attributes
    ----------
    plan : Plan
    ends : tuple of int
        Stitches in each end, round by round.
    piece : Piece
    form : StitchForm
    miss : (4,) float
        Length, width, height, and width at mid-length, less the wanted. [mm]
    rms : float
        Root mean square distance of the stitches from the wanted surface. [mm]
    cost : float
        Squared misses over their tolerances, and of the surface.
    met : bool
        Whether all sizes are met, the surface lies near and there is no waist.
    """

    plan: Plan
    ends: tuple[int, ...]
    piece: Piece
    form: StitchForm
    miss: Floats
    rms: float
    cost: float
    met: bool


def end_counts(wanted: Stadium, making: OvalMaking, plan: Plan) -> tuple[int, ...]:
    """Return the stitches in each end, round by round, as the wanted profile has them.

    Half a round of radius rho has pi rho / w stitches, and one more than that stands in each end, as the
    chain is one stitch longer than each side. Straight sides that grow or shrink do so in the ends.
    """
    shares = np.arange(1, plan.rounds + 1) / plan.rounds
    if making.sole:
        sole, flat = making.sole / wanted.meridian, sole_rounds(making)
        up = np.arange(1, plan.rounds - flat + 1) / max(plan.rounds - flat, 1)
        shares = np.concatenate([np.arange(1, flat + 1) / flat * sole, sole + (1 - sole) * up])
    rho = wanted.half_round(shares)
    ends = np.rint(1 + (plan.widest - 1) * rho / rho.max()).astype(int)
    ends[0] = making.first_end
    grown = making.end or int(np.ceil(making.flat_end))
    top = int(np.argmax(rho))
    for k in range(1, len(ends)):
        if k <= top:
            ends[k] = max(ends[k], ends[k - 1])
        ends[k] = max(min(ends[k], ends[k - 1] + grown), -(-ends[k - 1] // 2), SEAM_END)
    if making.finish is Finish.SEAMED:
        ends[-1] = SEAM_END
        for k in range(len(ends) - 2, 0, -1):
            ends[k] = min(ends[k], 2 * ends[k + 1])
    return tuple(ends.tolist())


def sole_rounds(making: OvalMaking) -> int:
    """Return the rounds that lie on the sole."""
    return max(round(making.sole / making.row_height), 1)


def tried(wanted: Stadium, making: OvalMaking, plan: Plan, *, tolerance: float = SEARCH_TOLERANCE) -> Trial:
    """Return a plan's form and how far it is from the wanted surface.

    Raises
    ------
    ConvergenceError
        If it has no balance.
    """
    ends = end_counts(wanted, making, plan)
    piece = oval_piece(
        making.chain or plan.side + 3,
        ends,
        finish=making.finish,
        begin=making.begin,
        increases=making.increases,
    )
    form = stuffed(wanted, making, piece, tolerance=tolerance)
    points = placed(form.points, wanted)
    sizes = np.array([form.length, form.width, form.height, width_at_middle(form)])
    miss = sizes - [wanted.length, wanted.width, wanted.height, wanted.width]
    rms = float(np.sqrt(np.mean(wanted.distance(points) ** 2)))
    thin = max(FULL - waist(form), 0.0) / (1 - FULL)
    bow = float(np.ptp(form.rings[0][:, 2])) / (BOW * making.stitch_width)
    over = np.array([*miss / tolerances(wanted, making), rms / (ROUGH * making.stitch_width), thin, bow])
    # what lies outside its tolerance counts five times: a sound plan has everything inside
    cost = over @ over + 4 * np.sum(np.maximum(np.abs(over) - 1, 0) ** 2)
    met = bool((np.abs(over[:3]) <= 1).all() and over[4] <= 1.2 and thin == 0)
    return Trial(plan, ends, piece, form, miss, rms, float(cost), met)


def stuffed(wanted: Stadium, making: OvalMaking, piece: Piece, *, tolerance: float = TOLERANCE) -> StitchForm:
    """Return what rounds along a chain become when they are stuffed and held as the part is.

    Raises
    ------
    InputError
        If they are fewer than lie on the sole.
    ConvergenceError
        If they have no balance.
    """
    fabric = stitch_fabric(piece, stitch_width=making.stitch_width, row_height=making.row_height)
    supports = Supports()

    def places(ring: int, share: float) -> Floats:
        corner = fabric.corners[ring]
        first = 0.5 - (corner[0] + corner[1]) / 2
        return wanted.perimeter_places(len(fabric.rings[ring]), height_share=share, first=first)

    if making.sole:
        flat = sole_rounds(making)
        if len(piece.rounds) <= flat:
            rule = f"a part has rounds beyond the {flat} that lie on its stiff sole"
            raise InputError(Problem(rule, got=f"{len(piece.rounds)} rounds"))
        supports = replace(supports, sole=flat, sole_edge=places(flat, making.sole / wanted.meridian))
    if piece.finish is Finish.OPEN and making.held:
        supports = replace(supports, finish=places(len(fabric.rings) - 1, 1.0))
    return stitch_form(
        fabric,
        pressure=making.pressure,
        supports=supports,
        tolerance=tolerance,
        wale_stiffness=making.stiffness_ratio,
    )


def tolerances(wanted: Stadium, making: OvalMaking) -> Floats:
    """Return how far off length, width, height and width at mid-length still count as met. [mm]"""
    stitch, row = making.stitch_width / 2, making.row_height / 2
    return np.maximum(
        NEAR * np.array([wanted.length, wanted.width, wanted.height, wanted.width]),
        [stitch, stitch, row, stitch],
    )


def width_at_middle(form: StitchForm | StuffedForm) -> float:
    """Return the greatest width of a form's section at mid-length. [mm]"""
    middle = (form.points[:, 0].max() + form.points[:, 0].min()) / 2
    near = np.abs(form.points[:, 0] - middle) <= 1.2 * form.fabric.stitch_width
    return float(np.ptp(form.points[near, 1]))


def waist(form: StitchForm | StuffedForm) -> float:
    """Return the width at mid-length over the greatest width: below 1 the part has a waist."""
    return width_at_middle(form) / form.width


def first_plan(wanted: Stadium, making: OvalMaking) -> Plan:
    """Return the plan that the geometry of the wanted surface suggests."""
    w, h = making.stitch_width, making.row_height
    course, wale = 1 + 0.4 * making.stretch, 1 + making.stretch / making.stiffness_ratio
    side = making.chain - 3 if making.chain else wanted.straights[0] / (course * w) - 1
    widest = 1 + np.pi * wanted.half_round(np.linspace(0, 1, POINTS)).max() / (course * w)
    return Plan(
        max(round(side), 0), max(round(widest), SEAM_END + 1), max(round(wanted.meridian / (wale * h)), 2)
    )


def _model(making: OvalMaking) -> Floats:
    """Return how length, width, height and mid-width move with side, widest end and rounds. [mm]"""
    w, h = making.stitch_width, making.row_height
    if making.finish is Finish.OPEN and not making.sole:
        return np.array(
            [[w, 0.65 * w, 0], [0.2 * w, 0.3 * w, 0.6 * h], [0, -0.15 * w, h], [0.2 * w, 0.3 * w, 0.6 * h]]
        )
    return np.array(
        [[w, 0.6 * w, 0], [0, 0.12 * w, 0.55 * h], [0, -0.1 * w, 0.9 * h], [0, -0.02 * w, 0.6 * h]]
    )


def fit_oval(
    wanted: Stadium, making: OvalMaking, *, progress: Callable[[float], None] | None = None
) -> tuple[Trial, int]:
    """Return the best whole-stitch plan for a wanted surface, and the number of forms solved.

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
    model = _model(making)
    scale = tolerances(wanted, making)
    known: dict[Plan, Trial | None] = {}

    def attempt(plan: Plan) -> Trial | None:
        if plan not in known:
            try:
                known[plan] = tried(wanted, making, plan)
            except ConvergenceError:
                known[plan] = None
            if progress:
                progress(min(len(known) / TRIALS, 0.95))
        return known[plan]

    best = attempt(first_plan(wanted, making))
    if best is None:
        best = tried(wanted, making, first_plan(wanted, making))  # tells why
    slimmest, solved = SLIM * best.plan.widest, sum(best.piece.counts)
    steps = [0] if making.chain else [-2, -1, 0, 1, 2]
    while len(known) < (TRIALS if best.met or solved > MOST_STITCHES else MOST_TRIALS):
        ranked = []
        for move in itertools.product(steps, (-2, -1, 0, 1, 2), (-2, -1, 0, 1, 2)):
            plan = Plan(best.plan.side + move[0], best.plan.widest + move[1], best.plan.rounds + move[2])
            if plan in known or plan.side < 0 or plan.widest <= max(SEAM_END, slimmest) or plan.rounds < 2:
                continue
            guess = (best.miss + model @ np.array(move)) / scale
            ranked.append((float(guess @ guess), plan, np.array(move)))
        if not ranked:
            break
        predicted, plan, moved = min(ranked, key=lambda each: each[0])
        if best.met and predicted > 1.15 * best.cost:
            break
        trial = attempt(plan)
        if trial is None:
            continue
        solved += sum(trial.piece.counts)
        model = model + 0.8 * np.outer(trial.miss - best.miss - model @ moved, moved) / (moved @ moved)
        if (not trial.met, trial.cost) < (not best.met, best.cost):
            best = trial
    return tried(wanted, making, best.plan, tolerance=TOLERANCE), len(known)
