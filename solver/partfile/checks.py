"""Whether shape, gauge and work of a part fit each other."""

from __future__ import annotations

import math
from dataclasses import replace

from solver.errors import InputError, Problem
from solver.notes import About, Note
from solver.partfile.flattable import ROUNDS_ALONE
from solver.partfile.schema import WorkTable
from solver.partfile.shapetables import FlatOvalTable, OvalTable
from solver.partfile.tables import ShapeTable
from solver.rounds import Begin, Finish, Increases, Start
from solver.rounds.along_chain import END_STITCHES
from solver.units import in_mm
from solver.wanted.gauge import ROWS_ASSUMED, Gauge, Stuffing
from solver.wanted.inset import inset
from solver.wanted.outline import SAME_POINT, Outline
from solver.wanted.part import AnyWork, BendBy, Edge, Fit, OvalWork, Work
from solver.wanted.stadium import Stadium

SIZES = (2.0, 2000.0)
"""Heights and widths of parts that can be worked. [mm]"""
MOST_STITCHES = 2000
"""Stitches in a round, and rounds in a part, beyond which a size or the gauge is wrong."""
MOST_OVAL_STITCHES = 20_000
"""Stitches of an oval part, whose form is worked out stitch by stitch, beyond which that takes minutes."""
CHAIN_BEYOND = 2
"""Stitches by which a given chain may be longer than its part: one at each end, which stuffing bows up."""
LEAST_ROUNDS = 2
"""Rounds without which nothing fits into an oval part."""
LEAST_STITCHES = 4
"""Stitches without which no round closes."""


def how_worked(table: WorkTable, outline: Outline, *, on_chain: bool = False) -> Work:
    """Return how the part is worked; an end of which the file says nothing is as the outline has it.

    Raises
    ------
    InputError
        If an end is to be open where the outline has no opening, or closed where it has one; or a ring has
        no place.
    """
    problems = [
        Problem(f"{key} is for oval parts, which start on a chain, and this one is round", place=key)
        for key in ("chain", "ends", "begin", "sole")
        if key in table.model_fields_set and not (on_chain and key == "chain" and table.start == "chain")
    ]
    on_chain = on_chain and table.start == "chain"
    for key, only in (("start", "chain"), ("finish", "seamed")):
        if getattr(table, key) == only and not (on_chain and key == "start"):
            rule = f'{key} = "{only}" is for oval parts, and this one is round'
            remedy = (
                'Leave it out; or write kind = "oval", or section = "oval" with straight = ..., in [shape].'
            )
            problems.append(Problem(rule, remedy=remedy, place=key))
    if problems:
        raise InputError(*problems)
    start_open, finish_open = (bool(radius > SAME_POINT) for radius in outline.points[[0, -1], 0])
    for place, word, which, is_open in (
        ("start", table.start, "first", start_open),
        ("finish", table.finish, "last", finish_open),
    ):
        if word not in (None, "chain") and (word == "open") is not is_open:
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
        start=Start.OPEN if start_open else Start.CHAIN if on_chain else Start.RING,
        ring=table.ring,
        finish=Finish.OPEN if finish_open else Finish.CINCHED,
        edge=Edge(table.edge),
        multiple=table.multiple,
        increases=Increases(table.increases),
        terms=table.terms,
        fit=Fit(table.rounds),
        tolerance=table.tolerance,
        bend_by=BendBy(table.bend_by) if table.bend_by else None,
        chain=table.chain,
        joined=table.joined,
    )


def in_rows(table: WorkTable) -> AnyWork:
    """Return how a flat piece is worked in rows.

    Raises
    ------
    InputError
        If keys for rounds are given, or another end than an open or a sewn one.
    """
    problems = [
        Problem(f"{key} is for rounds, and this piece is worked in rows", remedy="Leave it out.", place=key)
        for key in ROUNDS_ALONE
        if key in table.model_fields_set
    ]
    if table.start not in (None, "chain"):
        rule = "a piece worked in rows starts on a chain"
        problems.append(Problem(rule, got=f'"{table.start}"', remedy="Leave start out.", place="start"))
    if table.finish == "cinched":
        rule = 'a piece worked in rows is left flat, finish = "open", or folded and sewn, "seamed"'
        problems.append(Problem(rule, got='"cinched"', place="finish"))
    if problems:
        raise InputError(*problems)
    return AnyWork(
        finish=Finish(table.finish or "open"),
        edge=Edge(table.edge),
        increases=Increases(table.increases),
        terms=table.terms,
        fit=Fit(table.rounds),
        tolerance=table.tolerance,
    )


