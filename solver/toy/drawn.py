"""A toy read from a vector drawing: closed lines named by their ids are its parts, and overlaps their joins.

The front view shows the toy's own left on the right; a side view, in a group with the id "side", shows the
toy from its own left, looking to the left.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from solver.errors import InputError, Problem
from solver.toy.drawnlines import Shape
from solver.toy.drawnparts import BEADS, Drawn, DrawnBead, Reader
from solver.tracing.svg import Line, read_svg

SIDE, FRONT = "side", "front"
"""Ids of the groups that hold a view."""
TOUCH = 0.01
"""Parts that lie nearer than this share of the drawing's height touch."""
_SIDES = {"left": 1, "l": 1, "right": -1, "r": -1}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DrawnToy:
    """All that a drawing shows: parts, each after the one that carries it; eyes and noses; notes."""

    parts: tuple[Drawn, ...]
    beads: tuple[DrawnBead, ...]
    notes: tuple[str, ...]


def views_of(path: Path, *, height: float | None) -> tuple[list[Shape], list[Shape], tuple[str, ...]]:
    """Return the closed lines of the front and of the side view, the ground at 0, the body's axis at x = 0.

    Parameters
    ----------
    path : Path
        An SVG file.
    height : float or None
        Of the finished toy; None: as the drawing has it. [mm]

    Raises
    ------
    InputError
        If it can't be read, names no closed line, or has no size.
    """
    drawing = read_svg(path)
    file = str(path)
    notes = [f"Passed over in the drawing: {', '.join(drawing.left_out)}."] if drawing.left_out else []
    named = [line for line in drawing.lines if " " not in line.name]
    strange = [line.name for line in drawing.lines if " " in line.name]
    if strange:
        notes.append(f"Lines without an id were passed over: {', '.join(dict.fromkeys(strange))}.")
    problems = [
        Problem("a part is a closed line", got=f'"{line.name}", which is open', remedy="Close it.", file=file)
        for line in named
        if not line.closed
    ]
    if not named:
        rule = "the closed lines of a drawing, named by their ids, are the parts"
        remedy = "Give each part's line an id: body, head, arm-left."
        raise InputError(Problem(rule, got="no line with an id", remedy=remedy, file=file))
    if problems:
        raise InputError(*problems)
    side = [line for line in named if SIDE in line.elements[1:]]
    front = [line for line in named if line not in side]
    if not front:
        rule = 'a drawing has a front view; only a group with the id "side" was found'
        raise InputError(Problem(rule, remedy='Draw it in a group with the id "front".', file=file))
    if height is None and not drawing.sized:
        rule, remedy = "a drawing without a size needs the toy's height", 'Write --height "22 cm".'
        raise InputError(Problem(rule, remedy=remedy, file=file))
    high = float(np.ptp(np.concatenate([line.points[:, 1] for line in front])))
    scale = (height / high) if height else 1.0
    return _shapes(front, scale, file), _shapes(side, scale, file), tuple(notes)


def _shapes(lines: list[Line], scale: float, file: str) -> list[Shape]:
    from shapely import Polygon, make_valid

    if not lines:
        return []
    low = min(float(line.points[:, 1].min()) for line in lines)
    told = []
    for line in lines:
        area = make_valid(Polygon((line.points - [0.0, low]) * scale))
        if area.geom_type != "Polygon":  # a line that crosses itself: its largest part
            pieces = [each for each in getattr(area, "geoms", ()) if each.geom_type == "Polygon"]
            if not pieces:
                rule = "a part's line goes round it"
                raise InputError(Problem(rule, got=f'"{line.name}" encloses nothing', file=file))
            area = max(pieces, key=lambda piece: float(piece.area))
        name, side = _named(line.name)
        told.append(Shape(name, side, area))
    parts = [each for each in told if not is_bead(each)] or told
    largest = max(parts, key=lambda each: float(each.area.area))
    left, _, right, _ = largest.box
    from shapely.affinity import translate

    return [replace(each, area=translate(each.area, -(left + right) / 2)) for each in told]


