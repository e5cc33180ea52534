"""The one closed shape that ink encloses: a filled silhouette, or a drawn line whose middle is followed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.tracing.ink import Grey, Mask

Floats = NDArray[np.float64]

COARSE = 3
"""Pixels of the picture to one of the coarse one in which the shape is looked for."""

BRIDGES = (0, 1, 2, 4, 7, 11)
"""Half the widest gap that is bridged, tried in this order. [coarse px]"""

STUB = 3
"""Half the width up to which what sticks out is a stray line, not part of the shape. [coarse px]"""

LEAST_HEIGHT = 1 / 15
"""Of the picture's longer side: smaller shapes can't be followed well enough."""

RIVAL = 0.2
"""A second shape of this part of the first one's area makes it unclear which is meant."""

LEAST_DRAWN = 0.78
"""Of the shape's edge: what must be drawn, the rest being gaps."""

FILLED = 0.6
"""Inside at least this dark, paper being 0 and the edge's ink 1, the shape is a filled one."""


class NoShape(Exception):  # noqa: N818 - one way of looking at the picture found nothing; others may
    """Why no shape was found, worst first.

    Attributes
    ----------
    near : int
        How near to a shape this came: of several reasons the nearest is told.
    """

    def __init__(self, near: int, rule: str, remedy: str, got: str = "") -> None:
        self.near, self.rule, self.remedy, self.got = near, rule, remedy, got
        super().__init__(rule)


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A closed shape as it lies in the picture.

    Attributes
    ----------
    contour : (n, 2) float
        A closed line, x to the right and y up from the picture's upper left corner. [px]
    filled : bool
        Whether it is a silhouette; otherwise the contour runs along the middle of a line.
    line : float
        Thickness of that line; 0 for a silhouette. [px]
    drawn : float
        Part of the contour that is really drawn, the rest being gaps that were bridged.
    left_out : int
        Marks beside the shape that were not read.
    """

    contour: Floats
    filled: bool
    line: float
    drawn: float
    left_out: int


def closed_shape(mask: Mask, grey: Grey) -> Shape:
    """Return the shape that the ink encloses.

    Parameters
    ----------
    mask : (h, w) bool
        Where there is ink.
    grey : (h, w) float32
        The picture itself, ink dark.

    Raises
    ------
    NoShape
        With the reason.
    """
    bridge, seed, left_out = _looked_for(mask)
    ink = _closed(mask, bridge * COARSE)
    solid = _part_with(_filled_holes(ink), seed)
    if solid[0].any() or solid[-1].any() or solid[:, 0].any() or solid[:, -1].any():
        raise NoShape(
            4,
            "the whole shape lies inside the picture",
            "Photograph it with paper all round; this one touches the edge of the picture.",
        )
    box = _box_round(solid, margin=40)
    solid, ink, mask, grey = solid[box], ink[box] & solid[box], mask[box], grey[box]
    hollow, line = _hollow(solid, ink)
    filled = _is_filled(grey, mask, solid=solid, hollow=hollow)
    if filled:
        line = 0.0
        field = _edge_of_silhouette(grey, _without_stubs(solid))
    else:
        field = _distance(~hollow) - _distance(solid)
    contour = _longest_contour(field)
    drawn = _drawn_part(contour, mask, within=line / 2 + 4)
    if drawn < LEAST_DRAWN:
        raise NoShape(
            3,
            "one closed line or one filled shape is drawn",
            "Close the gaps of the line with a dark pen, and leave writing out of the picture.",
            got=f"marks that cover {100 * drawn:.0f} % of the outline round them",
        )
    contour = contour + [box[0].start, box[1].start]
    return Shape(np.column_stack([contour[:, 1], -contour[:, 0]]), filled, line, drawn, left_out)


def _looked_for(mask: Mask) -> tuple[int, tuple[int, int], int]:
    """Return the bridging that encloses most, a pixel inside the shape, and how many marks lie beside it."""
    coarse = _coarse(mask)
    solids = {bridge: _filled_holes(_closed(coarse, bridge)) for bridge in BRIDGES}
    cores = {bridge: _distance(solid) > STUB for bridge, solid in solids.items()}
    most = max(int(core.sum()) for core in cores.values())
    if not most:
        raise NoShape(
            1 if mask.any() else 0,
            "one closed line or one filled shape is drawn, dark on light paper",
            "Draw the outline as one closed dark line (or half of it against a straight axis), or fill it in; "
            "photograph it from straight above in even light.",
            got="lines that enclose nothing" if mask.any() else "nothing drawn that stands out from the paper",
        )
    bridge = next(bridge for bridge in BRIDGES if cores[bridge].sum() >= 0.85 * most)
    labels, areas, heights = _parts(cores[bridge])
    first = int(np.argmax(areas))
    if heights[first] < LEAST_HEIGHT * max(coarse.shape):
        raise NoShape(
            2,
            f"the shape is at least a {1 / LEAST_HEIGHT:.0f}th of the picture high or wide",
            "Go nearer, or cut the picture to the drawing.",
            got="small marks only, such as writing" if len(areas) > 3 else "a small mark",
        )
    rivals = int(np.sum(areas >= RIVAL * areas[first]))
    if rivals > 1:
        raise NoShape(
            3,
            "a picture holds one shape",
            "Cut the picture to the one you want, or cover the others.",
            got=f"{rivals} of like size",
        )
    depth = _distance(labels == first + 1)
    seed = np.unravel_index(int(np.argmax(depth)), depth.shape)
    _, marks, _ = _parts(solids[bridge])
    return bridge, (int(seed[0]) * COARSE + 1, int(seed[1]) * COARSE + 1), len(marks) - 1


def _hollow(solid: Mask, ink: Mask) -> tuple[Mask, float]:
    """Return what the line encloses, lines across it left out, and the thickness of the line. [px]"""
    # in a straight stroke of thickness t the distance to the edge averages t/4
    line = 4 * float(_distance(ink)[ink].mean())
    inside = _closed(solid & ~ink, 0.75 * line + 1) & solid
    labels, areas, _ = _parts(inside)
    if not len(areas):
        return inside, line
    return _filled_holes(labels == int(np.argmax(areas)) + 1), line


def _is_filled(grey: Grey, mask: Mask, *, solid: Mask, hollow: Mask) -> bool:
    if hollow.sum() < 0.3 * solid.sum():
        return True
    beside, within = _distance(~solid), _distance(hollow)
    paper = float(np.median(grey[(beside > 4) & (beside < 30) & ~mask]))
    inside = float(np.median(grey[(within > 4) & (within < 60)] if (within > 8).any() else grey[hollow]))
    edge = float(np.quantile(grey[mask & solid & ~hollow], 0.3))
    return paper - inside > FILLED * (paper - edge)


def _edge_of_silhouette(grey: Grey, solid: Mask) -> Floats:
    """Return a field that is zero where the grey is half way from the silhouette to the paper."""
    depth = _distance(solid) - _distance(~solid)
    places = np.arange(-12.0, 13.0)
    tones = np.array([float(grey[np.abs(depth - place) <= 1.0].mean()) for place in places])
    half = (tones[:4].mean() + tones[-4:].mean()) / 2
    return float(np.interp(-half, -tones, places)) - depth if np.all(np.diff(tones[4:-4]) < 0) else -depth


def _without_stubs(solid: Mask) -> Mask:
    """Return the silhouette without long thin lines that stick out of it; short ones are its own corners."""
    reach = STUB * COARSE
    rest = solid & ~_distance_within(_distance(solid) > reach, reach)
    labels, _, longest = _parts(rest)
    stray = np.concatenate([[False], longest > 4 * reach])
    return solid & ~stray[labels]


def _longest_contour(field: Floats) -> Floats:
    from scipy.ndimage import gaussian_filter
    from skimage.measure import find_contours

    contours = find_contours(gaussian_filter(field, 1.5), 0.0)
    return np.asarray(max(contours, key=len), dtype=np.float64)


def _drawn_part(contour: Floats, mask: Mask, *, within: float) -> float:
    rows, columns = np.round(contour).astype(int).T
    return float(np.mean(_distance(~mask)[rows, columns] <= within))


def _coarse(mask: Mask) -> Mask:
    h, w = (-(-n // COARSE) * COARSE for n in mask.shape)
    padded = np.pad(mask, ((0, h - mask.shape[0]), (0, w - mask.shape[1])))
    blocks: Mask = padded.reshape(h // COARSE, COARSE, w // COARSE, COARSE).any(axis=(1, 3))
    return blocks


def _distance(mask: Mask) -> Floats:
    from scipy.ndimage import distance_transform_edt

    if mask.all():
        return np.full(mask.shape, float(sum(mask.shape)))
    return np.asarray(distance_transform_edt(mask), dtype=np.float64)


def _distance_within(mask: Mask, reach: float) -> Mask:
    return _distance(~mask) <= reach


def _closed(mask: Mask, reach: float) -> Mask:
    """Return the mask with gaps up to twice `reach` wide closed."""
    if reach <= 0 or not mask.any():
        return mask
    edge = int(reach) + 2
    wide = _distance_within(np.pad(mask, edge), reach)
    return (_distance(wide) > reach)[edge:-edge, edge:-edge] | mask


def _filled_holes(mask: Mask) -> Mask:
    from scipy.ndimage import binary_fill_holes

    filled: Mask = binary_fill_holes(mask)
    return filled


def _parts(mask: Mask) -> tuple[NDArray[np.int32], NDArray[np.int64], NDArray[np.int64]]:
    """Return the labels of connected parts, their areas, and the longer sides of their boxes."""
    from scipy.ndimage import find_objects, label

    labels, count = label(mask, structure=np.ones((3, 3)))
    areas = np.bincount(labels.ravel(), minlength=count + 1)[1:]
    longest = [max(s.stop - s.start for s in box) for box in find_objects(labels)]
    return labels, areas, np.array(longest, dtype=np.int64)


def _part_with(mask: Mask, seed: tuple[int, int]) -> Mask:
    from scipy.ndimage import label

    labels, _ = label(mask, structure=np.ones((3, 3)))
    row, column = (min(at, n - 1) for at, n in zip(seed, mask.shape, strict=True))
    part: Mask = labels == labels[row, column]
    return part & mask


def _box_round(mask: Mask, *, margin: int) -> tuple[slice, slice]:
    sides = []
    for axis in (1, 0):
        there = np.flatnonzero(mask.any(axis=axis))
        sides.append(slice(max(0, int(there[0]) - margin), int(there[-1]) + margin + 1))
    return sides[0], sides[1]
