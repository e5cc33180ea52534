"""Rounds tuned to a size by gauge or firmness, and what moves a size. What is hit is the solved form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from solver.errors import InputError, Problem
from solver.form.rings import Form, RingFabric, ring_form
from solver.partfile import OvalPart, Part
from solver.solving.round import Solution, finished
from solver.tuning.scale import MEASURES, check_target, form_size, size_of
from solver.wanted.gauge import GREATEST_STRETCH, Gauge, Stuffing

if TYPE_CHECKING:
    from solver.solving.oval import OvalSolution

AnyPart = TypeVar("AnyPart", Part, OvalPart)

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


def gauge_for(solution: Solution | OvalSolution, *, measure: str, target: float) -> Gauge:
    """Return the gauge at which the same rounds, stuffed as firmly, have a size.

    Parameters
    ----------
    solution : Solution or OvalSolution
        The rounds at their own gauge.
    measure : str
        A size that it has.
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
    check_target(measure, target, measures=(*MEASURES, "length"))
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
        One of `sizing.MEASURES`.
    target : float
        > 0. [mm, ml]
    """
    check_target(measure, target)
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


def size_at_gauge(solution: Solution | OvalSolution, measure: str, *, factor: float) -> float:
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


def out_of_reach(measure: str, target: float, *, ends: Sequence[float]) -> InputError:
    """Return the error that no stuffing gives a size; `ends` are the sizes of the softest and firmest."""
    unit = "ml" if measure == "volume" else "mm"
    rule = f"with these rounds stuffing alone makes the {measure} {min(ends):.1f} to {max(ends):.1f} {unit}"
    return InputError(Problem(rule, got=f"{target:.1f} {unit}", remedy="Tune the drawing or the gauge."))


def stuffed_to(part: AnyPart, *, stretch: float) -> AnyPart:
    """Return the part stuffed so that its fabric stretches by this much, and told so."""
    stuffing = Stuffing(stretch, "stuffing tuned to the size")
    notes = [note for note in part.notes if not note.startswith(part.stuffing.origin.capitalize())]
    notes.append(f"{stuffing.origin.capitalize()}: it stretches the fabric by {stretch:.1%}.")
    return replace(part, stuffing=stuffing, notes=tuple(notes))


def refined_with(solution: Solution, *, measure: str, target: float, by: str) -> Solution:
    """Return the same rounds at the gauge, or with the stuffing, that gives a size.

    Parameters
    ----------
    solution : Solution
        The rounds as they are.
    measure : str
        One of `sizing.MEASURES`.
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
            raise out_of_reach(measure, target, ends=ends)
        part = stuffed_to(part, stretch=stretch)
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
