"""The lines of an SVG drawing, in millimetres; nothing in it is run, and nothing outside it is looked up."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn
from xml.etree import ElementTree as ET
from xml.parsers import expat

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem, told_as
from solver.tracing.reading import check_file
from solver.tracing.svglines import polylines
from solver.tracing.svgsize import HREFS, check_size, kind_of
from solver.units import MM_PER_INCH

MOST_BYTES = 20_000_000
MOST_ELEMENTS = 50_000
MOST_DEPTH = 100

PIXELS_PER_INCH = 96
"""CSS Values and Units, section 6.2: an inch is 96 px."""

CURVE_POINTS = 120
"""Points of each curved segment, where there are few of them."""

MOST_POINTS = 240_000
"""Points of all lines: curves of many segments get fewer each."""

LEAST = 1e-12
"""A line no larger than this is a dot. [px]"""

LARGEST = 1e9
"""Numbers of a drawing lie no farther from nought: beyond, one line is lost beside another. [px]"""

CLOSED = 0.02
"""A line whose ends are no farther apart than this part of its size is closed."""

_PLAIN = 'Save it as plain SVG (not compressed); for a picture write kind = "sketch".'
_NOT_DRAWN = ("symbol", "marker", "pattern", "clipPath", "mask")
_NOT_LINES = ("text", "image", "foreignObject")


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """One line of a drawing.

    Attributes
    ----------
    name : str
        The element's id, or what it is and its place among its like ("path 2").
    points : (n, 2) float
        x right, y up. [mm]
    closed : bool
        Whether its end is its beginning.
    element : str
        The ids of the element and of the groups round it, the innermost first, for choosing by id.
    """

    name: str
    points: Floats
    closed: bool
    elements: tuple[str, ...]

    @property
    def box(self) -> Floats:
        """Lowest and highest x and y. [mm]"""
        return np.array([self.points.min(axis=0), self.points.max(axis=0)])

    @property
    def is_straight(self) -> bool:
        """Whether it runs straight from one end to the other."""
        to = self.points - self.points[0]
        along = to[int(np.argmax(np.hypot(*to.T)))]  # one that runs there and back is straight as well
        length = float(np.hypot(*along))
        off = np.abs(to @ np.array([-along[1], along[0]])) / length
        return float(off.max()) < 1e-3 * length


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """The visible lines of an SVG file.

    Attributes
    ----------
    lines : tuple of Line
        In the order of the file, one per unbroken line.
    page : (2,) float
        Width and height of the sheet. [mm]
    sized : bool
        Whether the file says how large it is; otherwise its units are taken as CSS pixels.
    left_out : tuple of str
        Kinds of element that were passed over ("text", "image").
    """

    lines: tuple[Line, ...]
    page: Floats
    sized: bool
    left_out: tuple[str, ...]


def read_svg(path: Path) -> Drawing:
    """Read the lines of an SVG drawing.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    InputError
        If it is missing, too large, no SVG, declares entities, or draws on another file.
    """
    root, sized = checked_root(path)
    left_out = sorted({kind for kind in map(kind_of, root.iter()) if kind in _NOT_LINES})
    names = _with_names(root)
    _hide_definitions(root)
    with _as_standard(path):
        lines, page = _lines(ET.tostring(root), names, file=str(path))
    return Drawing(lines, page, sized, tuple(left_out))


def checked_root(path: Path) -> tuple[ET.Element, bool]:
    """Return the outermost element of an SVG file that may be read, and whether it says how large it is."""
    check_file(path, most_bytes=MOST_BYTES)
    text = path.read_bytes()
    with told_as("a vector drawing is an SVG file", remedy=_PLAIN, file=str(path)):
        _check_xml(text, file=str(path))
        root = ET.fromstring(text)
        check_size(root, file=str(path))
    if kind_of(root) != "svg":
        _refuse(path, 'the outermost element of an SVG file is "svg"', f'"{kind_of(root)}"')
    sized = _sized(root)
    for use in root.iter():
        if kind_of(use) == "use" and any(not use.get(key, "#").startswith("#") for key in HREFS):
            got = next(use.get(key, "") for key in HREFS if not use.get(key, "#").startswith("#"))
            _refuse(path, "a drawing is whole in its own file", f'a part from "{got[:60]}"')
    return root, sized


@contextmanager
def _as_standard(path: Path) -> Iterator[None]:
    rule = "the lines of a drawing follow the SVG standard"
    with told_as(rule, remedy="Save it again as plain SVG.", file=str(path)), np.errstate(all="ignore"):
        yield


@dataclass(frozen=True, slots=True, eq=False)
class Filled:
    """A filled shape of a drawing.

    Attributes
    ----------
    name : str
        The element's id, or what it is.
    colour : (3,) float
        Red, green and blue, 0 to 1.
    lines : tuple of (n, 2) float
        Its closed lines, x right, y up. [mm]
    winding : bool
        Whether what is enclosed twice the same way round is filled (SVG's fill-rule nonzero, the usual one).
    """

    name: str
    colour: Floats
    lines: tuple[Floats, ...]
    winding: bool


def read_fills(path: Path) -> tuple[tuple[Filled, ...], Floats]:
    """Return the filled shapes of an SVG drawing, the lowest first, and the size of its sheet, (2,). [mm]

    Raises
    ------
    InputError
        As `read_svg`.
    """
    from svgelements import SVG, Shape
    from svgelements import Path as SvgPath

    root, _ = checked_root(path)
    _hide_definitions(root)
    mm, fills = MM_PER_INCH / PIXELS_PER_INCH, []
    with _as_standard(path):
        drawing = SVG.parse(io.BytesIO(ET.tostring(root)), reify=False, ppi=PIXELS_PER_INCH)
        for element in drawing.elements():
            if not isinstance(element, Shape) or element.values.get("visibility") in ("hidden", "collapse"):
                continue
            fill = element.fill
            if fill is None or fill.value is None or fill.opacity < 0.5:
                continue
            lines = [line for line in polylines(SvgPath(element), 40) if np.isfinite(line).all()]
            kept = tuple(line * [mm, -mm] for line in lines if len(line) > 2 and np.abs(line).max() < LARGEST)
            colour = np.array([fill.red, fill.green, fill.blue]) / 255
            winding = element.values.get("fill-rule", "nonzero") != "evenodd"
            if kept:
                fills.append(Filled(str(element.id or type(element).__name__.lower()), colour, kept, winding))
        page = np.array([float(drawing.width or 0), float(drawing.height or 0)]) * mm
    return tuple(fills), page


def _check_xml(text: bytes, *, file: str) -> None:
    """Read through the file once without building anything, and stop at what no drawing needs."""
    depth = count = 0

    def start(_name: str, _attributes: dict[str, str]) -> None:
        nonlocal depth, count
        depth, count = depth + 1, count + 1
        if depth > MOST_DEPTH or count > MOST_ELEMENTS:
            rule = f"a drawing has at most {MOST_ELEMENTS} elements, {MOST_DEPTH} inside each other"
            raise InputError(Problem(rule, remedy="Save only the outline.", file=file))

    def end(_name: str) -> None:
        nonlocal depth
        depth -= 1

    def entity(name: str, *_: object) -> None:
        rule = "a drawing declares no entities"
        raise InputError(Problem(rule, got=f'"{name}"', remedy="Save it again as plain SVG.", file=file))

    parser = expat.ParserCreate()
    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.EntityDeclHandler = entity
    parser.Parse(text, True)


def _sized(root: ET.Element) -> bool:
    """Give the root a width and a height if it has none; return whether it had one in real units."""
    box = [float(part) for part in re.split(r"[\s,]+", root.get("viewBox", "").strip()) if _is_number(part)]
    given = {side: root.get(side, "") for side in ("width", "height")}
    size = re.compile(r"\s*((?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([a-z]*)\s*$", re.ASCII)
    numbers = {side: size.match(text) for side, text in given.items()}
    if len(box) == 4 and box[2] > 0 and box[3] > 0:
        width, height = numbers["width"], numbers["height"]
        if width is None and height is None:
            root.set("width", str(box[2]))
            root.set("height", str(box[3]))
        elif height is None and width is not None:
            root.set("height", f"{float(width[1]) * box[3] / box[2]}{width[2]}")
        elif width is None and height is not None:
            root.set("width", f"{float(height[1]) * box[2] / box[3]}{height[2]}")
    return any(number is not None and number[2] not in ("", "px") for number in numbers.values())


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _with_names(root: ET.Element) -> dict[str, tuple[str, ...]]:
    """Give every element an id, and return the ids that each stands in, the innermost first."""
    names: dict[str, tuple[str, ...]] = {}
    counts: dict[str, int] = {}

    def visit(element: ET.Element, outer: tuple[str, ...]) -> None:
        kind = kind_of(element)
        counts[kind] = counts.get(kind, 0) + 1
        name = element.get("id") or f"{kind} {counts[kind]}"
        if name in names:  # an id given twice: the second keeps a name of its own
            name = f"{name} ({kind} {counts[kind]})"
        element.set("id", name)
        names[name] = (name, *outer)
        for child in element:
            visit(child, names[name])

    visit(root, ())
    return names


def _hide_definitions(root: ET.Element) -> None:
    """Move what is only drawn where it is used into definitions."""
    for parent in list(root.iter()):
        if kind_of(parent) == "defs":
            continue
        for place, child in enumerate(list(parent)):
            if kind_of(child) in _NOT_DRAWN:
                defs = ET.Element("{http://www.w3.org/2000/svg}defs")
                defs.append(child)
                parent[place] = defs


_UNNAMED = re.compile(r"use \d+")


def _standing(
    group: Iterable[Any], names: dict[str, tuple[str, ...]], used: tuple[str, ...] = ()
) -> Iterator[tuple[Any, tuple[str, ...]]]:
    """Yield the elements of a drawing with the ids that each stands in, the innermost first.

    What is drawn by `use` stands where it is used, and one line that is has the name of its `use`.
    """
    from svgelements import Group, Use

    for each in group:
        own = names.get(str(each.id), (str(each.id),))
        if isinstance(each, Use):
            yield from _standing(each, names, (*own, *used))
        elif isinstance(each, Group):
            yield from _standing(each, names, used)
        elif used and isinstance(group, Use) and len(group) == 1 and not _UNNAMED.fullmatch(used[0]):
            yield each, (used[0], own[0], *used[1:])
        else:
            yield each, (*own, *used)


def _lines(text: bytes, names: dict[str, tuple[str, ...]], *, file: str) -> tuple[tuple[Line, ...], Floats]:
    from svgelements import SVG, Shape
    from svgelements import Path as SvgPath

    drawing = SVG.parse(io.BytesIO(text), reify=False, ppi=PIXELS_PER_INCH)
    mm = MM_PER_INCH / PIXELS_PER_INCH
    shapes = [
        (ids, SvgPath(element))
        for element, ids in _standing(drawing, names)
        if isinstance(element, Shape) and element.values.get("visibility") not in ("hidden", "collapse")
    ]
    each = max(3, min(CURVE_POINTS, MOST_POINTS // max(1, sum(len(path) for _, path in shapes))))
    lines = []
    for ids, path in shapes:
        name = ids[0]
        for points in polylines(path, each):
            if not np.isfinite(points).all():
                continue
            if np.abs(points).max() > LARGEST:
                rule = f"lines of a drawing lie within {LARGEST:g} units of its corner"
                raise InputError(Problem(rule, got=f'"{name}"', remedy="Draw it in millimetres.", file=file))
            size = float(np.hypot(*np.ptp(points, axis=0)))
            if size < LEAST:
                continue
            closed = float(np.hypot(*(points[-1] - points[0]))) <= CLOSED * size
            lines.append(Line(name, points * [mm, -mm], closed, ids))
    page = np.array([float(drawing.width or 0), float(drawing.height or 0)]) * mm
    return tuple(lines), page


def _refuse(path: Path, rule: str, got: str) -> NoReturn:
    raise InputError(Problem(rule, got=got, remedy="Save it as one plain SVG file.", file=str(path)))
