"""What all commands on a part share: reading its file and solving it."""

from __future__ import annotations

import math
import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.paragraphs import paragraph
from solver.cli.progress import progress
from solver.errors import ConvergenceError, InputError, PlumplineError, Problem, shown

if TYPE_CHECKING:
    from solver.solving.solved import Solved
    from solver.toy.model import Toy
    from solver.toy.solved import SolvedToy
    from solver.wanted.part import AnyPart


class _ResultFile(click.Path):
    """A name that a result is written to; that it can be is seen before anything is worked out.

    Parameters
    ----------
    writes : str, optional
        The `FileKind` of the result, all that it takes the place of; left out for texts and pictures.
    """

    def __init__(self, writes: str = "") -> None:
        super().__init__(path_type=Path)
        self.writes = writes

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        from solver.files.outfile import target_of

        path = Path(os.fsdecode(super().convert(value, param, ctx)))
        target_of(path)
        keep_others(path, writes=self.writes)
        return path


def keep_others(path: Path, *, writes: str) -> None:
    """Refuse a name where a part, toy or gauge file stands, unless the result is such a file itself.

    Parameters
    ----------
    path : Path
        Where the result shall go.
    writes : str
        The `FileKind` of the result; empty for texts and pictures.
    """
    from solver.partfile.source import kind_at

    there = kind_at(path)
    if there and there != writes:
        rule = f"{there} of yours is not written over by {writes or 'a result'}, made from it or not"
        raise InputError(Problem(rule, remedy="Choose another name.", file=str(path)))


class Finite(click.FloatRange):
    """A number of an option: finite, and within its bounds."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the number, or fail with the name of the option."""
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{number} is no number to count with.", param, ctx)
        return number


def length(_context: click.Context, option: click.Parameter, written: str | None) -> float | None:
    """Return a length as written on the command line; what is wrong is told with its option. [mm]"""
    if written is None:
        return None
    from solver.units import to_mm

    try:
        return to_mm(written)
    except InputError as error:
        raise InputError(*(replace(each, place=f"--{option.name}") for each in error.problems)) from None


def say_written(path: Path, what: str = "Written") -> None:
    """Tell where a result went, beside what is on the standard output; nothing in its name is obeyed."""
    click.echo(f"{what} to {shown(str(path))}", err=True)


_PART = "solver.part"
"""Where a command keeps the part that it is about, with its file."""

RESULT = _ResultFile()
"""The type of every option that names a text, a table or a picture to write."""

GAUGE_RESULT = _ResultFile("a gauge file")
PART_RESULT = _ResultFile("a part file")
TOY_RESULT = _ResultFile("a toy file")

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
    from solver.partfile.source import is_toy

    if file.suffix.lower() == ".toml" and is_toy(file):
        rule = "this takes the file of a part, and this one is of a whole toy"
        remedy = "Name a part's own file; rounds, preview, places and tune take a toy."
        raise InputError(Problem(rule, remedy=remedy, file=str(file)))
    part = load(file)
    if context := click.get_current_context(silent=True):
        context.meta[_PART] = file, part
    return part.worked(terms=terms) if terms else part


def told_of_part(error: PlumplineError, context: click.Context) -> str:
    """Return what is wrong, with the part file that it is about where that was read."""
    if _PART not in context.meta:
        return str(error)
    file, part = context.meta[_PART]
    if isinstance(error, ConvergenceError):
        rule = f"no balance between stuffing and fabric was found ({error.iterations} steps, {error.what})"
        return str(Problem(rule, remedy=_eased(part), place="[shape], [stuffing]", file=str(file)))
    if isinstance(error, InputError):
        return str(InputError(*(replace(each, file=each.file or str(file)) for each in error.problems)))
    return str(error)


def _eased(part: AnyPart) -> str:
    """Return what to change in a part that has no balance: what stuffing can't hold of it, then the rest."""
    from solver.solving.kinds import kind_of
    from solver.wanted.gauge import FIRMNESS

    helps = [limit.remedies[0] for limit in kind_of(part).limits(part) if limit.remedies]
    if part.stuffing.stretch > FIRMNESS["light"] + 1e-9:
        helps.append('Stuff it less (firmness = "light").')
    if not 0.5 <= part.gauge.stiffness_ratio <= 2.0:
        helps.append(f"Measure again: a stiffness_ratio of {part.gauge.stiffness_ratio:g} is unusual.")
    return " ".join([*helps, "Draw it shorter, rounder, or with gentler curves; or make it two parts."])


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

    from solver.partfile.source import is_toy

    if file.suffix.lower() != ".toml" or not is_toy(file):
        return None
    from solver.toy.toyfile import load_toy

    toy = load_toy(file)
    if not terms:
        return toy
    return replace(toy, parts=tuple(replace(each, part=each.part.worked(terms=terms)) for each in toy.parts))


def solved_toy(toy: Toy) -> SolvedToy:
    """Return a toy solved and put together."""
    from solver.toy.solved import solve_toy

    with progress("Solving the parts") as report:
        return solve_toy(toy, progress=report)