def along_chain(table: WorkTable, shape: ShapeTable) -> OvalWork:
    """Return how an oval part is worked.

    Raises
    ------
    InputError
        If keys for round parts are given, or the base or the finish doesn't fit the shape.
    """
    problems = []
    if table.start not in (None, "chain"):
        rule = 'an oval part starts on a chain: start = "chain"'
        problems.append(Problem(rule, got=f'"{table.start}"', remedy="Leave start out.", place="start"))
    if "ring" in table.model_fields_set:
        rule = "ring is for round parts, and this one starts on a chain"
        problems.append(Problem(rule, remedy="Leave ring out.", place="ring"))
    if table.multiple > END_STITCHES[-1]:
        rule = f"on an oval the stitches of each end are a multiple of a number from 1 to {END_STITCHES[-1]}"
        remedy = f"Write multiple = {table.multiple // 2}: a round has two ends, and changes by twice that."
        problems.append(Problem(rule, got=str(table.multiple), remedy=remedy, place="multiple"))
    elif table.ends and table.ends % table.multiple:
        rule = f"the stitches of each end are a multiple of {table.multiple}, in round 1 too"
        problems.append(Problem(rule, got=f"ends = {table.ends}", remedy="Leave ends out.", place="ends"))
    is_flat = isinstance(shape, FlatOvalTable)
    if is_flat and table.finish not in (None, "open"):
        rule = 'a flat oval is left open at its edge: finish = "open"'
        problems.append(Problem(rule, got=f'"{table.finish}"', remedy="Leave finish out.", place="finish"))
    if is_flat and table.sole == "stiff":
        rule = "a flat oval is not stuffed and needs no sole"
        problems.append(Problem(rule, remedy="Leave sole out.", place="sole"))
    if isinstance(shape, OvalTable) and table.sole == "stiff" and shape.base == "domed":
        rule = "a stiff sole lies in a flat base, and this base is domed"
        remedy = 'Write base = "flat", or leave sole out.'
        problems.append(Problem(rule, remedy=remedy, place="sole"))
    if problems:
        raise InputError(*problems)
    return OvalWork(
        chain=table.chain,
        ends=table.ends,
        begin=Begin(table.begin),
        finish=Finish.OPEN if is_flat else Finish(table.finish or "seamed"),
        edge=Edge(table.edge),
        sole=table.sole == "stiff" or (table.sole is None and getattr(shape, "base", None) == "flat"),
        increases=Increases(table.increases),
        terms=table.terms,
        fit=Fit(table.rounds),
        tolerance=table.tolerance,
        multiple=table.multiple,
        joined=table.joined,
    )


def middle_of_oval(
    wanted: Stadium, gauge: Gauge, work: OvalWork, *, finish_given: bool
) -> tuple[Stadium, OvalWork]:
    """Return the surface of the fabric's middle, and how it is worked as its ends ask.

    Raises
    ------
    InputError
        If the part is too small or too large to be worked, or its ends don't suit its finish and sole.
    """
    least, most = SIZES
    sizes = (wanted.length, wanted.width, *([wanted.height] if wanted.height else []))
    if not all(least <= size <= most for size in sizes):
        rule = f"a part is from {least:g} mm to {most / 1000:g} m long, wide and high"
        got = ", ".join(in_mm(size) for size in sizes)
        raise InputError(Problem(rule, got=got, remedy="Check its sizes and their units."))
    first, last = wanted.profile[[0, -1], 0]
    if first > SAME_POINT:
        rule = "an oval part starts on its chain: its first point lies on the axis, [0, height]"
        raise InputError(Problem(rule, got=f"a radius of {first:g} mm", place="points"))
    if wanted.height:
        is_open = bool(last > SAME_POINT)
        if is_open is not (work.finish is Finish.OPEN):
            if finish_given:
                does, here = (
                    ("lies on the axis", "has a radius") if is_open else ("has a radius", "lies on the axis")
                )
                rule = f'with finish = "{work.finish}" the last point {does}, and here it {here}'
                raise InputError(
                    Problem(rule, remedy="Move that point, or leave finish out.", place="finish")
                )
            work = replace(work, finish=Finish.OPEN)
        if gauge.thickness:
            outline = inset(Outline(wanted.profile), distance=gauge.thickness / 2)
            wanted = wanted.reshaped(outline.points)
        if work.sole and not wanted.base:
            rule = "a stiff sole lies in a flat base, and this part has none"
            remedy = "Begin its points with [0, 0] and [radius, 0], or leave sole out."
            raise InputError(Problem(rule, remedy=remedy, place="sole"))
    _can_be_worked(wanted, gauge)
    if work.chain:
        _chain_fits(wanted, gauge, work.chain)
    return wanted, work


