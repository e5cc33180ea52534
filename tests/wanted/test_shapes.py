"""Named shapes against handbook formulas and general reference libraries."""

import math
from collections.abc import Callable

import mpmath
import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString

from solver.errors import InputError
from solver.wanted.outline import Outline
from solver.wanted.shapes import named_shapes

# Chords of 400 equal angles of a half circle fall short by (pi/400)^2/24 = 2.6e-6, in area four times that.
POLYLINE = 2e-5
# The same, for an ellipse with axes of 1 to 3, whose chords are longer where it is flat.
POLYLINE_LONG = 1e-4


def outline(name: str, **sizes: float) -> Outline:
    """Return a named shape at these sizes, its ends as usual."""
    return named_shapes()[name].outline(sizes)


def surface(shape: Outline) -> float:
    """Return the area that an outline sweeps: first theorem of Pappus and Guldinus, chord by chord. [mm^2]"""
    r, lengths = shape.points[:, 0], np.hypot(*np.diff(shape.points, axis=0).T)
    return float(np.sum(np.pi * (r[1:] + r[:-1]) * lengths))


def spheroid_area(a: float, b: float, c: float) -> float:
    """Return the area of an ellipsoid, a >= b >= c, by DLMF 19.33.1 with its Legendre integrals."""
    phi = mpmath.acos(c / a)
    k2 = (a**2 * (b**2 - c**2)) / (b**2 * (a**2 - c**2))
    legendre = mpmath.ellipe(phi, k2) * mpmath.sin(phi) ** 2 + mpmath.ellipf(phi, k2) * mpmath.cos(phi) ** 2
    return float(2 * mpmath.pi * c**2 + 2 * mpmath.pi * a * b / mpmath.sin(phi) * legendre)


def test_ball() -> None:
    """A ball has the area pi d^2 and the volume pi d^3 / 6 (Archimedes, On the Sphere and Cylinder)."""
    ball = outline("ball", width=60.0)
    assert surface(ball) == pytest.approx(math.pi * 60**2, rel=POLYLINE)
    assert ball.volume == pytest.approx(math.pi * 60**3 / 6, rel=POLYLINE)
    np.testing.assert_array_equal(ball.points, outline("ball", height=60.0).points)


@pytest.mark.parametrize(("height", "width"), [(90.0, 50.0), (40.0, 75.0)])
def test_spheroid(height: float, width: float) -> None:
    """A spheroid has the area of DLMF 19.33.1, the volume pi h w^2 / 6, and GeographicLib's meridian."""
    spheroid = outline("spheroid", height=height, width=width)
    a, b, c = sorted((height / 2, width / 2, width / 2), reverse=True)
    assert surface(spheroid) == pytest.approx(spheroid_area(a, b, c), rel=POLYLINE_LONG)
    assert spheroid.volume == pytest.approx(math.pi * height * width**2 / 6, rel=POLYLINE_LONG)
    earth = Geodesic(width / 2, 1 - height / width)
    assert spheroid.length == pytest.approx(earth.Inverse(-90, 0, 90, 0)["s12"], rel=POLYLINE_LONG)


def test_capsule() -> None:
    """A capsule has the area pi w h, the volume pi (w^2 (h - w) / 4 + w^3 / 6) (any handbook)."""
    capsule = outline("capsule", height=110.0, width=40.0)
    assert surface(capsule) == pytest.approx(math.pi * 40 * 110, rel=POLYLINE)
    assert capsule.volume == pytest.approx(math.pi * (40**2 * 70 / 4 + 40**3 / 6), rel=POLYLINE)


def test_cone_and_frustum() -> None:
    """A cone and its frustum have the areas and volumes of any handbook.

    Lateral areas pi r s and pi (r + q) s; volumes pi r^2 h / 3 and pi h (r^2 + r q + q^2) / 3.
    """
    cone = outline("cone", height=60.0, width=50.0)
    assert surface(cone) == pytest.approx(math.pi * 25 * math.hypot(25, 60), rel=1e-12)
    assert cone.volume == pytest.approx(math.pi * 25**2 * 60 / 3, rel=1e-12)
    taper = outline("taper", height=100.0, first_width=40.0, last_width=64.0)
    lateral = math.pi * (20 + 32) * math.hypot(12, 100)
    assert surface(taper) == pytest.approx(lateral + math.pi * 20**2, rel=1e-12)  # its first end closed flat
    assert taper.volume == pytest.approx(math.pi * 100 * (20**2 + 20 * 32 + 32**2) / 3, rel=1e-12)


def test_lens() -> None:
    """A lens is two caps, each of area pi (a^2 + h^2) and volume pi h (3 a^2 + h^2) / 6 (any handbook)."""
    lens = outline("lens", height=40.0, width=80.0)
    assert surface(lens) == pytest.approx(2 * math.pi * (40**2 + 20**2), rel=POLYLINE)
    assert lens.volume == pytest.approx(2 * math.pi * 20 * (3 * 40**2 + 20**2) / 6, rel=POLYLINE)


