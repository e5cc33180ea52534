"""Parts in their places: every copy of each part on the part that carries it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, frozen
from solver.errors import InputError, Problem
from solver.form.skin import FINE
from solver.rounds import Finish, Start
from solver.toy.cast import Frame
from solver.toy.frames import MIRROR, UP, moved, out_of_end, place_of, seat
from solver.toy.laying import SAMPLES, Laid, along_round, laid, pressed, whole_ring
from solver.toy.model import Join, ToyPart
from solver.toy.pressing import SUNK, draped, section
from solver.toy.surface import Surface, standing_surface
from solver.units import in_mm
from solver.wanted.part import RowsPart

if TYPE_CHECKING:
    from solver.solving.solved import Solved
    from solver.wanted.part import AnyPart

MATCHES = 0.15
"""An edge whose girth is within this share of an open end's is sewn to it edge to edge."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Copy:
    """One copy of a part in its place.

    Attributes
    ----------
    wanted : ToyPart
    solved : Solved
        By itself.
    surface : Surface
        By itself, upright: what places are told on.
    skin : Surface
        The same with its edge held on its place: what is seen, and sewn on.
    number : int
        Of the copy, from 1; of twins the left one first.
    carrier : Copy or None
        What it sits on; None for the first part, which stands on the ground.
    frame : Frame
        Where its joined edge's middle is, and how it is turned, in the toy.
    base : (3,) float
        The joined edge's middle in its own upright coordinates. [mm]
    ring, turn : float
        The place on the carrier.
    edge : Laid or None
        Its edge on the carrier, in the carrier's upright coordinates.
    edge_length : float
        Of the edge by itself, stretched. [mm]
    edge_stitches : int
        Of the edge; 0 for a pressed part.
    matched : bool
        It is sewn edge to edge to the carrier's own open end.
    points : (n, 3) float
        Its nodes in the toy. [mm]
    volume : float
        Inside it. [mm^3]
    """

    wanted: ToyPart
    solved: Solved
    surface: Surface
    skin: Surface
    frame: Frame
    base: Floats
    points: Floats
    volume: float
    number: int = 1
    carrier: Copy | None = None
    ring: float = 0.0
    turn: float = 0.0
    edge: Laid | None = None
    edge_length: float = 0.0
    edge_stitches: int = 0
    matched: bool = False

    def __post_init__(self) -> None:
        for name in ("base", "points"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    @property
    def name(self) -> str:
        """Its name, with its number where there are several."""
        return f"{self.wanted.name} {self.number}" if self.of > 1 else self.wanted.name

    @property
    def is_sewn_on(self) -> bool:
        """Whether it sits on another part that was worked without it."""
        return self.carrier is not None and self.wanted.join is not Join.JOINED

    @property
    def is_laid_rows(self) -> bool:
        """Whether it is a piece in rows that is sewn down all round."""
        return self.wanted.join is Join.PRESSED and self.wanted.part.start is Start.ROWS

    @property
    def is_hollow(self) -> bool:
        """Whether an end is left open that is joined to nothing of its own."""
        piece = self.surface.form.piece
        if piece.start is Start.ROWS or (self.carrier and not self.is_sewn_on):
            return False
        joined = self.wanted.edge if self.carrier else ""
        starts_open = piece.start is Start.OPEN and not piece.legs
        ends = {"start": starts_open, "finish": piece.finish is Finish.OPEN}
        return any(is_open and end != joined for end, is_open in ends.items())

    @property
    def of(self) -> int:
        """How many copies there are."""
        return self.wanted.make * (self.carrier.of if self.carrier else 1)

    def in_toy(self, points: Floats) -> Floats:
        """Return points (..., 3) of its upright coordinates as points of the toy. [mm]"""
        return self.frame.inside(points - self.base)

    @property
    def edge_points(self) -> Floats:
        """Its edge on the carrier, in the toy. (k, 3) [mm]"""
        assert self.edge is not None
        assert self.carrier is not None
        return self.carrier.in_toy(self.edge.points)


def edge_ring(surface: Surface, edge: str) -> int:
    """Return the ring that is an end's edge."""
    return 0 if edge == "start" else surface.rounds


def open_top(surface: Surface, edge: str) -> int | None:
    """Return the ring at the far end of a part that stands on an end, where that is open; else None."""
    piece = surface.form.piece
    if edge == "start":
        return surface.rounds if piece.finish is Finish.OPEN else None
    return 0 if piece.start is Start.OPEN else None


def grounded(wanted: ToyPart, solved: Solved) -> Copy:
    """Return the first part as it stands on the ground."""
    surface = standing_surface(wanted, solved.form)
    return Copy(
        wanted=wanted,
        solved=solved,
        surface=surface,
        skin=surface,
        frame=Frame(np.zeros(3), np.eye(3)),
        base=np.zeros(3),
        points=surface.points,
        volume=solved.form.volume,
    )


def placed(wanted: ToyPart, solved: Solved, surface: Surface, carrier: Copy, *, copy: int, file: str) -> Copy:
    """Return a copy of a part in its place on a copy of the one that carries it.

    Parameters
    ----------
    wanted, solved, surface
        The part; the surface upright.
    carrier : Copy
    copy : int
        From 0: the base one, the mirrored one of twins, the next ones round the part.
    file : str
        For messages.

    Raises
    ------
    InputError
        If there is no such place, or no room for the edge there.
    """
    under, own, in_rows = carrier.skin, carrier.surface, wanted.part.start is Start.ROWS
    told = {"name": carrier.wanted.spoken, "where": wanted.where, "file": file}
    hole = open_top(own, carrier.wanted.edge) if wanted.at.is_top else None
    over = wanted.twins and copy == 1 and turns_over(wanted.part)
    surface = surface.formed(surface.points * MIRROR) if over else surface
    stitches, length, shape, base = _edge(wanted, surface, over=over)
    matched = hole is not None and _closed_length(under.table[hole]) >= length * (1 - MATCHES)
    if hole is not None:
        ring, turn = float(hole), 0.0
    else:
        ring, turn = moved(own, *place_of(own, wanted.at, **told), copy=copy, part=wanted)
    frame = _seat(wanted, carrier, ring, turn, hole=hole, mirrored=wanted.twins and copy == 1)
    edge: Laid | None
    if matched and hole is not None:
        edge = _matched_ring(under, surface, frame, wanted, ring=hole)
    elif wanted.join is Join.WORKED:
        edge, frame = _worked(under, frame, wanted, ring, turn, stitches=stitches)
    elif wanted.join is Join.PRESSED and not in_rows:
        edge = pressed(under, frame, shape)
    else:  # the edge of rows that are pressed keeps its length too
        closed = wanted.join in (Join.SEWN, Join.PRESSED)
        edge = laid(under, frame, shape, length=length, closed=closed, smooth=not in_rows)
    if edge is None:
        raise InputError(_no_room(wanted, carrier, length, file=file))
    depth = float(frame.seen(edge.points)[:, 2].mean())
    seated = Frame(frame.origin + depth * frame.axis, frame.turned)
    turned = carrier.frame.turned @ seated.turned
    in_toy = Frame(carrier.in_toy(seated.origin), turned)
    standing = surface.points
    if wanted.join is Join.PRESSED and surface.form.is_flat:
        lift = wanted.part.gauge.row_height * SUNK
        standing = draped(under, seated, standing - base, lift=lift, scale=edge.scale) + base
        surface = surface.formed(standing)
    return Copy(
        wanted=wanted,
        solved=solved,
        surface=surface,
        skin=surface,
        number=(carrier.number - 1) * wanted.make + copy + 1,
        carrier=carrier,
        frame=in_toy,
        base=base,
        ring=ring,
        turn=turn,
        edge=edge,
        edge_length=length,
        edge_stitches=stitches,
        matched=matched,
        points=in_toy.inside(standing - base),
        volume=solved.form.volume,
    )


def _seat(
    wanted: ToyPart, carrier: Copy, ring: float, turn: float, *, hole: int | None, mirrored: bool
) -> Frame:
    """Return where a copy's edge sits on its carrier and how it is turned; on an open top, in its middle."""
    frame = seat(
        carrier.skin,
        ring,
        turn,
        lean=wanted.lean,
        spin=-wanted.spin if mirrored else wanted.spin,
        carrier=carrier.frame.turned,
        normal=_out_of_top(carrier, hole) if wanted.at.is_top else None,
    )
    return frame if hole is None else Frame(carrier.skin.table[hole].mean(axis=0), frame.turned)


def _out_of_top(carrier: Copy, hole: int | None) -> Floats | None:
    """Return the direction out of a part's top: its axis, or where it has righted itself, out of its end."""
    if carrier.skin is carrier.surface:
        return UP
    return None if hole is None else out_of_end(carrier.skin, hole)


def turns_over(part: AnyPart) -> bool:
    """Return whether the second of twins is the first turned over: uneven rows, wrong side out."""
    return isinstance(part, RowsPart) and not part.outline.is_even


def _edge(wanted: ToyPart, surface: Surface, *, over: bool) -> tuple[int, float, Floats, Floats]:
    """Return a part's edge: stitches, length on the surface, its shape from outside, and its middle.

    A flat edge is a line as long as half its stitches; a pressed part's edge is where it meets the surface.
    """
    form, row = surface.form, wanted.part.gauge.row_height
    if wanted.join is Join.PRESSED:
        curve = section(surface, row) * (MIRROR if over else 1.0)
        middle = curve.mean(axis=0)
        return 0, _closed_length(curve), curve[:, :2] - middle[:2], middle
    ring = edge_ring(surface, wanted.edge)
    n = len(form.fabric.rings[ring])
    if form.piece.start is Start.ROWS:
        curve = surface.table[ring, : FINE // 2 + 1]
        middle = (curve[0] + curve[-1]) / 2
        size = float(np.linalg.norm(curve[-1] - curve[0]))
        line = np.linspace(-size / 2, size / 2, SAMPLES // 2 + 1)
        return n, size, np.column_stack([line, np.zeros(len(line))]), middle
    stretch = float(form.course_stretch[ring])
    curve = surface.table[ring, :: FINE // SAMPLES]
    middle = curve.mean(axis=0)
    # equation (1): N w (1 + e), of a flat edge half of it
    length = n * wanted.part.gauge.stitch_width * (1 + stretch)
    if wanted.join is Join.SEWN:
        return n, length, curve[:, :2] - middle[:2], middle
    half = length / 2
    line = np.linspace(-half / 2, half / 2, SAMPLES // 2 + 1)
    return n, half, np.column_stack([line, np.zeros(len(line))]), middle


def _closed_length(curve: Floats) -> float:
    return float(np.linalg.norm(np.roll(curve, -1, axis=0) - curve, axis=1).sum())


def _matched_ring(under: Surface, surface: Surface, frame: Frame, wanted: ToyPart, *, ring: int) -> Laid:
    """Return the carrier's own open end as the place of an edge, begun where the edge begins."""
    first = surface.table[edge_ring(surface, wanted.edge)]
    first = frame.inside((first - first.mean(axis=0)) * [1.0, 1.0, 0.0])
    own = under.table[ring]
    start = int(np.linalg.norm(own - first[0], axis=1).argmin())
    quarter = np.linalg.norm(own - first[FINE // 4], axis=1).argmin()
    sense = 1.0 if (quarter - start) % FINE < FINE // 2 else -1.0
    return whole_ring(under, ring=ring, first=start / FINE, sense=sense)


def _worked(
    under: Surface, frame: Frame, wanted: ToyPart, ring: float, turn: float, *, stitches: int
) -> tuple[Laid | None, Frame]:
    """Return the line in a round that a flat edge is worked into, and the frame that has it left to right."""
    number = int(under.round_of(ring))
    wide = stitches / (1 if wanted.part.start is Start.ROWS else 2)  # rows have one layer
    middle = under.stitch(ring, turn)
    if wide > under.count(ring):
        return None, frame
    ends = [under.turn(number, middle + side * wide / 2) for side in (-1, 1)]
    edge = along_round(under, ring=number, first=ends[0], last=ends[1])
    along = edge.points[-1] - edge.points[0]
    along -= (along @ frame.axis) * frame.axis
    along /= np.linalg.norm(along)
    if along @ frame.turned[:, 0] < 0:
        along = -along
    turned = np.stack([along, np.cross(frame.axis, along), frame.axis], axis=1)
    return edge, Frame(under.at(float(number), turn), turned)


def _no_room(wanted: ToyPart, carrier: Copy, length: float, *, file: str) -> Problem:
    how = (
        f"a line of {in_mm(length)}" if wanted.join is Join.FLAT else f"an edge of {in_mm(length)} all round"
    )
    rule = (
        f"the {wanted.spoken} has room on the {carrier.wanted.spoken}, and {how} would go over an end or "
        "round a side there"
    )
    remedy = (
        f"Move it toward the middle of the {carrier.wanted.spoken}, or make its edge or its lean smaller."
    )
    return Problem(
        rule, got=f"{in_mm(carrier.surface.height)} of height", remedy=remedy, place=wanted.where, file=file
    )
