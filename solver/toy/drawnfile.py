"""The toy file of a drawing: what it shows as keys, what it can't show as commented lines with the guess."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from solver.toy.drawn import DrawnToy
    from solver.toy.drawnparts import Drawn, DrawnBead

HEAD = """\
# A toy read off {drawing} by plumpline toy. What a drawing can't show is a guess: look at the
# commented lines.
title = {title}

[drawing]                                # plumpline compare lays the toy over it
file = {name}
{height}
[gauge]                                  # a guess: write your own
stitches = {stitches:g}
rows = {rows:g}
over = "10 cm"

[stuffing]
firmness = "firm"
"""


def toy_file(
    drawn: DrawnToy,
    *,
    title: str,
    name: str,
    height: float | None,
    stitches: float,
    rows: float,
    upright: frozenset[str] = frozenset(),
) -> str:
    """Return the text of a toy file.

    Parameters
    ----------
    drawn : DrawnToy
    title, name : str
        Of the toy, and of the drawing's file as the toy file tells it.
    height : float or None
        That was asked for. [mm]
    stitches, rows : float
        To 10 cm.
    upright : set of str
        Parts whose drawn lean finds no room: they stand straight out.
    """
    size = f'height = "{height:.1f} mm"\n' if height else ""
    head = HEAD.format(
        drawing=json.dumps(name, ensure_ascii=False),
        name=json.dumps(name, ensure_ascii=False),
        title=json.dumps(title, ensure_ascii=False),
        height=size,
        stitches=stitches,
        rows=rows,
    )
    lines = [head]
    for part in drawn.parts:
        lines += _part(part, straight=part.name in upright)
        for bead in drawn.beads:
            if bead.part == part.name:
                lines += _bead(bead)
    return "\n".join(lines)


def _part(part: Drawn, *, straight: bool) -> Iterator[str]:
    yield f"[parts.{part.name}]"
    if part.on:
        yield f"on = {json.dumps(part.on)}"
        yield (
            'at = "top"'
            if part.top
            else f'at = {{ height = "{part.height:.1f} mm", turn = {part.turn:.0f} }}'
        )
        if part.twins:
            yield "twins = true"
        if part.mate:
            yield "# twins = true   # a guess: one is drawn, beside the middle; are there two?"
        if abs(part.lean) >= 1:
            yield f"{'# ' if straight else ''}lean = {part.lean:.0f}"
    if part.oval:
        length, width, out = part.oval
        yield (
            f'shape = {{ kind = "oval", length = "{length:.1f} mm", width = "{width:.1f} mm", '
            f'height = "{out:.1f} mm" }}'
        )
    elif part.points is not None:
        points = ", ".join(f"[{x:g}, {y:g}]" for x, y in part.points.tolist())
        yield f'shape = {{ kind = "outline", points = [{points}] }}'
    if part.on:
        yield 'work = { finish = "open" }'
    for guess in part.guesses:
        yield f"# {guess}"
    yield ""


def _bead(bead: DrawnBead) -> Iterator[str]:
    yield f"[[parts.{bead.part}.{bead.key}]]"
    yield f'diameter = "{bead.diameter:.1f} mm"'
    yield f'at = {{ height = "{bead.height:.1f} mm", turn = {bead.turn:.0f} }}'
    if bead.twins:
        yield "twins = true"
    yield ""
