"""`plumpline tune`: a part that hits a size, and what moves it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.paragraphs import paragraph
from solver.cli.progress import progress
from solver.cli.work import RESULT, part_file, part_of, say_written, solved_part, toy_of
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.solving.solved import Solved
    from solver.wanted.part import AnyPart


MOST_SIZES = 50
"""Of a table; each takes a second or two."""


@click.command(
    short_help="Hit a finished size.",
    epilog="\b\nExamples, the mooring buoy 12 cm high; in three sizes; by yarn and hook, its rounds kept:\n"
    '  plumpline tune samples/buoy.toml --height "12 cm"\n'
    '  plumpline tune samples/buoy.toml --table "8 cm, 12 cm, 16 cm"\n'
    '  plumpline tune samples/buoy.toml --width "9 cm" --by gauge\n'
    "An oval part 16 cm long:\n"
    '  plumpline tune samples/tug-hull.toml --length "16 cm"',
)
@part_file
@click.option("--height", metavar="LENGTH", help="The height that the stuffed part shall have.")
@click.option("--length", metavar="LENGTH", help="Of an oval part: its length, along the chain.")
@click.option("--width", metavar="LENGTH", help="Or its width.")
@click.option("--girth", metavar="LENGTH", help="Or its girth.")
@click.option("--volume", metavar="VOLUME", help='Or its volume, in millilitres or as "0.2 l".')
@click.option(
    "--by",
    type=click.Choice(["drawing", "gauge", "firmness"]),
    default="drawing",
    help="What is changed: the drawing's scale (default); hook and yarn; or the stuffing. "
    "The last two keep the rounds.",
)
@click.option(
    "--table",
    metavar="SIZES",
    help='Several heights (of an oval part, lengths) in one go: "8 cm, 12 cm, 16 cm".',
)
@click.option(
    "--gauge",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Of a whole toy: a gauge file of another yarn. All rounds are new, the drawing is kept.",
)
@click.option(
    "--plot",
    type=RESULT,
    metavar="FILE",
    help="Draw size against gauge: .png, .svg or .pdf.",
)
@click.option(
    "--json", "as_json", is_flag=True, help="Give the tuned part as data, with the keys of rounds --json."
)
def tune(
    file: Path,
    height: str | None,
    length: str | None,
    width: str | None,
    girth: str | None,
    volume: str | None,
    by: str,
    table: str | None,
    gauge: Path | None,
    plot: Path | None,
    as_json: bool,
) -> None:
    """Change a part so that its stuffed form has a size, and tell what moves that size."""
    from solver.cli.report import report
    from solver.files.outfile import extension_of
    from solver.tuning.keep import By, refined_with

    if plot:
        from viz.figure import PICTURE_EXTENSIONS

        extension_of(plot, PICTURE_EXTENSIONS, what="a picture")
    given = {"length": length, "height": height, "width": width, "girth": girth, "volume": volume}
    if toy := toy_of(file):
        from solver.cli.toytune import toy_tune

        toy_tune(toy, given, table, by=by, as_json=as_json, gauge=gauge)
        return
    if gauge:
        rule = "another yarn is for a whole toy"
        remedy = f'Write gauge = "{gauge.name}" in the part file, in place of its [gauge].'
        raise InputError(Problem(rule, got=f"--gauge {gauge}", remedy=remedy, file=str(file)))
    part = part_of(file)
    measure, targets = _targets(part, given, table, by)
    as_drawn = None if by == By.DRAWING else solved_part(part)
    tuned = [
        (
            target,
            refined_with(as_drawn, measure=measure, target=target, by=By(by))
            if as_drawn
            else _scaled(part, measure, target, which=f", size {number} of {len(targets)}" if table else ""),
        )
        for number, target in enumerate(targets, start=1)
    ]
    if plot:
        _draw(plot, as_drawn or tuned[0][1], measure, targets)
    if as_json:
        data = [_data(solution, measure, target, by) for target, solution in tuned]
        click.echo(json.dumps(data if table else data[0], indent=2, ensure_ascii=False, allow_nan=False))
        return
    for target, solution in tuned:
        if by == By.DRAWING:
            click.echo(report(solution))
            click.echo("")
        lines = _told(solution, measure, target, by, as_drawn)
        click.echo("\n".join(line for item in lines for line in paragraph(item, hanging=2)))
        click.echo("")


def _targets(part: AnyPart, given: dict[str, Any], table: str | None, by: str) -> tuple[str, list[float]]:
    """Return which size is asked for, and its values in mm (ml)."""
    from solver.solving.kinds import kind_of
    from solver.tuning.keep import By
    from solver.tuning.scale import check_scaled, check_target
    from solver.units import to_ml, to_mm

    kind = kind_of(part)
    first, *_ = kind.measures
    named = [name for name, value in given.items() if value is not None]
    if len(named) + bool(table) != 1:
        remedy = f'Write --{first} "12 cm", or another size, or --table "8 cm, 12 cm": one of them.'
        got = " and ".join([*named, *(["table"] if table else [])]) or "none"
        raise InputError(Problem("one size is asked for at a time", got=got, remedy=remedy))
    measure = named[0] if named else first
    if measure not in kind.measures:
        rule = f"{kind.name} is tuned by its {', '.join(kind.measures[:-1])} or {kind.measures[-1]}"
        raise InputError(Problem(rule, got=f"--{measure}"))
    sizes = table.split(",") if table else [given[measure]]
    if len(sizes) > MOST_SIZES:
        rule, got = f"a table has at most {MOST_SIZES} sizes", str(len(sizes))
        raise InputError(Problem(rule, got=got, remedy="Make two tables.", place="--table"))
    place = "--table" if table else f"--{measure}"
    targets = []
    for size in sizes:
        try:
            targets.append(to_ml(size.strip()) if measure == "volume" else to_mm(size.strip()))
            (check_scaled if by == By.DRAWING else check_target)(part, measure, targets[-1])
        except InputError as error:
            raise InputError(*(replace(each, place=place) for each in error.problems)) from None
    return measure, targets


def _scaled(part: AnyPart, measure: str, target: float, *, which: str) -> Solved:
    from solver.tuning.scale import scaled_to

    with progress(f"Trying scales{which}") as share:
        return scaled_to(part, measure=measure, target=target, progress=share)


def _told(solution: Solved, measure: str, target: float, by: str, drawn: Solved | None) -> Iterator[str]:
    from solver.tuning.keep import sensitivity
    from solver.tuning.scale import size_of

    unit = "ml" if measure == "volume" else "mm"
    got = size_of(solution, measure)
    part = solution.part
    yield f"{part.title}, tuned by {by}"
    off = got / target - 1
    yield f"- {measure.capitalize()}: {got:.1f} {unit}; asked for {target:.1f} {unit} ({off:+.1%})."
    if by == "gauge" and drawn:
        yield from _gauge_told(solution, drawn, measure)
    if by == "firmness":
        yield f"- Same rounds, same yarn: stuff so that the fabric stretches by {part.stuffing.stretch:.1%}."
    moved = sensitivity(solution, measure)
    by_stuffing = "" if not part.is_stuffed else f", stretch one hundredth more {moved.stretch:+.2f} {unit}"
    yield (
        f"- What moves the {measure}, rounds kept: 1 % more stitch width {moved.stitch_width:+.2f} {unit}, "
        f"1 % more row height {moved.row_height:+.2f} {unit}{by_stuffing}."
    )


def _gauge_told(solution: Solved, drawn: Solved, measure: str) -> Iterator[str]:
    from solver.trade import likely_weight, makers, nearest_hook, next_hook
    from solver.tuning.keep import size_at_gauge

    gauge, old = solution.part.gauge, drawn.part.gauge
    across, along = 100 / gauge.stitch_width, 100 / gauge.row_height
    weight = likely_weight(gauge.stitch_width)
    hook, letter = nearest_hook(weight.toy_hook_mm * weight.toy_stitches * gauge.stitch_width / 100)
    yield (
        f"- Same rounds at another gauge: {across:.3g} stitches and {along:.3g} rounds to 10 cm (a stitch "
        f"{gauge.stitch_width:.2f} mm wide, a round {gauge.row_height:.2f} mm tall)."
    )
    yield (
        f"- A guess from the standard table: yarn of weight {weight.number} ({weight.name}), hook "
        f"about {hook:g} mm"
        f"{f' (US {letter})' if letter else ''}. Work a swatch, it is surer."
    )
    before = likely_weight(old.stitch_width)
    size, _ = nearest_hook(before.toy_hook_mm * before.toy_stitches * old.stitch_width / 100)
    bigger, letter = next_hook(size, steps=1)
    share = makers()["hook"]["width_per_hook"]
    factor = 1 + share * (bigger / size - 1)
    unit = "ml" if measure == "volume" else "mm"
    yield (
        f"- One hook size up in the same yarn ({size:g} to {bigger:g} mm) would make it about "
        f"{size_at_gauge(drawn, measure, factor=factor):.0f} {unit}: a guess, stitches taken to grow by "
        f"{share:.0%} of what the hook does."
    )


def _data(solution: Solved, measure: str, target: float, by: str) -> dict[str, Any]:
    from solver.tuning.keep import sensitivity
    from solver.tuning.scale import size_of

    moved = sensitivity(solution, measure)
    return {
        **solution.as_dict(),
        "tuned": {
            "by": by,
            "measure": measure,
            "target": target,
            "got": size_of(solution, measure),
            "sensitivity": {
                "stitch_width_1_percent": moved.stitch_width,
                "row_height_1_percent": moved.row_height,
                "stretch_1_hundredth": moved.stretch,
            },
        },
    }


def _draw(path: Path, solution: Solved, measure: str, targets: list[float]) -> None:
    import numpy as np

    from solver.tuning.keep import size_at_gauge
    from solver.tuning.scale import size_of
    from viz.figure import save_figure
    from viz.tuning import draw_size_against_gauge

    needed = (np.array(targets) / size_of(solution, measure)) ** (1 / 3 if measure == "volume" else 1)
    factors = np.geomspace(min(0.7, 0.95 * needed.min()), max(1.4, 1.05 * needed.max()), 200)
    width = solution.part.gauge.stitch_width
    axes = draw_size_against_gauge(
        100 / (width * factors),
        np.array([size_at_gauge(solution, measure, factor=float(factor)) for factor in factors]),
        here=100 / width,
        targets=targets,
        measure=f"{measure} when stuffed" if solution.part.is_stuffed else measure,
        title=solution.part.title,
    )
    save_figure(axes.figure, path)
    say_written(path, "Picture written")
