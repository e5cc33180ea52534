"""How large an SVG drawing is once all its references are followed, known before any of them is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from xml.etree import ElementTree as ET

from solver.errors import InputError, Problem

MOST_DRAWN = 5_000
"""Elements of a drawing, those that references draw again counted each time."""

MOST_SEGMENTS = 25_000
"""Segments of all its lines, counted in the same way."""

HREFS = ("href", "{http://www.w3.org/1999/xlink}href")

_PER_SEGMENT = {"m": 2, "l": 2, "h": 1, "v": 1, "c": 6, "s": 4, "q": 4, "t": 2, "a": 7}
"""Numbers of one segment (SVG 2, section 9.3)."""

_AROUND = {"circle": 4, "ellipse": 4, "rect": 8, "line": 1}

_COMMAND = re.compile(r"([MmLlHhVvCcSsQqTtAaZz])([^MmLlHhVvCcSsQqTtAaZz]*)")
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")


def kind_of(element: ET.Element) -> str:
    """Return what an element is, without its namespace."""
    return str(element.tag).rpartition("}")[2]


def check_size(root: ET.Element, *, file: str) -> None:
    """Raise InputError where the drawing is too large, references followed, or they lead round in a ring."""
    by_id: dict[str, ET.Element] = {}
    for element in root.iter():
        by_id.setdefault(element.get("id", ""), element)
    sizes: dict[int, tuple[int, int] | None] = {}
    elements, segments = _size(root, by_id, sizes, file)
    for what, got, most in (("elements", elements, MOST_DRAWN), ("segments", segments, MOST_SEGMENTS)):
        if got > most:
            rule = f"a drawing draws at most {most} {what}, those it repeats counted each time"
            told = str(got) if got < 10**9 else "more than a thousand million"
            raise InputError(Problem(rule, got=told, remedy="Save only the outline.", file=file))


def _size(
    element: ET.Element, by_id: Mapping[str, ET.Element], sizes: dict[int, tuple[int, int] | None], file: str
) -> tuple[int, int]:
    """Return elements and segments that an element draws, itself among them."""
    known = sizes.get(id(element), ())
    if known is None:
        rule = "a reference in a drawing leads to something that does not hold itself"
        got = f'"{element.get("id") or kind_of(element)}"'
        raise InputError(Problem(rule, got=got, remedy="Save it again as plain SVG.", file=file))
    if known:
        return known
    sizes[id(element)] = None  # being looked at: whoever comes back here goes round in a ring
    inside = list(element)
    if kind_of(element) == "use":
        names = [element.get(key, "") for key in HREFS]
        inside += [by_id[name[1:]] for name in names if name[:1] == "#" and name[1:] in by_id]
    elements, segments = 1, _own_segments(element)
    for each in inside:
        more, longer = _size(each, by_id, sizes, file)
        elements, segments = elements + more, segments + longer
    sizes[id(element)] = elements, segments
    return elements, segments


def _own_segments(element: ET.Element) -> int:
    points = len(_NUMBER.findall(element.get("points", ""))) // 2
    path = element.get("d", "")
    if not path:
        return points or _AROUND.get(kind_of(element), 0)
    return points + sum(
        max(1, -(-len(_NUMBER.findall(numbers)) // _PER_SEGMENT.get(command.lower(), 1)))
        for command, numbers in _COMMAND.findall(path)
    )
