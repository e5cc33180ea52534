"""Shapes that are read from another file: a sketch, a drawing or a model beside the part file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from pydantic import Field

from solver.partfile.tables import PRINTED, ShapeTable, Size, drawn_out, one_of
from solver.wanted.gauge import Gauge
from solver.wanted.outline import Outline
from solver.wanted.patches import Laid, Picture
from solver.wanted.stadium import Stadium

if TYPE_CHECKING:
    from collections.abc import Mapping

    from solver.tracing.files import Choice
    from solver.tracing.trace import Trace

_File = Annotated[str, Field(min_length=1, max_length=1000, pattern=PRINTED)]
_Lies = Annotated[str, one_of(("auto", "vertical", "horizontal"))]
_Side = Annotated[str, one_of(("both", "left", "right"))]
_Drawn = Annotated[str, one_of(("auto", "whole", "half"))]
_First = Annotated[str, one_of(("auto", "bottom", "top", "left", "right"))]
_Shows = Annotated[str, one_of(("length", "width"))]
_Unit = Annotated[str, one_of(("mm", "cm", "m", "in"))]
_Number = Annotated[float, Field(allow_inf_nan=False)]
_Direction = Annotated[list[_Number], Field(min_length=3, max_length=3)]


INK = 0.7
"""Lines of a drawing that are narrower than this part of a stitch are ink, no areas."""


class TracedTable(ShapeTable):
    """A shape in a file; its name counts from the folder of the part file."""

    file: _File = Field(description="the name of a file in quotes, beside this one")
    height: Size | None = Field(None, description="a length: the finished size along the axis")
    width: Size | None = Field(None, description="a length: the finished size across the axis")
    first: _First = Field("auto", description='"auto", "bottom", "top", "left" or "right"')

    def traced(
        self, *, folder: Path, gauge: Gauge, start: str | None, finish: str | None
    ) -> tuple[Outline | Stadium, tuple[str, ...]]:
        """Return the outline in the file, at this gauge, and what was found in it.

        An elongated shape is its outline drawn out along the straight sides.

        Raises
        ------
        InputError
            If the file can't be read.
        """
        trace = self.trace(folder=folder, gauge=gauge, start=start, finish=finish)
        sides = trace.sides(stitch_width=gauge.stitch_width)
        return trace.outline if sides is None else drawn_out(trace.outline, sides), trace.notes

    def trace(self, *, folder: Path, gauge: Gauge, start: str | None, finish: str | None) -> Trace:
        """Return what is read in the file.

        Raises
        ------
        InputError
            If the file can't be read.
        """
        from solver.tracing.files import trace_file
        from solver.tracing.trace import Wanted

        wanted = Wanted(
            stitch_width=gauge.stitch_width,
            row_height=gauge.row_height,
            height=self.height,
            width=self.width,
            first=self.first,
            open_first=start == "open",
            open_last=finish == "open",
            **self.reading(),
        )
        return trace_file(folder / self.file, wanted, self.choice(folder), kind=self.kind)

    def stands_on_finish(self, *, start: str | None) -> bool:
        """Return whether the end that is worked last is below."""
        return self.first == "top"

    def areas(
        self, yarns: Mapping[str, str], *, folder: Path, gauge: Gauge, start: str | None, finish: str | None
    ) -> Picture | None:
        """Return the colours within the outline as a patch, laid on from the front; None without any.

        Raises
        ------
        InputError
            If the file can't be read.
        """
        return None

    def reading(self) -> dict[str, str]:
        """Return what is said about how a drawn shape lies."""
        return {}

    def choice(self, folder: Path) -> Choice:
        """Return what is said about this kind of file only."""
        raise NotImplementedError


class _DrawnShapeTable(TracedTable):
    """A shape drawn on paper or screen."""

    axis: _Lies = Field("auto", description='"auto", "vertical" or "horizontal"')
    side: _Side = Field("both", description='"both", "left" or "right"')
    drawn: _Drawn = Field("auto", description='"auto", "whole" or "half"')

    def areas(
        self, yarns: Mapping[str, str], *, folder: Path, gauge: Gauge, start: str | None, finish: str | None
    ) -> Picture | None:
        """Return the colours within the outline as a patch, laid on from the front; None without any."""
        from solver.tracing.areas import traced_areas

        path = folder / self.file
        trace = self.trace(folder=folder, gauge=gauge, start=start, finish=finish)
        dots, width, height = traced_areas(trace, yarns, path=path, ink=INK * gauge.stitch_width)
        if not dots.any():
            return None
        known = {"dots": dots, "width": width, "height": height, "laid": Laid.FRONT}
        return Picture(name=path.stem, colours=tuple(yarns), **known)  # type: ignore[arg-type]

    def reading(self) -> dict[str, str]:
        """Return what is said about how the drawn shape lies."""
        return {"axis": self.axis, "side": self.side, "drawn": self.drawn}


class SketchTable(_DrawnShapeTable):
    """A picture, or two: from the front and from above."""

    plan: _File | None = Field(None, description="the name of a second picture, from above")
    shows: _Shows | None = Field(None, description='"length" or "width": what the front shows')

    def choice(self, folder: Path) -> Choice:
        """Return what is said about the plan."""
        from solver.tracing.files import Choice

        return Choice(plan=folder / self.plan if self.plan else None, shows=self.shows)


class DrawingTable(_DrawnShapeTable):
    """A vector drawing."""

    element: Annotated[str, Field(min_length=1, max_length=200)] | None = Field(
        None, description="the id of the element to read, in quotes"
    )

    def choice(self, folder: Path) -> Choice:
        """Return which element is read."""
        from solver.tracing.files import Choice

        return Choice(element=self.element)


class ModelTable(TracedTable):
    """A mesh."""

    axis: _Direction | None = Field(None, description="a direction: axis = [0, 0, 1]")
    tolerance: Annotated[float, Field(gt=0, le=0.5)] | None = Field(
        None, description="a share of the width, above 0 and at most 0.5"
    )
    unit: _Unit | None = Field(None, description='"mm", "cm", "m" or "in"')

    def choice(self, folder: Path) -> Choice:
        """Return what is said about the solid."""
        from solver.tracing.files import Choice

        x, y, z = self.axis or (0.0, 0.0, 0.0)
        return Choice(axis=(x, y, z) if self.axis else None, tolerance=self.tolerance, unit=self.unit)


TABLES: dict[str, type[TracedTable]] = {
    "sketch": SketchTable,
    "drawing": DrawingTable,
    "model": ModelTable,
}
"""The table of each kind."""
