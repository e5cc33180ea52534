"""`plumpline gauge`: tension measured once, for every part."""

from __future__ import annotations

import json
import re
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.paragraphs import paragraph
from solver.cli.work import GAUGE_RESULT, length
from solver.cli.written import LEAST_ROUNDS, written_ball
from solver.errors import InputError, Problem, shown
from solver.rounds import HEIGHTS

if TYPE_CHECKING:
    from solver.measuring.measured import Measured
    from solver.measuring.tension import BallFit

_REPEATED = re.compile(r"(\d+)(?:\s*[x*]\s*(\d+))?")


@click.command(
    short_help="Measure your tension once, for every part.",
    epilog="\b\nExamples, two swatches; a stuffed ball by its counts, or by its written rounds; a guess:\n"
    '  plumpline gauge --swatch "20 x 21 over 10 cm" --swatch "20.5 x 21 over 10 cm" --out gauge.toml\n'
    '  plumpline gauge --circle "5 rounds, 30 stitches, 52 mm" --counts "6 12 18 24 24x4 18 12 6" \\\n'
    '      --girth "13.6 cm" --height "3.4 cm" --out gauge.toml\n'
    '  plumpline gauge --swatch "20 x 20" --rounds ball.txt --girth "9.5 cm" --height "26 mm"\n'
    "  plumpline gauge --yarn medium\n"
    "the lean of a spiral, alone or beside a swatch:\n"
    '  plumpline gauge --lean "10 rounds, 2 stitches right"',
)
@click.option(
    "--swatch", multiple=True, metavar="TEXT", help='"STITCHES x ROWS over LENGTH"; may be repeated.'
)
@click.option(
    "--circle",
    multiple=True,
    metavar="TEXT",
    help='"ROUNDS rounds, STITCHES stitches, ACROSS"; may be repeated.',
)
@click.option("--yarn", metavar="WEIGHT", help="Only guess: the yarn's weight by its name or number, 1 to 7.")
@click.option(
    "--counts", metavar="TEXT", help='Stitches of each round of a stuffed ball: "6 12 18 18x3 12 6".'
)
@click.option(
    "--rounds",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE",
    help="The stuffed ball's written rounds, in place of --counts.",
)
@click.option(
    "--part", type=click.IntRange(min=1), help="Which part of the page is the ball, where it holds several."
)
@click.option(
    "--girth", callback=length, metavar="LENGTH", help="The tape round the stuffed ball's widest place."
)
@click.option(
    "--height", callback=length, metavar="LENGTH", help="The stuffed ball's height, ring to drawn-in end."
)
@click.option(
    "--tape",
    callback=length,
    default="2 mm",
    metavar="LENGTH",
    help="How well girth and height are measured: 2 mm.",
)
@click.option(
    "--lean",
    metavar="TEXT",
    help='How far a marker in the first stitch has moved: "10 rounds, 2 stitches left", seen from outside.',
)
@click.option(
    "--tall",
    multiple=True,
    metavar="TEXT",
    help='Rows of another stitch on a swatch of it, like "hdc: 14 rows over 10 cm" (slst, hdc or dc, US); '
    "may be repeated. Needs a swatch of single crochet too.",
)
@click.option("--thickness", callback=length, default="0 mm", metavar="LENGTH", help="Of the fabric.")
@click.option("--json", "as_json", is_flag=True, help="Give the result as data (JSON) instead of text.")
@click.option("--out", type=GAUGE_RESULT, metavar="FILE", help="Write a gauge file for part files.")
def gauge(
    swatch: tuple[str, ...],
    circle: tuple[str, ...],
    yarn: str | None,
    counts: str | None,
    rounds: Path | None,
    part: int | None,
    girth: float | None,
    height: float | None,
    tape: float,
    lean: str | None,
    tall: tuple[str, ...],
    thickness: float,
    as_json: bool,
    out: Path | None,
) -> None:
    """Tell the gauge of swatches, flat circles and a stuffed ball, how sure it is, and what that means.

    With --lean also how a spiral leans: work ten plain rounds with a marker in the first stitch, lay the work
    flat, and count.
    """
    from solver.measuring.lean import lean_of

    slant = lean_of(lean) if lean else None
    if slant and not (swatch or circle or yarn or out):
        data = {"lean": slant.lean, "lean_error": slant.error}
        click.echo(json.dumps(data, indent=2) if as_json else "\n".join(paragraph(slant.told)))
        return
    found = _measured(swatch, circle, yarn, thickness=thickness)
    if tall:
        from solver.cli.tallstitches import heights_of

        found = replace(found, gauge=replace(found.gauge, heights=heights_of(tall, found.gauge.row_height)))
    ball: BallFit | None = None
    notes: tuple[str, ...] = ()
    if counts or rounds or girth or height:
        stitches, notes = _ball_rounds(counts, rounds, part, girth)
        ball = _fitted(found, stitches, girth=girth or 0.0, height=height, tape=tape)
        found = replace(found, gauge=replace(found.gauge, stiffness_ratio=ball.stiffness_ratio))
    if slant:
        found = replace(found, gauge=replace(found.gauge, lean=slant.lean))
    warnings = (
        *found.warnings(
            stretch=max(ball.fabric_stretch, ball.stretch) if ball else None,
            stiffness=ball.stiffness_ratio if ball and ball.has_height else None,
        ),
        *notes,
    )
    if as_json:
        click.echo(json.dumps(_data(found, ball, warnings), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        told = [*_told(found, ball), *([slant.told] if slant else [])]
        told += [f"Warning: {warning}" for warning in warnings]
        click.echo("\n".join(line for item in told for line in paragraph(item)))
    if out:
        _write(out, found, ball)


def _measured(
    swatch: tuple[str, ...], circle: tuple[str, ...], yarn: str | None, *, thickness: float
) -> Measured:
    """Return the gauge of swatches, of flat circles, or guessed from a yarn weight. [mm]"""
    from solver.measuring import measured

    if (bool(swatch) + bool(circle) + bool(yarn)) != 1:
        rule = "a gauge comes from swatches, from flat circles or from a yarn weight, one of the three"
        remedy = (
            'Give --swatch "20 x 21 over 10 cm", --circle "5 rounds, 30 stitches, 52 mm" or --yarn medium.'
        )
        raise InputError(Problem(rule, remedy=remedy))
    if swatch:
        example = '--swatch "20 x 21 over 10 cm"'
        return measured.of_swatches([_three(text, example) for text in swatch], thickness=thickness)
    if circle:
        example = '--circle "5 rounds, 30 stitches, 52 mm"'
        return measured.of_circles([_three(text, example) for text in circle], thickness=thickness)
    return measured.of_yarn(_weight(yarn or ""), thickness=thickness)


def _ball_rounds(
    counts: str | None, rounds: Path | None, part: int | None, girth: float | None
) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """Return the counts of a measured ball, and what its written rounds gave cause to say."""
    if bool(counts) + bool(rounds) != 1 or not girth:
        rule = "a stuffed ball is told by its counts or its written rounds, and by its girth"
        remedy = "Give --girth, and either --counts or --rounds. --height makes it surer."
        raise InputError(Problem(rule, remedy=remedy))
    if part and not rounds:
        rule = "--part picks one part of the ball's written rounds"
        raise InputError(Problem(rule, remedy="Give --rounds FILE, or leave --part out."))
    if not rounds:
        return _counts(counts or ""), ()
    page = written_ball(rounds, number=part)
    return page.counts, page.notes


def _fitted(
    found: Measured, stitches: tuple[int, ...], *, girth: float, height: float | None, tape: float
) -> BallFit:
    """Return the ball solved from its own counts."""
    from solver.measuring.tension import fit_ball

    return fit_ball(
        stitches,
        found.gauge,
        girth_mm=girth,
        height_mm=height,
        tape_mm=tape,
    )


def _write(out: Path, found: Measured, ball: BallFit | None) -> None:
    """Write the gauge file, unless the ball contradicts its gauge."""
    from solver.files.outfile import replacing
    from solver.wanted.gauge import GREATEST_STRETCH

    if ball and ball.stretch > GREATEST_STRETCH:
        rule = f"a ball for a gauge file stretches its fabric by at most {GREATEST_STRETCH:.0%}"
        raise InputError(Problem(rule, remedy="Measure gauge and ball again.", file=str(out)))
    with replacing(out) as temporary:
        temporary.write_text(_gauge_file(found, ball), encoding="utf-8")
    click.echo(
        f"Written to {shown(str(out))}. "
        f'A part file takes it with gauge = "{shown(out.name)}" above its tables.',
        err=True,
    )


def _three(text: str, example: str) -> tuple[float, float, float]:
    """Return two counts and a length; 10 cm where no length is given."""
    from solver.partfile.gaugetext import two_counts

    first, second, length = two_counts(text, example=example)
    if second is None:
        remedy = f"Write it like {example}."
        raise InputError(Problem("two counts and a length, all above zero", got=text, remedy=remedy))
    return first, second, length


def _counts(text: str) -> tuple[int, ...]:
    """Return counts from "6 12 18 18x3 12 6"."""
    found: list[int] = []
    for word in re.sub(r"\s*([x×*])\s*", "x", text).replace(",", " ").split():
        match = _REPEATED.fullmatch(word)
        if not match or not 1 <= int(match[2] or 1) <= 500 or not 1 <= int(match[1]) <= 2000:
            remedy = 'Write it like "6 12 18 18x3 12 6": 18x3 is three rounds of 18.'
            raise InputError(
                Problem("counts are whole numbers of stitches, round by round", got=word, remedy=remedy)
            )
        found += [int(match[1])] * int(match[2] or 1)
    if len(found) < LEAST_ROUNDS:
        rule = f"a ball has at least {LEAST_ROUNDS} rounds"
        raise InputError(Problem(rule, got=text, remedy="Give every round."))
    return tuple(found)


def _weight(text: str) -> Any:
    from solver.trade import yarn_weights

    for weight in yarn_weights():
        if text.strip().lower() in (weight.name, str(weight.number), *weight.also):
            return weight
    known = ", ".join(f"{weight.number} {weight.name}" for weight in yarn_weights())
    raise InputError(
        Problem("a yarn weight is one of the standard table", got=text, remedy=f"Known: {known}.")
    )


def _told(found: Measured, ball: BallFit | None) -> list[str]:
    gauge = found.gauge
    across, along = found.on_reference(ball)
    lines = [
        f"Gauge from {found.origin}: {100 / gauge.stitch_width:.3g} stitches and "
        f"{100 / gauge.row_height:.3g} rounds to 10 cm.",
        f"A stitch is {gauge.stitch_width:.2f} mm wide (give or take {100 * found.width_error:.1f} %), a "
        f"round {gauge.row_height:.2f} mm tall (give or take {100 * found.row_error:.1f} %).",
        f"On a part of 100 mm {'the gauge and the ball together leave' if ball else 'that is'} "
        f"{across:.1f} mm of width and up to {along:.1f} mm of height.",
    ]
    if found.is_guess:
        lines.append(
            "This is a guess from the Craft Yarn Council's standard table (guidelines only), worked tighter "
            "as toys are (common practice). Measure a swatch or a circle before you trust it."
        )
    if gauge.heights != HEIGHTS:
        told = ", ".join(f"{name} {rows:.2g}" for name, rows in asdict(gauge.heights).items())
        lines.append(f"Stitches are so many rows of single crochet tall: {told}.")
    if ball:
        lines.append(
            f"Your stuffing stretches a ball's fabric by {ball.stretch:.1%}, "
            f"give or take {ball.pressure_error / ball.pressure:.0%} of that for the tape alone."
        )
        lines.append(
            f"Along a part the fabric is {ball.stiffness_ratio:.2f} times as stiff as round it (k_w/k_c), "
            f"give or take {ball.ratio_error / ball.stiffness_ratio:.0%}."
            if ball.has_height
            else f"With this stuffing the ball should be {ball.height:.0f} mm high. Give --height, and the "
            "fabric's stiffness along a part is measured too; now it is taken to be as stiff along as round."
        )
    return lines


def _data(found: Measured, ball: BallFit | None, warnings: tuple[str, ...]) -> dict[str, Any]:
    gauge = found.gauge
    across, along = found.on_reference(ball)
    return {
        "gauge": {
            "stitch_width_mm": gauge.stitch_width,
            "row_height_mm": gauge.row_height,
            "thickness_mm": gauge.thickness,
            "stiffness_ratio": gauge.stiffness_ratio,
            "lean": gauge.lean,
            "heights": asdict(gauge.heights),
        },
        "guess": found.is_guess,
        "origin": found.origin,
        "error": {
            "stitch_width": found.width_error,
            "row_height": found.row_error,
            "width_mm_on_100": across,
            "height_mm_on_100": along,
        },
        "ball": ball
        and {
            "pressure_over_stiffness_per_mm": ball.pressure,
            "pressure_error": ball.pressure_error,
            "stiffness_ratio": ball.stiffness_ratio,
            "stiffness_ratio_error": ball.ratio_error,
            "stretch": ball.stretch,
            "fabric_stretch": ball.fabric_stretch,
            "height_mm": ball.height,
        },
        "warnings": list(warnings),
    }


def _gauge_file(found: Measured, ball: BallFit | None) -> str:
    gauge = found.gauge
    lines = [
        f"# From {found.origin}.",
        'over = "10 cm"',
        f"stitches = {100 / gauge.stitch_width:.6g}   # give or take {100 * found.width_error:.1f} %",
        f"rows = {100 / gauge.row_height:.6g}   # give or take {100 * found.row_error:.1f} %",
    ]
    if gauge.thickness:
        lines.append(f'thickness = "{gauge.thickness:g} mm"')
    if gauge.lean is not None:
        lines.append(f"lean = {gauge.lean:.5g}   # stitches a round, above zero in the direction of work")
    if gauge.heights != HEIGHTS:
        told = ", ".join(f"{name} = {rows:.3g}" for name, rows in asdict(gauge.heights).items())
        lines.append(f"heights = {{ {told} }}   # in rows of single crochet")
    if not found.is_guess and ball:
        share = max(found.on_reference(ball)) / 100
        lines.append(f"error = {share:.3f}   # share by which sizes may be off, gauge and ball together")
    if ball:
        lines.append(f"stiffness_ratio = {gauge.stiffness_ratio:.5g}   # along a part over round it")
        lines += ["", "[stuffing]", f"stretch = {ball.stretch:.5g}   # your own ball, solved from its counts"]
    return "\n".join(["[gauge]", *lines]) + "\n"
