"""The command line: one module a command.

Each command imports what it needs when it runs, so that `--help` and mistakes are answered at once.
"""

from __future__ import annotations

import io
import logging
import os
import signal
import sys
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

import click

from solver.cli.chart import chart
from solver.cli.compare import compare
from solver.cli.draw import draw
from solver.cli.gauge import gauge
from solver.cli.places import places
from solver.cli.preview import preview
from solver.cli.proof import proof
from solver.cli.resize import resize
from solver.cli.rounds import rounds
from solver.cli.shapes import shapes
from solver.cli.sheet import sheet
from solver.cli.sweep import sweep
from solver.cli.toy import toy
from solver.cli.trace import trace
from solver.cli.tune import tune
from solver.cli.work import told_of_part
from solver.errors import Notice, PlumplineError
from solver.files.inputs import kept_whole
from solver.files.outfile import together


class _Telling(click.Group):
    """A group of commands that tells what is wrong, where others would show a traceback."""

    def invoke(self, ctx: click.Context) -> Any:
        _make_ready()
        try:
            with _ended_from_outside(), kept_whole(), together(), warnings.catch_warnings():
                warnings.showwarning = _told_once
                warnings.simplefilter("default", Notice)
                result = super().invoke(ctx)
                sys.stdout.flush()
                return result
        except PlumplineError as error:
            click.echo(told_of_part(error, ctx), err=True)
        except BrokenPipeError:
            raise  # whoever read us has seen enough: click ends without a word
        except OSError as error:
            _silence()
            click.echo(f"The result can't be written here: {error.strerror or error}.", err=True)
        except MemoryError:
            click.echo("This is more than fits in this computer's memory. Make it smaller.", err=True)
        ctx.exit(2)


def _told_once(message: Warning | str, category: type[Warning], *place: Any, **more: Any) -> None:
    """Tell a notice as a sentence; other warnings are for developers, and kept from makers."""
    if issubclass(category, Notice):
        click.echo(str(message), err=True)


def _make_ready() -> None:
    """Bring streams and surroundings, whatever we were started with, to a state that we can work in."""
    os.environ["MPLBACKEND"] = "agg"  # pictures go to files: one that was inherited may not be there
    # Where it keeps its fonts is no maker's matter.
    logging.getLogger("matplotlib").setLevel(logging.CRITICAL)
    if sys.stdin is None:
        sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115 - nothing comes from there
    if sys.stdout is None:
        sys.stdout = open(os.devnull, encoding="utf-8")  # noqa: SIM115 - writing to it fails, and that is told
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - there is nobody to tell
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # terminals that don't know a letter still get the rest


def _silence() -> None:
    """Let what is left in a standard output that can't be written to go nowhere when we end."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):
        return


@contextmanager
def _ended_from_outside() -> Iterator[None]:
    """Clear up when we are told to end, as when something went wrong: half-written files go."""

    def end(number: int, _frame: FrameType | None) -> None:
        raise SystemExit(128 + number)

    numbers = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    if threading.current_thread() is not threading.main_thread():
        numbers = []
    before = {number: signal.getsignal(number) for number in numbers}
    for number, handler in before.items():
        if handler is signal.SIG_DFL:
            signal.signal(number, end)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@click.group(
    cls=_Telling, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]}
)
@click.version_option(package_name="plumpline", prog_name="plumpline")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Turn the shape of a stuffed toy part into written rounds of single crochet.

    A part file tells gauge, stuffing and shape. The rounds that come out are proved: their stuffed form is
    worked out, and told beside the form that was wanted. Without a command: the page to draw on, as `draw`.
    """
    if ctx.invoked_subcommand is None:
        ctx.invoke(draw)


_COMMANDS = (
    *(draw, rounds, compare, preview, sheet, chart, places, toy),
    *(gauge, tune, resize, sweep, shapes, proof, trace),
)

for command in _COMMANDS:
    main.add_command(command)
