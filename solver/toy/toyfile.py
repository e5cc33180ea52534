"""The toy file: parts, what sits on what and where, read from TOML and checked as a whole."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from solver.errors import InputError, Problem, shown
from solver.files.inputs import note_input
from solver.partfile import part_of_tables, schema
from solver.partfile.belongings import FLAT as EYE_HEIGHT
from solver.partfile.belongings import YarnTable, homes
from solver.partfile.gaugefile import with_gauge_file
from solver.partfile.places import line_numbers
from solver.partfile.problems import Problems
from solver.partfile.source import tables_of, text_of
from solver.toy.checks import check_places
from solver.toy.model import TOP, Eyes, Front, Join, Toy, ToyPart
from solver.toy.tables import MOST_PARTS, PART_KEYS, PlaceTable, ToyTable
from solver.wanted.own_lines import OwnLines
from solver.wanted.supplies import Extra

if TYPE_CHECKING:
    from collections.abc import Mapping

    from solver.partfile.places import Path as Place
    from solver.wanted.part import AnyPart

SHARED = ("gauge", "stuffing", "yarn")
"""Tables that hold for every part without its own."""

OF_YARN = ("gauge", "yarn")
"""Tables that tell of the yarn alone."""

_STAND_IN = {"stitches": 20, "rows": 22}
"""A gauge to read the parts with when the toy's own is at fault: their own faults are told all the same."""


def load_toy(path: Path | str, *, gauge: Path | None = None) -> Toy:
    """Return the toy that a file describes.

    Parameters
    ----------
    path : Path or str
        A TOML file in UTF-8, at most 200 kB.
    gauge : Path, optional
        A gauge file to work all parts by, in place of what the files say.

    Raises
    ------
    InputError
        With everything that is wrong with the file and with the part files that it names, each by its line.
    """
    path = Path(path)
    title = shown(path.stem).replace("-", " ").capitalize()
    return read_toy(text_of(path), file=str(path), title=title, folder=path.parent, gauge=gauge)


def read_toy(text: str, *, file: str, title: str, folder: Path, gauge: Path | None = None) -> Toy:
    """Return the toy that a text describes; parameters and errors as for `load_toy`."""
    tables, lines = tables_of(text, file=file), _joined(line_numbers(text))
    if gauge:
        tables = _in_another_yarn(tables, gauge)
    problems = Problems(file, lines=lines, homes={**homes(), **schema.homes()})
    top = problems.checked(ToyTable, tables, table="")
    shared = _shared(problems, tables, file=file, lines=lines)
    parts: list[ToyPart] = []
    named = tables.get("parts")
    entries = {str(name): value for name, value in named.items()} if isinstance(named, dict) else {}
    if isinstance(named, dict) and not 1 <= len(entries) <= MOST_PARTS:
        problems.add(Problem(f"a toy has 1 to {MOST_PARTS} parts", got=str(len(entries))), "parts")
    placed: dict[str, PlaceTable] = {}
    for name, table in list(entries.items())[:MOST_PARTS]:
        where = f"parts.{name}"
        if not isinstance(table, dict):
            problems.add(Problem(f"a part is a table: [{where}] on a line of its own"), "parts", name)
            continue
        own = {key: value for key, value in table.items() if key not in PART_KEYS}
        place = problems.checked(PlaceTable, own, table=where)
        part = _part(
            problems, table, place, name, shared, file=file, folder=folder, lines=lines, anew=bool(gauge)
        )
        placed[name] = place or _as_far_as_read(own, names=list(entries))
        if place and part:
            parts.append(_toy_part(name, _leaning(part, shared), place, lines))
    check_places(problems, placed, {each.name: each.part for each in parts}, names=list(entries))
    problems.tell()
    assert top  # whatever keeps it away was told
    common = shared.get("gauge")
    lean = common.get("lean") if isinstance(common, dict) else None
    if top.drawing:
        note_input(folder / top.drawing.file)
    told = top.sheet.lines(folder) if top.sheet else OwnLines()
    return Toy(
        title=top.title or title,
        parts=tuple(parts),
        lean=lean,
        file=file,
        own_lines=told,
        drawing=folder / top.drawing.file if top.drawing else None,
        drawn_height=top.drawing.height if top.drawing else None,
    )


