"""The jobs that the page asks for, each done in a process of its own: plain data in, plain data out."""

from __future__ import annotations

import sys
import traceback
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from solver.errors import InputError, PlumplineError, Problem
from solver.page.drafts import confined, merged, plain_tables, points_of
from solver.page.told import first_told, form_told, problems_told, rounds_told, solved_told, standing_told

if TYPE_CHECKING:
    from solver.form.stuffed import StuffedForm
    from solver.notation.proof import Proof
    from solver.rounds import Piece
    from solver.solving.solved import Solved
    from solver.wanted.part import AnyPart

Draft = dict[str, Any]
"""`tables` of a part file, the `base` text that they came from, the `name` of its file, and the `folder`."""

KEPT = 4
"""Solved parts that are kept: the form, a picture and a sheet are asked for after the rounds."""

MOST_WRITTEN = 100_000
"""Characters of somebody's written rounds."""

_solved: OrderedDict[tuple[str, str], Solved] = OrderedDict()


def ready() -> None:
    """Load what every job needs, so that the first one is as quick as the next."""
    ball = _draft({"gauge": {"stitches": 20, "rows": 20}, "shape": {"kind": "ball", "width": 20}})
    first(draft=ball)
    solve(draft=ball)
    _solved.clear()


def told(work: Callable[..., dict[str, Any]], arguments: dict[str, Any]) -> dict[str, Any]:
    """Return what a job gives, or what is wrong, in words."""
    try:
        return work(**arguments)
    except InputError as error:
        draft = arguments.get("draft", {})
        own = draft.get("name") or ("toy.toml" if "parts" in draft.get("tables", {}) else "drawing.toml")
        return problems_told(error, own=own)
    except PlumplineError as error:
        return {"ok": False, "problems": [{"text": str(error), "place": "", "points": []}]}
    except Exception as error:  # a fault of ours: the page goes on, and whoever started it sees where
        traceback.print_exc(file=sys.stderr)
        text = f"This could not be worked out ({type(error).__name__}). What you drew is kept."
        return {"ok": False, "problems": [{"text": text, "place": "", "points": []}]}


def _draft(tables: dict[str, Any]) -> Draft:
    return {"tables": tables, "base": "", "name": "", "folder": "."}


def text_of_draft(draft: Draft) -> str:
    """Return the text that a draft is saved as."""
    return merged(draft["base"], draft["tables"])


def part_of(draft: Draft, text: str | None = None) -> AnyPart:
    """Return the part that a draft is of; `text` is what it is saved as, where that is known."""
    from solver.partfile import read

    folder = Path(draft["folder"])
    confined(draft["tables"], folder)
    name = draft["name"] or "drawing.toml"
    title = Path(name).stem.replace("-", " ").capitalize()
    return read(
        text_of_draft(draft) if text is None else text, file=str(folder / name), title=title, folder=folder
    )


def solved_part(draft: Draft) -> Solved:
    """Return a draft solved; the last few are at hand."""
    from solver.solving.solved import solve as solved_of

    text = text_of_draft(draft)
    part = part_of(draft, text)
    others = any(isinstance(value, str) for value in (draft["tables"].get("gauge"), _file(draft)))
    key = (draft["folder"], text)
    if key in _solved and not others:  # what lies in other files may have changed
        _solved.move_to_end(key)
        return _solved[key]
    solved = _solved[key] = solved_of(part)
    while len(_solved) > KEPT:
        _solved.popitem(last=False)
    return solved


def _file(draft: Draft) -> object:
    shape = draft["tables"].get("shape")
    return shape.get("file") if isinstance(shape, dict) else None


# ---- drafts ------------------------------------------------------------------------------------------------


def opened(*, text: str, name: str, folder: str) -> dict[str, Any]:
    """Return a text as a draft."""
    tables = plain_tables(text, file=name)
    return {"ok": True, "tables": tables, "base": text, "points": points_of(tables)}


def saved(*, draft: Draft) -> dict[str, Any]:
    """Return the text that a draft is saved as, once it is seen that it can be read again."""
    part_of(draft)
    return as_saved(draft)


def as_saved(draft: Draft) -> dict[str, Any]:
    """Return the text of a draft in which nothing is wrong, and its tables as they will be read."""
    text = text_of_draft(draft)
    tables = plain_tables(text, file=draft["name"])
    return {"ok": True, "text": text, "tables": tables, "points": points_of(tables)}


def looked_at(*, draft: Draft) -> dict[str, Any]:
    """Return the line that a file's drawing is, for a small picture of it."""
    if "parts" in draft["tables"]:
        return {"ok": True, "title": str(draft["tables"].get("title", "")), "kind": "toy", "line": []}
    part = part_of(draft)
    return {"ok": True, "title": part.title, "kind": part.kind, "line": line_of(part)}


