"""A part solved, of whatever kind: its rounds, the form that they become, and what to say about it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.advice.cautions import form_cautions
from solver.advice.materials import Materials, materials
from solver.advice.patch_notes import colour_notes
from solver.arrays import Floats, frozen
from solver.painting.painted import Painted, painted
from solver.rounds import Start
from solver.solving.kinds import Kind, Lie, Plainness, kind_of
from solver.solving.sizes import Sizes

if TYPE_CHECKING:
    from solver.form.stuffed import StuffedForm
    from solver.form.views import View
    from solver.rounds import Piece
    from solver.wanted.part import AnyPart
    from solver.wanted.silhouette import Deviation


@dataclass(frozen=True, slots=True)
class Section:
    """A round of the stuffed part. Lengths in mm."""

    number: int
    length: float
    width: float


def _levelled(ring: Floats) -> Floats:
    """Return a round that is tilted forward or back in its own plane: [forward, across]. [mm]"""
    at = ring - ring.mean(axis=0)
    area = np.cross(at, np.roll(at, -1, axis=0)).sum(axis=0)
    way = np.array([area[2], -area[0]]) / max(float(np.hypot(area[0], area[2])), 1e-12)
    return np.column_stack([at[:, [0, 2]] @ way, at[:, 1]])


@dataclass(frozen=True, eq=False, kw_only=True)
class Solved:
    """A part and everything that was worked out for it.

    Attributes
    ----------
    part : AnyPart
        What was wanted.
    piece : Piece
        The rounds.
    form : StuffedForm
        What they become; a flat piece as it lies.
    lie : Lie
        How that lies over the drawing.
    wanted, got : Sizes
        Outside sizes, drawn and of the form.
    plain : callable
        Works `plain_rule` out, which only those who ask for it wait for.
    misfit : float
        Rounds that the drawing has beyond the whole number.
    scale_to_fit : float
        Times this the drawing would want a whole number of rounds.
    last : str
        Stitches of the last round of a flat piece.
    materials : Materials
        What the part takes.
    notes, cautions : tuple of str
        For the maker.
    plainness : Plainness or None
        What plain rounds cost, as they were found.
    painted : Painted
        The colour of every stitch.
    """

    part: AnyPart
    piece: Piece
    form: StuffedForm
    lie: Lie
    wanted: Sizes
    got: Sizes
    plain: Callable[[], tuple[float, float] | None]
    misfit: float
    scale_to_fit: float
    last: str
    materials: Materials
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    plainness: Plainness | None = None
    painted: Painted = field(default_factory=Painted)

    @property
    def kind(self) -> Kind:
        """What its part is."""
        return kind_of(self.part)

    @property
    def standing(self) -> StuffedForm:
        """Its form as it stands or lies: what is worked from the top, or lies flat, is turned over."""
        over = self.form.is_flat or (self.form.alike and self.part.stands_on_finish)
        return self.form.turned_over() if over else self.form

    @property
    def colours(self) -> tuple[tuple[str, ...], ...]:
        """For each round the colour of each stitch that it makes; empty where none are told."""
        return self.painted.colours

    @cached_property
    def shades(self) -> tuple[tuple[str, ...], ...]:
        """The same as they are drawn: "#rrggbb" of her yarns where told, else their names."""
        shade = self.part.supplies.shade
        return tuple(tuple(map(shade, names)) for names in self.colours)

    @cached_property
    def plain_rule(self) -> tuple[float, float] | None:
        """How far the rounds of the plain rule come out: see `Kind.plain_rule`. [mm]"""
        return self.plain()

    @property
    def rms(self) -> float:
        """Root mean square distance of the form from the drawing. [mm]"""
        return self.lie.rms

    @property
    def greatest(self) -> float:
        """Greatest distance of the form from the drawing. [mm]"""
        return self.lie.greatest

    @property
    def deviation(self) -> Deviation | None:
        """How its outline lies over the drawn one; None where it is not alike all round."""
        return self.lie.outline

    @property
    def views(self) -> Mapping[str, View]:
        """Outlines from the front, the side and above; none where it is alike all round."""
        return self.lie.views

    @property
    def points(self) -> Floats:
        """The form's nodes about the middle of the drawing, (n, 3). [mm]"""
        return self.lie.points

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """Length and width of every round."""
        rings = self.form.rings[1 : len(self.piece.rounds) + 1]
        if self.piece.start is Start.ROWS:  # half a stitch beyond the middles of the outmost ones
            w, h = self.part.gauge.stitch_width, self.part.gauge.row_height
            return tuple(
                Section(number, h + float(np.ptp(ring[:, 1])), w + float(np.ptp(ring[:, 0])))
                for number, ring in enumerate(rings, start=1)
            )
        if self.lie.end_tilt is not None:  # a round is as long as it is in its own plane
            rings = tuple(_levelled(ring) for ring in rings)
        return tuple(
            Section(number, float(np.ptp(ring[:, 0])), float(np.ptp(ring[:, 1])))
            for number, ring in enumerate(rings, start=1)
        )

    def as_dict(self, *, spelled: bool = False, beside: bool = True) -> dict[str, Any]:
        """Return everything as plain data; lengths in mm. See `solver.solving.data`."""
        from solver.solving.data import as_dict

        return as_dict(self, spelled=spelled, beside=beside)


