"""The gauge file: tension that was measured once, and that many part files take."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import Field

from solver.errors import InputError, Problem
from solver.partfile import schema
from solver.partfile.belongings import YarnTable, homes, supplies
from solver.partfile.gaugetext import is_spelled, spelled_table
from solver.partfile.places import line_numbers
from solver.partfile.problems import Problems
from solver.partfile.source import tables_of, text_of
from solver.partfile.tables import Table
from solver.wanted.gauge import Gauge, Stuffing
from solver.wanted.supplies import Supplies

SHARED = ("stuffing", "yarn")
"""Tables of a gauge file that hold where the part file has none of its own."""


class GaugeFile(Table):
    """A whole gauge file."""

    gauge: dict[str, Any] = Field(description="a table: [gauge] on a line of its own")
    stuffing: dict[str, Any] = Field({}, description="a table: [stuffing] on a line of its own")
    yarn: dict[str, Any] = Field({}, description="a table: [yarn] on a line of its own")


def load_gauge(path: Path | str) -> tuple[Gauge, Stuffing]:
    """Return the gauge and the stuffing of a gauge file.

    Parameters
    ----------
    path : Path or str
        A TOML file in UTF-8, at most 200 kB; or the gauge itself, "20 x 22 over 10 cm". Without [stuffing]:
        medium, assumed.

    Raises
    ------
    InputError
        With everything that is wrong with the file, each problem by its line.
    """
    tables = _tables_at(path)
    gauge = schema.GaugeTable.model_validate(tables["gauge"]).gauge()
    return gauge, schema.StuffingTable.model_validate(tables.get("stuffing", {})).stuffing(gauge)


def gauge_supplies(path: Path | str) -> Supplies:
    """Return what a gauge file tells of its yarn.

    Parameters
    ----------
    path : Path or str
        As for `load_gauge`.

    Raises
    ------
    InputError
        As for `load_gauge`.
    """
    tables = _tables_at(path)
    return supplies(YarnTable.model_validate(tables.get("yarn", {})), None, None)


def with_gauge_file(tables: dict[str, Any], *, file: str, line: int = 0) -> dict[str, Any]:
    """Return a part file's tables with those of the gauge file that it names, where it names one.

    Parameters
    ----------
    tables : dict
        As read; `gauge` may be the name of a file, from the part file's folder, or "20 x 22 over 10 cm".
    file : str
        Name of the part file.
    line : int
        Line of it on which the gauge stands; 0 when it is not known.

    Raises
    ------
    InputError
        With everything that is wrong with the gauge file.
    """
    name = tables.get("gauge")
    if not isinstance(name, str):
        return tables
    if not name.strip():
        rule = "gauge is a table, or the name of a gauge file"
        raise InputError(Problem(rule, got="an empty name", place="gauge", file=file))
    path = Path(file).parent / name
    if is_spelled(name) and not path.exists():
        try:
            return {**tables, "gauge": spelled_table(name)}
        except InputError as error:
            raise InputError(*(_placed(each, file, line) for each in error.problems)) from None
    try:
        text = text_of(path)
    except InputError as error:
        told = (Problem(f"the gauge file can be read: {each.rule}", got=str(path)) for each in error.problems)
        raise InputError(*(_placed(each, file, line) for each in told)) from None
    measured = _checked_tables(path, text)
    shared = {table: measured[table] for table in SHARED if table in measured and table not in tables}
    return {**tables, **shared, "gauge": measured["gauge"]}


def _placed(problem: Problem, file: str, line: int) -> Problem:
    """Return a problem with the place where a part file names its gauge."""
    return replace(problem, place=f"gauge, line {line}" if line else "gauge", file=file)


def _tables_at(path: Path | str) -> dict[str, Any]:
    """Return the tables of a gauge file, or those that a gauge told in a line stands for."""
    if is_spelled(str(path)) and not Path(path).exists():
        return {"gauge": spelled_table(str(path))}
    return _checked_tables(Path(path), text_of(Path(path)))


def _checked_tables(path: Path, text: str) -> dict[str, Any]:
    """Return the tables of a gauge file in which nothing is wrong."""
    tables = tables_of(text, file=str(path))
    problems = Problems(str(path), lines=line_numbers(text), homes={**homes(), **schema.homes()})
    problems.checked(GaugeFile, tables, table="")
    models: dict[str, type[Table]] = {
        "gauge": schema.GaugeTable,
        "stuffing": schema.StuffingTable,
        "yarn": YarnTable,
    }
    read = {
        name: problems.checked(model, tables[name], table=name)
        for name, model in models.items()
        if isinstance(tables.get(name), dict)
    }
    table, stuffing = read.get("gauge"), read.get("stuffing")
    if isinstance(table, schema.GaugeTable):
        with problems.of("gauge", "circle" if table.circle else "stitches"):
            gauge = table.gauge()
            if isinstance(stuffing, schema.StuffingTable):
                with problems.of("stuffing", "ball"):
                    stuffing.stuffing(gauge)
    problems.tell()
    return tables
