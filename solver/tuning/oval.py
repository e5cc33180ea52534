"""Ovals tuned to a size: by drawing, by gauge, by firmness; and what moves a size, their rounds kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from scipy.optimize import brentq

from solver.errors import InputError, PlumplineError, Problem
from solver.form.fabric import stitch_fabric
from solver.form.stitches import StitchForm, stitch_form
from solver.partfile import OvalPart
from solver.solving.oval import (
    OvalSolution,
    form_sizes,
    lying,
    reformed,
    solve_oval,
    wanted_oval_sizes,
)
from solver.solving.round import ML
from solver.tuning.keep import LEAST_STRETCH, STEP, Sensitivity, gauge_for, out_of_reach, stuffed_to
from solver.tuning.scale import MISSED, check_target, check_wall, missed_note, size_of
from solver.wanted.gauge import GREATEST_STRETCH, Gauge, Stuffing

OVAL_MEASURES = ("length", "width", "height", "girth", "volume")
"""Sizes that can be asked for: outside sizes in mm, the girth seen from above; the volume in ml."""

FLAT_MEASURES = ("length", "width", "girth")

MOST_SCALES = 4
"""Drawings that are solved to hit a size."""

CLOSE = 1e-4
"""Residual of forms whose small differences are told."""

FIRMEST = (GREATEST_STRETCH, 0.12, 0.1, 0.08, 0.05)
"""Stretches that are tried for the firmest stuffing: some rounds hold no more."""

NEAR = 1e-3
"""Relative misfit at which a gauge or a stuffing has hit a size."""


def measures_of(part: OvalPart) -> tuple[str, ...]:
    """Return the sizes that can be asked for."""
    return FLAT_MEASURES if part.is_flat else OVAL_MEASURES


def bar(part: OvalPart, measure: str, target: float) -> float:
    """Return how far off whole stitches and rounds may leave a size. [mm, ml]

    1 %, or half of the step by which one stitch or one round more moves it: a stitch's width in the length
    and across, two of them in the girth, a row in the height.
    """
    w, h = part.gauge.stitch_width, part.gauge.row_height
    steps = {"length": w, "width": w, "height": h, "girth": 2 * w}
    return max(MISSED * target, steps.get(measure, 0.0) / 2)


def oval_scaled_to(
    part: OvalPart, *, measure: str, target: float, progress: Callable[[float], None] | None = None
) -> OvalSolution:
    """Return the part solved with its drawing scaled so that its form comes nearest to a size.

    Parameters
    ----------
    part : OvalPart
        What is to be scaled, as drawn. A chain that it gives is left out, which a note tells.
    measure : str
        One of `measures_of` the part.
    target : float
        > 0. [mm, ml]
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    InputError
        If no part of that size can be worked.
    ConvergenceError
        If its rounds have no balance under the stuffing.
    """
    check_target(measure, target, measures=measures_of(part))
    power = 1 / 3 if measure == "volume" else 1.0
    drawn = float(getattr(wanted_oval_sizes(part), measure))
    wall = drawn - _inside(part, measure)
    check_wall(measure, target, wall=wall)
    free = _without_chain(part)
    allowed = bar(part, measure, target)
    solved: dict[float, OvalSolution] = {}

    def told(share: float) -> None:
        if progress:
            progress((len(solved) + share) / MOST_SCALES)

    scale = ((target - wall) / (drawn - wall)) ** power
    for _ in range(MOST_SCALES):
        try:
            solution = solve_oval(replace(free, wanted=free.wanted.scaled(scale)), progress=told)
        except PlumplineError:
            if solved:
                break  # those before have rounds
            raise
        solved[scale] = solution
        size = size_of(solution, measure)
        if abs(size / target - 1) <= MISSED:
            break
        below = [at for at, each in solved.items() if size_of(each, measure) < target]
        above = [at for at, each in solved.items() if size_of(each, measure) > target]
        if below and above:
            scale = (max(below) + min(above)) / 2
        else:
            scale *= ((target - wall) / (size - wall)) ** power
        if any(abs(scale / other - 1) < 1e-3 for other in solved):
            break
    best = min(solved.values(), key=lambda each: abs(size_of(each, measure) - target))
    off = size_of(best, measure) - target
    if abs(off) <= allowed:
        return best
    why = "stitches and rounds are whole, and each one more or fewer moves it by a step"
    return replace(best, notes=(*best.notes, missed_note(measure, off, why=why)))


def oval_refined_with(solution: OvalSolution, *, measure: str, target: float, by: str) -> OvalSolution:
    """Return the same rounds at the gauge, or with the stuffing, that gives a size.

    Parameters
    ----------
    solution : OvalSolution
        The rounds as they are.
    measure : str
        One of `measures_of` the part.
    target : float
        > 0. [mm, ml]
    by : str
        "gauge" or "firmness".

    Raises
    ------
    InputError
        If no stuffing gives the size, or no hook and yarn do.
    """
    check_target(measure, target, measures=measures_of(solution.part))
    if by == "firmness":
        stretch = _stretch_for(solution, measure=measure, target=target)
        part = stuffed_to(solution.part, stretch=stretch)
        return reformed(solution, part, form_with(solution, stretch=stretch))
    tuned = solution
    # stitch and form grow alike but for the bending of the fabric, which is so small that one step hits
    for _ in range(3):
        gauge = gauge_for(tuned, measure=measure, target=target)
        wanted = tuned.part.wanted.scaled(gauge.stitch_width / tuned.part.gauge.stitch_width)
        part = replace(tuned.part, gauge=gauge, wanted=wanted)
        tuned = reformed(tuned, part, form_with(tuned, gauge=gauge))
        if abs(size_of(tuned, measure) / target - 1) <= NEAR:
            break
    return tuned


def oval_sensitivity(solution: OvalSolution, measure: str) -> Sensitivity:
    """Return by how much a size moves when gauge and stuffing do, the rounds and what holds them kept."""
    part = solution.part
    w, h, stretch = part.gauge.stitch_width, part.gauge.row_height, part.stuffing.stretch

    def size(*, width: float = w, row: float = h, firm: float = stretch) -> float:
        gauge = replace(part.gauge, stitch_width=width, row_height=row)
        form = form_with(solution, gauge=gauge, stretch=firm, held_as_drawn=True, tolerance=CLOSE)
        return float(getattr(form_sizes(part, form), measure))

    here = size()
    up = 1 if stretch + STEP <= GREATEST_STRETCH else -1
    return Sensitivity(
        stitch_width=size(width=w * (1 + STEP)) - here,
        row_height=size(row=h * (1 + STEP)) - here,
        stretch=0.0 if part.is_flat else up * (size(firm=stretch + up * STEP) - here),
    )


def form_with(
    solution: OvalSolution,
    *,
    gauge: Gauge | None = None,
    stretch: float | None = None,
    held_as_drawn: bool = False,
    tolerance: float = 1e-3,
) -> StitchForm:
    """Return the form of a solution's rounds at another gauge or with another stuffing, solved again.

    Parameters
    ----------
    solution : OvalSolution
        The rounds; their form is the first guess.
    gauge : Gauge, optional
    stretch : float, optional
        Of the stuffing.
    held_as_drawn : bool
        What holds an edge or a sole keeps its size; else it grows with the stitch's width.
    tolerance : float
        See `stitch_form`.

    Raises
    ------
    ConvergenceError
        If the rounds have no balance then.
    """
    old, part = solution.form, solution.part
    gauge = gauge or part.gauge
    factor = gauge.stitch_width / part.gauge.stitch_width
    w, h = gauge.stitch_width, gauge.row_height
    if part.is_flat:
        return lying(solution.piece, solution.last, stitch_width=w, row_height=h)
    fabric = stitch_fabric(solution.piece, stitch_width=w, row_height=h)
    held = 1.0 if held_as_drawn else factor
    stuffing = Stuffing(stretch, "") if stretch else part.stuffing
    return stitch_form(
        fabric,
        pressure=stuffing.pressure(part.wanted.width / 2 * held),
        guess=old.points * factor,
        supports=old.supports.scaled(held),
        tolerance=tolerance,
        wale_stiffness=gauge.stiffness_ratio,
    )


def _stretch_for(solution: OvalSolution, *, measure: str, target: float) -> float:
    """Return the stretch of stuffing with which the same rounds have a size."""
    part = solution.part
    if part.is_flat:
        rule = "a flat piece is not stuffed, so no stuffing changes its size"
        raise InputError(Problem(rule, remedy="Tune the drawing or the gauge."))

    def off(stretch: float) -> float:
        form = form_with(solution, stretch=stretch)
        return float(getattr(form_sizes(part, form), measure)) - target

    low, high = LEAST_STRETCH, GREATEST_STRETCH
    at_low = off(low)
    for high in FIRMEST:
        try:
            at_high = off(high)
        except PlumplineError:
            continue  # more than these rounds hold
        break
    if at_low * at_high > 0:
        raise out_of_reach(measure, target, ends=(target + at_low, target + at_high))
    return float(brentq(off, low, high, xtol=1e-5, rtol=1e-3, maxiter=20))


def _without_chain(part: OvalPart) -> OvalPart:
    """Return the part with its chain left to the solver, as a scaled drawing has its own."""
    if part.work.chain is None:
        return part
    note = (
        f"The chain of {part.work.chain} in the part file is left out here: a drawing of another size has "
        "its own."
    )
    return replace(part, work=replace(part.work, chain=None), notes=(*part.notes, note))


def _inside(part: OvalPart, measure: str) -> float:
    """Return a wanted size of the middle of the fabric. [mm, ml]"""
    size = float(getattr(part.wanted, measure))
    return size / ML if measure == "volume" else size
