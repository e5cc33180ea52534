"""The outline of a modelled solid: round about its own axis, or elongated with straight sides."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.tracing.mesh import Triangles, read_mesh
from solver.tracing.slicing import Slices, cut, principal_axes, turned_upright
from solver.tracing.trace import Seen, Trace, Wanted, finished
from solver.units import in_mm

TOLERANCE = 0.08
"""Of the width: how far 19 of 20 places on the surface may lie from the body that is read."""

PLACES = 0.95

FACETS = 0.02
"""Corners that lie farther outside the mean of their slice than this part are the shape's own."""

STEADY = 0.05
"""Straight sides whose lengths spread by no more than this part are one length."""

SEEN_DIRECTIONS = 24

LEAST_SIZE, MOST_SIZE = 4.0, 2000.0
"""Heights outside of this range are more likely a mistaken unit. [mm]"""


class BodyError(InputError):
    """A model is too far from a round and from an oval body.

    Attributes
    ----------
    seen : Seen
        The model beside the round body that is nearest to it.
    """

    def __init__(self, problem: Problem, seen: Seen) -> None:
        super().__init__(problem)
        self.seen = seen


@dataclass(frozen=True, slots=True, eq=False)
class _Body:
    """A round or oval body laid into the slices of a model.

    Attributes
    ----------
    slices : Slices
        Of the model. [mm]
    radius, straight : (m,) float
        Half the width of each slice and the length of its straight sides, 0 for round ones. [mm]
    off : (m, k) float
        Distance of the model from the body, along the normal. [mm]
    """

    slices: Slices
    radius: Floats
    straight: Floats
    off: Floats

    @property
    def width(self) -> float:
        return float(2 * self.radius.max())

    @property
    def distance(self) -> float:
        """Distance that 19 of 20 places keep. [mm]"""
        return float(np.quantile(np.abs(self.off), PLACES))

    @property
    def share(self) -> float:
        """That distance, of the width."""
        return self.distance / self.width

    @property
    def is_whole(self) -> bool:
        """Whether every slice goes round the axis."""
        return bool(self.radius.min() > 0)


def trace_model(
    path: Path,
    wanted: Wanted,
    *,
    axis: tuple[float, float, float] | None = None,
    tolerance: float = TOLERANCE,
    unit: str | None = None,
) -> Trace:
    """Read the outline of a solid from a mesh.

    Parameters
    ----------
    path : Path
        `.stl`, `.obj`, `.ply` or `.glb`.
    wanted : Wanted
        Gauge, and a size if it is not the model's own; `first` is "bottom" or "top".
    axis : tuple of 3 float, optional
        Direction of the axis; without it the one of x, y, z and the principal axes about which the model
        is nearest to a body that we know.
    tolerance : float, optional
        How far 19 of 20 places may lie from that body, of its width.
    unit : str, optional
        "mm", "cm", "m" or "in".

    Returns
    -------
    Trace
        With `straight` for an elongated solid.

    Raises
    ------
    InputError
        If the file can't be read, or the model is too far from a round and from an oval body.
    """
    if not 0 < tolerance <= 0.5:
        rule = "a tolerance is above 0 and at most 0.5 of the width"
        raise InputError(Problem(rule, got=f"{tolerance:g}", file=str(path)))
    mesh = read_mesh(path, unit=unit)
    body = _nearest_body(mesh, axis, tolerance, wanted, file=str(path))
    if wanted.height is None and wanted.width is None:
        _check_size(body, file=str(path))
    scale = _scale(body, wanted)
    notes = [*mesh.notes, *_notes(body, mesh, scale)]
    return _traced(body, wanted, scale, notes, file=str(path))


