"""What the page is told of solved parts and of rounds: the data of `--json`, written lines, and the form."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.arrays import Floats
from solver.form.bent_views import BENT_VIEWS
from solver.form.fabric import sizes_in_words
from solver.form.halved import of_nodes
from solver.form.views import VIEWS
from solver.notation.writer import standing_notes, write_rounds
from solver.page.spoken import fault, spoken
from solver.solving.again import outside
from solver.units import in_both

if TYPE_CHECKING:
    from collections.abc import Callable

    from solver.errors import InputError
    from solver.form.stuffed import StuffedForm
    from solver.notation.writer import Line
    from solver.rounds import Piece
    from solver.solving.first_look import FirstLook
    from solver.solving.solved import Solved
    from solver.wanted.gauge import Gauge

MOST_DRAWN, MOST_OF_RING = 240, 24
"""Points of a drawn line that a screen needs, and of a round that lights up on it."""

_POINT = re.compile(r"\bpoint (\d+)\b")


def solved_told(solved: Solved, *, language: str, spelled: bool) -> dict[str, Any]:
    """Return all that the page shows of a solved part.

    Parameters
    ----------
    solved : Solved
    language : str
        Name of a word table; empty for the part's own terms.
    spelled : bool
        Every round in full.
    """
    data = solved.as_dict(spelled=spelled, beside=False)
    for what in ("notes", "cautions"):
        data[what] = [spoken(text) for text in data[what]]
    words = language or solved.part.work.terms
    colours = solved.colours
    lines = write_rounds(
        solved.piece, terms=words, spelled=spelled, stuffed=solved.part.is_stuffed, colours=colours
    )
    raised = solved.deviation.raised if solved.deviation else 0.0
    outline = [[r, z + raised] for r, z in data["form"]["outline"]]
    reading = standing_notes(
        solved.piece, terms=words, spelled=spelled, colours=colours, joined=solved.part.work.joined
    )
    return {
        "ok": True,
        "kind": solved.part.kind,
        "data": data,
        "lines": [_line(line) for line in lines],
        "reading": list(reading),
        "materials": [spoken(text) for text in solved.materials.sentences()],
        "limits": [spoken(limit.why) for limit in solved.kind.limits(solved.part)],
        "drawn": _thin(np.asarray(data["wanted"]["outline"])),
        "form": outline,
        "rings": _rings(solved),
        "measures": list(solved.kind.measures),
    }


def _rings(solved: Solved) -> dict[str, list[list[list[float]]]]:
    """Return where each round is seen in each view, [right, up] of some of its places. [mm]"""
    axes = BENT_VIEWS if solved.part.kind == "bent" else VIEWS
    rings = solved.form.fabric.rings[1 : len(solved.piece.rounds) + 1] if solved.views else []
    places = [solved.points[ring[:: max(1, len(ring) // MOST_OF_RING)]] for ring in rings]
    return {name: [np.round(some[:, axes[name]], 1).tolist() for some in places] for name in solved.views}


def first_told(look: FirstLook, gauge: Gauge, *, kind: str) -> dict[str, Any]:
    """Return what the page shows of a first look: the form of whole rounds."""
    seen = look.views.items()
    return {
        "ok": True,
        "first": True,
        "kind": kind,
        "rounds": len(look.counts),
        "coarser": look.coarser,
        "drawn": _thin(look.drawn),
        "form": [[round(r, 3), round(z, 3)] for r, z in look.outline.tolist()],
        "data": {
            "gauge": {"thickness_mm": gauge.thickness},
            "rounds": [],
            "wanted": {"outlines": {name: _thin(view.wanted) for name, view in seen}},
            "form": {"outlines": {name: _thin(view.form) for name, view in seen}},
        },
    }


def rounds_told(
    piece: Piece, form: StuffedForm, gauge: Gauge, *, language: str, spelled: bool
) -> dict[str, Any]:
    """Return all that the page shows of rounds that have no drawing."""
    sizes = outside(form, gauge)
    lines = write_rounds(piece, terms=language or "US", spelled=spelled)
    return {
        "ok": True,
        "kind": "round" if form.alike or form.is_folded else "oval",
        "data": {
            "rounds": [
                {"number": n, "count": each.count, "text": ""} for n, each in enumerate(piece.rounds, 1)
            ],
            "form": {**sizes.as_dict(), "outlines": {} if form.alike or form.is_folded else _views(form)},
            "wanted": {},
            "deviation": {},
            "notes": [_about(form)],
            "cautions": [],
        },
        "lines": [_line(line) for line in lines],
        "reading": list(standing_notes(piece, terms=language or "US", spelled=spelled)),
        "materials": [],
        "limits": [],
        "drawn": [],
        "form": [[round(r, 3), round(z - form.lowest, 3)] for r, z in form.outline.tolist()],
        "measures": [],
    }


def _about(form: StuffedForm) -> str:
    """Return the sizes of a form without a drawing, as a sentence."""
    if not form.is_folded:
        return f"Stuffed it is about {', '.join(sizes_in_words(form.fabric, form.points))}."
    from solver.form.layers import folded_sizes

    width, height = folded_sizes(form)
    return f"It is about {in_both(height)} high and {in_both(width)} wide, folded flat."


def _views(form: StuffedForm) -> dict[str, Any]:
    """Return the silhouettes of a form without a drawing."""
    from solver.form.views import views
    from solver.wanted.stadium import Stadium

    points = form.points
    room = Stadium(0.0, np.array([[0.0, 0.0], [1.0, 1.0], [0.0, 2.0]]))
    return {name: _thin(view.form) for name, view in views(form.fabric, points, room).items()}


def standing_told(solved: Solved) -> dict[str, Any]:
    """Return the form of a solved part in space, as it stands or lies, and which way it looks."""
    from solver.painting.ground import front_of

    form, lie = solved.standing, solved.lie
    x, y = lie.front or front_of(solved.form)
    front = (x, y if form is solved.form else -y)  # turned about x
    if form.is_folded:  # its broad side
        front = (0.0, -1.0) if np.ptp(form.points[:, 0]) > np.ptp(form.points[:, 1]) else (-1.0, 0.0)
    if lie.front is not None:
        form = replace(form, points=solved.points)
    told = form_told(form, colours=solved.colours, shade=solved.part.supplies.shade, front=front)
    return {**told, "beside": solved.part.kind == "bent"}


def form_told(
    form: StuffedForm,
    *,
    colours: tuple[tuple[str, ...], ...],
    shade: Callable[[str], str] = str,
    front: tuple[float, float] | None = None,
) -> dict[str, Any]:
    """Return the form in space: nodes, faces, and the colour of each node, by its name and its shade."""
    from solver.painting.ground import front_of

    fabric = form.fabric
    front = front or front_of(form)
    own_names = [name for own in colours for name in own]
    names = sorted(set(own_names))
    last = len(form.piece.rounds)
    ring = np.asarray(fabric.ring_of_node)
    rounds = np.clip(ring, 1, last)
    return {
        "ok": True,
        "points": np.round(form.points, 2).ravel().tolist(),
        "quads": np.asarray(fabric.quads, dtype=int).ravel().tolist(),
        "triangles": np.asarray(fabric.triangles, dtype=int).ravel().tolist(),
        "round": rounds.tolist(),
        "stretch": np.round(form.stretch, 4).tolist(),
        "colour": [names.index(own_names[at]) for at in of_nodes(fabric).tolist()] if names else [],
        "colours": names,
        "shades": [shade(name) for name in names],
        "hollow": form.is_open,
        "front": [round(float(each), 4) for each in front],
        "flat": form.is_flat,
    }


def problems_told(error: InputError, *, own: str = "") -> dict[str, Any]:
    """Return what is wrong, each fault with the points at which it stands, from 0.

    Parameters
    ----------
    error : InputError
    own : str
        Name of the file that is drawn.
    """
    problems = []
    for one in error.problems:
        where = _POINT.findall(one.place) or _POINT.findall(one.got)
        points = [int(number) - 1 for number in where]
        problems.append({"text": fault(one, own=own), "place": one.place, "points": points})
    return {"ok": False, "problems": problems}


def _line(line: Line) -> dict[str, Any]:
    return {"kind": str(line.kind), "first": line.first, "last": line.last, "text": line.text}


def _thin(points: Floats) -> list[list[float]]:
    """Return a line with as many points as a screen needs, its ends kept."""
    step = max(1, len(points) // MOST_DRAWN)
    kept = [*points[:-1:step].tolist(), points[-1].tolist()]
    return [[round(x, 3), round(y, 3)] for x, y in kept]
