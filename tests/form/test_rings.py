"""The ring model: its derivatives, its laws of balance, and that no unconverged form ever leaves it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from solver.arrays import Floats
from solver.errors import ConvergenceError, InputError
from solver.form.fabric import CLOSING_ROWS
from solver.form.ring_balance import Balance, RingFabric
from solver.form.rings import (
    TOLERANCE,
    Form,
    count_sensitivity,
    form_outline,
    ring_form,
    ring_forms,
)

W, H = 5.0, 4.6

DIFFERENCE = 1e-6
"""Central differences with a step of 1e-5 of the length: their own error is about 1e-10 / 1e-5."""

SENSITIVITY = 1e-4
"""A thousandth of a stitch moves a form by about a micron, and forms are found to a hundredth of that."""

SOLVED = 1e-5
"""Forms in balance to `TOLERANCE` of a stitch's force lie closer than this. [mm]"""

BALL = [6, 12, 18, 24, 30, 36, 36, 36, 36, 36, 36, 30, 24, 18, 12, 6]
VASE = [6, 12, 18, 24, 28, 30, 28, 24, 20, 20, 24, 30, 36, 40]


def made(
    counts: list[float] | Floats, *, pressure: float = 2e-3, cinched: bool = True, **more: object
) -> Form:
    """Return the form of counts at the gauge of this module."""
    fabric = RingFabric.from_counts(counts, stitch_width=W, row_height=H, cinched=cinched, **more)  # type: ignore[arg-type]
    return ring_form(fabric, pressure=pressure)


FABRICS = (
    RingFabric.from_counts(BALL, stitch_width=W, row_height=H),
    RingFabric.from_counts(VASE, stitch_width=W, row_height=H, cinched=False, held=(None, 30.0)),
    RingFabric.from_counts(VASE[3:], stitch_width=W, row_height=H, foundation=24, cinched=False),
    RingFabric(
        np.array([0.0, 30.0, 60.0, 55.0, 0.0]),
        np.array([4.0, 5.0, 6.0, 3.0]),
        stitch_width=W,
        course_stiffness=0.7,
        wale_stiffness=1.6,
    ),
)


def near(fabric: RingFabric, seed: int) -> Floats:
    """Return a state near a form, every ring moved at random: some fibres pull, some hang slack."""
    form = ring_form(fabric, pressure=4e-3)
    return form.points.ravel() + np.random.default_rng(seed).normal(0.0, 0.25, 2 * len(form.radius))


@pytest.mark.parametrize("fabric", FABRICS)
@pytest.mark.parametrize("seed", range(3))
def test_gradient_and_hessian(fabric: RingFabric, seed: int) -> None:
    """The gradient is the finite difference of the energy, and the Hessian that of the gradient."""
    balance, x = Balance(fabric, 4e-3), near(fabric, seed)
    moves = np.eye(len(x)) * 1e-5 * balance.free
    gradient = [(balance.energy(x + move) - balance.energy(x - move)) / 2e-5 for move in moves]
    assert_allclose(balance.gradient(x), gradient, atol=DIFFERENCE * np.abs(gradient).max())
    hessian = np.array([(balance.gradient(x + move) - balance.gradient(x - move)) / 2e-5 for move in moves])
    hessian += np.diag(1.0 - balance.free)  # unknowns that are held stay where they are
    band = balance.hessian(x)
    dense = np.zeros_like(hessian)
    for below in range(4):
        entries = band[below, : len(x) - below]
        dense += np.diag(entries, -below) + (np.diag(entries, below) if below else 0.0)
    assert_allclose(dense, hessian, atol=DIFFERENCE * np.abs(hessian).max())


@pytest.mark.parametrize("fabric", FABRICS[:3])
def test_sensitivity(fabric: RingFabric) -> None:
    """The move of the form by a stitch more in a round is the finite difference of two solved forms."""
    pressure, more = 4e-3, 1e-3
    form = ring_form(fabric, pressure=pressure)
    moved = count_sensitivity(form)
    for ring in np.flatnonzero(fabric.perimeter > 0)[[0, 3, -1]].tolist():
        ends = []
        for sign in (1, -1):
            perimeter = fabric.perimeter.copy()
            perimeter[ring] += sign * more * W
            changed = RingFabric(perimeter, fabric.spacing, stitch_width=W, held=fabric.held)
            ends.append(ring_form(changed, pressure=pressure, guess=form.points).points)
        expected = (ends[0] - ends[1]) / (2 * more)
        assert_allclose(moved[:, :, ring], expected, atol=SENSITIVITY * np.abs(expected).max())
    assert_array_equal(moved[:, :, fabric.perimeter == 0], 0.0)


@pytest.mark.parametrize("fabric", FABRICS)
def test_forces_balance(fabric: RingFabric) -> None:
    """Fabric and stuffing pull on the part as a whole with no force, and moving it costs no energy."""
    balance, x = Balance(fabric, 4e-3), near(fabric, 5)
    balance.free[:] = 1.0
    gradient = balance.gradient(x)
    assert_allclose(gradient[1::2].sum(), 0.0, atol=1e-12 * np.abs(gradient).sum())
    raised = x.copy()
    raised[1::2] += 123.0
    assert_allclose(balance.energy(raised), balance.energy(x), rtol=1e-12)


