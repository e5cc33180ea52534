"""The part file: gauge, stuffing, shape and work of one part, read from TOML and checked as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from solver.errors import shown
from solver.partfile import schema
from solver.partfile.belongings import ColoursTable, ExtrasTable, YarnTable, homes, supplies
from solver.partfile.checks import check_folded, what_was_assumed
from solver.partfile.drawing import drawn
from solver.partfile.flattable import RowsTable
from solver.partfile.gaugefile import with_gauge_file
from solver.partfile.patchtables import most_of, patches, without
from solver.partfile.places import Path as Place
from solver.partfile.places import line_numbers
from solver.partfile.problems import Model, Problems
from solver.partfile.sheettable import SheetTable
from solver.partfile.source import tables_of, text_of
from solver.partfile.tables import Bent
from solver.partfile.traced import TracedTable
from solver.wanted.flat_outline import FlatOutline
from solver.wanted.gauge import Gauge, Stuffing
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
    given = _tables_of(problems, tables)
    gauge, stuffing = _gauge_and_stuffing(problems, given.gauge, given.stuffing)
    drawing = _drawing(problems, given, gauge, stuffing, folder=folder)
    main: str | None = None
    laid: tuple[Patch, ...] = ()
    if given.colours:
        with problems.taken():
            places: dict[str, Any] = {"folder": folder, "file": file, "lines": lines, "within": within}
            laid = patches(given.colours.patches, given.colours.yarns, **places)
        main = given.colours.main
        if drawing and gauge and given.work and isinstance(given.shape, TracedTable):
            ends = {"start": given.work.start, "finish": given.work.finish}
            main, own = _traced_colours(given.shape, given.colours, folder=folder, gauge=gauge, **ends)
            laid = own + laid
    problems.tell()
    top, work_table = given.top, given.work
    if not (top and work_table and given.gauge and gauge and stuffing and drawing and given.sheet):
        raise AssertionError  # whatever keeps one of them away is a problem that was told
    wanted, work, traced = drawing
    is_stuffed = wanted.height > 0 if isinstance(wanted, Stadium) else not isinstance(wanted, FlatOutline)
    is_stuffed = is_stuffed and stuffing.stretch > 0
    rows_given = bool(given.gauge.circle or given.gauge.rows)
    told = what_was_assumed(gauge, stuffing if is_stuffed else None, rows_given=rows_given)
    known: dict[str, Any] = {
        "title": top.title or title,
        "gauge": gauge,
        "stuffing": stuffing,
        "notes": traced + told,
        "supplies": supplies(given.yarn, given.colours, given.extras, laid, main=main),
        "own_lines": given.sheet.lines(folder),
        "from_top": bool(given.shape and given.shape.stands_on_finish(start=work_table.start)),
    }
    return _part_of(wanted, work, known)


class _Tables(NamedTuple):
    """The tables of a part, each checked by itself; None for one at fault, which its problem tells."""

    top: schema.File | None
    gauge: schema.GaugeTable | None
    stuffing: schema.StuffingTable | None
    shape: Any
    work: schema.WorkTable | None
    yarn: YarnTable | None
    colours: ColoursTable | None
    extras: ExtrasTable | None
    sheet: SheetTable | None


def _tables_of(problems: Problems, tables: dict[str, Any]) -> _Tables:
    """Return the tables, checked."""

    def checked(model: type[Model], name: str, *, needed: bool = False) -> Model | None:
        values = tables.get(name, None if needed else {})
        # what is no table, the file's own check tells
        return problems.checked(model, values, table=name) if isinstance(values, dict) else None

    top = problems.checked(schema.File, tables, table="")
    shape = None
    kind = checked(schema.ShapeKind, "shape", needed=True)
    gauge = checked(schema.GaugeTable, "gauge", needed=True)
    if kind:
        model, values = schema.shape_table(kind.kind), {**tables["shape"], "kind": kind.kind}
        shape = problems.checked(model, values, table="shape")
    return _Tables(
        top,
        gauge,
        checked(schema.StuffingTable, "stuffing"),
        shape,
        checked(schema.WorkTable, "work"),
        checked(YarnTable, "yarn"),
        checked(ColoursTable, "colours"),
        checked(ExtrasTable, "extras"),
        checked(SheetTable, "sheet"),
    )


def _drawing(
    problems: Problems, given: _Tables, gauge: Gauge | None, stuffing: Stuffing | None, *, folder: Path
) -> Any:
    """Return the wanted form, the work and the notes of a traced picture; None for what is at fault."""
    if not (given.shape and given.work):
        return None
    rows = isinstance(given.shape, RowsTable)  # never stuffed, whatever is told of stuffing
    folded = stuffing is not None and not stuffing.stretch and not rows
    # what is folded flat is measured from fold to fold
    measured = replace(gauge, thickness=0.0) if gauge and folded else gauge
    drawing = drawn(problems, given.shape, given.work, measured, folder)
    if drawing and folded:
        with problems.of("stuffing", "firmness"):
            check_folded(drawing[0], drawing[1])
    return drawing


def _gauge_and_stuffing(
    problems: Problems, gauge_table: schema.GaugeTable | None, stuffing_table: schema.StuffingTable | None
) -> tuple[Gauge | None, Stuffing | None]:
    """Return gauge and stuffing; None for what is at fault."""
    gauge = stuffing = None
    if gauge_table:
        with problems.of("gauge", "circle" if gauge_table.circle else "stitches"):
            gauge = gauge_table.gauge()
    if gauge and stuffing_table:
        with problems.of("stuffing", "ball"):
            stuffing = stuffing_table.stuffing(gauge)
    return gauge, stuffing


def _traced_colours(
    shape: TracedTable, colours: ColoursTable, *, folder: Path, gauge: Gauge, start: Any, finish: Any
) -> tuple[str | None, tuple[Patch, ...]]:
    """Return the main colour, and what a traced picture shows in the others."""
    if not (colours.yarns and colours.traced):
        return colours.main, ()
    own = shape.areas(colours.yarns, folder=folder, gauge=gauge, start=start, finish=finish)
    main = colours.main or (most_of(own) if own else None)
    return main, (without(own, main),) if own and main else ()


def _part_of(wanted: Any, work: Any, known: dict[str, Any]) -> Part | OvalPart | BentPart | RowsPart:
    """Return the part of the kind that its drawing is of; joined rounds don't lean."""
    if work.joined:
        known = {**known, "gauge": replace(known["gauge"], lean=0.0)}
    if isinstance(work, OvalWork):
        return OvalPart(wanted=wanted, work=work, **known)
    if isinstance(wanted, FlatOutline):
        return RowsPart(outline=wanted, work=work, **known)
    if isinstance(wanted, Bent):
        return BentPart(wanted=wanted.wanted, outline=wanted.outline, bends=wanted.bends, work=work, **known)
    return Part(outline=wanted, work=work, **known)
