"""What all commands on a part share: reading its file and solving it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.paragraphs import paragraph
from solver.cli.progress import progress

if TYPE_CHECKING:
    from solver.solving.solved import Solved
    from solver.toy.model import Toy
    from solver.toy.solved import SolvedToy
    from solver.wanted.part import AnyPart


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


def part_of(file: Path, *, terms: str | None = None) -> AnyPart:
    """Return the part that a file describes.

    Parameters
    ----------
    file : Path
        The part file.
    terms : str, optional
        "US" or "UK", in place of what the file says.
    """
    from solver.partfile import load

    part = load(file)
    return part.worked(terms=terms) if terms else part


def solved_part(part: AnyPart) -> Solved:
    """Return the rounds of a part, and their form; what stuffing can't hold is told before."""
    from solver.solving.kinds import kind_of
    from solver.solving.solved import solve

    for limit in kind_of(part).limits(part):
        told = paragraph(f"Before solving: {limit.why} The notes tell what helps.")
        click.echo("\n".join(told), err=True)
    with progress("Solving the rounds") as report:
        return solve(part, progress=report)


def toy_of(file: Path, *, terms: str | None = None) -> Toy | None:
    """Return the toy that a file describes; None where it describes a part."""
    from dataclasses import replace

    from solver.toy.toyfile import is_toy, load_toy

    if file.suffix.lower() != ".toml" or not is_toy(file):
        return None
    toy = load_toy(file)
    if not terms:
        return toy
    return replace(toy, parts=tuple(replace(each, part=each.part.worked(terms=terms)) for each in toy.parts))


def solved_toy(toy: Toy) -> SolvedToy:
    """Return a toy solved and put together."""
    from solver.toy.solved import solve_toy

    with progress("Solving the parts") as report:
        return solve_toy(toy, progress=report)
