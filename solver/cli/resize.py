"""`plumpline resize`: someone's written rounds in another yarn."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.cli.paragraphs import paragraph
from solver.cli.progress import progress
from solver.cli.written import added_up, part_number, written
from solver.errors import InputError, Problem
from solver.units import in_mm

if TYPE_CHECKING:
    from solver.form.stuffed import StuffedForm
    from solver.solving.sizes import Sizes
    from solver.solving.solved import Solved
    from solver.wanted.gauge import Gauge, Stuffing
    from solver.wanted.supplies import Supplies

KEPT = 0.16
"""How far plain rounds in another yarn may lie from the form of the old ones. [stitch widths]"""


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
    from solver.solving.again import form_of, outside

    (gauge, stuffing), after = load_gauge(old), load_gauge(new)
    page = written(file, number=number)
    piece = added_up(page, file)
    form = form_of(piece, gauge, stuffing)
    if keep == "stitches":
        other = form_of(piece, *after, guess=form)
        _tell_kept(
            outside(form, gauge), outside(other, after[0]), page.notes, flat=form.is_folded, as_json=as_json
        )
        return
    _check_both(stuffing, after[1], new)
    _check_round(form, file)
    solved = resized(
        form,
        *after,
        thickness=gauge.thickness,
        supplies=gauge_supplies(new),
        title=file.stem,
        terms=(terms or page.terms or "US").upper(),
        notes=page.notes,
    )
    if as_json:
        click.echo(json.dumps(solved.as_dict(), indent=2, ensure_ascii=False, allow_nan=False))
        return
    click.echo(report(solved))


def _tell_kept(before: Sizes, after: Sizes, notes: tuple[str, ...], *, flat: bool, as_json: bool) -> None:
    """Tell the sizes of the same rounds in both yarns; of those that are folded flat as they lie."""
    told = {"from": before.as_dict(), "to": after.as_dict()}
    if as_json:
        click.echo(json.dumps({**told, "notes": list(notes)}, indent=2, ensure_ascii=False))
        return
    for what, size in (("As written", before), ("In the other yarn", after)):
        words = [] if size.length is None else [f"{size.length:.1f} mm long"]
        words += [f"{size.height:.1f} mm high", f"{size.width:.1f} mm wide"]
        words += ["folded flat"] if flat else [f"{size.girth:.1f} mm round"]
        words += [f"{size.volume:.0f} ml"] if size.volume else []
        click.echo(f"{what}: {', '.join(words)}.")
    for note in notes:
        click.echo("\n".join(paragraph(f"Note: {note}")), err=True)


def _check_both(before: Stuffing, after: Stuffing, file: Path) -> None:
    """See that a part is stuffed in both yarns, or in neither."""
    if bool(before.stretch) != bool(after.stretch):
        rule = "a part is stuffed in both yarns, or folded flat in both"
        remedy = 'Write firmness = "none" under [stuffing] in both gauge files, or in neither.'
        raise InputError(Problem(rule, got="one stuffed, one not", remedy=remedy, file=str(file)))


def _check_round(form: StuffedForm, file: Path) -> None:
    """See that a form is alike all round, so that its outline tells all of it, or say what to do."""
    from solver.rounds import Finish, Start

    piece = form.piece
    if form.alike or (form.is_folded and piece.start is not Start.CHAIN):
        return
    if piece.start is Start.CHAIN:
        got = "rounds worked along both sides of a chain"
        remedy = (
            'Measure the part and draw it for the other yarn: kind = "oval" with its length, width '
            'and height under [shape], start = "chain" under [work]. plumpline rounds then writes it anew.'
        )
    elif piece.finish is Finish.SEAMED:
        got = "a last edge that is sewn flat"
        remedy = "Take the line about the sewing off the page: the edge is then resized as an open one."
    else:
        got = "rounds with increases or decreases gathered on one side"
        remedy = "Keep the stitches and see what size they make: --keep stitches."
    rule = "rounds that are resized begin in a ring or in a joined chain, and stay round"
    raise InputError(Problem(rule, got=got, remedy=remedy, file=str(file)))


def resized(
    form: StuffedForm,
    gauge: Gauge,
    stuffing: Stuffing,
    *,
    thickness: float,
    supplies: Supplies,
    title: str,
    terms: str,
    notes: tuple[str, ...] = (),
) -> Solved:
    """Return rounds at another gauge whose stuffed form is that of a piece, on the outside.

    Parameters
    ----------
    form : StuffedForm
        What the rounds become as written, alike all round.
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
    import numpy as np

    from solver.rounds import Finish, Increases
    from solver.solving.solved import solve
    from solver.wanted.inset import inset
    from solver.wanted.outline import Outline
    from solver.wanted.part import Edge, Part, Work

    work = Work(
        start=form.piece.start,
        ring=None,
        finish=Finish.CINCHED if form.piece.finish is Finish.CINCHED else Finish.OPEN,
        edge=Edge.HELD,
        multiple=1,
        increases=Increases.STAGGERED,
        terms=terms,
        tolerance=KEPT,
    )
    points, more = form.outline, gauge.thickness - thickness
    if form.is_folded:  # a fold's corners may dip below its first round
        points, more = np.column_stack([points[:, 0], np.maximum.accumulate(points[:, 1])]), 0.0
    outline = Outline(points)
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
