"""`plumpline preview`: the stuffed form in 3-D, as a picture, a mesh, or a page that turns."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.cli.gauges import gauge_told
from solver.cli.progress import progress
from solver.cli.work import RESULT, part_file, part_of, say_written, solved_part, solved_toy, toy_of
from solver.cli.written import added_up, part_number, written
from solver.errors import InputError, Problem
from solver.errors import shown as as_shown

if TYPE_CHECKING:
    from solver.arrays import Floats
    from solver.files.meshfile import Solid
    from solver.form.stuffed import StuffedForm
    from solver.wanted.part import AnyPart
    from viz.camera import Camera


BESIDE = 20.0
"""How far to its own left a part with patches is seen from: shapes are the plainer for it. [degrees]"""


@click.command(
    epilog="\b\nExample, the mooring buoy with every stitch drawn, coloured by stretch:\n"
    "  plumpline preview samples/buoy.toml --stretch --out buoy.png\n"
    "and the tug's hull as a page that turns in a browser:\n"
    "  plumpline preview samples/tug-hull.toml --out hull.html\n"
    "and rounds that somebody wrote, at a gauge of your own:\n"
    '  plumpline preview rounds.txt --gauge "20 x 22 / 10 cm" --out form.png'
)
@part_file
@click.option(
    "--out",
    type=RESULT,
    metavar="FILE",
    help="A picture (.png, .svg, .pdf), a mesh (.stl, .obj, .ply, .glb), or a page that turns in a browser "
    "(.html). Left out: FILE-preview.png in the folder where you are.",
)
@click.option("--stretch", is_flag=True, help="Colour the stitches by how far the stuffing stretches them.")
@click.option(
    "--increases",
    type=click.Choice(["staggered", "stacked"]),
    help="Increases set off or in line, whatever the part file says: tells whether corners will show.",
)
@click.option(
    "--gauge",
    metavar="TEXT",
    help='For written rounds: stitches and rows, like "20 x 22 over 10 cm", or a gauge file.',
)
@click.option(
    "--firmness",
    type=click.Choice(["light", "medium", "firm", "very firm", "none"]),
    help="For written rounds: how hard the part is stuffed (medium where left out).",
)
@part_number
def preview(
    file: Path,
    out: Path | None,
    stretch: bool,
    increases: str | None,
    gauge: str | None,
    firmness: str | None,
    number: int,
) -> None:
    """Draw the stuffed part in 3-D, or write it as a mesh or a page that turns.

    FILE is a part file, a toy file, or plain text with written rounds; those need a gauge. A toy is drawn put
    together, from the front, the side, the back and three quarters.
    """
    from solver.files.meshfile import MESH_EXTENSIONS, colourless, write_mesh, write_solids
    from solver.files.outfile import extension_of
    from solver.files.turntable import PAGE_EXTENSIONS
    from viz.figure import PICTURE_EXTENSIONS

    out = out or Path(f"{file.stem}-preview.png")
    extension = extension_of(out, (*PICTURE_EXTENSIONS, *MESH_EXTENSIONS, *PAGE_EXTENSIONS), what="a preview")
    if gauge is None and (toy := toy_of(file)):
        from solver.cli.toyview import toy_preview

        click.echo(toy_preview(solved_toy(toy), out, extension, stretch=stretch))
        say_written(out)
        return
    if gauge is None and file.suffix.lower() not in (".txt", ".text"):
        shown = _of_part(part_of(file), increases)
    else:
        shown = _of_rounds(file, gauge, firmness, number)
    told = f"{shown.sizes} {shown.words}".strip()
    if stretch and shown.stretch is None:
        told += " Nothing stretches a part that is not stuffed: it is drawn in its own colours."
    if extension in MESH_EXTENSIONS and shown.has_colours:
        write_solids(out, shown.solids)
        told = f"{told} {colourless(out)}".strip()
    elif extension in MESH_EXTENSIONS:
        fabric = shown.form.fabric
        write_mesh(out, shown.form.points, triangles=fabric.triangles, quads=fabric.quads)
    elif extension in PAGE_EXTENSIONS:
        _write_page(shown, out, told)
    else:
        _draw(shown, out, stretch=stretch)
    click.echo(told)
    say_written(out)


@dataclass(frozen=True, slots=True)
class _Shown:
    """A form to be drawn, and what there is to tell about it."""

    title: str
    form: StuffedForm
    words: str = ""
    colours: tuple[tuple[str, ...], ...] = ()
    lines: tuple[Floats, ...] = ()
    front: tuple[float, float] | None = None

    @property
    def camera(self) -> Camera | None:
        """What it is seen from: a part with patches from its front, somewhat to its left."""
        from math import atan2, degrees

        from viz.camera import Camera

        if self.front is None:
            return None
        return Camera(tilt=15.0, turn=degrees(atan2(self.front[1], self.front[0])) + BESIDE)

    @property
    def has_colours(self) -> bool:
        """Whether it is worked in several colours."""
        return len({name for own in self.colours for name in own}) > 1

    @property
    def solids(self) -> list[Solid]:
        """Its surface, one of each colour."""
        from viz.meshes import solids_of

        return solids_of(self.form.fabric, self.form.points, self.colours, name=self.title)

    @property
    def rounds(self) -> str:
        """Its number of rounds, or of rows."""
        from solver.rounds import Start

        piece = self.form.piece
        return f"{len(piece.rounds)} {'rows' if piece.start is Start.ROWS else 'rounds'}"

    @property
    def folded(self) -> tuple[str, ...]:
        """Height and width of a form that is folded flat, in words; none of another."""
        from solver.form.layers import folded_sizes
        from solver.units import in_both

        if not self.form.is_folded:
            return ()
        width, height = folded_sizes(self.form)
        return f"{in_both(height)} high", f"{in_both(width)} wide, folded flat"

    @property
    def flat_words(self) -> str:
        """What a flat piece does that doesn't lie as it is drawn; else ""."""
        from solver.rounds import Start
        from solver.search.flat_oval import flatness

        fabric, piece = self.form.fabric, self.form.piece
        if not self.form.is_flat or piece.start is not Start.CHAIN:
            return ""
        ends = tuple(count / 2 - piece.side for count in piece.counts)
        lies = flatness(ends, stitch_width=fabric.stitch_width, row_height=fabric.row_height)
        return "" if lies.is_flat else f"Drawn pressed flat: the piece {lies.word}"

    @property
    def sizes(self) -> str:
        """Its sizes, as a sentence."""
        from solver.form.fabric import sizes_in_words

        if self.form.is_folded:
            return f"It is about {' and '.join(self.folded)}."
        stuffed = "It is about" if self.form.is_flat else "Stuffed it is about"
        *told, last = sizes_in_words(self.form.fabric, self.form.points)
        flat = f" {self.flat_words}." if self.flat_words else ""
        return f"{stuffed} {', '.join(told)} and {last}.{flat}"

    @property
    def stretch(self) -> Floats | None:
        """Stretch at each node as it is drawn; None of a form that is folded flat."""
        return None if self.form.is_folded else self.form.as_drawn


