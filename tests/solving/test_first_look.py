"""A first look at a part: a form in balance of whole rounds, for those kinds that have one."""

from __future__ import annotations

import numpy as np
import pytest

from solver.partfile import read
from solver.search.making import Making
from solver.solving.first_look import first_look
from solver.solving.round import making_of

GAUGE = "[gauge]\nstitches = 20\nrows = 20\n"
POST = "points = [[0, 0], [26, 8], [34, 30], [22, 62], [28, 96], [0, 112]]"


def part(text: str) -> object:
    """Return the part of a text."""
    return read(GAUGE + text, file="post.toml", title="Post")


def test_is_in_balance() -> None:
    """The form that is shown is the balance of the counts that are told, wherever it is solved from."""
    post = part(f'[shape]\nkind = "outline"\n{POST}')
    look = first_look(post)
    making: Making = making_of(post)
    again = making.form(np.array(look.counts), post.outline, None)
    assert again.residual <= 1e-6
    lowered = look.outline - [0, look.outline[0, 1]]
    assert np.abs(lowered - (again.points - [0, again.points[0, 1]])).max() < 1e-3
    assert look.rms < post.gauge.stitch_width / 2


def test_ball_of_any_size_is_round() -> None:
    """A drawn ball is a ball at first look: its radius within a stitch's width (a circle's own equation)."""
    for width in (40, 80):
        look = first_look(part(f'[shape]\nkind = "ball"\nwidth = {width}'))
        radius = np.hypot(look.outline[:, 0], look.outline[:, 1] - width / 2)
        assert np.abs(radius[1:-1] / (width / 2) - 1).max() < 5 / (width / 2)
        assert all(type(count) is int for count in look.counts)


@pytest.mark.parametrize(
    ("text", "there"),
    [
        ('[shape]\nkind = "ball"\nwidth = 40\n[stuffing]\nfirmness = "none"', True),
        ('[shape]\nkind = "oval"\nlength = 60\nwidth = 40\nheight = 30\n[work]\nstart = "chain"', True),
        ('[shape]\nkind = "flat oval"\nlength = 60\nwidth = 40\n[work]\nstart = "chain"', False),
    ],
)
def test_kinds(text: str, there: bool) -> None:
    """What is searched for long has a first look; a flat piece is there as soon."""
    assert (first_look(part(text)) is not None) == there


HULL = '[shape]\nkind = "oval"\nlength = 90\nwidth = 46\nheight = 36\n[work]\nstart = "chain"'
LIMB = """[shape]
kind = "bent"
points = [[0, 0], [9, 1], [14, 6], [15, 14], [15, 90]]
bends = [{ at = "45 mm", angle = "50 deg", over = "30 mm" }]
[work]
finish = "open"
"""


@pytest.mark.parametrize(("text", "names"), [(HULL, "front side plan"), (LIMB, "side front plan")])
def test_from_its_sides(text: str, names: str) -> None:
    """An oval and a limb that bends are seen from their sides, within two stitches of what is wanted."""
    look = first_look(part(text))
    assert set(look.views) == set(names.split())
    assert not len(look.outline)
    for view in look.views.values():
        assert view.rms < 5
        assert np.abs(np.ptp(view.form, axis=0) - np.ptp(view.wanted, axis=0)).max() < 10


def test_a_limb_bends_at_once() -> None:
    """The drawn bend is seen in the first form: its last circle is tilted as its middle line turns."""
    side = first_look(part(LIMB)).views["side"].form
    half = len(side) // 2
    ends = [side[half - 1] - side[half], side[0] - side[-1]]
    tilt = np.degrees(np.arctan2(ends[0][1], ends[0][0]))
    assert abs(abs(tilt) - 50) < 1