def _named(name: str) -> tuple[str, int]:
    """Return an id without the words for left and right, and which it is."""
    words = [word for word in re.split(r"[^A-Za-z0-9]+", name) if word]
    if words and words[0].lower() in (SIDE, FRONT) and len(words) > 1:
        words = words[1:]  # ids are given once: "side-body" beside "body"
    side = next((_SIDES[word.lower()] for word in words if word.lower() in _SIDES), 0)
    kept = [word for word in words if word.lower() not in _SIDES]
    return "-".join(kept) or "part", side


def is_bead(shape: Shape) -> bool:
    """Return whether a line is an eye or a nose, by its id."""
    return re.match(rf"({'|'.join(BEADS)})s?\d*$", shape.name, re.IGNORECASE) is not None


def drawn_toy(path: Path, *, height: float | None, stitch_width: float, row_height: float) -> DrawnToy:
    """Return the toy that a drawing shows.

    Parameters
    ----------
    path, height
        As for `views_of`.
    stitch_width, row_height : float
        Of the gauge: what is finer is smoothed away. [mm]

    Raises
    ------
    InputError
        With everything that is wrong with the drawing.
    """
    front, side, notes = views_of(path, height=height)
    shapes = [each for each in front if not is_bead(each)]
    if not shapes:
        rule = "a drawing shows parts, not eyes alone"
        raise InputError(Problem(rule, remedy="Draw the body as a closed line with an id.", file=str(path)))
    wide = {each.name: each for each in side}
    groups = _groups(shapes)
    carriers, problems = _carriers(groups, file=str(path))
    if problems:
        raise InputError(*problems)
    reader = Reader(groups, wide, stitch_width=stitch_width, row_height=row_height, file=str(path))
    parts: list[Drawn] = []
    wrong: list[Problem] = []
    for name, on in carriers.items():
        if on and on not in reader.lies:  # what is wrong with its carrier is told
            continue
        try:
            parts.append(reader.part(name, on))
        except InputError as error:
            wrong += error.problems
    if wrong:
        raise InputError(*wrong)
    beads = reader.beads([each for each in front if is_bead(each)])
    behind = [name for name in wide if name not in groups and not is_bead(wide[name])]
    if behind:
        notes = (*notes, f"Shown in the side view alone, and so left out: {', '.join(behind)}.")
    return DrawnToy(parts=tuple(parts), beads=tuple(beads), notes=notes)


def _groups(shapes: list[Shape]) -> dict[str, list[Shape]]:
    """Return the lines of each part, of two the toy's own left one first."""
    groups: dict[str, list[Shape]] = {}
    for each in sorted(shapes, key=lambda each: -each.area.area):
        name, number = each.name, 2
        while name in groups and not _mirrored(groups[name], each):
            name, number = f"{each.name}-{number}", number + 1
        groups.setdefault(name, []).append(each)
    return {name: sorted(pair, key=lambda each: -float(each.middle[0])) for name, pair in groups.items()}


def _mirrored(known: list[Shape], other: Shape) -> bool:
    """Return whether a line is the other one of two: on the other side of the axis, about as large."""
    if len(known) != 1 or known[0].middle[0] * other.middle[0] >= 0:
        return False
    return bool(0.5 < known[0].area.area / max(other.area.area, 1e-9) < 2.0)


def _carriers(groups: dict[str, list[Shape]], *, file: str) -> tuple[dict[str, str], list[Problem]]:
    """Return the part that each sits on, in an order that begins with the first; and what touches nothing."""
    first = next(iter(groups))  # the largest
    told, waiting = {first: ""}, [name for name in groups if name != first]
    reach = TOUCH * max(shape.box[3] for pair in groups.values() for shape in pair)
    while waiting:
        ways = []
        for name in waiting:
            own = groups[name][0].area
            for on in told:
                for other in groups[on]:
                    if own.distance(other.area) <= reach:
                        # what holds most of it, of several the smallest: a snout on a head on a body
                        share = own.intersection(other.area).area / own.area
                        ways.append((round(min(share, 0.95), 1), -other.area.area, name, on))
        if not ways:
            break
        _, _, name, on = max(ways)
        told[name] = on
        waiting.remove(name)
    rule = "every part overlaps the one that it sits on"
    return told, [
        Problem(rule, got=f'"{name}" touches nothing', remedy="Draw it so that it overlaps.", file=file)
        for name in waiting
    ]
