"""The part file: gauge, stuffing, shape and work of one part, read from TOML and checked as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from solver.errors import InputError, Problem, shown
from solver.partfile import schema
from solver.partfile.belongings import ColoursTable, ExtrasTable, YarnTable, homes, supplies
from solver.partfile.benttables import BellyTable, FootTable, check_shaped
from solver.partfile.checks import (
    along_chain,
    check_folded,
    how_worked,
    in_rows,
    middle_of_fabric,
    middle_of_oval,
    what_was_assumed,
)
from solver.partfile.flattable import RowsTable, check_size
from solver.partfile.gaugefile import with_gauge_file
from solver.partfile.patchtables import most_of, patches, without
from solver.partfile.places import Path as Place
from solver.partfile.places import line_numbers
from solver.partfile.problems import Model, Problems
from solver.partfile.shapetables import RoundTable
from solver.partfile.sheettable import SheetTable
from solver.partfile.source import tables_of, text_of
from solver.partfile.tables import Bent, ShapeTable
from solver.partfile.traced import TracedTable
from solver.rounds import Finish
from solver.wanted.flat_outline import FlatOutline
from solver.wanted.gauge import Gauge
from solver.wanted.part import BentPart, OvalPart, OvalWork, Part, RowsPart, Work
from solver.wanted.patches import Patch
from solver.wanted.stadium import Stadium

__all__ = ["BentPart", "OvalPart", "OvalWork", "Part", "RowsPart", "Work", "load", "part_of_tables", "read"]


def load(path: Path | str) -> Part | OvalPart | BentPart | RowsPart:
    """Return the part that a file describes.

    Parameters
    ----------
    path : Path or str
        A TOML file in UTF-8, at most 200 kB.

    Raises
    ------
    InputError
        With everything that is wrong with the file, each problem by its line.
    """
    path = Path(path)
    title = shown(path.stem).replace("-", " ").capitalize()
    return read(text_of(path), file=str(path), title=title, folder=path.parent)


def read(text: str, *, file: str, title: str, folder: Path = Path()) -> Part | OvalPart | BentPart | RowsPart:
    """Return the part that a text describes.

    Parameters
    ----------
    text : str
        TOML.
    file : str
        Its name, for the messages.
    title : str
        The part's title where the text gives none.
    folder : Path
        Where files that the text names are looked for.

    Raises
    ------
    InputError
        With everything that is wrong with the text, each problem by its line.
    """
    tables, lines = tables_of(text, file=file), line_numbers(text)
    return part_of_tables(tables, file=file, title=title, folder=folder, lines=lines)


def part_of_tables(
    tables: dict[str, Any],
    *,
    file: str,
    title: str,
    folder: Path,
    lines: Mapping[Place, int],
    within: str = "",
    shared: Mapping[str, Any] = MappingProxyType({}),
) -> Part | OvalPart | BentPart | RowsPart:
    """Return the part that tables describe.

    Parameters
    ----------
    tables : dict
        As read from TOML.
    file, title, folder
        As for `read`.
    lines : mapping of path to int
        The line of each table, key and list entry.
    within : str
        The table that these stand in, as "parts.head."; empty for a file of their own.
    shared : mapping
        Tables that hold where the part has none of its own: gauge, stuffing, yarn.

    Raises
    ------
    InputError
        With everything that is wrong with them, each problem by its line.
    """
    tables = with_gauge_file({**shared, **tables}, file=file, line=lines.get((f"{within}gauge",), 0))
    problems = Problems(file, lines=lines, homes={**homes(), **schema.homes()}, within=within)
    top = problems.checked(schema.File, tables, table="")
    gauge_table = _checked(problems, schema.GaugeTable, tables.get("gauge"), "gauge")
    stuffing_table = _checked(problems, schema.StuffingTable, tables.get("stuffing", {}), "stuffing")
    work_table = _checked(problems, schema.WorkTable, tables.get("work", {}), "work")
    yarn_table = _checked(problems, YarnTable, tables.get("yarn", {}), "yarn")
    colours_table = _checked(problems, ColoursTable, tables.get("colours", {}), "colours")
    extras_table = _checked(problems, ExtrasTable, tables.get("extras", {}), "extras")
    laid: tuple[Patch, ...] = ()
    if colours_table:
        try:
            laid = patches(
                colours_table.patches,
                colours_table.yarns,
                folder=folder,
                file=file,
                lines=lines,
                within=within,
            )
        except InputError as error:
            problems.take(error)
    sheet_table = _checked(problems, SheetTable, tables.get("sheet", {}), "sheet")
    shape_table = None
    if kind := _checked(problems, schema.ShapeKind, tables.get("shape"), "shape"):
        shape_table = _checked(
            problems, schema.shape_table(kind.kind), {**tables["shape"], "kind": kind.kind}, "shape"
        )

    gauge = stuffing = None
    if gauge_table:
        with problems.of("gauge", "circle" if gauge_table.circle else "stitches"):
            gauge = gauge_table.gauge()
    if gauge and stuffing_table:
        with problems.of("stuffing", "ball"):
            stuffing = stuffing_table.stuffing(gauge)
    drawn = None
    if shape_table and work_table:
        folded = stuffing is not None and not stuffing.stretch
        # what is folded flat is measured from fold to fold
        measured = replace(gauge, thickness=0.0) if gauge and folded else gauge
        drawn = _drawn(problems, shape_table, work_table, measured, folder)
        if drawn and folded:
            with problems.of("stuffing", "firmness"):
                check_folded(drawn[0], drawn[1])
    main = colours_table.main if colours_table else None
    if drawn and gauge and work_table and colours_table and isinstance(shape_table, TracedTable):
        ends = {"start": work_table.start, "finish": work_table.finish}
        reads = bool(colours_table.yarns) and colours_table.traced
        own = shape_table.areas(colours_table.yarns, folder=folder, gauge=gauge, **ends) if reads else None
        main = main or (most_of(own) if own else None)
        laid = ((without(own, main),) if own and main else ()) + laid
    problems.tell()
    if not (top and gauge_table and gauge and stuffing and drawn and sheet_table):
        raise AssertionError  # whatever keeps one of them away is a problem that was told
    wanted, work, traced = drawn
    is_stuffed = wanted.height > 0 if isinstance(wanted, Stadium) else not isinstance(wanted, FlatOutline)
    is_stuffed = is_stuffed and stuffing.stretch > 0
    rows_given = bool(gauge_table.circle or gauge_table.rows)
    told = what_was_assumed(gauge, stuffing if is_stuffed else None, rows_given=rows_given)
    known: dict[str, Any] = {
        "title": top.title or title,
        "gauge": gauge,
        "stuffing": stuffing,
        "notes": traced + told,
        "supplies": supplies(yarn_table, colours_table, extras_table, laid, main=main),
        "own_lines": sheet_table.lines(),
    }
    if isinstance(work, OvalWork):
        return OvalPart(wanted=wanted, work=work, **known)
    if isinstance(wanted, FlatOutline):
        return RowsPart(outline=wanted, work=work, **known)
    if isinstance(wanted, Bent):
        return BentPart(wanted=wanted.wanted, outline=wanted.outline, bends=wanted.bends, work=work, **known)
    from_top = isinstance(shape_table, RoundTable | TracedTable) and shape_table.stands_on_finish(
        start=work_table.start if work_table else None
    )
    return Part(outline=wanted, work=work, from_top=from_top, **known)


def _drawn(
    problems: Problems, shape: ShapeTable, table: schema.WorkTable, gauge: Gauge | None, folder: Path
) -> tuple[Any, Any, tuple[str, ...]] | None:
    """Return the drawing of the fabric's middle, how it is worked, and what was found; None if at fault."""
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
    if table.worked and not isinstance(shape, RowsTable):
        with problems.of("work", "worked"):
            rule = "only a flat piece is worked in rows"
            raise InputError(Problem(rule, remedy='Leave it out, or write kind = "flat" in [shape].'))
    if table.bend_by and not shape.is_bent and not isinstance(shape, RowsTable):
        with problems.of("work", "bend_by"):
            rule = "bend_by is for parts that bend, and this one doesn't"
            raise InputError(Problem(rule, remedy="Leave it out, or give [shape] bends or a spine."))
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
    return wanted, work, traced
    return None


def _checked(problems: Problems, model: type[Model], values: object, table: str) -> Model | None:
    """Return a table as its model; None when it is at fault, or is no table, which the file's check tells."""
    return problems.checked(model, values, table=table) if isinstance(values, dict) else None