def test_spindle() -> None:
    """A spindle has the area and volume of an arc turned about its chord.

    Area by the first theorem of Pappus and Guldinus, the centroid of an arc lying R sin(t) / t from its
    centre; volume by quadrature of pi r^2 over the height (mpmath).
    """
    height, width = 100.0, 40.0
    R = (height**2 / 4 + width**2 / 4) / width
    t = math.asin(height / 2 / R)
    spindle = outline("spindle", height=height, width=width)
    pappus = 2 * math.pi * (R * math.sin(t) / t - (R - width / 2)) * 2 * R * t
    assert surface(spindle) == pytest.approx(pappus, rel=POLYLINE)
    volume = mpmath.quad(
        lambda z: mpmath.pi * (mpmath.sqrt(R**2 - z**2) - (R - width / 2)) ** 2, [-height / 2, height / 2]
    )
    assert spindle.volume == pytest.approx(float(volume), rel=POLYLINE)


def test_egg() -> None:
    """An egg is the curve of the two-circle construction, widest where asked.

    Construction: on a ray from the centre of a circle of radius b, a point takes its radius from where the
    ray leaves that circle, and its height from where it leaves a circle of radius a, whose centre lies d
    away (F. Huegelschaeffer's egg; memory). Volume by quadrature (mpmath).
    """
    a, b, d = 40.0, 29.0, 80.0 * (0.5 - 0.42)
    egg = outline("egg", height=2 * a, width=2 * b)
    volume = mpmath.quad(lambda x: mpmath.pi * b**2 * (a**2 - x**2) / (a**2 + d**2 + 2 * d * x), [-a, -d, a])
    assert egg.volume == pytest.approx(float(volume), rel=POLYLINE_LONG)
    widest = egg.points[np.argmax(egg.points[:, 0])]
    np.testing.assert_allclose(widest, [b, 0.42 * 2 * a], atol=0.5)  # a point every 0.3 mm
    for t in np.linspace(0.1, 3.0, 7):
        reach = d * math.cos(t) + math.sqrt(a**2 - (d * math.sin(t)) ** 2)
        height = a - d + reach * math.cos(t)  # circle a's middle lies a above the blunt end
        got = np.interp(height, egg.points[:, 1], egg.points[:, 0])
        assert got == pytest.approx(b * math.sin(t), abs=0.05)


def test_drop() -> None:
    """A drop has the volume 9 pi w^2 h / 64 (quadrature of its curve), and its widest place at a third."""
    drop = outline("drop", height=75.0, width=50.0)
    unit = mpmath.quad(lambda x: (1 - x) ** 2 * (1 + x) * 27 / 32, [-1, 1])
    assert float(unit) / 8 == pytest.approx(9 / 64, rel=1e-12)
    assert drop.volume == pytest.approx(math.pi * 50**2 * 75 * 9 / 64, rel=POLYLINE_LONG)
    assert drop.points[np.argmax(drop.points[:, 0]), 1] == pytest.approx(
        25.0, abs=0.5
    )  # a point every 0.3 mm


@pytest.mark.parametrize("share", [0.25, 0.5, 0.75])
def test_pear(share: float) -> None:
    """A pear is as wide as asked, and three quarters of the way up as wide as asked; no bulge but the one."""
    pear = outline("pear", height=90.0, width=60.0, top_width=60.0 * share)
    assert pear.width == pytest.approx(60.0, rel=POLYLINE)
    radius, height = pear.points.T
    assert 2 * np.interp(67.5, height, radius) == pytest.approx(60.0 * share, rel=1e-3)  # chords of 0.3 mm
    assert np.count_nonzero(np.diff(np.sign(np.diff(radius)))) == 1


def test_dome_and_bell() -> None:
    """A dome is half a spheroid on a cylinder; a bell's volume is its quadrature."""
    dome = outline("dome", height=55.0, width=36.0, rise=25.0)
    assert dome.volume == pytest.approx(math.pi * 18**2 * (25 * 2 / 3 + 30), rel=POLYLINE_LONG)
    assert outline("dome", height=10.0, width=36.0).volume == pytest.approx(
        math.pi * 18**2 * 10 * 2 / 3, rel=POLYLINE_LONG
    )
    bell = outline("bell", height=60.0, width=80.0, crown=48.0)
    flare = mpmath.quad(lambda u: mpmath.pi * (24 + 16 * u**2) ** 2 * 30, [0, 1])
    assert bell.volume == pytest.approx(math.pi * 24**2 * 30 * 2 / 3 + float(flare), rel=POLYLINE_LONG)
    assert bell.points[-1].tolist() == [40.0, 60.0]


