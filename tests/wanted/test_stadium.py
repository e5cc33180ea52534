"""The wanted surface of an elongated part, against general geometry libraries."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from shapely import unary_union
from shapely.geometry import LineString, Point, Polygon

from solver.errors import InputError
from solver.form.views import wanted_outline
from solver.wanted.stadium import Stadium, domed, seamed, soled

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


PROFILE = [[0, 0], [20, 10], [20, 30], [5, 40]]
SIDES = [[5, 60], [15, 20], [30, 50]]


def section(wanted: Stadium, z: float) -> Polygon:
    """Return a horizontal section of a part whose profile and sides are PROFILE and SIDES."""
    a, rho = (np.interp(z, *np.transpose(table)) for table in (SIDES, np.array(PROFILE)[:, ::-1]))
    return LineString([(-a / 2, 0), (a / 2, 0)]).buffer(rho, quad_segs=64)


def test_sides_that_change_with_the_height() -> None:
    """Volume, length, girth and the view from above are those of its sections, laid together (shapely)."""
    wanted = Stadium.tapered(PROFILE, SIDES)
    levels = (np.arange(800) + 0.5) / 20
    sections = [section(wanted, z) for z in levels]
    assert_allclose(wanted.volume, sum(each.area for each in sections) / 20, rtol=POLYGON)
    assert_allclose(wanted.girth, max(each.length for each in sections), rtol=10 * POLYGON)  # 0.025 mm levels
    above = unary_union(sections)
    assert_allclose(wanted.length, above.bounds[2] - above.bounds[0], rtol=10 * POLYGON)
    drawn = Polygon(wanted_outline(wanted, "plan"))
    assert drawn.symmetric_difference(above).area < 10 * POLYGON * above.area
    front = wanted_outline(wanted, "front")
    assert_allclose(np.ptp(front[:, 0]), wanted.length)
    assert not wanted.is_even


def test_distance_from_ends_that_run_out() -> None:
    """Where sides change with the height: at tips and sides as shapely has it, else as to dense points."""
    wanted = Stadium.tapered(PROFILE, SIDES)
    rho, z = wanted.profile.T
    tip = LineString(np.column_stack([wanted.straights / 2 + rho, z]))
    side = LineString(wanted.profile)
    for up in (10.0, 15.0, 25.0):
        half = float(np.interp(up, z, wanted.straights)) / 2
        level = float(np.interp(up, z, rho))
        for out in (2.0, 5.0):
            beyond, beside = wanted.distance([[half + level + out, 0, up], [0, level + out, up]])
            assert_allclose(beyond, tip.distance(Point(half + level + out, up)), rtol=1e-6)
            assert_allclose(beside, side.distance(Point(level + out, up)), rtol=1e-9)
    angle, level = np.meshgrid(np.linspace(0, np.pi / 2, 181), np.linspace(0, 40, 401))
    radius = np.interp(level, z, rho)
    along = np.interp(level, z, wanted.straights) / 2 + radius * np.cos(angle)
    ends = np.stack([along, radius * np.sin(angle), level], axis=-1).reshape(-1, 3)
    share, level = np.meshgrid(np.linspace(0, 1, 101), np.linspace(0, 40, 401))
    sides = np.stack(
        [share * np.interp(level, z, wanted.straights) / 2, np.interp(level, z, rho), level], axis=-1
    )
    surface = np.concatenate([ends, sides.reshape(-1, 3)])
    random = np.random.default_rng(3).uniform([15, 0, 2], [50, 25, 38], (60, 3))
    outer = random[wanted.distance(random) > 0]
    least = np.linalg.norm(outer[:, None] - surface, axis=2).min(axis=1)
    got = wanted.distance(outer)
    assert_allclose(got, least, atol=0.03)  # the surface is sampled; its points lie up to 0.3 mm apart


def test_one_length_stands_for_all() -> None:
    """Of a cylinder's sides it is the mean over the height; of equal ones their length, all as before."""
    cylinder = [[20, 0], [20, 40]]
    assert_allclose(Stadium.tapered(cylinder, [[0, 10], [20, 50], [40, 10]]).straight, 30)
    even = Stadium.tapered(PROFILE, [[0, 30], [40, 30]])
    assert even.is_even
    assert_allclose(even.volume, Stadium(30, PROFILE).volume)
    assert_allclose(even.reshaped([[0, 0], [9, 9]]).straight, 30)


def test_wrong_sizes_are_refused() -> None:
    """A part longer across than along, or with no circle on its sole, is refused with the way out."""
    with pytest.raises(InputError, match="Give length the larger size"):
        seamed(length=40, width=50, height=30)
    with pytest.raises(InputError, match="from half its width to its whole width high"):
        soled(length=140, width=60, height=20)
