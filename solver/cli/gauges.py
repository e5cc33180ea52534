"""A gauge as one tells it on the command line: as every file spells it, or a gauge file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from solver.wanted.gauge import Gauge, Stuffing


def gauge_told(text: str, *, place: str = "--gauge") -> tuple[Gauge, Stuffing | None]:
    """Return the gauge that a text like "20 x 22 over 10 cm" tells, or that a gauge file holds.

    Of a file the stuffing too, where it has one.

    Raises
    ------
    InputError
        If it can't be understood, or the file can't be read.
    """
    from solver.partfile.gaugefile import load_gauge
    from solver.partfile.gaugetext import SPELLING, two_counts
    from solver.wanted.gauge import Gauge

    if text.lower().endswith(".toml"):
        return load_gauge(Path(text))
    stitches, rows, over = two_counts(text, example=SPELLING, place=place)
    return Gauge.from_swatch(stitches=stitches, rows=rows, over_mm=over), None
