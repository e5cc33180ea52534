"""What rounds become when stuffed: solved as rings where they are alike all round, else stitch by stitch."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, frozen
from solver.form.fabric import FLAT, StitchFabric, lofted, stitch_fabric
from solver.form.rings import Form, RingFabric, ring_form
from solver.rounds import HEIGHTS, Finish, Heights, Piece, Start
from solver.rounds.evenness import alike_all_round

if TYPE_CHECKING:
    from solver.form.descent import Supports
    from solver.form.stitches import StitchForm
    from solver.wanted.gauge import Gauge


@dataclass(frozen=True, eq=False)
class StuffedForm:
    """What rounds become when stuffed.

    Attributes
    ----------
    fabric : StitchFabric
        The relaxed fabric.
    points : (n, 3) float
        Where its nodes are; the axis along z, first worked lowest, a chain along x. [mm]
    stretch : (n,) float
        Of the fabric round the part, at each node. [1]
    outline : (m, 2) float
        Of each ring the radius and the mean height; in space half the size across, y. [mm]
    course_stretch : (m,) float
        Of each ring, round the part. [1]
    wale_stretch : (k,) float
        Along the part: between each two rings, or of each leg. [1]
    mean_stretch : float
        Of both directions; slack fabric counts as it hangs. [1]
    volume : float
        Inside, open edges closed flat; 0 for a piece that is not stuffed. [mm^3]
    pressure : float
        p/k; 0 for a piece that is not stuffed. [1/mm]
    alike : bool
        Whether it was solved as rings, alike all round.
    supports : Supports or None
        What holds a form in space.
    residual : float
        Largest force left, in units of p w h.
    iterations : int
    history : tuple of float
        The residual at each step.
    """

    fabric: StitchFabric
    points: Floats
    stretch: Floats
    outline: Floats
    course_stretch: Floats
    wale_stretch: Floats
    mean_stretch: float
    volume: float
    pressure: float
    alike: bool
    supports: Supports | None = None
    residual: float = 0.0
    iterations: int = 0
    history: tuple[float, ...] = field(default=(), repr=False)

    def __post_init__(self) -> None:
        for name in ("points", "stretch", "outline", "course_stretch", "wale_stretch"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    @classmethod
    def of_rings(
        cls,
        form: Form,
        piece: Piece,
        *,
        stitch_width: float,
        row_height: float,
        heights: Heights = HEIGHTS,
        lean: float = 0.0,
    ) -> StuffedForm:
        """Return the form that rings have, every stitch in its place on its ring. [mm]"""
        fabric = stitch_fabric(
            piece, stitch_width=stitch_width, row_height=row_height, heights=heights, lean=lean
        )
        return cls(
            fabric=fabric,
            points=lofted(fabric, radius=form.radius, height=form.height),
            stretch=form.course_stretch[fabric.ring_of_node],
            outline=form.points,
            course_stretch=form.course_stretch,
            wale_stretch=form.wale_stretch,
            mean_stretch=form.mean_stretch,
            volume=form.volume,
            pressure=form.pressure,
            alike=True,
            residual=form.residual,
            iterations=form.iterations,
            history=form.history,
        )

    @classmethod
    def of_stitches(cls, form: StitchForm) -> StuffedForm:
        """Return the form that was solved in space, or a flat piece as it lies."""
        return cls(
            fabric=form.fabric,
            points=form.points,
            stretch=_node_stretch(form),
            outline=np.array([[np.ptp(ring[:, 1]) / 2, ring[:, 2].mean()] for ring in form.rings]),
            course_stretch=ring_stretch(form),
            wale_stretch=form.wale_stretch,
            mean_stretch=form.mean_stretch,
            volume=form.volume,
            pressure=form.pressure,
            alike=False,
            supports=form.supports,
            residual=form.residual,
            iterations=form.iterations,
            history=form.history,
        )

    def turned_over(self) -> StuffedForm:
        """Return the form turned by half a turn about x: what looked down looks up; rows lie so already."""
        if self.piece.start is Start.ROWS:
            return self
        return replace(
            self, points=self.points * [1.0, -1.0, -1.0], outline=self.outline * np.array([1.0, -1.0])
        )

    @property
    def piece(self) -> Piece:
        """The rounds."""
        return self.fabric.piece

    @cached_property
    def rings(self) -> tuple[Floats, ...]:
        """Positions of the slots of each ring, in working order."""
        return tuple(self.points[ring] for ring in self.fabric.rings)

    @property
    def length(self) -> float:
        """Size along a chain's sides (x). [mm]"""
        return float(np.ptp(self.points[:, 0]))

    @property
    def width(self) -> float:
        """Size across a chain's sides (y); twice the greatest radius where it is alike all round. [mm]"""
        if self.alike:
            return float(2 * self.outline[:, 0].max())
        return float(np.ptp(self.points[:, 1]))

    @property
    def height(self) -> float:
        """Size along the axis (z). [mm]"""
        return float(np.ptp(self.outline[:, 1] if self.alike else self.points[:, 2]))

    @property
    def rows(self) -> float:
        """Rows of its meridian, the closing one as the part of a row that it is."""
        return len(self.piece.rounds) + self.closing / self.fabric.row_height

    @property
    def is_open(self) -> bool:
        """Whether an edge is left open."""
        starts = self.piece.start is Start.OPEN and not self.piece.legs
        return starts or (self.piece.finish is Finish.OPEN and not self.piece.goes_on)

    @property
    def is_flat(self) -> bool:
        """Whether it lies flat."""
        return bool(np.ptp(self.points[:, 2]) < FLAT)

    @property
    def is_folded(self) -> bool:
        """Whether it is not stuffed but folded flat, in two layers."""
        return self.pressure == 0 and not self.is_flat

    @property
    def as_drawn(self) -> Floats:
        """Stretch round the part at each node as it is drawn, (n,); of a flat piece as pressed flat. [1]"""
        if not self.is_flat or self.piece.start is Start.ROWS:
            return self.stretch
        return _along_rings(self.fabric, self.points)

    @property
    def closing(self) -> float:
        """Rest distance from the last edge to the drawn-in point; 0 where it is not drawn in. [mm]"""
        return self.fabric.closing if self.piece.finish is Finish.CINCHED else 0.0

    @property
    def edges(self) -> Floats:
        """Mean height of the start and of each round's edge above the lowest ring, (n + 1,). [mm]"""
        height = self.outline[: len(self.piece.rounds) + 1, 1]
        return np.asarray(height - self.lowest)

    @property
    def lowest(self) -> float:
        """Height of its lowest place. [mm]"""
        return float((self.outline[:, 1] if self.alike else self.points[:, 2]).min())


