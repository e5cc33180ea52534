"""Rounds tuned to a size by gauge or firmness, and what moves a size. What is hit is the solved form."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from solver.errors import InputError, PlumplineError, Problem
from solver.notes import About
from solver.solving.again import reformed
from solver.solving.solved import Solved
from solver.tuning.scale import check_target, size_of
from solver.wanted.gauge import GREATEST_STRETCH, Gauge, Stuffing
from solver.wanted.part import AnyPart

STEP = 0.01
"""Relative change that a sensitivity is told for."""

LEAST_STRETCH = 0.001

FIRMEST = (GREATEST_STRETCH, 0.12, 0.1, 0.08, 0.05)
"""Stretches that are tried for the firmest stuffing: some rounds hold no more."""

HIT = 1e-3
"""Relative misfit at which a gauge has hit a size."""

MOST_GAUGES = 3
"""Stitch and form grow alike but for the bending of the fabric, so that one step nearly hits."""


class By(StrEnum):
    """What is changed to hit a size."""

    DRAWING = "drawing"
    GAUGE = "gauge"
    FIRMNESS = "firmness"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """By how much a size moves, counts kept, for 1 % more of each.

    Attributes
    ----------
    stitch_width, row_height, stretch : float
        [mm], of a volume [ml]; `stretch` for one hundredth more, 0 where nothing is stuffed.
    """

    stitch_width: float
    row_height: float
    stretch: float


def gauge_for(solved: Solved, *, measure: str, target: float) -> Gauge:
    """Return the gauge at which the same rounds, stuffed as firmly, have a size.

    Parameters
    ----------
    solved : Solved
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
    `solver.form.rings` keeps its balance at the form times g. The fabric's thickness is taken to grow too.
    """
    factor = target / size_of(solved, measure)
    if measure == "volume":
        factor = factor ** (1 / 3)
    gauge = solved.part.gauge
    return replace(
        gauge,
        stitch_width=gauge.stitch_width * factor,
        row_height=gauge.row_height * factor,
        thickness=gauge.thickness * factor,
    )


def stretch_for(solved: Solved, *, measure: str, target: float) -> float:
    """Return the stretch of stuffing with which the same rounds have a size.

    Parameters
    ----------
    solved : Solved
        The rounds.
    measure : str
        A size that it has.
    target : float
        > 0. [mm, ml]

    Raises
    ------
    InputError
        If no stuffing gives the size.
    """
    from scipy.optimize import brentq

    if not solved.part.is_stuffed:
        what = "a flat piece" if solved.form.is_flat else "a folded part"
        rule = f"{what} is not stuffed, so no stuffing changes its size"
        raise InputError(Problem(rule, remedy="Tune the drawing or the gauge."))

    def off(stretch: float) -> float:
        return _size_with(solved, measure, stuffing=Stuffing(stretch, "")) - target

    at_low, at_high = off(LEAST_STRETCH), None
    for high in FIRMEST:
        try:
            at_high = off(high)
        except PlumplineError:
            continue  # more than these rounds hold
        break
    if at_high is None or at_low * at_high > 0:
        raise _out_of_reach(measure, target, ends=(target + at_low, target + (at_high or at_low)))
    return float(brentq(off, LEAST_STRETCH, high, xtol=1e-6, rtol=1e-4, maxiter=40))


def sensitivity(solved: Solved, measure: str) -> Sensitivity:
    """Return by how much a size moves when gauge and stuffing do; the rounds and what holds them are kept."""
    part = solved.part
    gauge, stretch = part.gauge, part.stuffing.stretch

    def size(**changes: object) -> float:
        return _size_with(solved, measure, close=True, **changes)

    here = size()
    up = 1 if stretch + STEP <= GREATEST_STRETCH else -1
    wider = replace(gauge, stitch_width=gauge.stitch_width * (1 + STEP))
    taller = replace(gauge, row_height=gauge.row_height * (1 + STEP))
    firmer = Stuffing(stretch + up * STEP, "")
    return Sensitivity(
        stitch_width=size(gauge=wider) - here,
        row_height=size(gauge=taller) - here,
        stretch=up * (size(stuffing=firmer) - here) if part.is_stuffed else 0.0,
    )


def size_at_gauge(solved: Solved, measure: str, *, factor: float) -> float:
    """Return a size of the same rounds, stuffed as firmly, with stitches larger by a factor. [mm, ml]"""
    return size_of(solved, measure) * factor ** (3 if measure == "volume" else 1)


def _size_with(solved: Solved, measure: str, *, close: bool = False, **changes: object) -> float:
    """Return a size of the same rounds at another gauge or with another stuffing, solved again. [mm, ml]"""
    part = replace(solved.part, **changes)  # type: ignore[arg-type]
    form = solved.kind.formed(part, solved.piece, near=solved, close=close)
    return float(getattr(solved.kind.got(part, form), measure))


def _out_of_reach(measure: str, target: float, *, ends: tuple[float, float]) -> InputError:
    """Return the error that no stuffing gives a size; `ends` are the sizes of the softest and firmest."""
    unit = "ml" if measure == "volume" else "mm"
    rule = f"with these rounds stuffing alone makes the {measure} {min(ends):.1f} to {max(ends):.1f} {unit}"
    return InputError(Problem(rule, got=f"{target:.1f} {unit}", remedy="Tune the drawing or the gauge."))


def _stuffed_to(part: AnyPart, *, stretch: float) -> AnyPart:
    """Return the part stuffed so that its fabric stretches by this much, and told so."""
    stuffing = Stuffing(stretch, "stuffing tuned to the size")
    kept = [note for note in part.notes if getattr(note, "about", None) is not About.STUFFING]
    return replace(part, stuffing=stuffing, notes=(*kept, stuffing.note))


def refined_with(solved: Solved, *, measure: str, target: float, by: By) -> Solved:
    """Return the same rounds at the gauge, or with the stuffing, that gives a size.

    Parameters
    ----------
    solved : Solved
        The rounds as they are.
    measure : str
        One of the measures of its kind.
    target : float
        > 0. [mm, ml]
    by : By
        `GAUGE` or `FIRMNESS`.

    Raises
    ------
    InputError
        If no stuffing gives the size, or no hook and yarn do.
    """
    check_target(solved.part, measure, target)
    if by is By.FIRMNESS:
        stretch = stretch_for(solved, measure=measure, target=target)
        return reformed(solved, _stuffed_to(solved.part, stretch=stretch))
    tuned = solved
    for _ in range(MOST_GAUGES):
        gauge = gauge_for(tuned, measure=measure, target=target)
        scaled = tuned.part.scaled(gauge.stitch_width / tuned.part.gauge.stitch_width)
        tuned = reformed(tuned, replace(scaled, gauge=gauge))
        if abs(size_of(tuned, measure) / target - 1) <= HIT:
            break
    return tuned
