"""Which reader a file needs: a sketch, a drawing or a model, by its name."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from solver.errors import InputError, Problem
from solver.tracing.trace import Trace, Wanted

KINDS = {
    "sketch": (".png", ".jpg", ".jpeg", ".webp"),
    "drawing": (".svg",),
    "model": (".stl", ".obj", ".ply", ".glb"),
}
"""Endings of the files of each kind."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What is said about one kind of file only; None leaves it to the reader.

    Attributes
    ----------
    plan : Path or None
        Sketch: a second picture, from above, for an oval.
    shows : str or None
        Sketch with a plan: whether the front shows the "length" (usual) or the "width".
    element : str or None
        Drawing: id of the element to read.
    axis : tuple of 3 float or None
        Model: direction of its axis.
    tolerance : float or None
        Model: how far it may lie from the body that is read, of its width.
    unit : str or None
        Model: what its numbers are in.
    """

    plan: Path | None = None
    shows: str | None = None
    element: str | None = None
    axis: tuple[float, float, float] | None = None
    tolerance: float | None = None
    unit: str | None = None


def kind_of(path: Path) -> str:
    """Return "sketch", "drawing" or "model", by the ending of a file's name.

    Raises
    ------
    InputError
        If the ending is none that we read.
    """
    ending = path.suffix.lower()
    for kind, endings in KINDS.items():
        if ending in endings:
            return kind
    known = ", ".join(known for endings in KINDS.values() for known in endings)
    raise InputError(
        Problem(
            f"a file to trace ends in {known}",
            got=ending or "no ending",
            remedy="Save it as one of these.",
            file=str(path),
        )
    )


def trace_file(path: Path, wanted: Wanted, choice: Choice, *, kind: str) -> Trace:
    """Read an outline from a file of a kind.

    Parameters
    ----------
    path : Path
        The file.
    wanted : Wanted
        Size, gauge and how to read it.
    choice : Choice
        What is said about this kind of file.
    kind : str
        "sketch", "drawing" or "model".

    Raises
    ------
    InputError
        If it can't be read, or something is said that belongs to another kind.
    """
    said: dict[str, dict[str, object]] = {
        "sketch": {"plan": choice.plan, "shows": choice.shows},
        "drawing": {"element": choice.element},
        "model": {"axis": choice.axis, "tolerance": choice.tolerance, "unit": choice.unit},
    }
    for other, words in said.items():
        for word, value in words.items():
            if value is not None and other != kind:
                rule = f"{word} belongs to a {other}, and this is a {kind}"
                raise InputError(Problem(rule, remedy="Leave it out.", file=str(path)))
    if kind == "drawing":
        from solver.tracing.drawing import trace_drawing

        return trace_drawing(path, wanted, element=choice.element)
    if kind == "model":
        from solver.tracing.model import TOLERANCE, trace_model

        tolerance = TOLERANCE if choice.tolerance is None else choice.tolerance
        return trace_model(path, wanted, axis=choice.axis, tolerance=tolerance, unit=choice.unit)
    if choice.plan is not None:
        from solver.tracing.views import trace_views

        return trace_views(path, choice.plan, wanted, shows=choice.shows or "length")
    if choice.shows is not None:
        remedy = "Give the plan, or leave shows out."
        raise InputError(Problem("shows belongs to a sketch with a plan", remedy=remedy, file=str(path)))
    from solver.tracing.sketch import trace_sketch

    return trace_sketch(path, wanted)
