"""Flat pieces worked in rows: edges in whole stitches, and how the rows lie in their plane."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from solver.arrays import Floats
from solver.form.flat_rows import edge_outline, flat_form
from solver.form.stuffed import StuffedForm
from solver.form.views import View, centred, distance, evenly
from solver.notes import About, Note
from solver.rounds import Finish, Piece
from solver.search.flat_plan import flat_plan
from solver.search.oval_limits import Limit
from solver.solving.kinds import Found, Lie
from solver.solving.sizes import Sizes, wall_of
from solver.solving.solved import Solved
from solver.units import in_mm
from solver.wanted.flat_outline import FlatOutline
from solver.wanted.part import Fit, RowsPart

PLAIN = "single crochets"
"""Stitches of the last row, as the reports of flat pieces tell them."""


class RowsKind:
    """What flat pieces worked in rows can do; see `solver.solving.kinds.Kind`."""

    name = "a flat piece"
    measures: tuple[str, ...] = ("length", "width")
    gives_way = False

    def limits(self, part: RowsPart) -> tuple[Limit, ...]:
        """Return nothing: no stuffing pushes at a flat piece."""
        return ()

    def found(
        self, part: RowsPart, *, aim: object = None, progress: Callable[[float], None] | None = None
    ) -> Found:
        """Return the rows whose edges come nearest to a part's, or the plainest within its tolerance."""
        over = part.work.finish is Finish.SEAMED and part.outline.folds_first
        plan = flat_plan(
            part.outline.turned_over() if over else part.outline,
            stitch_width=part.gauge.stitch_width,
            row_height=part.gauge.row_height,
            tolerance=part.work.tolerance if part.work.fit is Fit.PLAIN else 0.0,
            finish=part.work.finish,
        )
        return Found(piece=plan.piece, form=flat_form(plan.piece, part.gauge), last=PLAIN)

    def formed(
        self, part: RowsPart, piece: Piece, *, near: Solved | None = None, last: str = "", close: bool = False
    ) -> StuffedForm:
        """Return rows as they lie."""
        return flat_form(piece, part.gauge)

    def plain_rule(self, part: RowsPart) -> None:
        """Return nothing: rows follow no girth."""

    def step(self, part: RowsPart, measure: str) -> tuple[float, str]:
        """Return by how much one stitch or row more moves a size, and why."""
        w, h = part.gauge.stitch_width, part.gauge.row_height
        why = "stitches and rows are whole, and each one more or fewer moves it by a step"
        return {"length": h, "width": w}.get(measure, 0.0), why

    def free(self, part: RowsPart) -> RowsPart:
        """Return the part: nothing in it belongs to its size alone."""
        return part

    def wanted(self, part: RowsPart) -> Sizes:
        """Return the sizes that a part is drawn with."""
        drawn = part.outline
        return _sizes(part, length=drawn.height, width=drawn.width, girth=drawn.girth)

    def got(self, part: RowsPart, form: StuffedForm) -> Sizes:
        """Return the sizes of rows as they lie."""
        at = edge_outline(form)
        width, length = np.ptp(at, axis=0).tolist()
        girth = float(np.linalg.norm(at - np.roll(at, 1, axis=0), axis=1).sum())
        return _sizes(part, length=length, width=width, girth=girth)

    def lie(self, part: RowsPart, form: StuffedForm) -> Lie:
        """Return how rows lie over the drawn outline, both about one middle, whichever way it was worked."""
        drawn, at = part.outline.closed, edge_outline(form)
        shift = (drawn.max(axis=0) + drawn.min(axis=0) - at.max(axis=0) - at.min(axis=0)) / 2
        turned = np.array([1.0, 1.0])
        if part.work.finish is Finish.SEAMED and part.outline.folds_first:
            # worked from the far end to the fold and back: the drawing's first row is the fold
            turned = np.array([1.0, -1.0])
            middle = (at.max(axis=0) + at.min(axis=0)) / 2
            at = middle + (at - middle) * turned
        placed = at + shift
        apart = distance(evenly(placed), drawn)
        view = View(drawn, placed, float(np.sqrt(np.mean(apart**2))), float(apart.max()))
        points = form.points.copy()
        middle = (form.points[:, :2].max(axis=0) + form.points[:, :2].min(axis=0)) / 2
        points[:, :2] = middle + (points[:, :2] - middle) * turned + shift
        return Lie(points=points, rms=view.rms, greatest=view.greatest, outline=None, views={"plan": view})

    def misfit(self, part: RowsPart, form: StuffedForm, last: str) -> float:
        """Return the rows that the drawing has beyond those that are worked."""
        rows = len(form.piece.rounds) / (2 if part.work.finish is Finish.SEAMED else 1)
        return part.outline.height / part.gauge.row_height - rows

    def scale_to_fit(self, part: RowsPart, form: StuffedForm, last: str) -> float:
        """Return how much larger the drawing would be that wants a whole number of rows."""
        rows = len(form.piece.rounds) / (2 if part.work.finish is Finish.SEAMED else 1)
        return rows / (rows + self.misfit(part, form, last))

    def drawing(self, part: RowsPart) -> Floats:
        """Return half the drawn width against height. [mm]"""
        at = part.outline.levels
        half = (part.outline.edge("right", at) - part.outline.edge("left", at)) / 2
        return np.column_stack([half, at])

    def whole(self, part: RowsPart) -> Floats:
        """Return the drawn outline of the flat piece, its middle at 0."""
        return centred(part.outline.closed)

    def notes(self, solved: Solved, *, tried: int = 0) -> Iterator[str]:
        """Yield how it is worked, and what that rests on."""
        part, piece = solved.part, solved.piece
        assert isinstance(part, RowsPart)
        yield Note(
            "It is worked flat, back and forth: the chain of 1 before each turn is not counted as a stitch.",
            About.CHOICE,
        )
        if piece.finish is Finish.SEAMED:
            yield Note(
                f"Both layers are worked in one: row {len(piece.rounds) // 2} is where it folds.",
                About.CHOICE,
            )
        rows = part.gauge.row_height
        yield Note(
            "Rows are taken as tall as the gauge tells: measure it on a swatch that was turned after every "
            f"row, for turned rows often lie closer than rounds. Now a row is {in_mm(rows)} high.",
            About.FORM,
        )


KIND = RowsKind()


def _sizes(part: RowsPart, *, length: float, width: float, girth: float) -> Sizes:
    """Return sizes of a flat piece, its height that of its layers."""
    layers = 2 if part.work.finish is Finish.SEAMED else 1
    wall = wall_of(part)
    return replace(
        wall.added(length=length, width=width, height=0.0, girth=girth, volume=0.0),
        height=layers * wall.along,
    )


def mirrored(part: RowsPart) -> RowsPart:
    """Return the other one of a pair."""
    return replace(part, outline=FlatOutline.mirrored(part.outline))
