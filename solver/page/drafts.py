"""A draft, the tables of a part file, and the text that it is saved as: her comments and her order kept."""

from __future__ import annotations

import math
from collections.abc import MutableMapping
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from solver.errors import InputError, PlumplineError, Problem
from solver.partfile.source import MOST_BYTES, tables_of
from solver.partfile.traced import TABLES as TRACED
from solver.units import to_mm

ORDER = ("title", "gauge", "stuffing", "shape", "work", "yarn", "colours", "extras", "parts")
"""Tables of a new file, in the order in which one thinks of them."""


def plain_tables(text: str, *, file: str) -> dict[str, Any]:
    """Return the tables of a text as plain data that a browser takes.

    Raises
    ------
    InputError
        If it breaks the rules of TOML.
    """
    tables = tables_of(text, file=file)
    return {key: _plain(value) for key, value in tables.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_plain(inner) for inner in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value if isinstance(value, str | int | float | bool) else str(value)


def merged(base: str, tables: dict[str, Any]) -> str:
    """Return a text with the values of `tables`: where they are as before, all of it stays as it was written.

    Parameters
    ----------
    base : str
        The text that the draft was read from; empty for a new one.
    tables : dict
        What it shall hold now. What is missing goes.

    Raises
    ------
    InputError
        If a value can't stand in a part file, or the text would be too long.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(base)
        _merge(document, tables, depth=0)
        text = tomlkit.dumps(document)
    except (TOMLKitError, TypeError, ValueError, RecursionError) as error:
        rule = "a draft holds words, numbers, lists and tables"
        raise InputError(Problem(rule, got=str(error), remedy="Open the file again.")) from error
    if len(text.encode()) > MOST_BYTES:
        raise InputError(Problem(f"a part file has at most {MOST_BYTES // 1000} kB"))
    return text


def _merge(old: MutableMapping[str, Any], new: dict[str, Any], *, depth: int) -> None:
    """Change a table where it differs; tables of `parts` stand one level deeper than others."""
    top = depth == 0
    for key in [key for key in old if key not in new]:
        del old[key]
    order = sorted(new, key=lambda key: ORDER.index(key) if key in ORDER else len(ORDER)) if top else new
    for key in order:
        value = new[key]
        if key not in old:
            if value is not None:
                old[key] = _parts(value) if top and key == "parts" else _item(value, inline=depth > 0)
        elif isinstance(value, dict) and isinstance(old[key], MutableMapping):
            _merge(old[key], value, depth=-1 if top and key == "parts" else 1)
        elif isinstance(value, list) and isinstance(old[key], list):
            _merge_list(old[key], value)
        elif not _same(old[key], value):
            old[key] = _item(value, inline=depth > 0)


def _parts(value: Any) -> Any:
    """Return parts of a toy, each in a table of its own: [parts.body]."""
    import tomlkit

    parts = tomlkit.table(is_super_table=True)
    for name, part in value.items():
        parts[name] = _item(part, inline=False)
    return parts


def _merge_list(old: list[Any], new: list[Any]) -> None:
    """Change a list where it differs, so that the comments beside the rest stay."""
    before, after = [_key(value) for value in old], [_key(value) for value in new]
    if before == after:
        return
    steps = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    for step, i, j, k, m in reversed(steps):
        if step == "equal":
            continue
        shared = min(j - i, m - k)
        for at in range(shared):
            if isinstance(old[i + at], list) and isinstance(new[k + at], list):
                _merge_list(old[i + at], new[k + at])
            else:
                old[i + at] = _item(new[k + at], inline=True)
        for at in range(j - 1, i + shared - 1, -1):
            del old[at]
        for at in range(m - k - shared):
            old.insert(i + shared + at, _item(new[k + shared + at], inline=True))


def _item(value: Any, *, inline: bool) -> Any:
    """Return a value as it is written in a new place."""
    import tomlkit

    if isinstance(value, dict):
        table: Any = tomlkit.inline_table() if inline else tomlkit.table()
        for key, inner in value.items():
            if inner is not None:
                table[key] = _item(inner, inline=True)
        return table
    if isinstance(value, list):
        listed = tomlkit.array()
        for inner in value:
            listed.append(_item(inner, inline=True))
        return listed.multiline(len(value) > 4 or (len(value) > 2 and isinstance(value[0], list)))
    if isinstance(value, float):
        if not math.isfinite(value):
            message = "a number is finite"
            raise ValueError(message)
        return tomlkit.item(int(value) if value.is_integer() and abs(value) < 1e15 else round(value, 6))
    return tomlkit.item(value)


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, bool) or isinstance(new, bool):
        return old is new or (isinstance(old, bool) and isinstance(new, bool) and bool(old) == new)
    if isinstance(old, int | float) and isinstance(new, int | float):
        return abs(old - new) < 1e-9
    return isinstance(new, str) and isinstance(old, str) and str(old) == new


def _key(value: Any) -> Any:
    """Return what tells a list's entries apart: of a point its lengths, however they are written."""
    if isinstance(value, list):
        return tuple(_key(inner) for inner in value)
    if isinstance(value, MutableMapping):
        return tuple((str(key), _key(value[key])) for key in sorted(value))
    try:
        return round(to_mm(value, signed=True), 6)
    except PlumplineError:
        return str(value)


def points_of(tables: dict[str, Any]) -> list[list[float]] | None:
    """Return the drawn points of a draft, [radius, height]; None where there are none. [mm]"""
    shape = tables.get("shape")
    points = shape.get("points") if isinstance(shape, dict) else None
    if not isinstance(points, list):
        return None
    try:
        return [[to_mm(radius), to_mm(height, signed=True)] for radius, height in points]
    except (PlumplineError, TypeError, ValueError):
        return None


def confined(tables: dict[str, Any], folder: Path) -> None:
    """See that no file that a draft names lies outside its folder.

    Raises
    ------
    InputError
        If one does.
    """
    shape = tables.get("shape")
    shape = shape if isinstance(shape, dict) and shape.get("kind") in TRACED else {}
    named = [("gauge", tables.get("gauge")), ("file", shape.get("file")), ("plan", shape.get("plan"))]
    for key, name in named:
        if not isinstance(name, str):
            continue
        try:
            found = (folder / name).resolve()
            inside = found.is_relative_to(folder.resolve())
        except (OSError, ValueError):
            inside = False
        if not inside:
            rule = "a file that a part names lies in the folder that was opened"
            remedy = "Put a copy into the folder; or start Plumpline with the folder above."
            raise InputError(Problem(rule, got=name, remedy=remedy, place=key))
