"""Whether shape, gauge and work of a part fit each other."""

from __future__ import annotations

import math

from solver.errors import InputError, Problem
from solver.gauge import ROWS_ASSUMED, Gauge, Stuffing
from solver.inset import inset
from solver.outline import SAME_POINT, Outline
from solver.partfile.part import Work
from solver.partfile.schema import WorkTable
from solver.rounds import Finish, Start
from solver.units import in_mm

SIZES = (2.0, 2000.0)
"""Heights and widths of parts that can be worked. [mm]"""
MOST_STITCHES = 2000
"""Stitches in a round, and rounds in a part, beyond which a size or the gauge is wrong."""
LEAST_STITCHES = 4
"""Stitches without which no round closes."""


def how_worked(table: WorkTable, outline: Outline) -> Work:
    """Return how the part is worked; an end of which the file says nothing is as the outline has it.

    Raises
    ------
    InputError
        If an end is to be open where the outline has no opening, or closed where it has one; or a ring has
        no place.
    """
    start_open, finish_open = (bool(radius > SAME_POINT) for radius in outline.points[[0, -1], 0])
    for place, word, which, is_open in (
        ("start", table.start, "first", start_open),
        ("finish", table.finish, "last", finish_open),
    ):
        if word is not None and (word == "open") is not is_open:
            rule = f'with {place} = "{word}" the {which} point has a radius, and here it lies on the axis'
            remedy = f"Leave {place} out, or give that point a radius."
            if is_open:
                rule = f'with {place} = "{word}" the {which} point lies on the axis, and here it has a radius'
                remedy = 'Write "open"; or, for a flat end, add a point [0, height] beside it.'
            raise InputError(Problem(rule, remedy=remedy, place=place))
    if table.ring and start_open:
        rule = "ring belongs to a part that starts on the axis, and this one starts open"
        raise InputError(Problem(rule, got=str(table.ring), remedy="Leave ring out.", place="ring"))
    return Work(
        start=Start.OPEN if start_open else Start.RING,
        ring=table.ring,
        finish=Finish.OPEN if finish_open else Finish.CINCHED,
        edge=table.edge,
        multiple=table.multiple,
        increases=table.increases,
        terms=table.terms,
    )


def middle_of_fabric(outline: Outline, gauge: Gauge, work: Work) -> Outline:
    """Return the outline of the fabric's middle, half a thickness inside the sizes that were given.

    Raises
    ------
    InputError
        If the part is too small or too large to be worked, by itself or at this gauge.
    """
    least, most = SIZES
    if not (least <= outline.height <= most and least <= outline.width <= most):
        rule = f"a part is from {least:g} mm to {most / 1000:g} m high and wide"
        got = f"{in_mm(outline.height)} high, {in_mm(outline.width)} wide"
        raise InputError(Problem(rule, got=got, remedy="Check its sizes and their units."))
    middle = inset(outline, distance=gauge.thickness / 2) if gauge.thickness else outline
    widest = middle.girth / gauge.stitch_width
    rounds = middle.length / gauge.row_height
    remedy = "Check the sizes and the gauge, and their units."
    if max(widest, rounds) > MOST_STITCHES:
        rule = f"a part has at most {MOST_STITCHES:,} stitches in a round, and as many rounds"
        got = f"about {widest:,.0f} stitches round, {rounds:,.0f} rounds"
        raise InputError(Problem(rule, got=got, remedy=remedy))
    fewest = max(LEAST_STITCHES, work.ring or 0, 2 * work.multiple if work.multiple > 1 else 0)
    if widest < fewest:
        rule = f"the widest round of this part needs at least {fewest} stitches"
        got = f"about {widest:.1f} at this gauge"
        remedy = "Make the part larger, or use thinner yarn."
        if fewest > LEAST_STITCHES:
            remedy = "Make the part larger, or ring or multiple smaller."
        raise InputError(Problem(rule, got=got, remedy=remedy))
    for end, is_open, place in (
        (0, work.start is Start.OPEN, "start"),
        (-1, work.finish is Finish.OPEN, "finish"),
    ):
        around = 2 * math.pi * float(middle.points[end, 0]) / gauge.stitch_width
        if is_open and around < LEAST_STITCHES:
            rule = f"an open end has room for at least {LEAST_STITCHES} stitches"
            got = f"about {around:.1f} at the {place}"
            raise InputError(Problem(rule, got=got, remedy="Make it wider, or end it on the axis."))
    return middle


def what_was_assumed(gauge: Gauge, stuffing: Stuffing, *, rows_given: bool) -> tuple[str, ...]:
    """Return what was assumed in reading the file, as sentences for the maker."""
    notes = [] if rows_given else [ROWS_ASSUMED]
    notes += gauge.notes
    notes.append(f"{stuffing.origin.capitalize()}: it stretches the fabric by {stuffing.stretch:.1%}.")
    if gauge.thickness:
        notes.append(f"The fabric is {in_mm(gauge.thickness)} thick: the file's sizes are outside sizes.")
    return tuple(notes)
