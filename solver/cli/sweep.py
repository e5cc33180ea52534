"""`plumpline sweep`: many parts, or one at many gauges, solved side by side."""

from __future__ import annotations

import csv
import io
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import replace
from multiprocessing import active_children, get_context, parent_process
from multiprocessing.connection import wait
from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.cli.progress import progress
from solver.cli.work import RESULT, part_of, say_written
from solver.errors import InputError, PlumplineError, Problem

if TYPE_CHECKING:
    from solver.wanted.part import AnyPart

COLUMNS = [
    "file",
    "stitches_to_10_cm",
    "rounds_to_10_cm",
    "rounds",
    "stitches",
    "length_mm",
    "height_mm",
    "width_mm",
    "girth_mm",
    "volume_ml",
    "deviation_rms_mm",
    "yarn_m",
    "yarn_g",
    "stuffing_g",
    "fault",
]
MOST_STEPS = 200

_TO_END = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]


@click.command(
    short_help="Solve many parts, or one at many gauges.",
    epilog="\b\nExamples, one part at nine gauges; all samples, into a table:\n"
    "  plumpline sweep samples/buoy.toml --gauge-from 16 --gauge-to 24\n"
    "  plumpline sweep samples/*.toml --out harbour.csv",
)
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--gauge-from", type=float, metavar="N", help="Stitches to 10 cm to begin with.")
@click.option("--gauge-to", type=float, metavar="N", help="Stitches to 10 cm to end with.")
@click.option("--steps", type=click.IntRange(2, MOST_STEPS), default=9, help="Gauges in all: 9.")
@click.option("--jobs", type=click.IntRange(1, 64), help="Processes at a time; left out: one a processor.")
@click.option("--out", type=RESULT, metavar="FILE", help="Write to this CSV file.")
def sweep(
    files: tuple[Path, ...],
    gauge_from: float | None,
    gauge_to: float | None,
    steps: int,
    jobs: int | None,
    out: Path | None,
) -> None:
    """Solve parts in parallel, and give a table (CSV) of their sizes and materials."""
    from solver.files.outfile import replacing

    gauges = _gauges(gauge_from, gauge_to, steps)
    work = [
        (str(file), _at(part, stitches)) for file in files for part in [part_of(file)] for stitches in gauges
    ]
    # fresh processes: forked ones would share the locks of libraries that run threads
    spawn = get_context("spawn")
    with (
        _ended_with_us(),
        ProcessPoolExecutor(jobs, mp_context=spawn, initializer=_end_with_parent) as pool,
        progress(f"Solving {len(work)} parts") as report,
    ):
        rows = []
        try:
            with _undisturbed():
                solved = pool.map(_row, work)
            for row in solved:
                rows.append(row)
                report(len(rows) / len(work))
        except BrokenProcessPool as error:
            rule = "a process that solves parts works to its end, and one was ended"
            remedy = "Free some memory, or give --jobs 1 and fewer or smaller parts."
            raise InputError(Problem(rule, remedy=remedy)) from error
    table = io.StringIO()
    writer = csv.DictWriter(table, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    if out is None:
        click.echo(table.getvalue(), nl=False)
        return
    with replacing(out) as temporary:
        temporary.write_text(table.getvalue(), encoding="utf-8")
    say_written(out)


@contextmanager
def _ended_with_us() -> Iterator[None]:
    """End the processes that work for us at once when we are ended, by whatever."""
    try:
        yield
    except BaseException:
        for child in active_children():
            child.kill()
        raise


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Let signals to end wait until our processes are started: half started, they would print a traceback."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _TO_END)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _end_with_parent() -> None:
    """Let this process end as soon as the one that it works for is gone, even if that was killed."""
    if hasattr(signal, "pthread_sigmask"):  # inherited from `_undisturbed`
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _TO_END)
    parent = parent_process()
    if parent is None:
        return

    def watch() -> None:
        wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def _gauges(first: float | None, last: float | None, steps: int) -> list[float | None]:
    """Return the stitches to 10 cm that each part is solved at; None for its own."""
    if first is None and last is None:
        return [None]
    if first is None or last is None or not (first > 0 and last > 0) or first == last:
        rule = "a sweep of gauges goes from one number of stitches to 10 cm to another, both above zero"
        raise InputError(Problem(rule, remedy="Give --gauge-from and --gauge-to."))
    return [first + (last - first) * step / (steps - 1) for step in range(steps)]


def _at(part: AnyPart, stitches: float | None) -> AnyPart:
    """Return the part at another gauge, rows in proportion."""
    if stitches is None:
        return part
    width = 100 / stitches
    gauge = replace(part.gauge, stitch_width=width, row_height=width * part.gauge.row_ratio)
    return replace(part, gauge=gauge)


def _row(work: tuple[str, AnyPart]) -> dict[str, object]:
    """Return a line of the table: a part solved, or what kept it from being solved."""
    from solver.solving.solved import solve

    file, part = work
    row: dict[str, object] = {
        "file": file,
        "stitches_to_10_cm": round(100 / part.gauge.stitch_width, 3),
        "rounds_to_10_cm": round(100 / part.gauge.row_height, 3),
    }
    try:
        solved = solve(part)
    except PlumplineError as error:
        return {**row, "fault": str(error)}
    got, takes = solved.got, solved.materials
    return {
        **row,
        "rounds": len(solved.piece.rounds),
        "stitches": takes.stitches,
        "length_mm": "" if got.length is None else round(got.length, 2),
        "height_mm": round(got.height, 2),
        "width_mm": round(got.width, 2),
        "girth_mm": round(got.girth, 2),
        "volume_ml": round(got.volume, 2),
        "deviation_rms_mm": round(solved.rms, 3),
        "yarn_m": round(takes.metres.value, 2),
        "yarn_g": round(takes.grams.value, 2),
        "stuffing_g": round(takes.stuffing.value, 2),
        "fault": "",
    }
