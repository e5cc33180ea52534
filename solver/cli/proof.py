"""`plumpline proof`: written rounds, proof-read line by line, and written anew."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from solver.notation.author import Remark
    from solver.notation.proof import Proof
    from solver.notation.rewrite import Rewritten


@click.command(
    short_help="Proof-read written rounds.",
    epilog="\b\nExample, the rounds in a text file, each line with what it makes and needs:\n"
    "  plumpline proof rounds.txt\n"
    "and the same rounds in one clean style:\n"
    "  plumpline proof rounds.txt --rewrite --terms UK --spelled",
)
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--json", "as_json", is_flag=True, help="Give the result as data (JSON) instead of text.")
@click.option("--rewrite", is_flag=True, help="Write the page anew, in one clean style.")
@click.option("--diff", is_flag=True, help="Show what --rewrite would change, old beside new.")
@click.option(
    "--terms",
    type=click.Choice(["US", "UK"], case_sensitive=False),
    help="Words to rewrite in; left out: those of the page.",
)
@click.option(
    "--spelled", is_flag=True, help="Rewrite with every round in full: no brackets, no abbreviations."
)
@click.option("--problems", "only", is_flag=True, help="Show only the lines where something is wrong.")
@click.option("--sure", is_flag=True, help="Show only what is certainly wrong.")
@click.option("--author", is_flag=True, help="Add an editor's list: what readers stumble over.")
def proof(
    file: Path,
    *,
    as_json: bool,
    rewrite: bool,
    diff: bool,
    terms: str | None,
    spelled: bool,
    only: bool,
    sure: bool,
    author: bool,
) -> None:
    """Check written rounds: does each line use the stitches it has, make its count, follow the one before?

    FILE is a page with the rounds as they were written, in any notation: plain text, a PDF with a text layer,
    or a .docx; "-" reads from standard input.
    Ends with 0 when all is well, 1 when something is wrong, 2 when there is nothing that can be read.
    """
    from solver.cli.proofreport import report
    from solver.files.pagetext import page_text
    from solver.notation.proof import proof_read

    text = page_text(file)
    found = proof_read(text)
    _check_rounds(found, file)
    if sure:
        found = _surely(found)
    if rewrite or diff:
        _rewrite(text, file, terms=terms or "", spelled=spelled, diff=diff)
    elif as_json:
        from solver.cli.proofdata import as_dict

        data = as_dict(found, _remarks(text) if author else ())
        click.echo(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        click.echo("\n".join(report(found, file, only=only or sure, sure=sure)))
        if author:
            click.echo("\n".join(_edited(_remarks(text))))
    if not found.clean:
        sys.exit(1)


def _check_rounds(found: Proof, file: Path) -> None:
    from solver.errors import InputError, Problem

    if not any(line.made is not None for line in found.lines):
        rule, remedy = (
            "the file has at least one round that can be read",
            'Rounds look like "Rnd 2: inc x 6 (12)".',
        )
        raise InputError(Problem(rule, got="none", remedy=remedy, file=str(file)))


def _surely(found: Proof) -> Proof:
    """Return a page with what is certainly wrong alone."""
    lines = (replace(line, problems=tuple(one for one in line.problems if one.sure)) for line in found.lines)
    return replace(found, lines=tuple(lines))


# ---- rewriting ---------------------------------------------------------------------------------------------


def _rewrite(text: str, file: Path, *, terms: str, spelled: bool, diff: bool) -> None:
    """Write a page anew; what changes and what stays is told first, beside the page."""
    from solver.notation.rewrite import rewritten

    new = rewritten(text, terms=terms.upper(), spelled=spelled)
    if spelled and not new.spelled:
        click.echo("Rounds are spelled out in English alone so far: this page is written short.", err=True)
    click.echo("\n".join(_changes(new)), err=True)
    click.echo("\n".join(_beside(text, new.text, file)) if diff else new.text, nl=diff)


def _changes(new: Rewritten) -> Iterator[str]:
    if new.changed:
        lines = "1 line is" if len(new.changed) == 1 else f"{len(new.changed)} lines are"
        yield f"{lines} written in other words: {_numbers(new.changed)}."
    for line, why in new.kept:
        yield f"Line {line} stays as it was: {why.rstrip('.')}."


def _numbers(lines: tuple[int, ...]) -> str:
    return ", ".join(map(str, lines))


def _beside(old: str, new: str, file: Path) -> Iterator[str]:
    """Yield the lines that differ, the old before the new."""
    from difflib import unified_diff

    yield from unified_diff(
        old.splitlines(), new.splitlines(), str(file), f"{file}, rewritten", n=1, lineterm=""
    )


# ---- the editor's list -------------------------------------------------------------------------------------


def _remarks(text: str) -> tuple[Remark, ...]:
    from solver.notation.author import remarks
    from solver.notation.proof import proof_of
    from solver.notation.reader import read

    found = read(text)
    return remarks(found, proof_of(found))


def _edited(found: tuple[Remark, ...]) -> Iterator[str]:
    yield ""
    yield "For the author:" if found else "For the author: nothing to add."
    for one in found:
        where = f"line {one.line}" if one.line else "the page"
        yield f"- {where}, {one.kind}: {one.message}"