def _leaning(part: AnyPart, shared: Mapping[str, Any]) -> AnyPart:
    """Return a part with the lean of the toy's gauge where its own was not measured."""
    common = shared.get("gauge")
    lean = common.get("lean") if isinstance(common, dict) else None
    if lean is None or part.gauge.lean is not None:
        return part
    return replace(part, gauge=replace(part.gauge, lean=lean))


def _in_another_yarn(tables: dict[str, Any], gauge: Path) -> dict[str, Any]:
    """Return the tables with the gauge of a file in place of every gauge and yarn in them."""
    kept = {key: value for key, value in tables.items() if key not in OF_YARN}
    parts = kept.get("parts")
    if isinstance(parts, dict):
        kept["parts"] = {
            name: {key: value for key, value in table.items() if key not in OF_YARN}
            if isinstance(table, dict)
            else table
            for name, table in parts.items()
        }
    return {**kept, "gauge": str(gauge.absolute())}


def _as_far_as_read(own: Mapping[str, Any], *, names: list[str]) -> PlaceTable:
    """Return what can be read of a place; what can't, which was told, as something that fits."""
    stand_ins = {"at": {"height": 0, "turn": 45}, "on": names[0]}
    read = {}
    for key, value in own.items():
        for tried in (value, stand_ins.get(key)):
            try:
                PlaceTable.model_validate({key: tried})
            except ValidationError:
                continue
            read[key] = tried
            break
    try:
        return PlaceTable.model_validate(read)
    except ValidationError:
        return PlaceTable.model_validate({key: read[key] for key in ("on", "at") if key in read})


def _joined(lines: Mapping[Place, int]) -> dict[Place, int]:
    """Return lines by paths in which a part's table, and each in it, is one name: "parts.head.shape"."""
    joined: dict[Place, int] = {}
    for path, line in lines.items():
        joined[path] = line
        if path[0] != "parts" or len(path) < 2:
            continue
        joined.setdefault((f"parts.{path[1]}", *path[2:]), line)
        if len(path) > 2:
            joined.setdefault((f"parts.{path[1]}.{path[2]}", *path[3:]), line)
    return joined


def _shared(
    problems: Problems, tables: dict[str, Any], *, file: str, lines: Mapping[Place, int]
) -> dict[str, Any]:
    """Return the tables that hold for every part without its own, after telling what is wrong with them."""
    try:
        tables = with_gauge_file(tables, file=file, line=lines.get(("gauge",), 0))
    except InputError as error:
        problems.take(error, line=lines.get(("gauge",), 0))
        tables = {**tables, "gauge": dict(_STAND_IN)}
    shared = {name: tables[name] for name in SHARED if isinstance(tables.get(name), dict)}
    models: dict[str, Any] = {
        "gauge": schema.GaugeTable,
        "stuffing": schema.StuffingTable,
        "yarn": YarnTable,
    }
    for name in list(shared):
        found = problems.checked(models[name], shared[name], table=name)
        if found and name == "gauge":
            try:
                found.gauge()
            except InputError as error:
                for problem in error.problems:
                    problems.add(problem, "gauge")
                found = None
        if found is None:
            del shared[name]
            if name == "gauge":
                shared["gauge"] = dict(_STAND_IN)
    return shared


