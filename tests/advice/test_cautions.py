"""Cautions: told from their limits on, and not for what is larger, longer or of another shape."""

from __future__ import annotations

import numpy as np
import pytest

from solver.advice.cautions import extra_cautions, oval_cautions, part_cautions
from solver.advice.smallparts import cloud_support
from solver.wanted.supplies import Cord, Extra, Supplies


def told(width: float, tall: float, *, thickness: float = 0.0, open_edge: bool = False) -> str:
    """Return the cautions of an ellipsoid of these outside sizes. [mm]"""
    turn = np.linspace(0, np.pi, 31)
    radius, height = (width - thickness) / 2 * np.sin(turn), (tall - thickness) / 2 * np.cos(turn)
    cautions = part_cautions(radius, height, thickness=thickness, open_edge=open_edge, supplies=Supplies())
    return "\n".join(cautions)


def told_of_oval(*sizes: float, thickness: float = 0.0) -> str:
    """Return the cautions of an ellipsoid of three outside sizes; flat where one is the thickness. [mm]"""
    turn, rise = np.meshgrid(np.linspace(0, 2 * np.pi, 17), np.linspace(0, np.pi, 9))
    ball = np.stack([np.sin(rise) * np.cos(turn), np.sin(rise) * np.sin(turn), np.cos(rise)], axis=-1)
    points = ball.reshape(-1, 3) * (np.array(sizes) - thickness) / 2
    return "\n".join(oval_cautions(points, thickness=thickness, open_edge=False, supplies=Supplies()))


@pytest.mark.parametrize("thickness", [0.0, 2.0])
def test_small_ball_limit(thickness: float) -> None:
    """Up to 44.45 mm (16 CFR 1117.2) and 3 mm to spare all round it is told; beyond, and larger, not."""
    assert "Small ball" in told(50.4, 50.4, thickness=thickness)
    assert "Small ball" not in told(50.5, 50.5, thickness=thickness)


@pytest.mark.parametrize(
    ("sizes", "ball"), [((40, 42, 45), True), ((26, 40, 42), True), ((24, 40, 42), False)]
)
def test_what_counts_as_a_ball(sizes: tuple[float, float, float], ball: bool) -> None:
    """Round, egg-shaped and oval parts may count as balls; flat ones don't, however they are told."""
    assert ("Small ball" in told_of_oval(*sizes)) is ball
    least, _, greatest = sizes
    assert ("Small ball" in told(greatest, least)) is ball
    assert ("Small ball" in told(least, greatest)) is ball


def test_sizes_are_those_of_the_outside() -> None:
    """The fabric's thickness counts in the limits and in what is told, in round parts and in ovals."""
    assert "by 50 mm" in told(30.0, 50.0, thickness=4.0)
    assert "Small part" in told(37.5, 37.5, thickness=6.0)
    assert "Small part" not in told(38.2, 38.2, thickness=6.0)
    assert "Small part" not in told_of_oval(40.0, 40.0, 40.0, thickness=8.0)
    assert "Small ball" in told_of_oval(50.4, 50.4, 50.4, thickness=2.0)
    assert "Small ball" not in told_of_oval(50.5, 50.5, 50.5, thickness=2.0)


def test_a_flat_oval_is_no_ball() -> None:
    """A flat piece of 45 x 42 mm, 2 mm thick, is none; nor does it fit the small-parts cylinder."""
    text = told_of_oval(45.0, 42.0, 2.0, thickness=2.0)
    assert "Small" not in text
    assert "qualified tester" in text


def test_small_part_of_any_shape() -> None:
    """30 mm across and 50 mm long fits the cylinder with 3 mm to spare; 40 mm across does not."""
    assert "Small part: at 30 mm (1 3/16 in) by 50 mm" in told(30.0, 50.0)
    assert "Small part" in told_of_oval(28.0, 50.0, 30.0)
    assert "Small part" not in told(40.0, 50.0)
    assert "Small part" not in told_of_oval(40.0, 50.0, 42.0)


@pytest.mark.parametrize(("loop", "limit"), [(False, 220.0), (True, 380.0)])
def test_cords(loop: bool, limit: float) -> None:
    """Cords are told from nine tenths of EN 71-1's lengths on (5.4, from memory)."""

    def caution(length: float) -> str:
        cords = (Cord(name="tow rope", length=length, loop=loop),)
        return "\n".join(extra_cautions(Supplies(cords=cords)))

    assert not caution(0.9 * limit - 0.1)
    assert f"tow rope, {0.9 * limit + 0.1:.0f} mm" in caution(0.9 * limit + 0.1)
    assert f"at most {limit:.0f} mm" in caution(limit)


def test_a_long_thin_part_is_a_cord() -> None:
    """A part of 20 mm and less across, and long, is told as a cord; a thicker or a shorter one is not."""
    assert "Cord: the part itself" in told(20.0, 230.0)
    assert "Cord: the part itself" in told_of_oval(230.0, 20.0, 15.0)
    assert "Cord" not in told(20.6, 230.0)
    assert "Cord" not in told_of_oval(230.0, 30.0, 15.0)
    assert "Cord" not in told(20.0, 150.0)


def test_eyes_and_buttons() -> None:
    """What fits the cylinder can choke; a larger thing must stand the tests all the same."""

    def caution(diameter: float, height: float) -> str:
        extra = Extra(name="buttons", diameter=diameter, height=height)
        return "\n".join(extra_cautions(Supplies(extras=(extra,))))

    assert "can choke" in caution(9.0, 3.0)
    assert "can choke" in caution(30.0, 9.0)
    assert "can choke" not in caution(45.0, 40.0)
    assert "pull and twist" in caution(45.0, 40.0)


def test_seams() -> None:
    """An edge is sewn on, a closed part closed."""
    assert "Sew it on all round" in told(80, 80, open_edge=True)
    assert "Close it tightly" in told(80, 80)


def test_many_points_in_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    """Worked out in pieces, the reach of a cloud is that of the whole product."""
    rng = np.random.default_rng(3)
    points, directions = rng.normal(size=(50, 3)), rng.normal(size=(7, 4, 3))
    monkeypatch.setattr("solver.advice.smallparts.CHUNK", 300)
    got = cloud_support(points)(directions)
    assert got.shape == (7, 4)
    np.testing.assert_allclose(got, np.einsum("ijk,nk->ijn", directions, points).max(-1), rtol=1e-12)