@pytest.mark.parametrize("fabric", FABRICS)
def test_pull_along_the_axis_carries_the_pressure(fabric: RingFabric) -> None:
    """Across any cut the fabric's pull along the axis is the pressure times the area of the cut.

    Between two rings the pressure's share is that of the mean slice of their cone frustum.
    """
    form = ring_form(fabric, pressure=4e-3)
    a, b = form.radius[:-1], form.radius[1:]
    upright = np.diff(form.height) / np.hypot(np.diff(form.radius), np.diff(form.height))
    pull = fabric.wale_stiffness * fabric.wale_area / fabric.spacing * np.maximum(form.wale_stretch, 0)
    assert_allclose(pull * upright, 4e-3 * np.pi * (a * a + a * b + b * b) / 3, rtol=1e-5)


def test_form_is_a_value_that_tells_how_it_was_found() -> None:
    """A form is read-only, in balance to the tolerance, and keeps its residuals step by step."""
    form = made(BALL)
    assert form.residual <= TOLERANCE
    assert form.history[-1] == form.residual
    assert len(form.history) == form.iterations + 1 > 1
    for values in (form.radius, form.height, form.points, form.course_stretch, form.fabric.perimeter):
        with pytest.raises(ValueError, match="read-only"):
            values[0] = 1.0
    assert (form.radius[0], form.height[0], form.radius[-1]) == (0.0, 0.0, 0.0)


def test_sizes_of_a_form() -> None:
    """Sizes and volume of a form are those of its outline."""
    form = made(BALL)
    outline = form_outline(form)
    assert_allclose([form.size, form.width], [outline.height, outline.width], rtol=1e-9)
    assert_allclose(form.volume, outline.volume, rtol=1e-9)
    widest = int(np.argmax(form.radius))
    stretch = 2 * np.pi * form.radius[widest] / (BALL[widest - 1] * W) - 1
    assert_allclose(form.course_stretch[widest], stretch, rtol=1e-12)
    assert form.course_stretch[0] == 0.0


def test_same_form_from_any_start() -> None:
    """The form does not hang on the guess: flat rings, a drawn outline, or a dented one lead to the same."""
    form = made(BALL)
    lumpy = form.points + np.random.default_rng(1).normal(0.0, 2.0, form.points.shape)
    lumpy[:, 0] = np.abs(lumpy[:, 0])
    tall = form.points * [0.6, 1.5]
    for guess in (lumpy, tall):
        again = ring_form(form.fabric, pressure=form.pressure, guess=guess)
        assert_allclose(again.points, form.points, atol=SOLVED)


def test_many_forms_at_once() -> None:
    """Forms that are solved together are those that each has alone; a hopeless guess holds up no other."""
    random = np.random.default_rng(3)
    many = [np.array(BALL) + random.integers(-1, 2, len(BALL)) for _ in range(6)]
    fabrics = [RingFabric.from_counts(counts, stitch_width=W, row_height=H) for counts in many]
    near = made(BALL).points
    far = near * [1.0, -1.0]
    forms = ring_forms(fabrics, pressure=2e-3, guesses=[near, near, far, near, near, near])
    for fabric, form in zip(fabrics, forms, strict=True):
        assert form is not None
        assert form.fabric is fabric
        assert form.residual <= TOLERANCE
        assert_allclose(form.points, ring_form(fabric, pressure=2e-3).points, atol=SOLVED)
    assert ring_forms([], pressure=2e-3, guesses=[]) == []
    # firmer than any balance of a sphere, p R / 2 k > 1/4: told as none, whatever lies beside it
    assert ring_forms(fabrics[:2], pressure=0.1, guesses=[near, near]) == [None, None]


def test_same_form_upside_down() -> None:
    """A part worked from its other end has the same form upside down."""
    up = made(VASE[:9] + VASE[8:4:-1], closing_rows=1.0)
    down = made((VASE[:9] + VASE[8:4:-1])[::-1], closing_rows=1.0)
    assert_allclose(down.radius[::-1], up.radius, atol=SOLVED)
    assert_allclose(down.height[-1] - down.height[::-1], up.height, atol=SOLVED)


@given(factor=st.floats(0.1, 10.0))
@settings(max_examples=10, deadline=None)
def test_scaling(factor: float) -> None:
    """Twice the stitches' size at half the pressure is the same form twice as large."""
    form = made(BALL)
    scaled = RingFabric.from_counts(BALL, stitch_width=W * factor, row_height=H * factor)
    larger = ring_form(scaled, pressure=2e-3 / factor)
    assert_allclose(larger.points, form.points * factor, atol=SOLVED * factor)


