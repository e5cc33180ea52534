"""`plumpline compare`: the wanted outline and the stuffed one laid over each other."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.progress import progress
from solver.cli.work import RESULT, part_file, part_of, say_written, solved_part, toy_of
from solver.cli.written import (
    SAME_FORM,
    UNCHANGED,
    changed_rounds,
    notes_beside,
    part_number,
    piece_or_counts,
    written,
)
from solver.errors import InputError, Problem
from solver.units import in_mm

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from solver.arrays import Floats
    from solver.cli.written import Written
    from solver.rounds import Piece
    from solver.solving.solved import Solved

SECTIONS = 5
"""Rounds whose sections are drawn, at the most."""


@click.command(
    short_help="Lay the stuffed outline over the wanted one.",
    epilog="\b\nExample, the bollard with its hollow neck, as a picture that can be enlarged:\n"
    "  plumpline compare samples/bollard.toml --out bollard.svg",
)
@part_file
@click.option(
    "--out",
    type=RESULT,
    metavar="FILE",
    help="The picture: .png, .svg or .pdf. Left out: FILE-compare.png in the folder where you are.",
)
@click.option(
    "--rounds",
    "page",
    type=click.Path(path_type=Path),
    metavar="TEXT",
    help="Rounds that you wrote or changed by hand, in plain text: their form, in place of the solved one.",
)
@part_number
def compare(file: Path, out: Path | None, page: Path | None, number: int) -> None:
    """Draw the stuffed outline over the wanted one, and tell their sizes.

    A whole toy that was read off a drawing is laid over that, from the front and where it is drawn the side.
    """
    from solver.cli.report import sizes
    from solver.files.outfile import extension_of
    from viz.figure import PICTURE_EXTENSIONS

    out = out or Path(f"{file.stem}-compare.png")
    extension_of(out, PICTURE_EXTENSIONS, what="a picture")
    if page is None and (whole := toy_of(file)):
        from solver.cli.toyview import toy_over_drawing

        click.echo("\n".join([whole.title, *toy_over_drawing(whole, out)]))
        say_written(out, "Picture written")
        return
    solved = solved_part(part_of(file))
    told: list[str] = []
    if page is not None:
        solved, told = _edited(solved, page, number)
    _draw(solved, out, page)
    click.echo("\n".join([solved.part.title, *told, *sizes(solved)]))
    say_written(out, "Picture written")


def _draw(solved: Solved, out: Path, page: Path | None) -> None:
    """Draw the outline, or where a form is not alike all round its views, over what is wanted."""
    from solver.cli.incolours import put_under
    from solver.cli.report import size_table
    from viz.figure import save_figure

    thickness = solved.part.gauge.thickness if solved.part.is_stuffed else 0.0
    outside = (
        f"Outside sizes; the outlines are of the middle of the fabric, which is {in_mm(thickness)} thick."
    )
    footnote = outside if thickness else ""
    if page is not None:
        footnote = f"The rounds of {page.name}. {footnote}".rstrip()
    words: dict[str, Any] = {"title": solved.part.title, "footnote": footnote}
    if solved.deviation:
        from solver.wanted.outline import Outline
        from viz.comparison import draw_comparison

        drawn = Outline(solved.kind.drawing(solved.part))
        outline, off = solved.form.outline, solved.deviation
        width = solved.part.gauge.stitch_width
        made = "folded flat" if solved.form.is_folded else "stuffed"
        words["from_top"] = solved.part.stands_on_finish
        axes = draw_comparison(
            drawn, outline, off, size_table(solved), stitch_width=width, made=made, **words
        )
        put_under(axes.figure, solved)
        save_figure(axes.figure, out)
        return
    from viz.oval_comparison import draw_oval_comparison

    views = draw_oval_comparison(
        solved.views, _sections(solved), size_table(solved), lengths=_lengths(solved), **words
    )
    put_under(views[0].figure, solved)
    save_figure(views[0].figure, out)


def _edited(solved: Solved, page: Path, number: int) -> tuple[Solved, list[str]]:
    """Return a solved part with somebody's own rounds in place of the solved ones, and what changed."""
    from solver.solving.again import with_rounds

    ours, read = solved.piece, written(page, number=number)
    if read.joined:
        part = replace(solved.part, gauge=replace(solved.part.gauge, lean=0.0))
        solved = replace(solved, part=replace(part, work=replace(part.work, joined=True)))
    part = solved.part
    _check_start(read, ours, page)
    piece = piece_or_counts(read, ours, page)
    with progress("Solving the form"):
        edited = with_rounds(solved, piece)
    return edited, [
        *notes_beside(read, part.work.finish),
        *_changed(piece, ours),
        *_changed_form(edited, solved),
        *_new_notes(edited, solved),
    ]


