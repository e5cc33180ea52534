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
    from pathlib import Path

    from solver.toy.model import Toy
    from solver.toy.solved import SolvedToy

LETTERS = {2: "SL", 3: "SML"}
"""Names of sizes by how many are asked for."""


def toy_tune(
    toy: Toy,
    given: dict[str, Any],
    table: str | None,
    *,
    by: str,
    as_json: bool,
    gauge: Path | None = None,
) -> None:
    """Write a toy at the sizes that are asked for, its drawing scaled as a whole, or in another yarn.

    Raises
    ------
    InputError
        If neither one size of a whole toy nor another yarn is asked for.
    """
    from solver.toy.scaling import MEASURES, size_of, sized

    asked = table or any(value is not None for value in given.values())
    measure, targets = ("height", []) if gauge and not asked else _targets(toy, given, table, MEASURES)
    if by != "drawing":
        rule = "a whole toy is tuned by its drawing"
        remedy = "Leave --by out. For another yarn, name a gauge file: --gauge gauge.toml."
        raise InputError(Problem(rule, got=f"--by {by}", remedy=remedy, file=toy.file))
    as_drawn = _in_yarn(toy, gauge) if gauge else solved_toy(toy)
    yarn = f"In the yarn of {gauge.name}: all rounds are new, the drawing is kept. " if gauge else ""
    if not targets:
        width, depth, height = as_drawn.sizes
        told = f"{yarn}{in_both(height)} high, {in_both(width)} wide, {in_both(depth)} deep."
        _show([(as_drawn, {"gauge": str(gauge), "scale": 1.0}, told)], as_json=as_json, several=False)
        return
    found = []
    for number, target in enumerate(targets):
        with progress("Scaling the toy") as report:
            sized_, factor = sized(as_drawn, measure=measure, target=target, progress=report)
        got = size_of(sized_, measure)
        letters = LETTERS.get(len(targets), "")
        name = f"Size {letters[number]}: " if letters else ""
        told = (
            f"{yarn}{name}{measure} {in_both(got)}, asked for {in_both(target)}; the drawing times "
            f"{factor:.3f}."
        )
        data = {"measure": measure, "target_mm": target, "got_mm": got, "scale": factor}
        found.append((sized_, {**data, **({"gauge": str(gauge)} if gauge else {})}, told))
    _show(found, as_json=as_json, several=bool(table))


def _in_yarn(toy: Toy, gauge: Path) -> SolvedToy:
    """Return a toy solved in another yarn; places told by round stay where they are in the first."""
    from solver.files.inputs import note_input
    from solver.toy.scaling import placed_as
    from solver.toy.toyfile import load_toy

    note_input(gauge)
    other = load_toy(toy.file, gauge=gauge)
    spots = [spot for each in toy.parts for spot in (each.at, *(eye.at for eye in each.eyes))]
    if any(spot.round is not None for spot in spots):
        other = placed_as(other, solved_toy(toy))
    return solved_toy(other)


def _show(found: list[tuple[SolvedToy, dict[str, Any], str]], *, as_json: bool, several: bool) -> None:
    from solver.cli.toytext import toy_text
    from solver.toy.data import toy_dict

    if as_json:
        data = [{**toy_dict(each), "tuned": tuned} for each, tuned, _ in found]
        click.echo(json.dumps(data if several else data[0], indent=2, ensure_ascii=False, allow_nan=False))
        return
    for each, _, told in found:
        click.echo(f"{toy_text(each)}\n\n{told}\n")


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
