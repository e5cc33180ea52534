"""`plumpline resize`: someone's written rounds in another yarn."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.cli.paragraphs import paragraph
from solver.cli.progress import progress
from solver.cli.written import form_of, part_number, written
from solver.errors import InputError, Problem
from solver.units import in_mm

if TYPE_CHECKING:
    from solver.form.rings import Form
    from solver.rounds import Piece
    from solver.solving.round import Solution
    from solver.wanted.gauge import Gauge, Stuffing
    from solver.wanted.supplies import Supplies


@click.command(
    short_help="Work written rounds in another yarn.",
    epilog="\b\nExamples, rounds of thin yarn rewritten for thick plush yarn; or worked as they are:\n"
    "  plumpline resize rounds.txt --from thin.toml --to plush.toml\n"
    "  plumpline resize rounds.txt --from thin.toml --to plush.toml --keep stitches",
)
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--from",
    "old",
    required=True,
    type=click.Path(path_type=Path),
    metavar="GAUGE",
    help="Gauge file of the rounds.",
)
@click.option(
    "--to",
    "new",
    required=True,
    type=click.Path(path_type=Path),
    metavar="GAUGE",
    help="Gauge file of the other yarn.",
)
@click.option(
    "--keep",
    type=click.Choice(["size", "stitches"]),
    default="size",
    help="Keep the stuffed size and rewrite the rounds (default), or keep the stitches and tell the size.",
)
@click.option(
    "--terms", type=click.Choice(["US", "UK"], case_sensitive=False), help="Words; left out: the page's."
)
@click.option("--json", "as_json", is_flag=True, help="Give the result as data (JSON) instead of text.")
@part_number
def resize(
    file: Path, old: Path, new: Path, keep: str, terms: str | None, as_json: bool, number: int
) -> None:
    """Tell what size written rounds come out at in another yarn, or rewrite them so that the size stays."""
    from solver.cli.report import report
    from solver.partfile.gaugefile import gauge_supplies, load_gauge

    before, after = load_gauge(old), load_gauge(new)
    page = written(file, number=number)
    if page.piece is None:
        remedy = f"plumpline proof {file} tells what is wrong."
        raise InputError(
            Problem("rounds that are resized add up", got=page.reason, remedy=remedy, file=str(file))
        )
    _check_round(page.piece, file)
    form = form_of(page.piece, *before)
    if keep == "stitches":
        other = form_of(page.piece, *after)
        sizes = {"from": _sizes(form, before[0], page.piece), "to": _sizes(other, after[0], page.piece)}
        if as_json:
            click.echo(json.dumps({**sizes, "notes": list(page.notes)}, indent=2, ensure_ascii=False))
            return
        for what, told in (("As written", sizes["from"]), ("In the other yarn", sizes["to"])):
            click.echo(
                f"{what}: {told['height_mm']:.1f} mm high, {told['width_mm']:.1f} mm wide, "
                f"{told['girth_mm']:.1f} mm round, {told['volume_ml']:.0f} ml."
            )
        for note in page.notes:
            click.echo("\n".join(paragraph(f"Note: {note}")), err=True)
    else:
        solution = resized(
            page.piece,
            form,
            *after,
            thickness=before[0].thickness,
            supplies=gauge_supplies(new),
            title=file.stem,
            terms=(terms or page.terms or "US").upper(),
            notes=page.notes,
        )
        if as_json:
            click.echo(json.dumps(solution.as_dict(), indent=2, ensure_ascii=False, allow_nan=False))
            return
        click.echo(report(solution))


def _check_round(piece: Piece, file: Path) -> None:
    """See that a piece is a solid of revolution, or say what to do."""
    from solver.rounds import Finish, Start

    if piece.start is Start.CHAIN:
        got = "rounds worked along both sides of a chain"
        remedy = (
            'Measure the stuffed part and draw it for the other yarn: kind = "oval" with its length, width '
            'and height under [shape], start = "chain" under [work]. plumpline rounds then writes it anew.'
        )
    elif piece.finish is Finish.SEAMED:
        got = "a last edge that is sewn flat"
        remedy = "Take the line about the sewing off the page: the edge is then resized as an open one."
    else:
        return
    rule = "rounds that are resized begin in a ring or in a joined chain, and stay round"
    raise InputError(Problem(rule, got=got, remedy=remedy, file=str(file)))


def resized(
    piece: Piece,
    form: Form,
    gauge: Gauge,
    stuffing: Stuffing,
    *,
    thickness: float,
    supplies: Supplies,
    title: str,
    terms: str,
    notes: tuple[str, ...] = (),
) -> Solution:
    """Return rounds at another gauge whose stuffed form is that of a piece, on the outside.

    Parameters
    ----------
    piece : Piece
        The rounds as written.
    form : Form
        What they become.
    gauge, stuffing
        The other yarn's.
    thickness : float
        Of the fabric as written. A thicker one has its middle further in; of a thinner one the middles are
        alike, as an outline is only ever moved inward. [mm]
    supplies : Supplies
        What was measured of the other yarn.
    title, terms, notes
        For the new rounds.

    Raises
    ------
    InputError
        If the form overhangs, or the other stitches are too large for it.
    """
    from solver.form.rings import form_outline
    from solver.partfile import Part, Work
    from solver.rounds import Finish, Increases
    from solver.solving.round import solve
    from solver.wanted.inset import inset
    from solver.wanted.part import Edge

    work = Work(
        start=piece.start,
        ring=None,
        finish=Finish.CINCHED if piece.finish is Finish.CINCHED else Finish.OPEN,
        edge=Edge.HELD,
        multiple=1,
        increases=Increases.STAGGERED,
        terms=terms,
    )
    outline, more = form_outline(form), gauge.thickness - thickness
    told = ["The wanted form is that of the written rounds at their own gauge."]
    if more > 0:
        outline = inset(outline, distance=more / 2)
    elif more < 0:
        told.append(f"The new fabric is {in_mm(-more)} thinner, and the outside comes out so much smaller.")
    part = Part(
        title=f"{title}, resized",
        gauge=gauge,
        stuffing=stuffing,
        outline=outline,
        work=work,
        notes=(*told, *notes),
        supplies=supplies,
    )
    with progress("Solving the rounds") as report:
        return solve(part, progress=report)


def _sizes(form: Form, gauge: Gauge, piece: Piece) -> dict[str, float]:
    """Return the outside sizes of a form."""
    from math import pi

    from solver.rounds import Finish, Start

    closed = (piece.start is not Start.OPEN) + (piece.finish is not Finish.OPEN)
    across = form.width + gauge.thickness
    return {
        "height_mm": form.size + closed * gauge.thickness / 2,
        "width_mm": across,
        "girth_mm": pi * across,
        "volume_ml": form.volume / 1000,
    }
