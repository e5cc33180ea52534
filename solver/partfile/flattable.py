"""The table of flat pieces worked in rows, how they are worked, and what is refused of them."""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import Field, model_validator

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.partfile.benttables import Line
from solver.partfile.tables import MOST_POINTS, ShapeTable, one_of, told
from solver.units import in_mm
from solver.wanted.flat_outline import FlatOutline
from solver.wanted.gauge import Gauge
from solver.wanted.outline import Outline

Between = Annotated[str, one_of(("smooth", "straight"))]
Worked = Annotated[str, one_of(("rows",))]

SIZES = (2.0, 3000.0)
"""Heights and widths of flat pieces that can be worked; a scarf is long. [mm]"""

MOST_STITCHES = 20_000
"""Stitches of a flat piece beyond which a size or the gauge is wrong."""

ROUNDS_ALONE = ("ring", "chain", "ends", "begin", "sole", "multiple", "bend_by", "joined")
"""Keys of [work] that only parts worked in rounds have."""


class RowsTable(ShapeTable):
    """A flat piece worked in rows, drawn by its points."""

    worked: Worked = Field("rows", description='"rows"')
    points: Line | None = Field(
        None, description=f"a list of 2 to {MOST_POINTS} [half width, height] pairs, the first row's first"
    )
    left: Line | None = Field(None, description="a list of [distance to the left, height] pairs")
    right: Line | None = Field(None, description="a list of [distance to the right, height] pairs")
    between: Between = Field("smooth", description='"smooth" or "straight"')

    @property
    def is_oval(self) -> bool:
        """Whether it is worked along a chain."""
        return False

    @model_validator(mode="after")
    def _one_drawing(self) -> RowsTable:
        if (self.points is None) is (self.left is None) or (self.left is None) is not (self.right is None):
            rule = "a flat piece has points, or both left and right"
            remedy = "points = [[half width, height], ...] for a piece alike on both sides."
            raise told(Problem(rule, remedy=remedy, place="points"))
        return self

    def flat(self) -> FlatOutline:
        """Return the drawn outline.

        Raises
        ------
        InputError
            If the points make no outline of rows.
        """
        if self.points is not None:
            return FlatOutline.even(self._drawn(self.points, half=True))
        assert self.left is not None  # as is checked
        assert self.right is not None
        left = self._drawn(self.left, half=False) * np.array([-1.0, 1.0])
        return FlatOutline(left, self._drawn(self.right, half=False))

    def _drawn(self, line: Line, *, half: bool) -> Floats:
        points = np.array(line, dtype=float).reshape(-1, 2)
        if half and (points[:, 0] < 0).any():
            rule = "half a width is zero or more"
            raise InputError(Problem(rule, got=f"{points[:, 0].min():g} mm", place="points"))
        if len(points) < 3 or self.between == "straight":
            return points
        # an edge that leaves the axis to either side is smoothed far from it
        far = np.array([0.0 if half else 10 * np.ptp(points, axis=0).max(), 0.0])
        return np.asarray(Outline.smooth(points + far).points - far)


def check_size(outline: FlatOutline, gauge: Gauge, *, folded: bool) -> None:
    """See that a flat piece can be worked at a gauge.

    Raises
    ------
    InputError
        If it is too small or too large, or folded where it has no width to be folded at.
    """
    least, most = SIZES
    if not (least <= outline.height <= most and least <= outline.width <= most):
        rule = f"a flat piece is from {least:g} mm to {most / 1000:g} m high and wide"
        got = f"{in_mm(outline.height)} high, {in_mm(outline.width)} wide"
        raise InputError(Problem(rule, got=got, remedy="Check its sizes and their units."))
    stitches = outline.area / (gauge.stitch_width * gauge.row_height)
    if stitches > MOST_STITCHES:
        rule = f"a flat piece has at most {MOST_STITCHES:,} stitches"
        remedy = "Check the sizes and the gauge, and their units."
        raise InputError(Problem(rule, got=f"about {stitches:,.0f}", remedy=remedy))
    if outline.height < gauge.row_height or outline.width < gauge.stitch_width:
        rule = "a flat piece is at least a row high and a stitch wide"
        got = f"{in_mm(outline.height)} high, {in_mm(outline.width)} wide"
        raise InputError(Problem(rule, got=got, remedy="Make it larger, or use thinner yarn."))
    ends = [float(outline.edge("right", at) - outline.edge("left", at)) for at in (0.0, outline.height)]
    if folded and max(ends) < 2 * gauge.stitch_width:
        rule = (
            "a piece that is folded and sewn is at least two stitches wide at one of its ends, where it folds"
        )
        remedy = 'Give one end a width, or leave finish = "seamed" out.'
        raise InputError(Problem(rule, got=in_mm(max(ends)), remedy=remedy))