def _nearest_body(
    mesh: Triangles, axis: tuple[float, float, float] | None, tolerance: float, wanted: Wanted, *, file: str
) -> _Body:
    centre, principal = principal_axes(mesh.corners)
    if axis is not None:
        directions = [np.asarray(axis, dtype=np.float64)]
        if not np.isfinite(directions[0]).all() or not directions[0].any():
            rule = "an axis is a direction in space"
            raise InputError(Problem(rule, got=str(list(axis)), remedy="Write axis = [0, 0, 1].", file=file))
    else:
        directions = [np.array(mesh.up), *(_upward(each) for each in principal)]
    cuts = [cut(turned_upright(mesh.corners, centre=centre, axis=each), file=file) for each in directions]
    cuts = [each for each in cuts if (each.reach.min(axis=1) > 0).any()]
    tried: list[_Body] = []
    for kind in (_round, _oval):
        bodies = [kind(slices) for slices in cuts]
        if not bodies:
            break
        # up is kept unless another axis is clearly better: a ball has no axis of its own
        best = min(bodies, key=lambda body: (not body.is_whole, body.share))
        best = bodies[0] if bodies[0].is_whole and bodies[0].share <= 1.1 * best.share + 1e-3 else best
        if best.share <= tolerance and best.is_whole:
            return best
        tried.append(best)
    if not tried:
        rule = "a model encloses its axis"
        raise InputError(Problem(rule, remedy="Save it as a closed surface, or say its axis.", file=file))
    (round_body, oval_body) = tried
    raise BodyError(
        Problem(
            "a model is a round or an oval body: 19 of 20 places lie within "
            f"{100 * tolerance:g} % of the width of one",
            got=f"{_told(round_body, wanted)} for a round body, {_told(oval_body, wanted)} for an oval one",
            remedy="Split it into parts that are nearly round or oval, each in a file of its own; "
            "or allow more with tolerance.",
            file=file,
        ),
        _seen(round_body, _profile(round_body), _scale(round_body, wanted)),
    )


def _told(body: _Body, wanted: Wanted) -> str:
    scale = _scale(body, wanted)
    worst = in_mm(float(np.abs(body.off).max()) * scale)
    return f"{in_mm(body.distance * scale)} or {100 * body.share:.0f} % of the width (worst place {worst})"


def _upward(direction: Floats) -> Floats:
    return np.asarray(direction * np.sign(direction[int(np.argmax(np.abs(direction)))]), dtype=np.float64)


def _round(slices: Slices) -> _Body:
    radius = slices.reach.mean(axis=1)
    off = (slices.reach - radius[:, None]) * slices.normal_part(radius)[:, None]
    return _Body(slices, radius, np.zeros(len(radius)), off)


def _oval(slices: Slices) -> _Body:
    """Return the body whose slices are as long and as wide as the model's, with half rounds at both ends."""
    reach, angles = slices.reach, slices.angles
    # the second moment of all slices points along the body: half the phase of its double-angle part
    along = 0.5 * np.angle(np.sum(reach**4 * np.exp(2j * angles)))
    x, y = reach * np.cos(angles - along), reach * np.sin(angles - along)
    length, width = (np.ptp(values, axis=1) for values in (x, y))
    radius, straight = width / 2, _steady(np.maximum(length - width, 0.0), width)
    middle = (
        float(np.average(values.max(axis=1) + values.min(axis=1), weights=width + 1e-12)) / 2
        for values in (x, y)
    )
    across, beside = (values - centre for values, centre in zip((x, y), middle, strict=True))
    from_middle = np.hypot(np.maximum(np.abs(across) - straight[:, None] / 2, 0), beside)
    off = (from_middle - radius[:, None]) * slices.normal_part(radius)[:, None]
    return _Body(slices, radius, straight, off)


def _steady(straight: Floats, width: Floats) -> Floats:
    """Return the straight lengths, made one if they hardly differ: near the ends they are hard to measure."""
    usual = straight[width > 0.3 * width.max()]
    return np.full(len(straight), usual.mean()) if usual.std() < STEADY * usual.mean() else straight


