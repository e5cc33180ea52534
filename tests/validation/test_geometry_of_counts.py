"""How many stitches more a round needs on a flat disc, a cone and a hyperbolic surface: geometry.

A flat disc wants 2 pi h / w more a round (any handbook: its girth grows by 2 pi a unit of radius; six more a
round at h / w = 0.955 is common practice, no source), a cone of half angle alpha sin(alpha) times that. Girth
on a pseudosphere of radius R shrinks as exp(-s / R), so fabric with every N-th stitch doubled in each round
lies on one of R / h = 1 / ln((N + 1) / N): D. Henderson and D. Taimina, "Crocheting the hyperbolic plane",
Math. Intelligencer 23(2), 2001, 17-28 (memory; recomputed).
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solver.search.making import Making
from solver.search.membrane import rest_fabric
from solver.search.round_counts import fit
from solver.wanted.outline import Outline

HARDLY_STUFFED = 1e-9
"""p/k at which fabric lies as it is. [1/mm]"""


@pytest.mark.parametrize(("w", "h", "more"), [(5.0, 5.0 * 0.955, 6.0), (5.0, 4.15, 5.2), (4.0, 4.0, 6.28)])
def test_flat_disc(w: float, h: float, more: float) -> None:
    """The flat bottom of a part wants 2 pi h / w stitches more in each round."""
    bottom = Outline(np.array([[0.0, 0.0], [60.0, 0.0], [60.0, 30.0]]))
    rest = rest_fabric(bottom, pressure=HARDLY_STUFFED, row_height=h)
    counts = np.interp(np.arange(1, 10) * h, rest.arc, rest.girth) / w
    assert_allclose(np.diff(counts), 2 * np.pi * h / w, rtol=1e-6)
    assert_allclose(np.diff(counts), more, rtol=5e-3)  # as the trade rounds it


@pytest.mark.parametrize("more", [1, 2, 3, 4, 5])
def test_cone(more: int) -> None:
    """A cone of sin(half angle) = n w / (2 pi h) wants n more a round, and that is what is written."""
    w, h = 5.0, 4.8
    sine = more * w / (2 * np.pi * h)
    length = 20 * h
    cone = Outline(np.array([[0.0, 0.0], [length * sine, length * np.sqrt(1 - sine**2)]]))
    rest = rest_fabric(cone, pressure=HARDLY_STUFFED, row_height=h)
    counts = np.interp(np.arange(2, 20) * h, rest.arc, rest.girth) / w
    assert_allclose(np.diff(counts), more, rtol=1e-6)
    making = Making(stitch_width=w, row_height=h, pressure=1e-4, finish_open=True)
    steps = np.diff(fit(cone, making).counts)
    # the ring has at least four, and free rounds next to a held edge may make up for the stretch
    assert_allclose(np.median(steps[3:-2]), more, atol=0.5)
    assert_allclose(steps[3:-2].mean(), more, atol=0.25)


@pytest.mark.parametrize(("every", "ratio"), [(3, 3.476), (6, 6.487)])
def test_hyperbolic_plane(every: int, ratio: float) -> None:
    """On a pseudosphere of R / h = 1 / ln((N + 1) / N) each round has one stitch more for N, all along."""
    assert_allclose(1 / np.log((every + 1) / every), ratio, rtol=2e-4)
    h, w = 4.5, 5.0
    radius = h / np.log((every + 1) / every)
    s = np.linspace(2.5 * radius, 0.05 * radius, 3000)  # from the narrow end to near the rim
    t = np.exp(-s / radius)
    height = radius * (np.arctanh(np.sqrt(1 - t * t)) - np.sqrt(1 - t * t))  # the tractrix, from its rim
    horn = Outline(np.column_stack([radius * t, height.max() - height]))
    rest = rest_fabric(horn, pressure=HARDLY_STUFFED, row_height=h)
    rows = np.arange(1, int(rest.length / h)) * h
    counts = np.interp(rows, rest.arc, rest.girth) / w
    assert_allclose(counts[1:] / counts[:-1], (every + 1) / every, rtol=2e-3)
