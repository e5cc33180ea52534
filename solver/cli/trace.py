"""`plumpline trace`: the outline in a sketch, a drawing or a model, as a part file to edit."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.gauges import gauge_told
from solver.cli.work import PART_RESULT, RESULT, Finite, length, say_written
from solver.errors import InputError, Problem, shown

if TYPE_CHECKING:
    from solver.tracing.trace import Trace


@click.command(
    short_help="Read the outline in a sketch, a drawing or a model.",
    epilog="\b\nExample, a pencil sketch of a gull's head that shall be 7 cm high:\n"
    '  plumpline trace samples/sketches/gull.jpg --height "7 cm" --out gull.toml',
)
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--height", callback=length, metavar="LENGTH", help='Finished size along the axis, such as "9 cm".'
)
@click.option(
    "--width", callback=length, metavar="LENGTH", help="Finished size across it, in place of the height."
)
@click.option("--out", type=PART_RESULT, metavar="FILE", help="The part file; left out: on the screen.")
@click.option(
    "--picture",
    type=RESULT,
    metavar="FILE",
    help="The check picture: .png, .svg or .pdf. Left out: FILE-trace.png in the folder where you are.",
)
@click.option(
    "--axis",
    default="auto",
    metavar="WORD",
    help="How the axis lies: auto, vertical or horizontal; for a model a direction such as 0,0,1.",
)
@click.option(
    "--side", type=click.Choice(["both", "left", "right"]), default="both", help="Which side is taken."
)
@click.option(
    "--drawn",
    type=click.Choice(["auto", "whole", "half"]),
    default="auto",
    help="Whether the whole shape is drawn, or one half beside a straight axis.",
)
@click.option(
    "--first",
    type=click.Choice(["auto", "bottom", "top", "left", "right"]),
    default="auto",
    help="The end that is worked first.",
)
@click.option(
    "--start",
    type=click.Choice(["ring", "open", "chain"]),
    help="Whether the first end is open: ring (left out), or open; an oval starts on a chain.",
)
@click.option(
    "--finish",
    type=click.Choice(["cinched", "open", "seamed"]),
    help="Whether the last one is; left out: cinched, or seamed for an oval.",
)
@click.option(
    "--plan",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A second sketch, from above, for an oval.",
)
@click.option("--limb", is_flag=True, help="A limb that bends, seen from the side: its middle line is found.")
@click.option(
    "--side-view",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A second sketch, from the side, facing right, for a part that stands out in front.",
)
@click.option("--shows", type=click.Choice(["length", "width"]), help="With a plan: what the front shows.")
@click.option("--element", metavar="ID", help="The element of an SVG drawing to read.")
@click.option(
    "--unit", type=click.Choice(["mm", "cm", "m", "in"]), help="What the numbers of a model are in."
)
@click.option(
    "--tolerance",
    type=Finite(),
    help="How far a model may lie from a round or oval body, of its width: 0.08.",
)
@click.option("--gauge", metavar="TEXT", help='Your gauge, like "20 x 22 over 10 cm", or a gauge file.')
@click.option("--stitches", type=float, default=20.0, show_default=True, help="Or: stitches ...")
@click.option("--rows", type=float, default=20.0, show_default=True, help="... and rounds ...")
@click.option("--over", callback=length, default="10 cm", show_default=True, help="... over this length.")
def trace(file: Path, out: Path | None, picture: Path | None, **said: Any) -> None:
    """Read the outline in a sketch (PNG, JPEG, WebP), a drawing (SVG) or a model (STL, OBJ, PLY, GLB).

    What was read is drawn over the picture: look at it. The outline is written as a part file whose points
    can be edited, ready for `plumpline rounds`.
    """
    from solver.files.outfile import extension_of, replacing
    from viz.figure import PICTURE_EXTENSIONS, save_figure
    from viz.trace import draw_trace

    check = picture or Path(f"{file.stem}-trace.png")
    extension_of(check, PICTURE_EXTENSIONS, what="a picture")
    if gauge := said.pop("gauge"):
        size, _ = gauge_told(gauge)
        said |= {"stitches": 100 / size.stitch_width, "rows": 100 / size.row_height, "over": 100.0}
    ends = {"start": said["start"], "finish": said["finish"]}
    limb, side_view = said.pop("limb"), said.pop("side_view")
    if limb or side_view:
        from solver.cli.tracelimb import trace_limb

        trace_limb(file, side_view, limb=limb, out=out, check=check, said=said)
        return
    try:
        found = _traced(file, **said)
        _suits(found, **ends, file=file.name)
    except InputError as error:
        _refused_picture(error, picture, title=file.name)
        raise
    swatch = {name: said[name] for name in ("stitches", "rows", "over")}
    text = part_text(found, name=file.name, **swatch, **ends)
    if out is not None:
        with replacing(out) as temporary:
            temporary.write_text(text, encoding="utf-8")
    save_figure(draw_trace(found.seen, title=file.name).figure, check, dpi=140)
    _tell_what_is_missing(text)
    click.echo("\n".join([*found.notes, f"Check picture written to {shown(str(check))}"]), err=True)
    if out is None:
        click.echo(text, nl=False)
    else:
        say_written(out, "Part file written")


def _tell_what_is_missing(text: str) -> None:
    """Tell why a part file that was traced can't be worked, where it can't at its size and gauge."""
    from solver.partfile import read

    try:
        read(text, file="", title="")
    except InputError as error:
        for problem in error.problems:
            click.echo(
                f"It can't be worked as it is: {Problem(problem.rule, problem.got, problem.remedy)}", err=True
            )


def _traced(file: Path, **said: Any) -> Trace:
    """Return what is read in a file, as the options say."""
    from solver.tracing.files import Choice, kind_of, trace_file
    from solver.tracing.trace import Wanted
    from solver.wanted.gauge import Gauge

    kind, axis = kind_of(file), said["axis"]
    gauge = Gauge.from_swatch(stitches=said["stitches"], rows=said["rows"], over_mm=said["over"])
    direction = _direction(axis) if kind == "model" and axis != "auto" else None
    wanted = Wanted(
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        axis="auto" if direction else axis,
        open_first=said["start"] == "open",
        open_last=said["finish"] == "open",
        **{name: said[name] for name in ("height", "width", "side", "drawn", "first")},
    )
    only = {name: said[name] for name in ("plan", "shows", "element", "tolerance", "unit")}
    return trace_file(file, wanted, Choice(axis=direction, **only), kind=kind)


def _refused_picture(error: InputError, picture: Path | None, *, title: str) -> None:
    """Draw how far a refused model is from a round body where a picture was asked for; else tell of it."""
    from solver.files.outfile import together
    from solver.tracing.trace import Seen
    from viz.figure import save_figure
    from viz.trace import draw_trace

    seen = getattr(error, "seen", None)
    if not isinstance(seen, Seen):
        return
    if picture is None:
        click.echo("Add --picture FILE.png to see how far it is from a round body.", err=True)
        return
    with together():  # asked for beside the refusal, so it stays
        save_figure(draw_trace(seen, title=title).figure, picture, dpi=140)
    click.echo(f"How far it is from a round body is drawn in {shown(str(picture))}", err=True)


def part_text(
    found: Trace,
    *,
    name: str,
    stitches: float,
    rows: float,
    over: float,
    start: str | None = None,
    finish: str | None = None,
) -> str:
    """Return the part file of a trace.

    Parameters
    ----------
    found : Trace
    name : str
        Of the file that was traced.
    stitches, rows, over : float
        The gauge: stitches and rounds over a length. [mm]
    start, finish : str or None
        As in the part file; None as is usual for the shape.
    """
    sides = found.sides(stitch_width=over / stitches)
    usual = ("ring", "cinched") if sides is None else ("chain", "seamed")
    drawn_out = [] if sides is None else ['section = "oval"', f"straight = {_written(sides)}"]
    stem = "".join(letter for letter in Path(name).stem if letter.isprintable()).replace("-", " ")
    title = json.dumps(stem[:100].capitalize() or "Traced part", ensure_ascii=False)
    points = "\n".join(f"  [{radius:g}, {height:g}]," for radius, height in found.points)
    return "\n".join(
        [
            f"# Traced from {json.dumps(shown(name), ensure_ascii=False)}. Put your own gauge in.",
            "# The points are [radius, height] in mm, the first worked first: edit them as you like.",
            *(f"# {shown(note)}" for note in found.notes),
            f"title = {title}",
            "",
            "[gauge]",
            f"stitches = {stitches:g}",
            f"rows = {rows:g}",
            f"over = {over:g}",
            "",
            "[shape]",
            'kind = "outline"',
            "points = [",
            points,
            "]",
            *drawn_out,
            "",
            "[work]",
            f'start = "{start or usual[0]}"',
            f'finish = "{finish or usual[1]}"',
            "",
        ]
    )


def _written(sides: float | tuple[tuple[float, float], ...]) -> str:
    """Return straight sides as in the part file: one length, or [height, length] pairs. [mm]"""
    if isinstance(sides, float):
        return f"{sides:g}"
    return f"[{', '.join(f'[{height:g}, {length:g}]' for height, length in sides)}]"


def _suits(found: Trace, *, start: str | None, finish: str | None, file: str) -> None:
    """Raise an error where the ends that were asked for belong to another kind of part."""
    is_oval = found.straight is not None
    rule = (
        "this shape is elongated: it starts on a chain"
        if is_oval
        else "this shape is round: no chain, no seam"
    )
    unfit = {"--start": start in ("ring", "open") if is_oval else start == "chain"}
    unfit["--finish"] = not is_oval and finish == "seamed"
    problems = [
        Problem(rule, got=f'"{given}"', remedy=f"Leave {place} out.", place=place, file=file)
        for place, given in (("--start", start), ("--finish", finish))
        if unfit[place]
    ]
    if problems:
        raise InputError(*problems)


def _direction(written: str) -> tuple[float, float, float]:
    """Return a direction in space as written on the command line: three numbers."""
    try:
        x, y, z = (float(part) for part in written.strip("[] ").split(","))
    except ValueError:
        rule = "the axis of a model is a direction in space"
        raise InputError(
            Problem(rule, got=f'"{written}"', remedy="Write --axis 0,0,1.", place="--axis")
        ) from None
    return x, y, z