def test_more_stuffing_makes_it_larger() -> None:
    """Volume, width and stretch grow with the pressure."""
    forms = [made(BALL, pressure=pressure) for pressure in (5e-4, 1e-3, 2e-3, 4e-3, 8e-3)]
    for values in ([form.volume for form in forms], [form.width for form in forms]):
        assert np.all(np.diff(values) > 0)
    assert np.all(np.diff([form.mean_stretch for form in forms]) > 0)


def test_closing_distance() -> None:
    """A drawn-in end closes over `CLOSING_ROWS` rows at rest, unless told otherwise."""
    assert_allclose(made(BALL).fabric.spacing[[0, -1]], [H, CLOSING_ROWS * H], rtol=1e-15)
    heights = [made(BALL, closing_rows=rows).size for rows in (0.3, 0.6, 1.0)]
    assert np.all(np.diff(heights) > 0)


def test_held_and_free_ends() -> None:
    """A held end keeps its radius, whatever the stuffing; a free one is drawn to where its hoop balances."""
    held = made(VASE, cinched=False, held=(None, 25.0))
    assert held.radius[-1] == 25.0
    free = made(VASE, cinched=False)
    assert free.radius[-1] != pytest.approx(25.0, abs=0.5)
    straight = made([30] * 20, cinched=False, foundation=30)
    # a free tube far from ends: hoop p r, and the flat lids over its ends pull it along
    assert np.ptp(straight.radius[5:-5]) < 0.02 * straight.radius[10]


def test_open_start() -> None:
    """A part begun on a chain has an open first ring, held or free."""
    held = made(VASE[3:], foundation=24, held=(15.0, None), cinched=False)
    assert held.radius[0] == 15.0
    free = made(VASE[3:], foundation=24, cinched=False)
    assert free.radius[0] > 0.8 * 24 * W / (2 * np.pi)
    assert len(free.radius) == len(VASE[3:]) + 1


def test_slack_round() -> None:
    """A round with far too many stitches hangs slack and leaves the form of its neighbours alone."""
    usual = made([*BALL[:6], *[36] * 9, *BALL[11:]])
    ruffled = made([*BALL[:6], *[36] * 4, 60, *[36] * 4, *BALL[11:]])
    assert ruffled.course_stretch[11] < -0.2
    assert_allclose(ruffled.radius[11], usual.radius[11], rtol=0.08)
    # a slack hoop carries nothing, so the fabric beside it must carry more
    assert ruffled.course_stretch[10] > usual.course_stretch[10]


def test_no_balance_is_an_error() -> None:
    """Beyond the pressure that linear fabric can hold there is an error with steps and residual, no form."""
    radius = 36 * W / (2 * np.pi)
    with pytest.raises(ConvergenceError, match=r"no balance .* was found \(\d+ steps, residual") as caught:
        made(BALL, pressure=1.2 / radius)
    assert caught.value.iterations > 0
    assert caught.value.residual > TOLERANCE


@pytest.mark.parametrize("pressure", [0.0, -1e-3, float("nan"), float("inf")])
def test_pressure_that_is_none(pressure: float) -> None:
    """A pressure that is not above zero and finite is refused."""
    with pytest.raises(InputError, match="inside pressure above zero"):
        made(BALL, pressure=pressure)


@pytest.mark.parametrize(
    ("perimeter", "spacing", "width", "told"),
    [
        ([0.0, 30.0], [4.0], W, "three rings or more"),
        ([0.0, 30.0, 0.0], [4.0], W, "a spacing between each two"),
        ([0.0, 0.0, 30.0], [4.0, 4.0], W, "above zero"),
        ([0.0, 30.0, 0.0], [4.0, 0.0], W, "above zero"),
        ([0.0, 30.0, -1.0], [4.0, 4.0], W, "above zero"),
        ([0.0, 30.0, 0.0], [4.0, 4.0], 0.0, "stitch width"),
        ([0.0, np.inf, 0.0], [4.0, 4.0], W, "finite"),
    ],
)
def test_no_fabric(perimeter: list[float], spacing: list[float], width: float, told: str) -> None:
    """Rings that are no fabric are refused with the rule."""
    with pytest.raises(InputError, match=told):
        RingFabric(np.array(perimeter), np.array(spacing), stitch_width=width)


@given(data=st.data())
@settings(max_examples=40, deadline=None)
def test_any_counts_balance(data: st.DataObject) -> None:
    """Whatever the counts, up to the firmest stuffing, there is a form, in balance to the tolerance."""
    counts = [data.draw(st.integers(4, 8))]
    for _ in range(data.draw(st.integers(1, 20))):
        counts.append(data.draw(st.integers(max(3, -(-counts[-1] // 2)), min(120, 2 * counts[-1]))))
    stretch = data.draw(st.floats(0.01, 0.15))
    pressure = 2 * stretch / (1 + stretch) / (max(counts) * W / (2 * np.pi))
    form = made(counts, pressure=pressure, cinched=data.draw(st.booleans()))
    balance = Balance(form.fabric, pressure)
    assert balance.residual(balance.gradient(form.points.ravel())) <= TOLERANCE
    assert np.all(np.isfinite(form.points))
