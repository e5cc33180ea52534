"""Wanted outlines and gauges of our own making (invented data), for tests and benchmarks of the whole job."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from solver.arrays import Floats
from solver.wanted.gauge import Gauge
from solver.wanted.outline import Outline

POINTS = 400
"""Places at which a formula is drawn, evenly round the half turn from end to end."""


def turned(radius: Callable[[Floats], Floats], *, height: float, width: float) -> Outline:
    """Return the outline of a profile, sampled finer toward its ends, scaled to a height and a width.

    Parameters
    ----------
    radius : callable
        Radius over x, the axis from -1 (worked first) to 1; zero at both ends.
    height, width : float
        [mm]
    """
    x = -np.cos(np.linspace(0.0, np.pi, POINTS + 1))
    r = radius(x)
    r[[0, -1]] = 0.0
    return Outline(np.column_stack([r * width / 2 / r.max(), (x + 1) * height / 2]))


def round_end(x: Floats) -> Floats:
    """Return a half circle over x."""
    return np.sqrt(np.maximum(1 - x * x, 0.0))


def bump(x: Floats, *, at: float, wide: float) -> Floats:
    """Return a bell curve over x, 1 where it is highest."""
    return np.exp(-(((x - at) / wide) ** 2))


def ball(width: float) -> Outline:
    """Return a ball."""
    return turned(round_end, height=width, width=width)


def spheroid(*, height: float, width: float) -> Outline:
    """Return an ellipsoid of revolution."""
    return turned(round_end, height=height, width=width)


def pill(*, height: float, width: float) -> Outline:
    """Return two half balls and a straight tube between them."""
    turn = np.linspace(0.0, np.pi / 2, POINTS // 2)
    cap = width / 2 * np.column_stack([np.sin(turn), 1 - np.cos(turn)])
    return Outline(np.vstack([cap, [0.0, height] + cap[::-1] * [1.0, -1.0]]))


WANTED: dict[str, Callable[[Gauge], Outline]] = {
    "ball": lambda gauge: ball(68.0),
    "egg": lambda gauge: turned(lambda x: round_end(x) * (1 - 0.17 * x), height=84.0, width=62.0),
    "spindle": lambda gauge: turned(lambda x: round_end(x) * (1 - 0.45 * x * x), height=118.0, width=54.0),
    "necked pear": lambda gauge: turned(
        lambda x: round_end(x) * (1 - 0.72 * bump(x, at=0.35, wide=0.33)), height=112.0, width=66.0
    ),
    "skittle": lambda gauge: turned(
        lambda x: round_end(x) * (0.62 - 0.28 * np.tanh(3 * x - 0.4) + 0.1 * bump(x, at=0.75, wide=0.2)),
        height=128.0,
        width=56.0,
    ),
    "lentil": lambda gauge: spheroid(height=52.0, width=70.0),
    "drop": lambda gauge: turned(lambda x: round_end(x) * (1 - 0.55 * x), height=92.0, width=58.0),
    "pill": lambda gauge: pill(height=96.0, width=42.0),
    "small ball": lambda gauge: ball(21 * gauge.stitch_width / np.pi),
    "bottle": lambda gauge: turned(
        lambda x: round_end(x) ** 0.8 * (0.68 - 0.32 * np.tanh(5 * x - 1.25)), height=124.0, width=52.0
    ),
}
"""Ten wanted outlines by name; the small ball has 21 stitches round its middle at whatever gauge."""

GAUGES = tuple(
    Gauge(stitch_width=width, row_height=width * ratio)
    for width, ratio in (
        (3.2, 0.92), (3.6, 0.83), (4.0, 1.0), (4.4, 0.88), (4.8, 1.05),
        (5.0, 0.95), (5.4, 0.86), (5.9, 1.02), (6.5, 0.9), (7.2, 0.97),
    )
)  # fmt: skip
"""Ten gauges from fine cotton to thick wool, rows 0.83 to 1.05 times as tall as a stitch is wide."""
