"""`plumpline chart`: rounds in the trade's symbols."""

from __future__ import annotations

from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.work import RESULT, part_file, part_of, say_written, solved_part
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.rounds import Piece
    from solver.solving.solved import Solved


@click.command(
    short_help="A chart of rounds, in symbols.",
    epilog="\b\nExample, the start of the tug's hull, and rounds of the gull's head as rows:\n"
    '  plumpline chart samples/tug-hull.toml --rounds "1-5" --out hull.svg\n'
    '  plumpline chart samples/gull-head.toml --rounds "9-16" --out gull.pdf',
)
@part_file
@click.option(
    "--out", type=RESULT, metavar="FILE", help="Where to: .svg, .pdf or .png. Left out: FILE-chart.svg."
)
@click.option("--rounds", metavar="TEXT", help='Which rounds, like "1-6". Left out: all.')
@click.option(
    "--rows", is_flag=True, help="Unrolled, as shaped bodies are: each round a row, the first lowest."
)
@click.option("--left", is_flag=True, help="Mirrored, for left-handed makers.")
def chart(file: Path, out: Path | None, rounds: str | None, rows: bool, left: bool) -> None:
    """Draw rounds in symbols (JIS L 0201 and the Craft Yarn Council's table).

    FILE is a part file, or plain text with written rounds. Rounds that grow outward are drawn from the middle
    out or along their chain, any others as rows.
    """
    from solver.files.outfile import extension_of
    from solver.sentences.say import sentences
    from solver.sheet.charts import key
    from viz.chart import draw_chart, letters
    from viz.figure import PICTURE_EXTENSIONS, save_figure

    out = out or Path(f"{file.stem}-chart.svg")
    extension_of(out, PICTURE_EXTENSIONS, what="a chart")
    piece, terms, solved = _piece(file)
    first, last = _range(rounds, len(piece.rounds))
    known = chart_colours(solved) if solved else {}
    figure = draw_chart(piece, first=first, last=last, rows=rows or None, left=left, **known)
    save_figure(figure, out)
    say = sentences(terms)
    click.echo(say.say("chart_key", symbols="; ".join(key(piece, say, first, last))))
    if known and known["colours"]:
        signs = letters(known["colours"])
        click.echo("; ".join(f"{sign or 'no letter'}: {name}" for name, sign in signs.items()))
    say_written(out)


def chart_colours(solved: Solved) -> dict[str, Any]:
    """Return what a chart shows of colours, and how far each round has moved on."""
    several = len(set(chain.from_iterable(solved.colours))) > 1
    names = {name for own in solved.colours for name in own}
    fabric = solved.form.fabric
    return {
        "colours": solved.colours if several else (),
        "shades": {name: solved.part.supplies.shade(name) for name in names},
        "moved": fabric.moved[1:].tolist() if fabric.lean else [],
    }


def _piece(file: Path) -> tuple[Piece, str, Solved | None]:
    """Return the rounds of a part file, solved, or those that somebody wrote."""
    if file.suffix.lower() in (".txt", ".text"):
        from solver.cli.written import added_up, written

        read = written(file)
        return added_up(read, file), read.terms or "US", None
    part = part_of(file)
    solved = solved_part(part)
    return solved.piece, part.work.terms, solved


def _range(text: str | None, most: int) -> tuple[int, int]:
    if text is None:
        return 1, most
    first, _, last = text.replace("\N{EN DASH}", "-").partition("-")
    try:
        return int(first), int(last or first)
    except ValueError:
        remedy = f'Write it like --rounds "1-{most}".'
        raise InputError(
            Problem("rounds are a number or a range of numbers", got=text, remedy=remedy)
        ) from None
