"""A part tuned to a size: by its drawing, its gauge or its firmness. What is hit is the solved form."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from solver.equilibrium import Form, RingFabric, ring_form
from solver.errors import InputError, Problem
from solver.gauge import GREATEST_STRETCH, Gauge, Stuffing
from solver.partfile import Part
from solver.rounds import Finish, Start
from solver.solution import Solution, finished, solve, wanted_sizes
from solver.units import in_mm

MEASURES = ("height", "width", "girth", "volume")
"""Sizes that can be asked for: outside sizes in mm, the volume in ml."""

NEAR = 0.003
"""Relative misfit at which no better scale is looked for."""

ENOUGH = 0.009
"""Relative misfit that whole rounds may leave."""

MOST_SCALES = 4
FINE_SCALES = (0.99, 1.01, 0.98, 1.02)
"""Scales next to the best one, tried where whole rounds keep the size away."""

STEP = 0.01
"""Relative change that a sensitivity is told for."""

LEAST_STRETCH = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """By how much a size moves, counts kept, for 1 % more of each.

    Attributes
    ----------
    stitch_width, row_height, stretch : float
        [mm], of a volume [ml]; `stretch` for one hundredth more.
    """

    stitch_width: float
    row_height: float
    stretch: float


def size_of(solution: Solution, measure: str) -> float:
    """Return a size of the solved part: outside, in mm; the volume in ml."""
    return float(getattr(solution.got, measure))


def scaled_to(
    part: Part, *, measure: str, target: float, progress: Callable[[float], None] | None = None
) -> Solution:
    """Return the part solved with its drawing scaled so that its form has a size.

    Parameters
    ----------
    part : Part
        What is to be scaled, as drawn.
    measure : str
        One of `MEASURES`.
    target : float
        > 0. [mm, ml]
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    InputError
        If no part of that size can be worked.

    Notes
    -----
    Rounds are whole, so the form's size moves in small steps: each misfit corrects the scale, and the
    nearest form of all that were solved is returned.
    """
    _check_target(measure, target)
    power = 1 / 3 if measure == "volume" else 1.0
    wall = 0.0 if measure == "volume" else _wall(part, measure)
    if target <= wall:
        raise InputError(Problem(f"a {measure} is more than the fabric's thickness", got=in_mm(target)))
    solved: list[tuple[float, Solution]] = []

    def off(pair: tuple[float, Solution]) -> float:
        return abs(size_of(pair[1], measure) / target - 1)

    def tried(scale: float) -> float:
        changed = replace(part, outline=part.outline.scaled(scale))
        solved.append((scale, solve(changed)))
        if progress:
            progress(len(solved) / (MOST_SCALES + len(FINE_SCALES)))
        return size_of(solved[-1][1], measure)

    drawn = float(getattr(wanted_sizes(part), measure))
    scale = ((target - wall) / (drawn - wall)) ** power
    for _ in range(MOST_SCALES):
        got = tried(scale)
        if off(solved[-1]) <= NEAR:
            break
        scale *= ((target - wall) / (got - wall)) ** power
        if any(abs(scale / other - 1) < 1e-4 for other, _ in solved):
            break
    if min(map(off, solved)) > ENOUGH:
        best = min(solved, key=off)[0]
        for factor in FINE_SCALES:
            tried(best * factor)
            if off(solved[-1]) <= ENOUGH:
                break
    return min(solved, key=off)[1]


def gauge_for(solution: Solution, *, measure: str, target: float) -> Gauge:
    """Return the gauge at which the same rounds, stuffed as firmly, have a size.

    Parameters
    ----------
    solution : Solution
        The rounds at their own gauge.
    measure : str
        One of `MEASURES`.
    target : float
        > 0. [mm, ml]

    Raises
    ------
    InputError
        If no hook and yarn make such stitches.

    Notes
    -----
    Stitch and form grow alike: with w, h and the held radii times g, and p/k over g, equation (1) of
    `equilibrium` keeps its balance at the form times g. The fabric's thickness is taken to grow too.
    """
    _check_target(measure, target)
    factor = target / size_of(solution, measure)
    if measure == "volume":
        factor = factor ** (1 / 3)
    gauge = solution.part.gauge
    return replace(
        gauge,
        stitch_width=gauge.stitch_width * factor,
        row_height=gauge.row_height * factor,
        thickness=gauge.thickness * factor,
    )


def stretch_for(solution: Solution, *, measure: str, target: float) -> float | None:
    """Return the stretch of stuffing with which the same rounds have a size; None where none does.

    Parameters
    ----------
    solution : Solution
        The rounds.
    measure : str
        One of `MEASURES`.
    target : float
        > 0. [mm, ml]
    """
    _check_target(measure, target)
    low, high = LEAST_STRETCH, GREATEST_STRETCH
    ends = [_size_with(solution, measure, stretch=stretch) - target for stretch in (low, high)]
    if ends[0] * ends[1] > 0:
        return None
    for _ in range(40):
        middle = (low + high) / 2
        if (_size_with(solution, measure, stretch=middle) - target) * ends[0] > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def sensitivity(solution: Solution, measure: str) -> Sensitivity:
    """Return by how much a size of the solved part moves when gauge and stuffing do, counts kept."""
    gauge, stretch = solution.part.gauge, solution.part.stuffing.stretch
    here = size_of(solution, measure)
    up = 1 if stretch + STEP <= GREATEST_STRETCH else -1
    return Sensitivity(
        stitch_width=_size_with(solution, measure, width=gauge.stitch_width * (1 + STEP)) - here,
        row_height=_size_with(solution, measure, row=gauge.row_height * (1 + STEP)) - here,
        stretch=up * (_size_with(solution, measure, stretch=stretch + up * STEP) - here),
    )


def size_at_gauge(solution: Solution, measure: str, *, factor: float) -> float:
    """Return a size of the same rounds, stuffed as firmly, with stitches larger by a factor. [mm, ml]."""
    return size_of(solution, measure) * factor ** (3 if measure == "volume" else 1)


def _size_with(
    solution: Solution,
    measure: str,
    *,
    width: float | None = None,
    row: float | None = None,
    stretch: float | None = None,
) -> float:
    """Return a size of the same rounds with another stitch or another stuffing, solved again."""
    part, old = solution.part, solution.form
    gauge = part.gauge
    width, row = width or gauge.stitch_width, row or gauge.row_height
    stuffing = Stuffing(stretch, "") if stretch else part.stuffing
    fabric = RingFabric(
        old.fabric.perimeter * width / gauge.stitch_width,
        old.fabric.spacing * row / gauge.row_height,
        stitch_width=width,
        held=old.fabric.held,
        course_stiffness=old.fabric.course_stiffness,
        wale_stiffness=old.fabric.wale_stiffness,
    )
    pressure = stuffing.pressure(part.outline.width / 2)
    return form_size(part, ring_form(fabric, pressure=pressure, guess=old.points), measure)


def form_size(part: Part, form: Form, measure: str) -> float:
    """Return an outside size of a form of this part. [mm, ml]."""
    if measure == "volume":
        return form.volume / 1000
    across = form.width + part.gauge.thickness
    sizes = {"height": form.size + _wall(part, "height"), "width": across, "girth": np.pi * across}
    return float(sizes[measure])


def _wall(part: Part, measure: str) -> float:
    """Return what the fabric's thickness adds to a size. [mm]."""
    if measure == "height":
        closed = (part.work.start is not Start.OPEN) + (part.work.finish is not Finish.OPEN)
        return closed * part.gauge.thickness / 2
    return part.gauge.thickness * (np.pi if measure == "girth" else 1.0)


