"""The part in its colours under the page of `compare`."""

import numpy as np
import pytest
from scipy.ndimage import binary_fill_holes

from solver.cli.incolours import patches_told, put_under
from solver.partfile import read
from solver.solving.solved import solve
from viz.camera import Camera
from viz.colours import names_of_patches
from viz.figure import axes_at, new_figure
from viz.stitches import patches_of
from viz.toy import Skin, rendered

PART = """[gauge]
stitches = 20
rows = 20
over = "10 cm"
[shape]
kind = "ball"
width = "60 mm"
[colours]
main = "grey"
"""
SPOT = '[[colours.patches]]\nname = "spot"\nshape = "ellipse"\ncolour = "rust"\nwidth = 24\n'


@pytest.mark.parametrize("patch", ["", SPOT])
def test_what_was_drawn_stays_and_three_views_are_added(patch: str) -> None:
    """The page grows downward by views from front, left and back; a part of one colour has none."""
    solved = solve(read(PART + patch, file="t", title="Ball"))
    figure = new_figure(9.0, 5.0)
    axes_at(figure, left=1.0, bottom=2.0, width=3.0, height=2.0)
    put_under(figure, solved)
    width, height = figure.get_size_inches()
    x, y, w, h = figure.axes[0].get_position().bounds
    np.testing.assert_allclose([x * width, w * width, h * height], [1.0, 3.0, 2.0])
    assert len(figure.axes) == (4 if patch else 1)
    np.testing.assert_allclose(height - (y + h) * height, 1.0)
    if patch:
        (line,) = patches_told(solved)
        assert line in [text.get_text() for text in figure.texts]
        seen = [len(ax.collections) for ax in figure.axes[1:]]
        assert seen == [3, 3, 3]  # the stitches, and the wanted line light under dark
        ink = [ax.collections[-1].get_offsets() for ax in figure.axes[1:]]
        assert len(ink[0]) > 20  # in front
        assert len(ink[2]) == 0  # behind


def test_rows_have_a_colour_on_both_sides() -> None:
    """Each stitch of rows is seen from both sides, in its own colour."""
    part = read(
        """gauge = { stitches = 20, rows = 20 }
colours = { main = "white", bands = [{ colour = "navy", rounds = "2-3" }] }
shape = { kind = "flat", worked = "rows", left = [[10, 0], [10, 20]], right = [[10, 0], [10, 20]] }""",
        file="wing.toml",
        title="Wing",
    )
    solved = solve(part)
    patches = patches_of(solved.form.fabric, solved.form.points)
    names = names_of_patches(patches, solved.form.fabric, solved.shades)
    assert names == ["navy" if number in (2, 3) else "white" for number in patches.round_number]


def test_wide_stitches_leave_no_holes_in_a_picture() -> None:
    """Three worked together are drawn densely: of ten thousand dots one may be missed (scipy.ndimage)."""
    part = read(
        """gauge = { stitches = 20, rows = 21 }
shape = { kind = "flat", worked = "rows", left = [[14, 0], [34, 45]], right = [[14, 0], [14, 9], [-26, 45]] }
""",
        file="wing.toml",
        title="Wing",
    )
    form = solve(part).form
    skin = Skin(form.fabric, form.points, ())
    picture, _ = rendered([skin], [], Camera(tilt=90.0), {"": (1.0, 1.0, 1.0)}, mm_a_dot=0.1)
    shown = picture[..., 3] > 0
    assert shown.sum() * 0.1**2 > 1000
    assert (binary_fill_holes(shown) & ~shown).sum() < 1e-4 * shown.sum()
