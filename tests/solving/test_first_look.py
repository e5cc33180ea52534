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
        ('[shape]\nkind = "oval"\nlength = 60\nwidth = 40\nheight = 30\n[work]\nstart = "chain"', False),
        ('[shape]\nkind = "flat oval"\nlength = 60\nwidth = 40\n[work]\nstart = "chain"', False),
    ],
)
def test_kinds(text: str, there: bool) -> None:
    """Parts alike all round have a first look, stuffed or folded flat; those solved in space have none."""
    assert (first_look(part(text)) is not None) == there
