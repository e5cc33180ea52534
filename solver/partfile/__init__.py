"""The part file: gauge, stuffing, shape and work of one part, read from TOML and checked as a whole."""

from __future__ import annotations

from pathlib import Path

from solver.errors import shown
from solver.partfile import schema
from solver.partfile.belongings import ColoursTable, ExtrasTable, YarnTable, homes, supplies
from solver.partfile.checks import (
    along_chain,
    how_worked,
    middle_of_fabric,
    middle_of_oval,
    what_was_assumed,
)
from solver.partfile.gaugefile import with_gauge_file
from solver.partfile.places import line_numbers
from solver.partfile.problems import Model, Problems
from solver.partfile.shapetables import RoundTable
from solver.partfile.source import tables_of, text_of
from solver.partfile.traced import TracedTable
from solver.wanted.part import OvalPart, OvalWork, Part, Work
from solver.wanted.stadium import Stadium

__all__ = ["OvalPart", "OvalWork", "Part", "Work", "load", "read"]


def load(path: Path | str) -> Part | OvalPart:
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


def read(text: str, *, file: str, title: str, folder: Path = Path()) -> Part | OvalPart:
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
    tables = with_gauge_file(tables, file=file, line=lines.get(("gauge",), 0))
    problems = Problems(file, lines=lines, homes={**homes(), **schema.homes()})
    top = problems.checked(schema.File, tables, table="")
    gauge_table = _checked(problems, schema.GaugeTable, tables.get("gauge"), "gauge")
    stuffing_table = _checked(problems, schema.StuffingTable, tables.get("stuffing", {}), "stuffing")
    work_table = _checked(problems, schema.WorkTable, tables.get("work", {}), "work")
    yarn_table = _checked(problems, YarnTable, tables.get("yarn", {}), "yarn")
    colours_table = _checked(problems, ColoursTable, tables.get("colours", {}), "colours")
    extras_table = _checked(problems, ExtrasTable, tables.get("extras", {}), "extras")
    shape_table = None
    if kind := _checked(problems, schema.ShapeKind, tables.get("shape"), "shape"):
        shape_table = _checked(problems, schema.shape_table(kind.kind), tables["shape"], "shape")

    gauge = stuffing = None
    if gauge_table:
        with problems.of("gauge", "circle" if gauge_table.circle else "stitches"):
            gauge = gauge_table.gauge()
    if gauge and stuffing_table:
        with problems.of("stuffing", "ball"):
            stuffing = stuffing_table.stuffing(gauge)
    outline = surface = work = oval_work = None
    traced: tuple[str, ...] = ()
    if isinstance(shape_table, TracedTable) and work_table:
        with problems.of("shape", "file"):
            if gauge:
                ends = {"start": work_table.start, "finish": work_table.finish}
                found, traced = shape_table.traced(folder=folder, gauge=gauge, **ends)
                if isinstance(found, Stadium):
                    surface, oval_work = found, along_chain(work_table, shape_table)
                else:
                    outline, work = found, how_worked(work_table, found)
    elif isinstance(shape_table, RoundTable) and not shape_table.is_oval and work_table:
        with problems.of("shape", "points"):
            outline = shape_table.outline(start=work_table.start, finish=work_table.finish)
            work = how_worked(work_table, outline)
    elif shape_table and work_table:
        with problems.of("work"):
            oval_work = along_chain(work_table, shape_table)
        with problems.of("shape"):
            surface = shape_table.surface(finish=work_table.finish, sole=work_table.sole)
    if gauge and outline and work:
        with problems.of("shape"):
            outline = middle_of_fabric(outline, gauge, work)
    if gauge and surface and oval_work and work_table:
        with problems.of("shape"):
            surface, oval_work = middle_of_oval(
                surface, gauge, oval_work, finish_given=work_table.finish is not None
            )
    problems.tell()
    if not (top and gauge_table and gauge and stuffing):
        raise AssertionError  # whatever keeps one of them away is a problem that was told
    named = top.title or title
    belongings = supplies(yarn_table, colours_table, extras_table)
    rows_given = bool(gauge_table.circle or gauge_table.rows)
    if surface and oval_work:
        notes = traced + what_was_assumed(gauge, stuffing if surface.height else None, rows_given=rows_given)
        return OvalPart(
            title=named,
            gauge=gauge,
            stuffing=stuffing,
            wanted=surface,
            work=oval_work,
            notes=notes,
            supplies=belongings,
        )
    if not (outline and work):
        raise AssertionError
    notes = traced + what_was_assumed(gauge, stuffing, rows_given=rows_given)
    return Part(
        title=named,
        gauge=gauge,
        stuffing=stuffing,
        outline=outline,
        work=work,
        notes=notes,
        supplies=belongings,
    )


def _checked(problems: Problems, model: type[Model], values: object, table: str) -> Model | None:
    """Return a table as its model; None when it is at fault, or is no table, which the file's check tells."""
    return problems.checked(model, values, table=table) if isinstance(values, dict) else None
