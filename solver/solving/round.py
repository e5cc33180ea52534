"""A part solved: its counts, its written rounds, the form that they become, and what to say about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from solver.advice.cautions import part_cautions
from solver.advice.materials import Materials, materials
from solver.advice.notes import assumption_notes, fit_notes, ruffle_notes, unsupported_notes
from solver.errors import ConvergenceError
from solver.form.rings import Form, ring_form
from solver.notation.writer import each_round
from solver.partfile import OvalPart, Part
from solver.rounds import Finish, Piece, Start
from solver.rounds.shaping import shaped_piece
from solver.search.making import Making
from solver.search.round_counts import Fit, fit
from solver.wanted.outline import Outline
from solver.wanted.part import Edge
from solver.wanted.silhouette import Deviation, deviation

ML = 1000.0
"""Cubic millimetres in a millilitre."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of a stuffed part: outside sizes where the fabric has a thickness.

    Attributes
    ----------
    height, width, girth : float
        [mm]
    volume : float
        Inside the middle of the fabric. [ml]
    """

    height: float
    width: float
    girth: float
    volume: float


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """A part and everything that was worked out for it.

    Attributes
    ----------
    part : Part
        What was wanted.
    piece : Piece
        The rounds.
    fit : Fit
        The counts and how whole rounds fit.
    deviation : Deviation
        Of the form from the wanted outline.
    direct_rule : Deviation or None
        The same for counts by the plain rule "girth over stitch width at each row"; None where those
        have no balance.
    materials : Materials
        What the part takes.
    notes, cautions : tuple of str
        For the maker.
    """

    part: Part
    piece: Piece
    fit: Fit
    deviation: Deviation
    direct_rule: Deviation | None
    materials: Materials
    notes: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def form(self) -> Form:
        """What the rounds become when stuffed."""
        return self.fit.form

    @property
    def got(self) -> Sizes:
        """Sizes of the form."""
        return _sizes(self.part, height=self.form.size, width=self.form.width, volume=self.form.volume)

    @property
    def wanted(self) -> Sizes:
        """Sizes that were asked for."""
        return wanted_sizes(self.part)

    def as_dict(self, *, spelled: bool = False) -> dict[str, Any]:
        """Return the solution as plain data; lengths in mm.

        Parameters
        ----------
        spelled : bool
            Write the text of each round out in full.
        """
        part, form, got = self.part, self.form, self.got
        return {
            **written(
                part,
                self.piece,
                pressure=form.pressure,
                spelled=spelled,
                colours=self.materials.round_colours,
            ),
            "form": {
                "height_mm": got.height,
                "width_mm": got.width,
                "girth_mm": got.girth,
                "volume_ml": got.volume,
                "mean_stretch": form.mean_stretch,
                "course_stretch": [float(form.course_stretch.min()), float(form.course_stretch.max())],
                "wale_stretch": [float(form.wale_stretch.min()), float(form.wale_stretch.max())],
                "residual": form.residual,
                "iterations": form.iterations,
                "outline": _rounded(form.points),
            },
            "wanted": {
                "height_mm": self.wanted.height,
                "width_mm": self.wanted.width,
                "girth_mm": self.wanted.girth,
                "volume_ml": self.wanted.volume,
                "outline": _rounded(part.outline.points),
            },
            "deviation": {
                "rms_mm": self.deviation.rms,
                "max_mm": self.deviation.greatest,
                "height_mm": self.deviation.height,
                "width_mm": self.deviation.width,
            },
            "direct_rule": self.direct_rule
            and {"rms_mm": self.direct_rule.rms, "max_mm": self.direct_rule.greatest},
            "rest_meridian_misfit_rows": self.fit.misfit_rows,
            "scale_to_whole_rows": self.fit.scale_to_fit,
            "closing_mm": _closing(form, self.piece.finish),
            "materials": self.materials.as_dict(),
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }


def solve(part: Part, *, progress: Callable[[float], None] | None = None) -> Solution:
    """Return the rounds of a part, proved against the form that they become.

    Parameters
    ----------
    part : Part
        What is wanted.
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    InputError
        If no whole stitches follow the outline.
    ConvergenceError
        If the rounds have no balance under the stuffing.
    """
    return fitted(part, fit(part.outline, making_of(part), progress=progress))


def making_of(part: Part) -> Making:
    """Return how a part is to be made, as fitting its counts needs it."""
    gauge, work = part.gauge, part.work
    return Making(
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        pressure=part.stuffing.pressure(part.outline.width / 2),
        start_open=work.start is Start.OPEN,
        finish_open=work.finish is Finish.OPEN,
        held=work.edge is Edge.HELD,
        ring=work.ring,
        multiple=work.multiple,
        stiffness_ratio=gauge.stiffness_ratio,
    )


def fitted(part: Part, found: Fit) -> Solution:
    """Return the solution that counts found for a part are, their rounds shaped."""
    work, counts = part.work, found.counts.tolist()
    piece = shaped_piece(
        counts,
        start=work.start,
        finish=work.finish,
        foundation=counts[0] if work.start is Start.OPEN else 0,
        increases=work.increases,
    )
    return finished(part, found, piece, direct_rule=_direct_rule(part.outline, making_of(part)))


def finished(part: Part, found: Fit, piece: Piece, *, direct_rule: Deviation | None) -> Solution:
    """Return the solution that these rounds and their form are, with all that is to be said about them.

    Parameters
    ----------
    part : Part
        What is wanted.
    found : Fit
        Counts and form.
    piece : Piece
        The rounds.
    direct_rule : Deviation or None
        See `Solution`.
    """
    gauge, work, form = part.gauge, part.work, found.form
    off = deviation(form.points, part.outline)
    return Solution(
        part=part,
        piece=piece,
        fit=found,
        deviation=off,
        direct_rule=direct_rule,
        materials=materials(
            piece,
            part.supplies,
            gauge=gauge,
            stretch=part.stuffing.stretch,
            volume=form.volume,
            heights=form.height - form.height.min(),
        ),
        notes=(*part.notes, *_notes(part, found, off)),
        cautions=tuple(
            part_cautions(
                form.radius,
                form.height,
                thickness=gauge.thickness,
                open_edge=Start.OPEN is work.start or work.finish is Finish.OPEN,
                supplies=part.supplies,
            )
        ),
    )


def written(
    part: Part | OvalPart, piece: Piece, *, pressure: float, spelled: bool, colours: Sequence[str]
) -> dict[str, Any]:
    """Return what a part is made from and its rounds, as plain data.

    Parameters
    ----------
    part : Part or OvalPart
    piece : Piece
    pressure : float
        p/k. [1/mm]
    spelled : bool
        Write the text of each round out in full.
    colours : sequence of str
        The colour of each round, or empty.
    """
    texts = each_round(piece, terms=part.work.terms, spelled=spelled)
    return {
        "title": part.title,
        "gauge": {
            "stitch_width_mm": part.gauge.stitch_width,
            "row_height_mm": part.gauge.row_height,
            "thickness_mm": part.gauge.thickness,
        },
        "stuffing": {
            "stretch": part.stuffing.stretch,
            "pressure_over_stiffness_per_mm": pressure,
        },
        "start": str(piece.start),
        "foundation": piece.foundation,
        "finish": str(piece.finish),
        "terms": part.work.terms,
        "rounds": [
            {
                "number": number,
                "count": this.count,
                "text": text,
                "increases": this.increases,
                "decreases": this.decreases,
                "stitches": [str(stitch) for stitch in this.stitches],
                **({"colour": colours[number - 1]} if colours else {}),
            }
            for number, (this, text) in enumerate(zip(piece.rounds, texts, strict=True), start=1)
        ],
    }


def _closing(form: Form, finish: Finish) -> float:
    """Return the rest distance from the last edge to the drawn-in point; 0 where it is not drawn in. [mm]"""
    return float(form.fabric.spacing[-1]) if finish is Finish.CINCHED else 0.0


def _notes(part: Part, found: Fit, off: Deviation) -> tuple[str, ...]:
    gauge, work = part.gauge, part.work
    has_edge = work.start is Start.OPEN or work.finish is Finish.OPEN
    stacked = (
        "Increases that stand in line show as corners, a hexagon with six to a round (common practice); "
        'increases = "staggered" keeps the part round.',
    )
    return (
        *unsupported_notes(found.rest.unsupported, part.outline, row_height=gauge.row_height),
        *fit_notes(found, off, stitch_width=gauge.stitch_width, height=wanted_sizes(part).height),
        *ruffle_notes(
            found.form.course_stretch,
            found.counts.tolist(),
            first=2,
            last=len(found.counts) - (work.finish is Finish.CINCHED),
        ),
        *(stacked if work.increases == "stacked" else ()),
        *assumption_notes(
            measured=part.stuffing.measured,
            closing=_closing(found.form, work.finish),
            edge=work.edge if has_edge else "",
        ),
    )


def _direct_rule(outline: Outline, making: Making) -> Deviation | None:
    """Return how far the counts of the plain rule, girth over stitch width at each row, come out."""
    rows = max(2, round(outline.length / making.row_height) - (not making.finish_open))
    at = np.arange(1, rows + 1) * making.row_height
    girth = 2 * np.pi * np.interp(at, outline.arc, outline.points[:, 0])
    counts = np.maximum(3, np.round(girth / making.stitch_width)).astype(np.int64)
    try:
        form = ring_form(making.fabric(counts, outline), pressure=making.pressure)
    except ConvergenceError:
        return None
    return deviation(form.points, outline)


def wanted_sizes(part: Part) -> Sizes:
    """Return the sizes that a part is drawn with."""
    drawn = part.outline
    return _sizes(part, height=drawn.height, width=drawn.width, volume=drawn.volume)


def _sizes(part: Part, *, height: float, width: float, volume: float) -> Sizes:
    """Return outside sizes: half a thickness more at each closed end, a whole one across."""
    thickness = part.gauge.thickness
    closed = (part.work.start is not Start.OPEN) + (part.work.finish is not Finish.OPEN)
    outside = width + thickness
    return Sizes(height + closed * thickness / 2, outside, float(np.pi * outside), volume / ML)


def _rounded(points: Any) -> list[list[float]]:
    return [[round(r, 4), round(z, 4)] for r, z in points.tolist()]
