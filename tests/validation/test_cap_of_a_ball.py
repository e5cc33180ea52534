"""Caps on balls against their exact area, 2 pi R h.

Archimedes, On the Sphere and Cylinder, book I; Bronshtein and others, Handbook of Mathematics, spherical cap
(both from memory). The balls are invented.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from solver.partfile import read
from solver.solving.solved import solve

BALL = """[gauge]
stitches = 21
rows = 22
over = "10 cm"
lean = {lean}
[shape]
kind = "ball"
width = "{across} mm"
[colours]
main = "grey"
[[colours.patches]]
colour = "white"
shape = "ellipse"
laid = "straight"
width = {cap}
at = {at}
"""
SIDE = "{{ height = {}, turn = 37 }}"


@pytest.mark.parametrize(
    ("across", "cap", "at", "lean"),
    [
        (79, 49, '"bottom"', 0.0),
        (98, 44, '"top"', 0.4),
        (84, 46, SIDE.format(40), -0.4),
        (71, 42, SIDE.format(24), 0.2),
        (94, 50, SIDE.format(60), 0.4),
        (60, 40, SIDE.format(33), 0.0),
    ],
)
def test_a_cap_has_the_area_of_the_exact_cap(across: float, cap: float, at: str, lean: float) -> None:
    """Wanted, and stitched within one in forty; and about a pole it ends as a spiral does."""
    text = BALL.format(across=across, cap=cap, at=at, lean=lean)
    got = solve(read(text, file="cap", title="Cap"))
    radius = across / 2
    rise = radius - math.sqrt(radius**2 - cap**2 / 4)
    exact = 2 * math.pi * radius * rise
    shown = got.painted.shown[0]
    assert shown.wanted == pytest.approx(exact, rel=0.01)
    assert shown.stitches >= 40
    assert shown.stitched == pytest.approx(exact, rel=1 / 40)
    assert shown.rms <= 0.6
    if "height" not in at:
        mixed = [row for row in got.colours if len(set(row)) > 1]
        assert len(mixed) <= 1
        assert all(sum(a != b for a, b in pairwise(row)) == 1 for row in mixed)