def _write_page(shown: _Shown, out: Path, told: str) -> None:
    """Write a page that turns the part."""
    from solver.files.turntable import write_turntable
    from viz.meshes import turning

    write_turntable(
        out,
        **turning(shown.form, shown.colours),
        title=shown.title,
        words=f"{sum(shown.form.fabric.piece.counts):,} stitches in {shown.rounds}. {told}",
    )


def _draw(shown: _Shown, out: Path, *, stretch: bool) -> None:
    """Draw a form, every stitch of it; a flat one from above."""
    from viz.camera import Camera
    from viz.figure import save_figure
    from viz.stuffed import draw_stuffed

    form = shown.form
    axes = draw_stuffed(
        form.fabric,
        form.points,
        stretch=shown.stretch if stretch else None,
        colours=shown.colours,
        lines=shown.lines,
        camera=Camera(tilt=80.0) if form.is_flat else shown.camera,
        title=shown.title,
        sizes=shown.folded,
        note=shown.flat_words,
    )
    save_figure(axes.figure, out)


def _of_part(part: AnyPart, increases: str | None) -> _Shown:
    """Return a part solved; where it is told how increases stand, in space, and whether corners show."""
    from solver.cli.incolours import in_colours
    from solver.rounds import Increases
    from solver.solving.again import in_space

    solved = solved_part(part.worked(increases=Increases(increases)) if increases else part)
    if not increases:
        if not solved.painted.shown:
            # a flat piece lies with its right side up, which on a stuffed base looks down
            return _Shown(part.title, solved.standing, colours=solved.shades)
        look = in_colours(solved)
        front = None if look.form.is_flat else look.front
        return _Shown(part.title, look.form, colours=solved.shades, lines=look.lines, front=front)
    with progress("Solving the form stitch by stitch"):
        form = in_space(solved)
    return _Shown(part.title, form, _swing_words(form, increases), solved.shades)


def _swing_words(form: StuffedForm, increases: str) -> str:
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


def _of_rounds(file: Path, gauge: str | None, firmness: str | None, number: int) -> _Shown:
    """Return the form of rounds that somebody wrote."""
    from solver.rounds import Finish, Start
    from solver.solving.again import form_of
    from solver.wanted.gauge import DEFAULT_FIRMNESS, Stuffing

    if gauge is None:
        rule = "written rounds have a form only at a gauge"
        remedy = 'Add --gauge, such as --gauge "20 x 22 / 10 cm".'
        raise InputError(Problem(rule, got="none", remedy=remedy, file=str(file)))
    size, stuffing = gauge_told(gauge)
    if firmness or stuffing is None:
        stuffing = Stuffing.of_firmness(firmness or DEFAULT_FIRMNESS)
    read = written(file, number=number)
    for note in read.notes:
        click.echo(note, err=True)
    piece = added_up(read, file)
    if read.joined:
        size = replace(size, lean=0.0)
    with progress("Solving the form"):
        form = form_of(piece, size, stuffing)
    words = []
    if piece.start is Start.ROWS:
        words.append("It is worked in rows and drawn as it lies, right side up.")
    if piece.start is Start.CHAIN:
        words.append("It is worked without a stiff sole: rounds alone don't tell of one.")
        if piece.finish is Finish.OPEN:
            words.append("Its last edge is taken as open and free, whatever the page says of sewing.")
    return _Shown(as_shown(file.stem).replace("-", " ").capitalize(), form, " ".join(words))
