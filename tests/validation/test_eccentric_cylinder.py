"""A belly whose level circles are moved aside: an oblique circular cylinder, whose sizes are known.

Cavalieri: it holds pi r^2 h, however it leans. Its level sections are circles, 2 pi r round; square to its
axis, leaning by alpha, they are ellipses of the half axes r and r cos alpha (textbooks of solid geometry),
whose perimeter is by Ramanujan's second formula (Modular equations and approximations to pi, 1914; memory).
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.partfile import read
from solver.solving.solved import solve
from solver.wanted.part import BentPart

RADIUS, HEIGHT = 24.0, 80.0


def ellipse(a: float, b: float) -> float:
    """Return the perimeter of an ellipse."""
    h = ((a - b) / (a + b)) ** 2
    return float(np.pi * (a + b) * (1 + 3 * h / (10 + np.sqrt(4 - 3 * h))))


@pytest.mark.parametrize("degrees", [5.0, 12.0])
def test_girths_and_volume_of_an_oblique_cylinder(degrees: float) -> None:
    """Drawn: Cavalieri's volume. Worked: every round between the two perimeters, to 3 %."""
    aside = float(HEIGHT * np.tan(np.radians(degrees)))
    lines = [[[RADIUS, 0], [RADIUS + sign * aside, HEIGHT]] for sign in (1, -1)]
    text = (
        f'[gauge]\nstitches = 20\nrows = 21\n[shape]\nkind = "belly"\nfront = {lines[0]}\nback = {lines[1]}\n'
    )
    part = read(text, file="belly.toml", title="Belly")
    assert isinstance(part, BentPart)
    assert part.wanted.volume == pytest.approx(np.pi * RADIUS**2 * HEIGHT, rel=0.01)
    solved = solve(part)
    low = ellipse(RADIUS, RADIUS * np.cos(np.radians(degrees)))
    middle = solved.lie.girths[2:-2]
    assert (middle > 0.97 * low).all()
    assert (middle < 1.03 * 2 * np.pi * RADIUS).all()
