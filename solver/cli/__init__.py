"""The command line: `plumpline rounds`, `compare`, `preview`, `shapes`, `proof` and `trace`.

Each command imports what it needs when it runs, so that `--help` and mistakes are answered at once.
"""

from __future__ import annotations

import io
import sys
from typing import Any

import click

from solver.cli.compare import compare
from solver.cli.preview import preview
from solver.cli.proof import proof
from solver.cli.rounds import rounds
from solver.cli.shapes import shapes
from solver.cli.trace import trace
from solver.errors import PlumplineError


class _Telling(click.Group):
    """A group of commands that tells what is wrong, where others would show a traceback."""

    def invoke(self, ctx: click.Context) -> Any:
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="replace")  # terminals that don't know a letter still get the rest
        try:
            return super().invoke(ctx)
        except PlumplineError as error:
            click.echo(str(error), err=True)
            ctx.exit(2)


@click.group(cls=_Telling, context_settings={"help_option_names": ["-h", "--help"]})
def main() -> None:
    """Turn the shape of a stuffed toy part into written rounds of single crochet.

    A part file tells gauge, stuffing and shape. The rounds that come out are proved: their stuffed form is
    worked out, and told beside the form that was wanted.
    """


for command in (rounds, compare, preview, shapes, proof, trace):
    main.add_command(command)
