"""A whole toy tuned to a size, or to several at once."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from solver.cli.progress import progress
from solver.cli.work import solved_toy
from solver.errors import InputError, Problem
from solver.units import in_both, to_mm

if TYPE_CHECKING:
    from solver.toy.model import Toy

LETTERS = {2: "SL", 3: "SML"}
"""Names of sizes by how many are asked for."""


def toy_tune(toy: Toy, given: dict[str, Any], table: str | None, *, by: str, as_json: bool) -> None:
    """Write a toy at the sizes that are asked for, its drawing scaled as a whole.

    Raises
    ------
    InputError
        If not one size of a whole toy is asked for.
    """
    from solver.cli.toytext import toy_text
    from solver.toy.data import toy_dict
    from solver.toy.scaling import MEASURES, size_of, sized

    measure, targets = _targets(toy, given, table, MEASURES)
    if by != "drawing":
        rule = "a whole toy is tuned by its drawing"
        remedy = "Leave --by out. For another yarn, change the gauge in the toy file: all parts follow."
        raise InputError(Problem(rule, got=f"--by {by}", remedy=remedy, file=toy.file))
    as_drawn = solved_toy(toy)
    data = []
    for number, target in enumerate(targets):
        with progress("Scaling the toy") as report:
            found, factor = sized(as_drawn, measure=measure, target=target, progress=report)
        got = size_of(found, measure)
        letters = LETTERS.get(len(targets), "")
        name = f"Size {letters[number]}: " if letters else ""
        told = f"{name}{measure} {in_both(got)}, asked for {in_both(target)}; the drawing times {factor:.3f}."
        if as_json:
            tuned = {"measure": measure, "target_mm": target, "got_mm": got, "scale": factor}
            data.append({**toy_dict(found), "tuned": tuned})
        else:
            click.echo(f"{toy_text(found)}\n\n{told}\n")
    if as_json:
        shown = data if table else data[0]
        click.echo(json.dumps(shown, indent=2, ensure_ascii=False, allow_nan=False))


def _targets(
    toy: Toy, given: dict[str, Any], table: str | None, measures: tuple[str, ...]
) -> tuple[str, list[float]]:
    named = [name for name, value in given.items() if value is not None]
    remedy = 'Write --height "25 cm", or --table "15 cm, 20 cm, 25 cm" for several heights.'
    if len(named) + bool(table) != 1 or any(name not in measures for name in named):
        rule = f"of a whole toy one size is asked for, of {', '.join(measures)}"
        got = " and ".join([*named, *(["table"] if table else [])]) or "none"
        raise InputError(Problem(rule, got=got, remedy=remedy, file=toy.file))
    asked = table.split(",") if table else [given[named[0]]]
    targets = [to_mm(each.strip()) for each in asked]
    if not all(target > 0 for target in targets):
        raise InputError(Problem("a size is above zero", remedy=remedy, file=toy.file))
    return (named[0] if named else "height"), targets
