"""What `compare` and `preview` do with oval parts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click
import numpy as np

from solver.cli.work import solved_oval
from solver.units import in_mm

if TYPE_CHECKING:
    from solver.oval_solution import OvalSolution
    from solver.partfile import OvalPart

SECTIONS = 5
"""Rounds whose sections are drawn, at the most."""


def compare_oval(part: OvalPart, out: Path) -> None:
    """Draw the views of an oval part over the wanted ones, and tell its sizes."""
    from solver.cli.report import oval_sizes

    solution = solved_oval(part)
    from viz.figure import save_figure
    from viz.oval_comparison import OvalRow, draw_oval_comparison

    form, wanted = solution.form, part.wanted
    rows = [OvalRow("length", wanted.length, form.length), OvalRow("width", wanted.width, form.width)]
    if not part.is_flat:
        rows.append(OvalRow("height", wanted.height, form.height))
        rows.append(OvalRow("volume", wanted.volume, form.volume))
    thickness = 0.0 if part.is_flat else part.gauge.thickness
    footnote = (
        f"Sizes are to the middle of the fabric, which is {in_mm(thickness)} thick." if thickness else ""
    )
    axes = draw_oval_comparison(
        solution.views, _sections(solution), rows, title=part.title, footnote=footnote
    )
    save_figure(axes[0].figure, out)
    click.echo("\n".join([part.title, *oval_sizes(solution)]))


def _sections(solution: OvalSolution) -> list[tuple[int, np.ndarray]]:
    """Return a few rounds from the chain to the widest, which hide none of each other from above."""
    rings = solution.form.rings[1 : len(solution.piece.rounds) + 1]
    widest = 1 + int(np.argmax([np.ptp(ring[:, 1]) for ring in rings]))
    numbers = sorted({round(number) for number in np.linspace(1, widest, min(SECTIONS, widest)).tolist()})
    fabric = solution.form.fabric
    return [(number, solution.points[fabric.rings[number], :2]) for number in numbers]
