"""`plumpline draw`: the page in the browser."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from solver.cli.work import Finite


@click.command(
    short_help="Draw a part in the browser, and see what it becomes.",
    epilog="\b\nExamples, a blank plumb line; a file; all files of a folder:\n"
    "  plumpline draw\n"
    "  plumpline draw samples/bollard.toml\n"
    "  plumpline draw samples",
)
@click.argument("path", metavar="[FILE|FOLDER]", required=False, type=click.Path(path_type=Path))
@click.option(
    "--port", type=click.IntRange(0, 65535), help="Where the page is served; 0: any free port. [7417]"
)
@click.option("--no-browser", is_flag=True, help="Only tell the address.")
@click.option(
    "--idle",
    type=Finite(0.01, 1440),
    default=20.0,
    show_default=True,
    metavar="MINUTES",
    help="End when no page was open for so long.",
)
def draw(path: Path | None, port: int | None, no_browser: bool, idle: float) -> None:
    """Open a page in the browser on which a part is drawn, and that shows at once what it becomes.

    It is served on this machine only. The first line that is printed is its address.
    """
    from solver.errors import InputError, Problem
    from solver.page.folder import Opened
    from solver.page.serve import serve

    path = path or Path()
    if not path.exists():
        rule, remedy = "there is a file or a folder to draw on", "Check the name; or leave it out."
        raise InputError(Problem(rule, remedy=remedy, file=str(path)))

    def tell(address: str) -> None:
        click.echo(address)
        sys.stdout.flush()
        click.echo("The page is at that address, on this machine alone. Ctrl+C ends it.", err=True)

    serve(Opened.at(path), port=port, browser=not no_browser, tell=tell, idle=idle * 60)
