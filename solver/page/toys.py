"""Jobs on whole toys: parts placed on each other as they are pointed at, and their places told."""

from __future__ import annotations

import json
from collections import OrderedDict
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.errors import InputError, Problem
from solver.form.halved import of_nodes
from solver.page.drafts import confined, plain_tables
from solver.page.jobs import Draft, as_saved, line_of, text_of_draft
from solver.page.spoken import spoken

if TYPE_CHECKING:
    from solver.solving.solved import Solved
    from solver.toy.model import Toy
    from solver.toy.solved import SolvedToy

KEPT = 40
"""Solved parts that are kept: when one is moved, none has to be solved again."""

PLACING = ("on", "at", "join", "twins", "make", "lean", "spin", "front", "edge", "chain", "eyes", "noses")
"""Keys of a part's table that tell where it sits, not what it is."""

_parts: OrderedDict[str, Solved] = OrderedDict()


def toy_of(draft: Draft) -> Toy:
    """Return the toy that a draft is of, after seeing that no file of it lies outside the folder."""
    from solver.partfile.source import text_of
    from solver.toy.toyfile import read_toy

    folder = Path(draft["folder"])
    confined(draft["tables"], folder)
    parts = draft["tables"].get("parts")
    for table in parts.values() if isinstance(parts, dict) else ():
        if not isinstance(table, dict):
            continue
        confined(table, folder)
        name = table.get("file")
        if isinstance(name, str):
            confined({"gauge": name}, folder)
            path = folder / name
            if path.is_file():
                confined(plain_tables(text_of(path), file=name), folder)
    name = draft["name"] or "toy.toml"
    title = Path(name).stem.replace("-", " ").capitalize()
    return read_toy(text_of_draft(draft), file=str(folder / name), title=title, folder=folder)


def saved(*, draft: Draft) -> dict[str, Any]:
    """Return the text that a toy is saved as, once it is seen that it can be read again."""
    toy_of(draft)
    return as_saved(draft)


def _solved(draft: Draft) -> SolvedToy:
    """Return a toy put together; parts that did not change are at hand."""
    from solver.solving.solved import solve
    from solver.toy.solved import put_together

    toy = toy_of(draft)
    shared = {name: draft["tables"].get(name) for name in ("gauge", "stuffing", "yarn")}
    solved: dict[str, Solved] = {}
    for each in toy.parts:
        table = draft["tables"]["parts"][each.name]
        what = {key: value for key, value in table.items() if key not in PLACING}
        file = Path(draft["folder"]) / str(table.get("file", ""))
        changed = file.stat().st_mtime_ns if file.is_file() else 0
        eyes = [table.get("eyes"), table.get("noses")]
        key = json.dumps([draft["folder"], each.name, what, eyes, shared, changed], sort_keys=True)
        if key not in _parts or isinstance(shared["gauge"], str):
            _parts[key] = solve(each.part)
        _parts.move_to_end(key)
        solved[each.name] = _parts[key]
    while len(_parts) > KEPT:
        _parts.popitem(last=False)
    return put_together(toy, solved)


def solve(*, draft: Draft, dragged: str = "", point: list[float] | None = None) -> dict[str, Any]:
    """Return a toy put together; a part that is being dragged goes to the place that is pointed at first.

    Parameters
    ----------
    draft : dict
    dragged : str
        Name of the part; empty for none.
    point : list of 3 float, optional
        In the toy as it was last shown. [mm]
    """
    told: dict[str, Any] = {}
    if dragged and point:
        table = dict(draft["tables"]["parts"][dragged])
        table["at"] = told["at"] = _spot(_solved(draft), dragged, point)
        parts = {**draft["tables"]["parts"], dragged: table}
        draft = {**draft, "tables": {**draft["tables"], "parts": parts}}
    return {**_told(_solved(draft)), **told}


def _spot(solved: SolvedToy, name: str, point: list[float]) -> dict[str, float]:
    """Return the place on the carrier of a part that is nearest to a point of the toy."""
    carrier = solved.first_of(name).carrier
    if carrier is None:
        rule = "the first part stands on the ground"
        raise InputError(Problem(rule, remedy="Move the parts that sit on it."))
    here = carrier.frame.seen(np.asarray(point, dtype=float)) + carrier.base
    height = float(np.clip(here[2], 0.5, carrier.surface.height - 0.5))
    turn = float(np.degrees(np.arctan2(here[0], -here[1])))
    return {"height": float(round(height)), "turn": float(round(turn))}


def _told(solved: SolvedToy) -> dict[str, Any]:
    """Return all that the page shows of a toy."""
    from solver.toy.places import places
    from solver.toy.summary import cautions, notes, takes
    from solver.toy.words import joining, size_words, work_on

    names = [each.name for each in solved.toy.as_worked]
    joins = {
        name: " ".join([*joining(of_part), work_on(of_part)]).strip()
        for name, copies in groupby(places(solved), key=lambda place: place.copy.wanted.name)
        if (of_part := tuple(copies))
    }
    return {
        "ok": True,
        "kind": "toy",
        "sizes": size_words(solved.sizes),
        "parts": [
            {
                "name": name,
                "made": len(solved.copies_of(name)),
                "joined": joins.get(name, ""),
                "line": line_of(solved.parts[name].part),
                "rounds": len(solved.parts[name].piece.rounds),
            }
            for name in names
        ],
        "mesh": _mesh(solved, names),
        "data": {
            "notes": [spoken(text) for text in notes(solved)],
            "cautions": [spoken(text) for text in cautions(solved)],
        },
        "materials": [spoken(text) for text in takes(solved).sentences()],
    }


def _mesh(solved: SolvedToy, names: list[str]) -> dict[str, Any]:
    """Return all copies as one mesh, each node with the number of its part, from 1."""
    points, quads, triangles, part, colour = [], [], [], [], []
    first = 0
    colours = sorted(
        {one for each in solved.parts.values() for own in each.shades or (("",),) for one in own}
    )
    for copy in solved.copies:
        fabric = copy.surface.form.fabric
        points.append(np.round(copy.points, 2))
        quads.append(np.asarray(fabric.quads, dtype=int).reshape(-1, 4) + first)
        triangles.append(np.asarray(fabric.triangles, dtype=int).reshape(-1, 3) + first)
        part += [1 + names.index(copy.wanted.name)] * len(copy.points)
        shades = [name for own in copy.solved.shades for name in own] or [""] * sum(fabric.piece.counts)
        colour += [colours.index(shades[at]) for at in of_nodes(fabric).tolist()]
        first += len(copy.points)
    return {
        "points": np.concatenate(points).ravel().tolist(),
        "quads": np.concatenate(quads).ravel().tolist(),
        "triangles": np.concatenate(triangles).ravel().tolist(),
        "round": part,
        "stretch": [0.0] * first,
        "colour": colour,
        "colours": colours if any(colours) else [],
    }
