"""What counts that are all multiples of a number cost a round part, and what would fit instead."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from solver.errors import PlumplineError
from solver.notes import About, Note
from solver.search.making import Making
from solver.search.plain_judge import SIZE_ROWS, SIZE_SHARE
from solver.search.round_counts import Fit, fit
from solver.units import in_mm
from solver.wanted.outline import Outline

SCALES = (1.03, 0.97, 1.06, 0.94)
"""Times the drawing that are tried for one that fits, the nearest first."""


def multiple_notes(
    outline: Outline, making: Making, found: Fit, *, wall: tuple[float, float]
) -> Iterator[Note]:
    """Yield what a multiple costs where it moves a size, with the nearest multiple and size that fit.

    Parameters
    ----------
    outline : Outline
        The drawing, of the middle of the fabric.
    making : Making
        With its multiple.
    found : Fit
        The counts that were found.
    wall : tuple of two float
        What the fabric's thickness adds to width and height. [mm]
    """
    multiple = making.multiple
    if multiple == 1 or making.aim or _fits(outline, making, found):
        return
    width, height = found.form.width + wall[0], found.form.size + wall[1]
    told = (
        f"With every count a multiple of {multiple} it comes out {in_mm(height)} high and {in_mm(width)} "
        f"wide, drawn {in_mm(outline.height + wall[1])} and {in_mm(outline.width + wall[0])}."
    )
    lesser = [m for m in range(multiple - 1, 1, -1) if multiple % m == 0]
    less = next((m for m in lesser if _found(outline, making, m)), 1)
    told += f" multiple = {less} keeps its size"
    # a drawing that no lesser multiple suits is not worth the search for another of its sizes
    scales = SCALES if less > 1 or not lesser else ()
    scale = next((one for one in scales if _found(outline.scaled(one), making, multiple)), None)
    if scale:
        told += f"; multiple = {multiple} fits a drawing {in_mm(outline.height * scale + wall[1])} high"
    yield Note(f"{told}.", About.LIMIT)


def _found(outline: Outline, making: Making, multiple: int) -> bool:
    """Tell whether a multiple keeps the sizes of an outline."""
    with_it = replace(making, multiple=multiple)
    try:
        return _fits(outline, with_it, fit(outline, with_it))
    except PlumplineError:
        return False


def _fits(outline: Outline, making: Making, found: Fit) -> bool:
    """Tell whether height and width are within what plain rounds keep to."""
    off = np.array([found.form.size - outline.height, found.form.width - outline.width])
    allowed = np.maximum(
        SIZE_SHARE * np.array([outline.height, outline.width]), SIZE_ROWS * making.row_height
    )
    return bool((np.abs(off) <= allowed * (1 + 1e-9)).all())