def stuffed_form(
    piece: Piece,
    gauge: Gauge,
    *,
    pressure: float,
    held: tuple[float | None, float | None] = (None, None),
    guess: StuffedForm | None = None,
    as_rings: bool | None = None,
) -> StuffedForm:
    """Return what rounds become when stuffed, held by nothing but at their open edges.

    Parameters
    ----------
    piece : Piece
        However it is started, shaped and finished.
    gauge : Gauge
    pressure : float
        p/k. [1/mm]
    held : tuple of two (float or None)
        Radius that an open start and an open finish are held to; None: free. [mm]
    guess : StuffedForm, optional
        A form of rounds with as many stitches, to start from.
    as_rings : bool, optional
        Solve it as rings, or in space; left out: as the rounds are.

    Raises
    ------
    InputError
        If a round is too small for a fabric, or the stuffing too firm.
    ConvergenceError
        If there is no balance.
    """
    w, h = gauge.stitch_width, gauge.row_height
    if alike_all_round(piece) if as_rings is None else as_rings:
        fabric = RingFabric.from_counts(
            [float(count) for count in piece.counts],
            stitch_width=w,
            row_height=h,
            foundation=float(piece.foundation) if piece.start is Start.OPEN else 0.0,
            cinched=piece.finish is Finish.CINCHED,
            held=held,
            wale_stiffness=gauge.stiffness_ratio,
            rows=_rows(piece, gauge.heights),
        )
        rings = guess.outline if guess and guess.alike else None
        return StuffedForm.of_rings(
            ring_form(fabric, pressure=pressure, guess=rings),
            piece,
            stitch_width=w,
            row_height=h,
            heights=gauge.heights,
            lean=gauge.leans,
        )
    from solver.form.stitches import stitch_form

    mesh = stitch_fabric(piece, stitch_width=w, row_height=h, heights=gauge.heights, lean=gauge.leans)
    form = stitch_form(
        mesh,
        pressure=pressure,
        guess=guess.points if guess else None,
        supports=_held_edges(mesh, held),
        wale_stiffness=gauge.stiffness_ratio,
    )
    return StuffedForm.of_stitches(form)


def _rows(piece: Piece, heights: Heights) -> list[float]:
    """Return the mean height of each round. [rows]"""
    of = heights.by_stitch
    return [sum(of[stitch] for stitch in this.stitches) / len(this.stitches) for this in piece.rounds]


def _held_edges(fabric: StitchFabric, held: tuple[float | None, float | None]) -> Supports:
    """Return what holds open edges to circles of these radii. [mm]"""
    from solver.form.descent import Supports

    open_ = (fabric.piece.start is Start.OPEN, fabric.piece.finish is Finish.OPEN)
    start, finish = (
        _circle(fabric, ring, radius) if is_open and radius else None
        for ring, is_open, radius in zip((0, len(fabric.rings) - 1), open_, held, strict=True)
    )
    return Supports(start=start, finish=finish)


def ring_stretch(form: StitchForm | StuffedForm) -> Floats:
    """Return how far each ring is stretched round the part, (m,); 0 for a start without length. [1]"""
    told = []
    for ring in form.rings:
        girth = float(np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).sum())
        told.append(girth / (len(ring) * form.fabric.stitch_width) - 1 if len(ring) > 2 else 0.0)
    return np.array(told)


def _node_stretch(form: StitchForm) -> Floats:
    """Return the stretch round the part at each node, the mean of both sides of its stitch. [1]"""
    if form.pressure == 0:
        return np.zeros(form.fabric.node_count)  # a flat piece lies relaxed
    return _along_rings(form.fabric, form.points)


def _along_rings(fabric: StitchFabric, at: Floats) -> Floats:
    """Return how far stitches at these places are stretched along their rounds, both sides meaned. [1]"""
    width, told = fabric.stitch_width, np.zeros(fabric.node_count)
    for ring in fabric.rings:
        if len(ring) > 2:
            ahead = np.linalg.norm(at[ring] - np.roll(at[ring], -1, axis=0), axis=1)
            told[ring] = (ahead + np.roll(ahead, 1)) / 2 / width - 1
    return told


def _circle(fabric: StitchFabric, ring: int, radius: float) -> Floats:
    """Return places of a held edge's stitches, evenly round. [mm]"""
    angle = -2 * np.pi * fabric.place(ring)
    return radius * np.column_stack([np.cos(angle), np.sin(angle)])