def _check_start(read: Written, ours: Piece, page: Path) -> None:
    """See that rounds begin as those of the part do: along a chain, or not."""
    from solver.rounds import Start

    if ours.start is Start.CHAIN and not read.chain:
        rule = "rounds for an oval part start on a chain"
        remedy = f'Keep the line above round 1 that tells it, such as "Chain {ours.foundation}."'
        raise InputError(Problem(rule, got="no chain", remedy=remedy, file=str(page)))
    if ours.start is not Start.CHAIN and read.chain > 2:  # on two chains round 1 is worked into one: a ring
        rule = "rounds for a round part start in a ring"
        remedy = 'Compare them with a part file that has start = "chain".'
        got = f"round 1 along both sides of {read.chain} chains"
        raise InputError(Problem(rule, got=got, remedy=remedy, file=str(page)))


def _new_notes(edited: Solved, solved: Solved) -> Iterator[str]:
    """Yield what is to say of edited rounds, not of the solved ones; of a flat piece always how it lies."""
    from solver.notes import About

    for note in edited.notes:
        about = getattr(note, "about", About.FORM)
        known = note in solved.notes and edited.part.is_stuffed
        if about not in (About.CHOICE, About.PLAIN, About.READING, About.STUFFING) and not known:
            yield note


def _changed(piece: Piece, ours: Piece) -> Iterator[str]:
    """Yield where rounds differ from the solved ones."""
    from solver.rounds import Start

    if piece.start is Start.CHAIN and piece.foundation != ours.foundation:
        yield f"The page has {piece.foundation} chains, the solved part {ours.foundation}."
    yield from changed_rounds(piece.counts, ours.counts)
    if (piece.foundation, len(piece.rounds)) == (ours.foundation, len(ours.rounds)):
        for at, (mine, solved) in enumerate(zip(piece.rounds, ours.rounds, strict=True), start=1):
            if mine != solved and mine.count == solved.count:
                yield f"Round {at} has its increases and decreases in other places."


def _changed_form(edited: Solved, solved: Solved) -> Iterator[str]:
    """Yield where the form of edited rounds differs most from the solved one."""
    if len(edited.sections) != len(solved.sections):
        return
    changes = [
        (getattr(mine, size) - getattr(ours, size), mine.number, words)
        for mine, ours in zip(edited.sections, solved.sections, strict=True)
        for size, words in (("width", ("wider", "narrower")), ("length", ("longer", "shorter")))
    ]
    if edited.form.alike and solved.form.alike:
        moved = 2 * (edited.form.outline[:, 0] - solved.form.outline[:, 0])
        changes = [(by, at, ("wider", "narrower")) for at, by in enumerate(moved.tolist())]
    most, at, (more, less) = max(changes, key=lambda change: abs(change[0]))
    if abs(most) <= UNCHANGED:
        yield SAME_FORM
        return
    across = " across" if edited.form.alike and solved.form.alike else ""
    yield (
        f"Against the solved rounds its form changed most at round {at}: {in_mm(abs(most))} "
        f"{more if most > 0 else less}{across}."
    )


def _lengths(solved: Solved) -> dict[int, tuple[float, float]]:
    """Return length and width of rounds that bend, each in its own plane, by number. [mm]"""
    if solved.lie.end_tilt is None:
        return {}
    return {each.number: (each.length, each.width) for each in solved.sections}


def _sections(solved: Solved) -> Sequence[tuple[int, Floats]]:
    """Return a few rounds from the start to the widest, which hide none of each other from above; no rows."""
    import numpy as np

    from solver.rounds import Start

    if solved.piece.start is Start.ROWS:
        return []
    rings = solved.form.rings[1 : len(solved.piece.rounds) + 1]
    widest = 1 + int(np.argmax([np.ptp(ring[:, 1]) for ring in rings]))
    numbers = sorted({round(number) for number in np.linspace(1, widest, min(SECTIONS, widest)).tolist()})
    return [(number, solved.points[solved.form.fabric.rings[number], :2]) for number in numbers]