def solve(part: AnyPart, *, progress: Callable[[float], None] | None = None) -> Solved:
    """Return the rounds of a part, proved against the form that they become.

    Parameters
    ----------
    part : AnyPart
        What is wanted.
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    InputError
        If no whole stitches make such a part.
    ConvergenceError
        If the rounds have no balance under the stuffing.
    """
    found = kind_of(part).found(part, progress=progress)
    return laid(
        part,
        found.piece,
        found.form,
        plain=partial(kind_of(part).plain_rule, part),
        last=found.last,
        tried=found.tried,
        plainness=found.plainness,
        notes=found.notes,
    )


def laid(
    part: AnyPart,
    piece: Piece,
    form: StuffedForm,
    *,
    plain: Callable[[], tuple[float, float] | None],
    last: str = "",
    tried: int = 0,
    plainness: Plainness | None = None,
    notes: tuple[str, ...] = (),
) -> Solved:
    """Return the solved part that these rounds and their form are, with all that is to be said about them.

    Parameters
    ----------
    part, piece, form
    plain, last, tried, plainness, notes
        See `Solved` and `solver.solving.kinds.Found`.
    """
    kind = kind_of(part)
    lie = kind.lie(part, form)
    colours = painted(
        form,
        part.supplies,
        points=form.points if lie.front is None else lie.points,
        front=lie.front,
        drawn=kind.drawing(part) if lie.outline else None,
        stitch_width=part.gauge.stitch_width,
    )
    solved = Solved(
        part=part,
        piece=piece,
        form=form,
        lie=replace(lie, points=frozen(lie.points), views=MappingProxyType(dict(lie.views))),
        wanted=kind.wanted(part),
        got=kind.got(part, form),
        plain=plain,
        misfit=kind.misfit(part, form, last),
        scale_to_fit=kind.scale_to_fit(part, form, last),
        last=last,
        materials=materials(
            piece,
            part.supplies,
            gauge=part.gauge,
            stretch=part.stuffing.stretch,
            volume=form.volume,
            colours=colours.colours,
            height=float(form.edges.max()),
        ),
        notes=(),
        plainness=plainness,
        painted=colours,
        cautions=tuple(form_cautions(form, thickness=part.gauge.thickness, supplies=part.supplies)),
    )
    in_colours = colour_notes(
        colours,
        lean=part.gauge.lean,
        rounds=len(piece.rounds),
        along_chain=bool(form.fabric.corners) and not form.is_flat,
    )
    told = (*part.notes, *notes, *kind.notes(solved, tried=tried), *in_colours)
    return replace(solved, notes=tuple(note for note in told if note))