def _chain_fits(wanted: Stadium, gauge: Gauge, chain: int) -> None:
    """Raise an error where a given chain is longer than its part, which no rounds can mend."""
    w = gauge.stitch_width
    span = (chain - 2) * w  # one chain is skipped, and n stitches lie n - 1 widths apart
    if span <= wanted.length + CHAIN_BEYOND * w:
        return
    rule = "a chain is no longer than its part"
    got = f"{chain} chains are about {in_mm(span)} long at this gauge, the part {in_mm(wanted.length)}"
    fits = max(round(wanted.straight / w) + 2, 2)
    remedy = f"Leave chain out, and it is found; about {fits} chains suit this drawing."
    raise InputError(Problem(rule, got=got, remedy=remedy, place="chain"))


def _can_be_worked(wanted: Stadium, gauge: Gauge) -> None:
    """Raise an error where an oval part has too many stitches or too few rounds."""
    widest = wanted.girth / gauge.stitch_width
    rounds = wanted.meridian / gauge.row_height
    remedy = "Check the sizes and the gauge, and their units."
    if widest * rounds > MOST_OVAL_STITCHES:
        rule = f"an oval part has at most about {MOST_OVAL_STITCHES:,} stitches"
        got = f"about {widest:,.0f} stitches round, {rounds:,.0f} rounds"
        raise InputError(Problem(rule, got=got, remedy=remedy))
    if wanted.height and rounds < LEAST_ROUNDS:
        rule = f"a stuffed oval part has at least {LEAST_ROUNDS} rounds"
        got = f"about {rounds:.1f} at this gauge"
        raise InputError(Problem(rule, got=got, remedy="Make the part larger, or use thinner yarn."))


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
        got = f"about {math.floor(10 * widest) / 10:.1f} at this gauge"
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
            got = f"about {math.floor(10 * around) / 10:.1f} at the {place}"
            raise InputError(Problem(rule, got=got, remedy="Make it wider, or end it on the axis."))
    return middle


def check_folded(wanted: object, work: AnyWork) -> None:
    """Refuse a part that can't be folded flat.

    Raises
    ------
    InputError
        If it bends, or is drawn to a point along a chain.
    """
    if not isinstance(wanted, Outline | Stadium):
        rule = 'firmness = "none" is for parts that are folded flat, and a part that bends is stuffed'
        raise InputError(Problem(rule, got='"none"', remedy="Stuff it lightly, or draw it without a bend."))
    if isinstance(wanted, Stadium) and wanted.height and work.finish is Finish.CINCHED:
        rule = "a part on a chain that is not stuffed is sewn flat or left open"
        remedy = 'Write finish = "seamed" or "open" in [work].'
        raise InputError(Problem(rule, got='finish = "cinched"', remedy=remedy))


def what_was_assumed(gauge: Gauge, stuffing: Stuffing | None, *, rows_given: bool) -> tuple[str, ...]:
    """Return what was assumed in reading, as sentences for the maker; a flat piece has no stuffing."""
    notes = [] if rows_given else [Note(ROWS_ASSUMED, About.READING)]
    notes += [Note(note, About.READING) for note in gauge.notes]
    if stuffing:
        notes.append(stuffing.note)
    if stuffing and gauge.thickness:
        told = f"The fabric is {in_mm(gauge.thickness)} thick: the file's sizes are outside sizes."
        notes.append(Note(told, About.READING))
    return tuple(notes)
