"""Polygons of drawn stitches: shapely, a general geometry library, looks for light between them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from solver.form.fabric import StitchFabric, stitch_fabric
from solver.form.stitches import StitchForm, stitch_form
from solver.rounds import Finish, Piece, Start
from solver.rounds.along_chain import oval_piece
from solver.rounds.shaping import shaped_piece
from viz.camera import Camera
from viz.stitches import patches_of
from viz.yarn import stitch_polygons

EYES = [Camera(), Camera(tilt=60, turn=-40), Camera(tilt=-30, turn=0), Camera(tilt=90)]
BRIDGED = 0.4
"""A notch in the outline narrower than twice this is a slit. [mm]"""


def formed(piece: Piece) -> StitchForm:
    """Return a piece stuffed."""
    fabric: StitchFabric = stitch_fabric(piece, stitch_width=5.0, row_height=4.5)
    return stitch_form(fabric, pressure=0.005)


@pytest.fixture(scope="module", params=["ball", "sewn oval", "drawn-in oval"])
def form(request: pytest.FixtureRequest) -> StitchForm:
    """Return closed parts of many increases and decreases, drawn finely (fewer than 400 stitches) or not."""
    if request.param == "ball":
        counts = [6, 12, 18, 24, 30, 36, 36, 36, 36, 36, 36, 30, 24, 18, 12, 6]
        return formed(shaped_piece(counts, start=Start.RING, finish=Finish.CINCHED))
    ends = [4, 7, 9, 11, 12, 12, 12, 11, 9, 7, 4, 2]
    if request.param == "sewn oval":
        return formed(oval_piece(15, ends, finish=Finish.SEAMED))
    return formed(oval_piece(6, ends[:-1], finish=Finish.CINCHED))


@pytest.mark.parametrize("eye", EYES, ids=str)
def test_no_light_shows_between_the_stitches(form: StitchForm, eye: Camera) -> None:
    """The union of all polygons has no hole and no slit in its outline, at decreases and at the edge too."""
    patches = patches_of(form.fabric, form.points)
    drawn, _ = stitch_polygons(patches, eye, np.ones((len(patches.node), 3)), hollow=False)
    whole = shapely.union_all(shapely.make_valid(shapely.polygons(drawn)))
    # folded polygons leave specks without area beside the rest
    whole = max(shapely.get_parts(whole), key=lambda part: part.area)
    holes = [shapely.Polygon(ring).area for ring in whole.interiors]
    closed = whole.buffer(BRIDGED).buffer(-BRIDGED).difference(whole.buffer(0.02))
    assert max(holes, default=0.0) < 0.02  # a dot of a print at 200 dots to the inch is 0.016 mm^2
    assert max((each.area for each in shapely.get_parts(closed)), default=0.0) < 0.05
