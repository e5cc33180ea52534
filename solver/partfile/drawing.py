"""The drawing that a shape's table describes, and how it is worked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from solver.errors import InputError, Problem
from solver.partfile import schema
from solver.partfile.benttables import BellyTable, FootTable, check_chain, check_shaped
from solver.partfile.checks import (
    along_chain,
    how_worked,
    in_rows,
    middle_of_fabric,
    middle_of_oval,
)
from solver.partfile.flattable import RowsTable, check_size
from solver.partfile.problems import Problems
from solver.partfile.shapetables import RoundTable
from solver.partfile.tables import Bent, ShapeTable
from solver.partfile.traced import TracedTable
from solver.rounds import Finish
from solver.wanted.flat_outline import FlatOutline
from solver.wanted.gauge import Gauge
from solver.wanted.part import OvalWork
from solver.wanted.stadium import Stadium


def drawn(
    problems: Problems, shape: ShapeTable, table: schema.WorkTable, gauge: Gauge | None, folder: Path
) -> tuple[Any, Any, tuple[str, ...]] | None:
    """Return the drawing of the fabric's middle, how it is worked, and what was found in a picture.

    Parameters
    ----------
    problems : Problems
        Told what is at fault; then None is returned.
    shape : ShapeTable
    table : schema.WorkTable
    gauge : Gauge or None
        None where that is at fault: the rest is checked all the same.
    folder : Path
        Where files that the shape names are looked for.
    """
    wanted, work, traced = _shaped(problems, shape, table, gauge, folder)
    _check_keys(problems, shape, table)
    if not (gauge and wanted and work):
        return None
    with problems.of("shape"):
        if isinstance(wanted, FlatOutline):
            check_size(wanted, gauge, folded=work.finish is Finish.SEAMED)
        elif isinstance(work, OvalWork):
            wanted, work = middle_of_oval(wanted, gauge, work, finish_given=table.finish is not None)
        else:
            wanted = middle_of_fabric(wanted, gauge, work)
            wanted = shape.bent(wanted) if shape.is_bent else wanted
    if table.bend_by == "shaping" and isinstance(wanted, Bent):
        with problems.of("work", "bend_by"):
            check_shaped(wanted, gauge)
    if table.chain and isinstance(wanted, Bent):
        with problems.of("work", "chain"):
            check_chain(wanted.outline, gauge, table.chain)
    return wanted, work, traced


def _shaped(
    problems: Problems, shape: ShapeTable, table: schema.WorkTable, gauge: Gauge | None, folder: Path
) -> tuple[Any, Any, tuple[str, ...]]:
    """Return the drawing, how it is worked, and what was found in a picture; None for what is at fault."""
    wanted: Any = None
    work: Any = None
    traced: tuple[str, ...] = ()
    if isinstance(shape, TracedTable):
        with problems.of("shape", "file"):
            if gauge:
                ends = {"start": table.start, "finish": table.finish}
                wanted, traced = shape.traced(folder=folder, gauge=gauge, **ends)
                along = isinstance(wanted, Stadium)
                work = along_chain(table, shape) if along else how_worked(table, wanted)
    elif isinstance(shape, BellyTable | FootTable):
        with problems.of("shape"):
            wanted = shape.outline(start=table.start, finish=table.finish)
            work = how_worked(table, wanted, on_chain=isinstance(shape, FootTable))
    elif isinstance(shape, RowsTable):
        with problems.of("work"):
            work = in_rows(table)
        with problems.of("shape", "points" if shape.points is not None else "left"):
            wanted = shape.flat()
    elif isinstance(shape, RoundTable) and not shape.is_oval:
        with problems.of("shape", "points"):
            wanted = shape.cut_outline(start=table.start, finish=table.finish)
            work = how_worked(table, wanted)
    else:
        with problems.of("work"):
            work = along_chain(table, shape)
        with problems.of("shape"):
            wanted = shape.surface(finish=table.finish, sole=table.sole)
    return wanted, work, traced


def _check_keys(problems: Problems, shape: ShapeTable, table: schema.WorkTable) -> None:
    """Tell of ways of working that the shape has no use for."""
    if table.worked and not isinstance(shape, RowsTable):
        with problems.of("work", "worked"):
            rule = "only a flat piece is worked in rows"
            raise InputError(Problem(rule, remedy='Leave it out, or write kind = "flat" in [shape].'))
    if table.bend_by and not shape.is_bent and not isinstance(shape, RowsTable):
        with problems.of("work", "bend_by"):
            rule = "bend_by is for parts that bend, and this one doesn't"
            raise InputError(Problem(rule, remedy="Leave it out, or give [shape] bends or a spine."))
