"""The stuffed form as a picture without words, for a sheet that tells them beside it."""

from __future__ import annotations

from math import atan2, degrees
from typing import TYPE_CHECKING, Any, cast

import numpy as np
from matplotlib.collections import PolyCollection

from solver.rounds import Finish, Start
from viz.camera import Camera
from viz.colours import Shades, rgb_of_patches
from viz.figure import new_figure
from viz.stitches import patches_of
from viz.yarn import stitch_polygons

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from solver.form.stuffed import StuffedForm

WIDEST, TALLEST = 5.0, 4.2
"""Of the picture. [inches]"""
PAD = 0.08
FLAT_TILT, BESIDE = 80.0, 20.0


def draw_portrait(
    form: StuffedForm,
    *,
    colours: Shades = (),
    left: bool = False,
    front: tuple[float, float] | None = None,
) -> Figure:
    """Draw a form, every stitch of it, without a word.

    Parameters
    ----------
    form : StuffedForm
    colours : sequence of str, or of sequence of str
        The yarn of each round, or of each stitch; left out: one yarn without a name.
    left : bool
        Mirrored, as left hands make it.
    front : tuple of two float, optional
        Which way it looks, x and y: it is seen from there, somewhat to its left.
    """
    camera = Camera(tilt=FLAT_TILT) if form.is_flat else Camera()
    if front is not None:
        camera = Camera(tilt=15.0, turn=degrees(atan2(front[1], front[0])) + BESIDE)
    shown = form.turned_over() if form.is_flat else form
    patches = patches_of(shown.fabric, shown.points)
    seen = camera.seen(patches.corners[:, :6])[..., :2].reshape(-1, 2)
    low, high = np.nanmin(seen, axis=0), np.nanmax(seen, axis=0)
    wide, tall = (high - low).tolist()
    scale = min((WIDEST - 2 * PAD) / wide, (TALLEST - 2 * PAD) / tall)
    figure = new_figure(wide * scale + 2 * PAD, tall * scale + 2 * PAD)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    margin = PAD / scale
    across = (low[0] - margin, high[0] + margin)
    axes.set(xlim=across[::-1] if left else across, ylim=(low[1] - margin, high[1] + margin))
    axes.axis("off")
    of_stitch = rgb_of_patches(patches, shown.fabric, colours)
    in_rows = form.piece.start is Start.ROWS
    hollow = not in_rows and (form.piece.finish is Finish.OPEN or form.piece.start is Start.OPEN)
    polygons, faces = stitch_polygons(patches, camera, of_stitch, hollow=hollow)
    drawn = PolyCollection(cast("Any", polygons), facecolors=faces, edgecolors=faces, linewidths=0.2)
    axes.add_collection(drawn, autolim=False)
    return figure