def _scale(body: _Body, wanted: Wanted) -> float:
    if wanted.height is not None:
        return wanted.height / body.slices.top
    return 1.0 if wanted.width is None else wanted.width / body.width


def _check_size(body: _Body, *, file: str) -> None:
    if not LEAST_SIZE <= body.slices.top <= MOST_SIZE:
        raise InputError(
            Problem(
                "a model without a given size is as large as it says",
                got=f"{body.slices.top:.3g} mm high",
                remedy='Give height = "9 cm", or the unit its numbers are in: unit = "cm", "m" or "in".',
                file=file,
            )
        )


def _notes(body: _Body, mesh: Triangles, scale: float) -> list[str]:
    notes = []
    if mesh.bodies > 1:
        notes.append(f"The model has {mesh.bodies} separate surfaces; the outside of all together was read.")
    kind = "an oval body" if body.straight.any() else "a body of revolution"
    worst = float(np.abs(body.off).max())
    notes.append(
        f"19 of 20 places of the model lie within {in_mm(body.distance * scale)} "
        f"({100 * body.share:.1f} % of the width) of {kind}; the worst is {in_mm(worst * scale)} off."
    )
    return notes


def _traced(body: _Body, wanted: Wanted, scale: float, notes: list[str], *, file: str) -> Trace:
    upside_down = wanted.first == "top"
    if wanted.first in ("left", "right"):
        rule = "the first end of a model is bottom or top"
        raise InputError(Problem(rule, got=f'"{wanted.first}"', remedy="Change first.", file=file))
    top = body.slices.top * scale
    half = _profile(body) * scale

    def flip(line: Floats) -> Floats:
        return line[::-1] * [1, -1] + [0, top] if upside_down else line

    points, curve, smoothing = finished(flip(half), wanted, file=file)
    seen = _seen(body, flip(curve) / scale, scale)
    if not body.straight.any():
        return Trace(points, (*notes, *smoothing), seen)
    heights, straight = flip(np.column_stack([body.straight, body.slices.heights]) * scale)[:, ::-1].T
    notes = [*notes, f"Elongated: straight sides up to {in_mm(float(straight.max()))} long."]
    return Trace(points, (*notes, *smoothing), seen).drawn_out(heights, straight)


def _profile(body: _Body) -> Floats:
    """Return radius and height of a body, from the axis to the axis. [mm, unscaled]"""
    facets = _facets(body) if not body.straight.any() else 1.0
    sides = np.column_stack([body.radius * facets, body.slices.heights])
    return np.vstack([[0.0, 0.0], sides, [0.0, body.slices.top]])


def _seen(body: _Body, profile: Floats, scale: float) -> Seen:
    """Return sections of the model with a profile of the body laid over them."""
    used = np.vstack([profile, profile[::-1] * [-1, 1]]) * scale
    axis = np.array([[0.0, 0.0], [0.0, body.slices.top * scale]])
    return Seen(_sections(body, scale), used, axis, "mm")


def _facets(body: _Body) -> float:
    """Return by how much the mean of a slice lies inside the corners of the facets it cuts.

    The corners of a mesh lie on the surface that it stands for, its faces inside.
    """
    thick = body.radius > 0.3 * body.radius.max()
    outside = float(np.median(body.slices.reach[thick].max(axis=1) / body.radius[thick]))
    return outside if outside <= 1 + FACETS else 1.0


def _sections(body: _Body, scale: float) -> tuple[Floats, ...]:
    """Return sections through the axis, each with both its sides; of ovals without their straight part."""
    reach = body.slices.reach
    if body.straight.any():
        off = body.off / body.slices.normal_part(body.radius)[:, None]
        reach = np.maximum(body.radius[:, None] + off, 0)
    every = reach.shape[1] // SEEN_DIRECTIONS
    heights = body.slices.heights
    return tuple(
        np.column_stack([sign * reach[:, place], heights]) * scale
        for place in range(0, reach.shape[1], every)
        for sign in (1, -1)
    )
