"""`plumpline trace` of parts that bend or stand out in front: sketches from the side."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.work import say_written
from solver.errors import InputError, Problem, shown

if TYPE_CHECKING:
    from solver.tracing.limb import Limb


def trace_limb(
    file: Path, side_view: Path | None, *, limb: bool, out: Path | None, check: Path, said: Mapping[str, Any]
) -> None:
    """Write the part file of a limb's side view, or of a front and a side view, and the check picture.

    Raises
    ------
    InputError
        If both are asked for, or a picture holds no shape.
    """
    from solver.files.outfile import replacing
    from solver.tracing.limb import belly_of, limb_of
    from solver.tracing.trace import Wanted
    from solver.wanted.gauge import Gauge
    from viz.figure import save_figure
    from viz.trace import draw_trace

    if limb and side_view:
        rule = "a limb is read from its side view alone, a belly from a front and a side view"
        raise InputError(Problem(rule, got="--limb and --side-view", remedy="Leave one of them out."))
    gauge = Gauge.from_swatch(stitches=said["stitches"], rows=said["rows"], over_mm=said["over"])
    wanted = Wanted(
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        open_first=said["start"] == "open",
        open_last=said["finish"] == "open",
        **{name: said[name] for name in ("height", "width", "side", "first")},
    )
    found = belly_of(file, side_view, wanted) if side_view else limb_of(file, wanted)
    text = _text(found, name=file.name, said=said)
    if out is not None:
        with replacing(out) as temporary:
            temporary.write_text(text, encoding="utf-8")
    save_figure(draw_trace(found.seen, title=(side_view or file).name).figure, check, dpi=140)
    click.echo("\n".join([*found.notes, f"Check picture written to {shown(str(check))}"]), err=True)
    if out is None:
        click.echo(text, nl=False)
    else:
        say_written(out, "Part file written")


def _text(found: Limb, *, name: str, said: Mapping[str, Any]) -> str:
    """Return the part file."""
    stem = "".join(letter for letter in Path(name).stem if letter.isprintable()).replace("-", " ")
    lines = [
        f"# Traced from {json.dumps(shown(name), ensure_ascii=False)}. Put your own gauge in.",
        "# Lengths are in mm, the first worked first: edit the points as you like.",
        *(f"# {shown(note)}" for note in found.notes),
        f"title = {json.dumps(stem[:100].capitalize() or 'Traced part', ensure_ascii=False)}",
        "",
        "[gauge]",
        *(f"{key} = {said[key]:g}" for key in ("stitches", "rows", "over")),
        "",
        "[shape]",
        f'kind = "{found.kind}"',
    ]
    for key, points in found.shape:
        lines += [f"{key} = [", *(f"  [{x:g}, {y:g}]," for x, y in points.tolist()), "]"]
    lines += [
        "",
        "[work]",
        f'start = "{said["start"] or "ring"}"',
        f'finish = "{said["finish"] or "cinched"}"',
    ]
    return "\n".join([*lines, ""])