def _check_target(measure: str, target: float) -> None:
    if measure not in MEASURES:
        raise InputError(Problem(f"a size is one of: {', '.join(MEASURES)}", got=measure))
    if not (np.isfinite(target) and target > 0):
        raise InputError(Problem("a size is above zero", got=f"{target:g}"))


def refined_with(solution: Solution, *, measure: str, target: float, by: str) -> Solution:
    """Return the same rounds at the gauge, or with the stuffing, that gives a size.

    Parameters
    ----------
    solution : Solution
        The rounds as they are.
    measure : str
        One of `MEASURES`.
    target : float
        > 0. [mm, ml]
    by : str
        "gauge" or "firmness".

    Raises
    ------
    InputError
        If no stuffing gives the size, or no hook and yarn do.
    """
    part = solution.part
    if by == "gauge":
        gauge = gauge_for(solution, measure=measure, target=target)
        factor = gauge.stitch_width / part.gauge.stitch_width
        part = replace(part, gauge=gauge, outline=part.outline.scaled(factor))
    else:
        stretch = stretch_for(solution, measure=measure, target=target)
        if stretch is None:
            ends = [_size_with(solution, measure, stretch=e) for e in (LEAST_STRETCH, GREATEST_STRETCH)]
            rule = f"with these rounds stuffing alone makes the {measure} {min(ends):.1f} to {max(ends):.1f}"
            remedy = "Tune the drawing or the gauge."
            raise InputError(Problem(rule, got=f"{target:.1f}", remedy=remedy))
        part = replace(part, stuffing=Stuffing(stretch, "stuffing tuned to the size"))
    form = _form_with(solution, part)
    fit = replace(solution.fit, form=form)
    return finished(part, fit, solution.piece, direct_rule=solution.direct_rule)


def _form_with(solution: Solution, part: Part) -> Form:
    """Return the form of a solution's rounds at the gauge and with the stuffing of another part."""
    old = solution.form
    factor = part.gauge.stitch_width / solution.part.gauge.stitch_width
    first, last = (None if held is None else held * factor for held in old.fabric.held)
    fabric = replace(
        old.fabric,
        perimeter=old.fabric.perimeter * factor,
        spacing=old.fabric.spacing * part.gauge.row_height / solution.part.gauge.row_height,
        stitch_width=part.gauge.stitch_width,
        held=(first, last),
    )
    return ring_form(
        fabric, pressure=part.stuffing.pressure(part.outline.width / 2), guess=old.points * factor
    )
