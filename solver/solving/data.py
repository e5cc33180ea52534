"""A solved part as plain data: the keys of `--json`, lengths in mm."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from solver.notation.writer import each_round

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from solver.solving.solved import Solved


def as_dict(solved: Solved, *, spelled: bool, beside: bool = True) -> dict[str, Any]:
    """Return a solved part as plain data.

    Parameters
    ----------
    solved : Solved
    spelled : bool
        Write the text of each round out in full.
    beside : bool
        Work out what the plain rule comes to beside it.
    """
    got, wanted = solved.got.as_dict(), solved.wanted.as_dict()
    views, rule = solved.views, solved.plain_rule if beside else None
    drawn = {"outline": _rounded(solved.kind.drawing(solved.part))}
    sizes = ("length_mm", "width_mm", "height_mm")
    return {
        **_worked(solved, spelled=spelled),
        **({"last_round": solved.last} if solved.last else {}),
        "form": {**got, **_form(solved)},
        "wanted": {
            **wanted,
            **drawn,
            **({"outlines": {name: _rounded(view.wanted) for name, view in views.items()}} if views else {}),
        },
        "deviation": {
            "rms_mm": solved.rms,
            "max_mm": solved.greatest,
            **{size: got[size] - wanted[size] for size in sizes if size in got and size in wanted},
            **{name: {"rms_mm": view.rms, "max_mm": view.greatest} for name, view in views.items()},
        },
        "direct_rule": rule and {"rms_mm": rule[0], "max_mm": rule[1]},
        "rest_meridian_misfit_rows": solved.misfit,
        "scale_to_whole_rows": solved.scale_to_fit,
        "closing_mm": solved.form.closing,
        "materials": solved.materials.as_dict(),
        **({"patches": [each.as_dict() for each in solved.painted.shown]} if solved.painted.shown else {}),
        "notes": list(solved.notes),
        "cautions": list(solved.cautions),
    }


def _worked(solved: Solved, *, spelled: bool) -> dict[str, Any]:
    """Return what a part is made from, and its rounds."""
    part, piece, colours = solved.part, solved.piece, solved.painted.colours
    texts = each_round(piece, terms=part.work.terms, spelled=spelled, colours=colours)
    begins = solved.painted.begins
    return {
        "title": part.title,
        "gauge": {
            "stitch_width_mm": part.gauge.stitch_width,
            "row_height_mm": part.gauge.row_height,
            "thickness_mm": part.gauge.thickness,
            "lean": part.gauge.leans,
        },
        "stuffing": {
            "stretch": part.stuffing.stretch,
            "pressure_over_stiffness_per_mm": solved.form.pressure,
        },
        "start": str(piece.start),
        "foundation": piece.foundation,
        **({"legs": {"stitches": piece.legs.stitches, "chain": piece.legs.chain}} if piece.legs else {}),
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
                **_coloured(colours, begins, number),
            }
            for number, (this, text) in enumerate(zip(piece.rounds, texts, strict=True), start=1)
        ],
    }


def _coloured(colours: tuple[tuple[str, ...], ...], begins: tuple[float, ...], number: int) -> dict[str, Any]:
    """Return the colour that most stitches of a round have, that of each, and where the round begins."""
    if not colours:
        return {}
    own = colours[number - 1]
    told: dict[str, Any] = {"colour": max(dict.fromkeys(own), key=own.count), "colours": list(own)}
    return {**told, "begins_deg": round(begins[number - 1], 3)} if begins else told


def _form(solved: Solved) -> dict[str, Any]:
    """Return what the rounds become, besides its sizes."""
    form, views = solved.form, solved.views
    course = form.course_stretch if form.alike else form.course_stretch[1 : len(solved.piece.rounds) + 1]
    told: dict[str, Any] = {
        "mean_stretch": form.mean_stretch,
        "course_stretch": [float(course.min()), float(course.max())],
        "wale_stretch": [float(form.wale_stretch.min()), float(form.wale_stretch.max())],
        "residual": form.residual,
        "iterations": form.iterations,
        "outline": _rounded(form.outline),
    }
    if solved.lie.centres is not None:
        told["centres"] = _rounded(solved.lie.centres)
        told["end_tilt_deg"] = solved.lie.end_tilt
    if views:
        told["outlines"] = {name: _rounded(view.form) for name, view in views.items()}
        told["sections"] = [
            {"round": each.number, "length_mm": each.length, "width_mm": each.width}
            for each in solved.sections
        ]
    if solved.lie.girths is not None:
        for section, girth in zip(told["sections"], solved.lie.girths.tolist(), strict=True):
            section["girth_mm"] = girth
    return told


def _rounded(points: ArrayLike) -> list[list[float]]:
    return [[round(x, 4), round(y, 4)] for x, y in np.asarray(points).tolist()]
