"""`plumpline rounds`: the written rounds of a part, with the size that they come out at."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.work import RESULT, part_file, part_of, say_written, solved_part, solved_toy, toy_of

if TYPE_CHECKING:
    from solver.toy.model import Toy


@click.command(
    short_help="Write the rounds of a part.",
    epilog="\b\nExample, the mooring buoy with every stitch spelled out, in UK terms:\n"
    "  plumpline rounds samples/buoy.toml --spelled --terms UK",
)
@part_file
@click.option("--json", "as_json", is_flag=True, help="Give the result as data (JSON) instead of text.")
@click.option("--full", is_flag=True, help="Tell everything: the key, every size, what the amounts rest on.")
@click.option("--spelled", is_flag=True, help="Write every round out: no brackets, no abbreviations.")
@click.option(
    "--terms",
    type=click.Choice(["US", "UK"], case_sensitive=False),
    help="Words of this side of the ocean, whatever the part file says.",
)
@click.option(
    "--out",
    type=RESULT,
    metavar="FILE",
    help="Write to this file instead of the screen.",
)
def rounds(file: Path, as_json: bool, full: bool, spelled: bool, terms: str | None, out: Path | None) -> None:
    """Write the rounds of a part, and tell the size that they will come out at.

    Of a toy file, the whole pattern: each part once, then the joining, by eye and by count.
    """
    from solver.cli.report import report
    from solver.files.outfile import replacing

    if toy := toy_of(file, terms=terms):
        text = _toy(toy, as_json=as_json, spelled=spelled, full=full)
    else:
        solved = solved_part(part_of(file, terms=terms))
        text = (
            _json(solved.as_dict(spelled=spelled)) if as_json else report(solved, spelled=spelled, full=full)
        )
    if out is None:
        click.echo(text)
        return
    with replacing(out) as temporary:
        temporary.write_text(text + "\n", encoding="utf-8")
    say_written(out)


def _toy(toy: Toy, *, as_json: bool, spelled: bool, full: bool) -> str:
    from solver.cli.toytext import toy_text
    from solver.toy.data import toy_dict

    solved = solved_toy(toy)
    return (
        _json(toy_dict(solved, spelled=spelled)) if as_json else toy_text(solved, spelled=spelled, full=full)
    )


def _json(data: dict[str, Any]) -> str:
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)
