"""The wanted surface of an elongated part, against general geometry libraries."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from shapely.geometry import LineString, Point

from solver.errors import InputError
from solver.stadium import Stadium, domed, seamed, soled

POLYGON = 2e-4
"""The profiles are polylines of 361 points, and shapely's half circles polygons of 256 sides."""


@pytest.mark.parametrize(
    "wanted", [seamed(length=90, width=45, height=30), domed(length=60, width=42, height=30)]
)
def test_volume_is_that_of_its_sections(wanted: Stadium) -> None:
    """The volume is the integral over the height of the area of a segment's buffer (shapely)."""
    segment = LineString([(-wanted.straight / 2, 0), (wanted.straight / 2, 0)])
    angle = (np.arange(400) + 0.5) / 400 * np.pi  # dense where the profile is steep
    share = (1 - np.cos(angle)) / 2
    z = wanted.height * share
    dz = wanted.height * np.sin(angle) / 2 * np.pi / 400
    rho = np.interp(z, wanted.profile[:, 1], wanted.profile[:, 0])
    area = [segment.buffer(each, quad_segs=64).area for each in rho]
    assert_allclose(wanted.volume, np.dot(area, dz), rtol=10 * POLYGON)


def test_sizes_are_as_asked() -> None:
    """Length, width and height of the three surfaces are those they are made for, and so is the sole."""
    for make in (seamed, domed, soled):
        wanted = make(length=140, width=60, height=50)
        assert_allclose([wanted.length, wanted.width, wanted.height], [140, 60, 50], rtol=POLYGON)
    # a chord of a circle of 60 mm, 50 mm high: 2 sqrt(50 (60 - 50)) wide
    assert_allclose(2 * soled(length=140, width=60, height=50).profile[1, 0], 2 * np.sqrt(500), rtol=1e-12)
    assert_allclose(seamed(length=90, width=45, height=45).girth, 2 * 45 + np.pi * 45, rtol=POLYGON)


def test_distance_in_the_middle_plane_is_shapelys() -> None:
    """In the plane across the middle it is the distance from profile and mirror image, inside negative."""
    wanted = seamed(length=90, width=45, height=30)
    mirror = wanted.profile[::-1] * [-1, 1]
    outline = LineString([*wanted.profile, *mirror])
    rng = np.random.default_rng(3)
    y, z = rng.uniform(-30, 30, 50), rng.uniform(-5, 35, 50)
    expected = [outline.distance(Point(*each)) for each in zip(y, z, strict=True)]
    ours = wanted.distance(np.column_stack([np.zeros(50), y, z]))
    assert_allclose(np.abs(ours), expected, atol=1e-9)
    inside = (y / 22.5) ** 2 + ((z - 15) / 15) ** 2 < 1
    assert ((ours < 0) == inside).all()


def test_distance_is_the_same_all_along() -> None:
    """Moving along the straight sides, or turning about an end, changes no distance."""
    wanted = domed(length=100, width=40, height=30)
    there = wanted.distance([[0, 25, 12], [20, 25, 12], [30 + 25, 0, 12], [30 + 25 * 0.6, 25 * 0.8, 12]])
    assert_allclose(there, there[0], atol=1e-9)


def test_places_go_round_evenly() -> None:
    """Places round a section are as far from each other as its girth over their number, first end first."""
    wanted = domed(length=60, width=42, height=30)
    places = wanted.perimeter_places(80, height_share=1.0, first=0.5)
    steps = np.linalg.norm(np.diff(np.vstack([places, places[:1]]), axis=0), axis=1)
    assert_allclose(steps, wanted.girth / 80, rtol=0.002)  # chords of arcs
    assert places[0, 0] > 29.9
    assert places[0, 1] < 0  # clockwise from above
    assert_allclose(places[-1], places[0] * [1, -1], atol=1e-9)


def test_wrong_sizes_are_refused() -> None:
    """A part longer across than along, or with no circle on its sole, is refused with the way out."""
    with pytest.raises(InputError, match="Give length the larger size"):
        seamed(length=40, width=50, height=30)
    with pytest.raises(InputError, match="from half its width to its whole width high"):
        soled(length=140, width=60, height=20)
