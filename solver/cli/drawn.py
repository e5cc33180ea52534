"""What `preview` shows: the stitches of a part, and where they lie when it is stuffed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats
from solver.cli.progress import progress
from solver.cli.work import solved_oval, solved_part
from solver.cli.written import form_of
from solver.form.fabric import StitchFabric, lofted, sizes_in_words, stitch_fabric
from solver.rounds import Finish, Increases, Start
from solver.wanted.part import Edge

if TYPE_CHECKING:
    from solver.form.rings import Form
    from solver.form.stitches import StitchForm
    from solver.partfile import OvalPart, Part
    from solver.rounds import Piece
    from solver.solving.round import Solution
    from solver.wanted.gauge import Gauge, Stuffing


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """A part to be drawn.

    Attributes
    ----------
    title : str
    fabric : StitchFabric
    positions : (n, 3) float
        Where its nodes are. [mm]
    stretch : (n,) float
        Of the fabric round the part, at each node. [1]
    words : str
        What there is to tell about the form; empty for nothing.
    """

    title: str
    fabric: StitchFabric
    positions: Floats
    stretch: Floats
    words: str = ""

    @property
    def is_flat(self) -> bool:
        """Whether it lies flat."""
        return not np.ptp(self.positions[:, 2])

    @property
    def sizes(self) -> str:
        """Its sizes, as a sentence."""
        stuffed = "It is about" if self.is_flat else "Stuffed it is about"
        *told, last = sizes_in_words(self.fabric, self.positions)
        return f"{stuffed} {', '.join(told)} and {last}."


def drawn(part: Part | OvalPart, *, increases: str | None = None) -> Drawn:
    """Return a part solved, ready to be drawn.

    Parameters
    ----------
    part : Part or OvalPart
    increases : {"stacked", "staggered"}, optional
        How increases stand, whatever the part file says: then the form is worked out stitch by stitch for a
        round part too, and the swing of its radius is told.
    """
    from solver.partfile import OvalPart

    if increases:
        part = _with_increases(part, increases)
    if isinstance(part, OvalPart):
        solution = solved_oval(part)
        # a flat piece lies with its right side up, which on a stuffed base looks down
        points = solution.points * ([1.0, -1.0, -1.0] if part.is_flat else 1.0)
        return _of_form(part.title, solution.form, points, increases)
    solved = solved_part(part)
    if increases:
        form = _in_space(solved)
        return _of_form(part.title, form, form.points, increases)
    return _of_rings(part.title, solved.piece, part.gauge, solved.form)


def drawn_rounds(title: str, piece: Piece, gauge: Gauge, stuffing: Stuffing) -> Drawn:
    """Return the form of rounds that somebody wrote, ready to be drawn.

    Parameters
    ----------
    title : str
    piece : Piece
    gauge : Gauge
    stuffing : Stuffing

    Raises
    ------
    InputError
        If there is no such form.
    """
    if piece.start is Start.CHAIN or piece.finish is Finish.SEAMED:
        from solver.form.stitches import stitch_form

        fabric = stitch_fabric(piece, stitch_width=gauge.stitch_width, row_height=gauge.row_height)
        widest = (max(piece.counts) - 2 * piece.side) * gauge.stitch_width / (2 * np.pi)
        pressure = stuffing.pressure(widest * (1 + stuffing.stretch))
        with progress("Solving the form stitch by stitch"):
            form = stitch_form(fabric, pressure=pressure, wale_stiffness=gauge.stiffness_ratio)
        words = []
        if piece.start is Start.CHAIN:
            words.append("It is worked without a stiff sole: rounds alone don't tell of one.")
        if piece.finish is Finish.OPEN:
            words.append("Its last edge is taken as open and free, whatever the page says of sewing.")
        return Drawn(title, fabric, form.points, _node_stretch(form), " ".join(words))
    return _of_rings(title, piece, gauge, form_of(piece, gauge, stuffing))


def _of_rings(title: str, piece: Piece, gauge: Gauge, rings: Form) -> Drawn:
    fabric = stitch_fabric(piece, stitch_width=gauge.stitch_width, row_height=gauge.row_height)
    positions = lofted(fabric, radius=rings.radius, height=rings.height)
    return Drawn(title, fabric, positions, rings.course_stretch[fabric.ring_of_node])


def _with_increases(part: Part | OvalPart, increases: str) -> Part | OvalPart:
    from solver.partfile import OvalPart

    if isinstance(part, OvalPart):
        return replace(part, work=replace(part.work, increases=Increases(increases)))
    return replace(part, work=replace(part.work, increases=Increases(increases)))


def _in_space(solution: Solution) -> StitchForm:
    """Return the form of a round part worked out stitch by stitch."""
    from solver.form.corners import round_form

    part = solution.part
    radius = part.outline.points[[0, -1], 0].tolist()
    is_held = part.work.edge is Edge.HELD
    with progress("Solving the form stitch by stitch"):
        return round_form(
            solution.piece,
            stitch_width=part.gauge.stitch_width,
            row_height=part.gauge.row_height,
            pressure=solution.form.pressure,
            stiffness_ratio=part.gauge.stiffness_ratio,
            held=(radius[0], radius[1]) if is_held else (None, None),
        )


def _of_form(title: str, form: StitchForm, points: Floats, increases: str | None) -> Drawn:
    words = _swing_words(form, increases) if increases else ""
    return Drawn(title, form.fabric, points, _node_stretch(form), words)


def _swing_words(form: StitchForm, increases: str) -> str:
    """Return how far the radius swings in the round where it does so most, in words."""
    from solver.form.corners import CORNERS_SHOW, FEWEST, worst_swing

    worst = worst_swing(form)
    if worst is None:
        return f"Increases {increases}: no round has the {FEWEST} stitches from which corners are told."
    shows = "corners will show" if worst.part > CORNERS_SHOW else "no corners will show"
    where = " of its ends" if form.fabric.corners else ""
    return (
        f"Increases {increases}: the radius{where} swings by {worst.part:.1%} from peak to peak in round "
        f"{worst.number}, where it does so most: {shows}."
    )


def _node_stretch(form: StitchForm) -> Floats:
    """Return the stretch round the part at each node, the mean of both sides of its stitch. [1]"""
    at, width = form.points, form.fabric.stitch_width
    told = np.zeros(form.fabric.node_count)
    if form.pressure == 0:
        return told  # a flat piece lies relaxed
    for ring in form.fabric.rings:
        if len(ring) > 2:
            ahead = np.linalg.norm(at[ring] - np.roll(at[ring], -1, axis=0), axis=1)
            told[ring] = (ahead + np.roll(ahead, 1)) / 2 / width - 1
    return told
