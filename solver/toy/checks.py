"""Whether the places of a toy's parts fit each other, as far as can be seen before anything is solved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from solver.errors import Problem
from solver.partfile.problems import nearest
from solver.rounds import Finish, Start
from solver.toy.model import Join

if TYPE_CHECKING:
    from solver.partfile.problems import Problems
    from solver.toy.tables import PlaceTable
    from solver.wanted.part import AnyPart

_OPEN = 'Leave an end of it open: finish = "open" in [work].'


def check_places(
    problems: Problems, placed: Mapping[str, PlaceTable], parts: Mapping[str, AnyPart], *, names: list[str]
) -> None:
    """Add every fault of what sits on what, and how.

    Parameters
    ----------
    problems : Problems
    placed : dict of str to PlaceTable
        By the part's name, those that could be read.
    parts : dict of str to AnyPart
        The parts that could be read.
    names : list of str
        Of all parts, in the order of the file.
    """
    for name, place in placed.items():
        is_first = name == names[0]
        for key, problem in (*_sitting(name, place, names, is_first=is_first), *_twins(place)):
            problems.add(problem, f"parts.{name}", key)
        if name in parts and not is_first:
            for key, problem in _joined(place, parts[name]):
                problems.add(problem, f"parts.{name}", key)
    for name, key, problem in _limbs(placed, parts, names=names):
        problems.add(problem, f"parts.{name}", key)
    for name in _going_round(placed):
        rule = "parts sit on each other in an order that begins with the first"
        got = f'"{name}" comes to sit on itself'
        problems.add(Problem(rule, got=got, remedy="Change on."), f"parts.{name}", "on")


def _sitting(
    name: str, place: PlaceTable, names: list[str], *, is_first: bool
) -> Iterator[tuple[str, Problem]]:
    """Yield what is wrong with `on` and `at`."""
    given = place.model_fields_set
    if is_first:
        for key in ("on", "at", "join", "twins", "make", "lean", "spin"):
            if key in given:
                rule = f"the first part stands on the ground, so that it has no {key}"
                yield key, Problem(rule, remedy="Leave it out, or put the part that stands first.")
        return
    if place.on is None:
        remedy = f'Write on = "{names[0]}", or the name of another part.'
        yield "on", Problem("every part but the first sits on another", remedy=remedy)
    elif place.on == name:
        yield "on", Problem("a part sits on another part", got=f'"{name}" on itself')
    elif place.on not in names:
        near = nearest(place.on, names)
        remedy = f'Did you mean "{near}"?' if near else f"There are: {', '.join(names)}."
        yield "on", Problem("on is the name of a part", got=f'"{place.on}"', remedy=remedy)
    if place.at is None and place.join != Join.JOINED:
        remedy = 'Write at = "top", at = { height = "31 mm", turn = 40 } or at = { round = 16, stitch = 9 }.'
        yield "at", Problem("at is missing", remedy=remedy)


def _twins(place: PlaceTable) -> Iterator[tuple[str, Problem]]:
    """Yield what is wrong with twins and with several of a part."""
    at = place.at
    several = "twins are two" if place.twins else "several of a part sit" if place.make > 1 else ""
    if several and at and at.is_top:
        remedy = 'Write at = { height = "...", turn = 40 }.'
        yield "at", Problem(f"{several} left and right or round a part: at gives a turn", remedy=remedy)
    elif place.twins and at and at.height is not None and at.turn % 180 == 0:
        rule = "twins are left and right of the middle of the front"
        yield "at", Problem(rule, got=f"turn = {at.turn:g}", remedy="Give a turn between 0 and 180.")
    for key, eyes in (("eyes", place.eyes), ("noses", place.noses)):
        for each in eyes:
            if each.twins and (each.at.is_top or (each.at.height is not None and each.at.turn % 180 == 0)):
                rule = f"two {key} are left and right of the middle of the front"
                yield key, Problem(rule, remedy="Give a turn between 0 and 180, or leave twins out.")


def _joined(place: PlaceTable, part: AnyPart) -> Iterator[tuple[str, Problem]]:
    """Yield what is wrong with how a part is joined."""
    ends = {"start": part.start is Start.OPEN, "finish": part.work.finish is Finish.OPEN}
    in_rows = part.start is Start.ROWS
    ends = {"start": True, "finish": part.work.finish is Finish.OPEN} if in_rows else ends
    is_open = any(ends.values()) and (in_rows or not part.is_flat)
    join = Join(place.join) if place.join else Join.SEWN
    if join is Join.JOINED:
        return  # see `_limbs`
    if join is Join.PRESSED:
        if is_open and not in_rows:
            rule = 'join = "pressed" is for a closed part or a flat piece, and this one has an open edge'
            yield "join", Problem(rule, remedy='Write join = "sewn" or "flat", or close it.')
    elif not is_open:
        rule = f'join = "{join}" needs an open edge, and this part has none'
        yield "join", Problem(rule, remedy=f'{_OPEN} Or write join = "pressed".')
    elif place.edge and not ends[place.edge]:
        rule = f"the {place.edge} of this part is closed, and can't be joined by its edge"
        yield "edge", Problem(rule, remedy="Leave edge out, or name the open end.")
    if in_rows and join is Join.SEWN:
        ways = 'along an edge, join = "flat" or "worked in", or laid on, join = "pressed"'
        rule = f"a piece worked in rows is joined {ways}"
        yield "join", Problem(rule, got=f'"{join}"', remedy='Write join = "flat", to sew it on.')
    if join is Join.WORKED and place.at and place.at.round is None:
        rule = 'join = "worked in" needs the round and the stitch that it is worked into'
        yield "at", Problem(rule, remedy="Write at = { round = 16, stitch = 9 }.")


def _limbs(
    placed: Mapping[str, PlaceTable], parts: Mapping[str, AnyPart], *, names: list[str]
) -> Iterator[tuple[str, str, Problem]]:
    """Yield what is wrong with limbs that the first part is worked on from: its name, the key, the fault."""
    limbs = [name for name, place in placed.items() if place.join == Join.JOINED and name != names[0]]
    for name, place in placed.items():
        if place.chain is not None and name not in limbs:
            rule = 'chain belongs to join = "joined": the chains between two limbs'
            yield name, "chain", Problem(rule, remedy="Leave it out.")
    for name in limbs[1:]:
        rule, got = "one part is joined: both legs are made by it", f'"{limbs[0]}" and "{name}"'
        yield name, "join", Problem(rule, got=got, remedy="Sew the other one on.")
    body = names[0]
    for name in limbs[:1]:
        place = placed[name]
        if place.on in names and place.on != body:
            rule = 'join = "joined" is for the limbs that the first part, which stands, is worked on from'
            yield name, "on", Problem(rule, got=f'on = "{place.on}"', remedy=f'Write on = "{body}".')
        for key in {"at", "make", "lean", "spin", "edge"} & place.model_fields_set:
            if key == "make" and place.make == 2:
                continue
            rule = f"joined limbs are two, side by side under the first part, and have no {key}"
            yield name, key, Problem(rule, remedy="Leave it out.")
        yield from _limb_parts(name, body, parts)


def _limb_parts(name: str, body: str, parts: Mapping[str, AnyPart]) -> Iterator[tuple[str, str, Problem]]:
    """Yield what is wrong with how joined limbs and their body are worked."""
    limb, whole = parts.get(name), parts.get(body)
    if limb and not (limb.is_stuffed and limb.start is Start.RING and limb.work.finish is Finish.OPEN):
        rule = "a limb that is joined is a stuffed part worked from a ring to an open edge"
        remedy = 'Write work = { start = "ring", finish = "open" }, with its edge at the top of its outline.'
        yield name, "join", Problem(rule, remedy=remedy)
    if whole and not (whole.kind == "round" and whole.start is Start.OPEN):
        rule = "a body that is worked on from limbs is a round part that starts open"
        remedy = 'Write work = { start = "open" } for it, with an outline that is open below.'
        yield body, "work", Problem(rule, remedy=remedy)
    if limb and whole:
        sizes = [(each.gauge.stitch_width, each.gauge.row_height) for each in (limb, whole)]
        if sizes[0] != sizes[1]:
            rule = "joined limbs and their body are one piece of fabric, at one gauge"
            yield name, "join", Problem(rule, remedy="Leave the gauge of one of them out.")


def _going_round(placed: Mapping[str, PlaceTable]) -> Iterator[str]:
    """Yield the first part of each circle of parts that sit on each other."""
    told: set[str] = set()
    for name in placed:
        path: list[str] = []
        here = name
        while here in placed and placed[here].on and here not in path:
            path.append(here)
            here = placed[here].on or ""
        if here in path and len(path) > 1 and not told & set(path):
            told |= set(path)
            yield name
