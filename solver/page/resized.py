"""The tables of a part with every length of its drawing and of its colours so many times as long."""

from __future__ import annotations

from typing import Any

from solver.errors import PlumplineError
from solver.units import to_mm

LENGTHS = (
    *("points", "spine", "straight", "cut", "front", "back", "left", "right"),
    *("length", "width", "height", "ankle", "leg", "belly", "at", "over"),
)
"""Keys of a shape that hold lengths, besides the sizes of named shapes."""

OF_COLOUR = ("low", "high", "width", "height", "points")
"""Keys of a band or a patch that hold lengths."""


def scaled_tables(tables: dict[str, Any], factor: float) -> dict[str, Any]:
    """Return the tables of a part whose drawing is so many times as large; each length keeps its unit.

    As `AnyPart.scaled` does to a part that is read: patches and bands told by height go along, what is bought
    stays, and a chain is left to the solver.

    Parameters
    ----------
    tables : dict
    factor : float
        > 0.
    """
    from solver.wanted.shapes import named_shapes

    shape = tables["shape"]
    named = named_shapes().get(shape.get("kind"))
    lengths = {*LENGTHS, *((*named.needed, *named.optional) if named else ())}
    scaled: dict[str, Any] = {**tables, "shape": _with(shape, lengths, factor)}
    if "bends" in shape:
        scaled["shape"]["bends"] = [_with(bend, lengths, factor) for bend in shape["bends"]]
    if "work" in tables:
        scaled["work"] = {key: value for key, value in tables["work"].items() if key != "chain"}
    if "colours" in tables:
        scaled["colours"] = {**tables["colours"]}
        for key in {"bands", "patches"} & set(tables["colours"]):
            scaled["colours"][key] = [_coloured(each, factor) for each in tables["colours"][key]]
    return scaled


def _coloured(table: dict[str, Any], factor: float) -> dict[str, Any]:
    """Return a band or a patch, and where it lies."""
    scaled = _with(table, OF_COLOUR, factor)
    if isinstance(table.get("at"), dict):
        scaled["at"] = _with(table["at"], ("height",), factor)
    return scaled


def _with(table: dict[str, Any], lengths: tuple[str, ...] | set[str], factor: float) -> dict[str, Any]:
    return {key: _longer(value, factor) if key in lengths else value for key, value in table.items()}


def _longer(value: Any, factor: float) -> Any:
    if isinstance(value, list):
        return [_longer(inner, factor) for inner in value]
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return value
    if not isinstance(value, str):
        return round(value * factor, 3)
    try:
        mm = to_mm(value, signed=True) * factor
    except PlumplineError:  # a share, "80 %"
        return value
    for unit, size in (("mm", 1.0), ("cm", 10.0), ("in", 25.4), ('"', 25.4)):
        if value.strip().endswith(unit):
            return f"{round(mm / size, 4):g} {'in' if unit == chr(34) else unit}"
    return round(mm, 3)
