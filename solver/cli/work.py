"""What all commands on a part share: reading its file and solving it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.cli.progress import progress

if TYPE_CHECKING:
    from solver.solution import Solution

part_file = click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
"""The part file that a command works on."""


def solved(file: Path, *, terms: str | None = None) -> Solution:
    """Return the rounds of the part that a file describes, and their form.

    Parameters
    ----------
    file : Path
        The part file.
    terms : str, optional
        "US" or "UK", in place of what the file says.
    """
    from solver.partfile import load

    part = load(file)
    if terms:
        part = replace(part, work=replace(part.work, terms=terms))
    from solver.solution import solve

    with progress("Solving the rounds") as report:
        return solve(part, progress=report)
