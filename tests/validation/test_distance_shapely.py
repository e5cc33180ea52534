"""The deviation of a form from its outline, judged by a general geometry library (shapely)."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from shapely.affinity import translate
from shapely.geometry import LineString, Point, Polygon

from solver.search.making import Making
from solver.search.round_counts import fit
from solver.wanted.gauge import Gauge, Stuffing
from solver.wanted.outline import Outline
from solver.wanted.silhouette import SAMPLES, deviation
from tests.outlines import WANTED

GAUGE = Gauge(stitch_width=5.0, row_height=4.8)


@pytest.mark.parametrize("name", WANTED)
@pytest.mark.parametrize("firmness", ["light", "very firm"])
def test_deviation(name: str, firmness: str) -> None:
    """Root mean square and greatest distance are those that shapely measures along the form."""
    wanted = WANTED[name](GAUGE)
    pressure = Stuffing.of_firmness(firmness).pressure(wanted.width / 2)
    form = fit(wanted, Making(stitch_width=5.0, row_height=4.8, pressure=pressure)).form
    got = deviation(form.points, wanted)
    drawn, made = LineString(wanted.points), LineString(form.points)
    up = (drawn.bounds[1] + drawn.bounds[3] - made.bounds[1] - made.bounds[3]) / 2
    made = translate(made, 0.0, up)
    places = [made.interpolate((k + 0.5) / SAMPLES, normalized=True) for k in range(SAMPLES)]
    distance = np.array([drawn.distance(place) for place in places])
    assert_allclose(got.rms, np.sqrt(np.mean(distance**2)), rtol=1e-6)
    assert_allclose(got.greatest, distance.max(), rtol=1e-6)
    assert_allclose(drawn.distance(Point(got.place)), got.greatest, rtol=1e-6)
    # a distance changes by no more than the way gone, here half way to the next place
    assert_allclose(got.greatest, directed_hausdorff(made, drawn), atol=made.length / SAMPLES / 2)
    assert_allclose(got.raised, up, atol=1e-9)


def directed_hausdorff(line: LineString, other: LineString) -> float:
    """Return the greatest distance of a line's points from another, by a dense sampling."""
    return max(other.distance(line.interpolate(at, normalized=True)) for at in np.linspace(0, 1, 4001))


@pytest.mark.parametrize("name", ["ball", "necked pear", "pill"])
def test_grown_outline(name: str) -> None:
    """An outline that shapely grows by half a millimetre all round deviates by just that."""
    wanted = WANTED[name](GAUGE)
    mirrored = wanted.points[::-1] * [-1.0, 1.0]
    grown = Polygon(np.vstack([wanted.points, mirrored])).buffer(0.5, quad_segs=64).exterior
    right = np.array([point for point in grown.coords if point[0] >= 0])
    right = right[np.argsort(right[:, 1])]
    outside = Outline(np.vstack([[0.0, right[0, 1]], right, [0.0, right[-1, 1]]]))
    got = deviation(outside.points, wanted)
    assert_allclose([got.rms, got.greatest], 0.5, rtol=0.01)
    assert_allclose([got.height, got.width], 1.0, rtol=0.01)