def line_of(part: AnyPart) -> list[list[float]]:
    """Return the whole outline of a part, from the front; of one that bends from the side. [mm]"""
    from solver.solving.kinds import kind_of

    told: list[list[float]] = kind_of(part).whole(part).tolist()
    return told[:: max(1, len(told) // 120)]


def as_points(*, draft: Draft) -> dict[str, Any]:
    """Return any shape as points to draw on."""
    from solver.tracing.smoothing import few_points
    from solver.wanted.outline import Outline

    part = part_of({**draft, "tables": {**draft["tables"], "gauge": _bare(draft)}})
    outline = getattr(part, "outline", None)
    if not isinstance(outline, Outline):
        raise InputError(
            Problem("a round shape can be drawn on by its points", remedy="An oval is given by sizes.")
        )
    points = few_points(outline.resampled(600).points, stitch_width=part.gauge.stitch_width)
    low = float(points[0, 1])
    shape = {
        "kind": "outline",
        "points": [[max(0.0, round(r, 2)), round(z - low, 2)] for r, z in points.tolist()],
    }
    work = {**draft["tables"].get("work", {}), "start": str(part.start), "finish": str(part.work.finish)}
    tables = {**draft["tables"], "shape": shape, "work": work}
    return {"ok": True, "tables": tables, "points": points_of(tables)}


def _bare(draft: Draft) -> dict[str, Any]:
    """Return a draft's gauge without its thickness: a drawing is of the outside."""
    gauge = draft["tables"].get("gauge")
    if isinstance(gauge, dict):
        return {key: value for key, value in gauge.items() if key != "thickness"}
    from solver.wanted.gauge import Gauge

    found: Gauge = part_of(draft).gauge
    return {"stitches": 100 / found.stitch_width, "rows": 100 / found.row_height}


# ---- rounds ------------------------------------------------------------------------------------------------


def first(*, draft: Draft) -> dict[str, Any]:
    """Return a first look at a draft, see `solver.solving.first_look`; "none" for kinds that have none."""
    from solver.solving.first_look import first_look

    part = part_of(draft)
    look = first_look(part)
    return {"ok": True, "none": True} if look is None else first_told(look, part.gauge, kind=part.kind)


def solve(*, draft: Draft, language: str = "", spelled: bool = False, written: str = "") -> dict[str, Any]:
    """Return a draft solved; with somebody's own rounds in place of the solved ones where there are any."""
    if written.strip():
        return _of_written(draft, written, language=language, spelled=spelled)
    return solved_told(solved_part(draft), language=language, spelled=spelled)


def _of_written(draft: Draft, written: str, *, language: str, spelled: bool) -> dict[str, Any]:
    from solver.notation.proof import proof_read

    if len(written) > MOST_WRITTEN:
        raise InputError(Problem(f"written rounds have at most {MOST_WRITTEN:,} letters"))
    proof = proof_read(written)
    read: dict[str, Any] = {
        "proof": [line.as_dict() for line in proof.lines],
        "terms": proof.terms,
        "language_read": proof.language,
    }
    try:
        read |= _form_of(draft, proof, language=language or proof.terms, spelled=spelled)
    except InputError as error:
        read |= problems_told(error)
    except PlumplineError as error:
        read |= {"ok": False, "problems": [{"text": str(error), "place": "", "points": []}]}
    return read


def _form_of(draft: Draft, proof: Proof, *, language: str, spelled: bool) -> dict[str, Any]:
    """Return what somebody's rounds become: as the part that is drawn, or by themselves."""
    piece = _written_piece(proof)
    if "shape" in draft["tables"]:
        solved = _with(draft, piece)
        return solved_told(solved, language=language, spelled=spelled)
    form, gauge = _alone(draft, piece), part_of(with_any_shape(draft)).gauge
    return rounds_told(piece, form, gauge, language=language, spelled=spelled)


def _with(draft: Draft, piece: Piece) -> Solved:
    from solver.solving.again import with_rounds

    solved = solved_part(draft)
    if (solved.piece.foundation > 0) != (piece.foundation > 0):
        rule = "rounds start as the drawn part does: in a ring, or on a chain"
        raise InputError(Problem(rule, remedy="Change the beginning, or how the part starts."))
    return with_rounds(solved, replace(piece, finish=solved.piece.finish))


def _written_piece(proof: Proof) -> Piece:
    from solver.notation.convert import converted

    parts = [one for one in converted(proof) if any(line.counts for line in proof.lines)]
    if not parts:
        raise InputError(Problem("there are rounds to read", remedy='They look like "Rnd 2: inc x 6 (12)".'))
    if len(parts) > 1:
        raise InputError(Problem("one part is worked at a time", got=f"{len(parts)} parts"))
    if parts[0].piece is None:
        raise InputError(Problem("the rounds add up", got=parts[0].reason, remedy="Mend them first."))
    return parts[0].piece


def with_any_shape(draft: Draft) -> Draft:
    """Return a draft with any shape: where only its gauge and its stuffing are asked for."""
    kept = {key: draft["tables"][key] for key in ("gauge", "stuffing", "yarn") if key in draft["tables"]}
    return {**draft, "base": "", "tables": {**kept, "shape": {"kind": "ball", "width": 100}}}


def _alone(draft: Draft, piece: Piece) -> StuffedForm:
    from solver.solving.again import form_of

    part = part_of(with_any_shape(draft))
    return form_of(piece, part.gauge, part.stuffing)


def solved_or_written(draft: Draft, written: str) -> Solved:
    """Return a draft solved, with her own rounds where there are any."""
    if not written.strip():
        return solved_part(draft)
    from solver.notation.proof import proof_read

    return _with(draft, _written_piece(proof_read(written[:MOST_WRITTEN])))


def form(*, draft: Draft, written: str = "") -> dict[str, Any]:
    """Return the form in space."""
    if "shape" not in draft["tables"]:
        from solver.notation.proof import proof_read

        return form_told(_alone(draft, _written_piece(proof_read(written[:MOST_WRITTEN]))), colours=())
    return standing_told(solved_or_written(draft, written))