def _part(
    problems: Problems,
    table: dict[str, Any],
    place: PlaceTable | None,
    name: str,
    shared: Mapping[str, Any],
    *,
    file: str,
    folder: Path,
    lines: Mapping[Place, int],
    anew: bool,
) -> AnyPart | None:
    """Return a part, of its file or of its own tables; None after telling what is wrong with it."""
    where, line = f"parts.{name}", lines.get((f"parts.{name}",), 0)
    inside = {key: value for key, value in table.items() if key in PART_KEYS}
    title = name.replace("_", " ").replace("-", " ").capitalize()
    from_file = table.get("file")
    if from_file is not None and inside.keys() - {"title"}:
        rule = "a part is in a file of its own or in tables here, not in both"
        got = ", ".join(sorted(inside.keys() - {"title"}))
        problems.add(Problem(rule, got=f"file, {got}", remedy="Leave one of them out."), where, "file")
        return None
    try:
        if from_file is None:
            if not inside.keys() & {"shape"}:
                remedy = f'Write file = "{name}.toml", or a table [{where}.shape].'
                problems.add(Problem("a part has a file, or a shape of its own", remedy=remedy), where)
                return None
            return part_of_tables(
                inside, file=file, title=title, folder=folder, lines=lines, within=f"{where}.", shared=shared
            )
        if place is None or place.file is None:
            return None  # what is wrong with the name of its file was told
        return _from_file(folder / place.file, table, shared, title=title, anew=anew)
    except InputError as error:
        if from_file is not None:
            line = lines.get((where, "file"), line)
        problems.take(error, line=line)
        return None


def _from_file(
    path: Path, table: dict[str, Any], shared: Mapping[str, Any], *, title: str, anew: bool
) -> AnyPart:
    text = text_of(path)
    inside, its_lines = tables_of(text, file=str(path)), line_numbers(text)
    if anew:
        inside = {key: value for key, value in inside.items() if key not in OF_YARN}
    if "title" in table:
        inside["title"] = table["title"]
    return part_of_tables(
        inside, file=str(path), title=title, folder=path.parent, lines=its_lines, shared=shared
    )


def _toy_part(name: str, part: AnyPart, place: PlaceTable, lines: Mapping[Place, int]) -> ToyPart:
    eyes = tuple(
        Eyes(
            what=what,
            diameter=each.diameter,
            at=each.at,
            twins=each.twins,
            where=_where(lines, f"parts.{name}.{key}", number),
        )
        for what, key, tables in (("eye", "eyes", place.eyes), ("nose", "noses", place.noses))
        for number, each in enumerate(tables)
    )
    extras = tuple(
        Extra(
            name="nose" if each.what == "nose" else "eyes",
            diameter=each.diameter,
            height=EYE_HEIGHT * each.diameter,
            count=1 + each.twins,
        )
        for each in eyes
    )
    supplies = replace(part.supplies, extras=(*part.supplies.extras, *extras))
    join = Join(place.join) if place.join else Join.SEWN
    return ToyPart(
        name=name,
        part=replace(part, supplies=supplies),
        on=place.on or "",
        at=place.at or TOP,
        join=join,
        twins=place.twins or join is Join.JOINED,
        make=2 if place.twins or join is Join.JOINED else place.make,
        lean=place.lean,
        spin=place.spin,
        front=Front(place.front),
        chain=place.chain,
        edge=place.edge or joined_edge(part, on_ground=place.on is None or join is Join.JOINED),
        eyes=eyes,
        where=_where(lines, f"parts.{name}", "at"),
    )


def joined_edge(part: AnyPart, *, on_ground: bool) -> str:
    """Return the end of a part that is joined unless it is told: the open one, of two the last worked."""
    from solver.rounds import Finish, Start

    if part.start is Start.ROWS:
        return "start"  # the chain, from which it hangs
    if part.is_flat:
        return "finish"  # a flat piece lies with its right side out
    return "finish" if part.work.finish is Finish.OPEN and not on_ground else "start"


def _where(lines: Mapping[Place, int], table: str, *keys: str | int) -> str:
    line = next(
        (lines[path] for path in ((table, *keys), (table,)) if path in lines),
        0,
    )
    key = f" {keys[-1]}" if keys and isinstance(keys[-1], str) else ""
    return f"[{table}]{key}" + (f", line {line}" if line else "")