@pytest.mark.parametrize("name", named_shapes())
def test_every_shape_at_its_example(name: str) -> None:
    """Every shape's example is a fine outline of its size that does not touch itself, open where it says."""
    shape = named_shapes()[name]
    assert set(shape.needed) <= set(shape.example) <= set(shape.needed) | set(shape.optional)
    drawn = shape.outline(shape.example)
    assert len(drawn.points) >= 100
    assert LineString(drawn.points).is_simple
    size = dict(shape.example)
    assert drawn.height == pytest.approx(size.get("height", size.get("width")), rel=1e-12)
    width = max(value for key, value in size.items() if key.endswith("width"))
    assert drawn.width == pytest.approx(width, rel=POLYLINE)
    assert [drawn.points[end, 0] > 0 for end in (0, -1)] == [shape.start_open, shape.finish_open]
    assert shape.sentence.endswith(".")


@pytest.mark.parametrize("name", [name for name, shape in named_shapes().items() if shape.ends])
def test_worked_from_the_other_end(name: str) -> None:
    """Worked from its other end a shape is the same one upside down, with start and finish changed over."""
    shape = named_shapes()[name]
    usual, turned = (shape.outline(shape.example, first=end) for end in shape.ends)
    np.testing.assert_allclose(turned.points[::-1, 0], usual.points[:, 0], rtol=1e-12)
    np.testing.assert_allclose(usual.height - turned.points[::-1, 1], usual.points[:, 1], atol=1e-9)
    assert shape.opens(first=shape.ends[1]) == shape.opens()[::-1]


def test_flat_ends() -> None:
    """A tube is open or closed flat at either end, as asked."""
    tube = named_shapes()["tube"]
    size = {"height": 70.0, "width": 30.0}
    both = tube.outline(size, start_open=False, finish_open=False)
    assert surface(both) == pytest.approx(math.pi * 30 * 70 + 2 * math.pi * 15**2, rel=1e-12)
    none = tube.outline(size, start_open=True, finish_open=True)
    assert surface(none) == pytest.approx(math.pi * 30 * 70, rel=1e-12)


BAD_SIZES: list[tuple[str, dict[str, float], str]] = [
    ("capsule", {"height": 30.0, "width": 40.0}, "at least as high as wide .got 30 mm high, 40 mm wide"),
    ("spindle", {"height": 40.0, "width": 40.0}, "higher than wide"),
    ("lens", {"height": 40.0, "width": 40.0}, "less high than wide"),
    ("egg", {"height": 80.0, "width": 50.0, "widest": 60.0}, "widest is 0.3 to 0.5 of the height"),
    ("pear", {"height": 80.0, "width": 50.0, "top_width": 50.0}, "top_width is 0.25 to 0.75 of the width"),
    ("dome", {"height": 20.0, "width": 50.0, "rise": 30.0}, "at most its whole height"),
    ("bell", {"height": 20.0, "width": 50.0, "crown": 50.0}, "less wide than its edge"),
    ("ball", {}, "one size"),
    ("ball", {"width": 20.0, "height": 20.0}, "one size"),
    ("tube", {"height": 0.0, "width": math.nan}, "above zero(.|\n)*above zero"),
]


@pytest.mark.parametrize(("name", "sizes", "message"), BAD_SIZES)
def test_sizes_that_do_not_fit(name: str, sizes: dict[str, float], message: str) -> None:
    """Sizes that make no such shape are refused with the rule."""
    with pytest.raises(InputError, match=message):
        outline(name, **sizes)


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (
            lambda s: s["ball"].outline({"width": 60.0}, start_open=True),
            "start of this ball closes to a point",
        ),
        (lambda s: s["cone"].outline(s["cone"].example, start_open=True), "start of this cone"),
        (lambda s: s["egg"].outline(s["egg"].example, finish_open=True), "finish of this egg"),
        (lambda s: s["egg"].outline(s["egg"].example, first="round"), "one of: blunt, pointed"),
        (lambda s: s["ball"].outline({"width": 60.0}, first="top"), "both ends of this ball are alike"),
    ],
)
def test_ends_that_do_not_fit(build: Callable[..., Outline], message: str) -> None:
    """An end on the axis can't be open, and only ends that the shape has can be chosen."""
    with pytest.raises(InputError, match=message):
        build(named_shapes())


@given(st.floats(min_value=10.0, max_value=1000.0), st.floats(min_value=0.2, max_value=5.0))
def test_spheroid_of_any_size(width: float, ratio: float) -> None:
    """The second theorem of Pappus and Guldinus holds: volume is half the area's first moment turned once."""
    spheroid = outline("spheroid", height=width * ratio, width=width)
    a, b = width / 2, width * ratio / 2
    half_area, centroid = math.pi * a * b / 2, 4 * a / (3 * math.pi)  # of half an ellipse
    assert spheroid.volume == pytest.approx(2 * math.pi * centroid * half_area, rel=POLYLINE_LONG)
