"""What all commands on a part share: reading its file and solving it."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.paragraphs import paragraph
from solver.cli.progress import progress
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.partfile import OvalPart, Part
    from solver.solving.oval import OvalSolution
    from solver.solving.round import Solution


class _ResultFile(click.Path):
    """A name that a result is written to; that it can be is seen before anything is worked out."""

    def __init__(self) -> None:
        super().__init__(path_type=Path)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        from solver.files.outfile import target_of

        path = Path(os.fsdecode(super().convert(value, param, ctx)))
        target_of(path)
        return path


RESULT = _ResultFile()
"""The type of every option that names a file to write."""

part_file = click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
"""The part file that a command works on."""


def part_of(file: Path, *, terms: str | None = None) -> Part | OvalPart:
    """Return the part that a file describes.

    Parameters
    ----------
    file : Path
        The part file.
    terms : str, optional
        "US" or "UK", in place of what the file says.
    """
    from solver.partfile import OvalPart, load

    part = load(file)
    if not terms:
        return part
    if isinstance(part, OvalPart):
        return replace(part, work=replace(part.work, terms=terms))
    return replace(part, work=replace(part.work, terms=terms))


def solved_part(part: Part) -> Solution:
    """Return the rounds of a round part, and their form."""
    from solver.solving.round import solve

    with progress("Solving the rounds") as report:
        return solve(part, progress=report)


def solved_oval(part: OvalPart) -> OvalSolution:
    """Return the rounds of an oval part, and their form; what stuffing can't hold is told before."""
    from solver.solving.oval import limits_of, solve_oval

    for limit in limits_of(part):
        told = paragraph(f"Before solving: {limit.why} The notes tell what helps.")
        click.echo("\n".join(told), err=True)
    with progress("Solving the rounds") as report:
        return solve_oval(part, progress=report)


def solved(file: Path, *, terms: str | None = None) -> Solution:
    """Return the rounds of the round part that a file describes, and their form.

    Parameters
    ----------
    file, terms
        As for `part_of`.

    Raises
    ------
    InputError
        If the part is oval.
    """
    return solved_part(round_part(file, terms=terms))


def round_part(file: Path, *, terms: str | None = None) -> Part:
    """Return the round part that a file describes; arguments and errors as of `solved`."""
    from solver.partfile import Part

    part = part_of(file, terms=terms)
    if not isinstance(part, Part):
        raise InputError(Problem("this is for round parts, and this one starts on a chain", file=str(file)))
    return part
