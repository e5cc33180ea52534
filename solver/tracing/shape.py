"""The one closed shape that ink encloses: a filled silhouette, or a drawn line whose middle is followed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.tracing.ink import Grey, Mask

Floats = NDArray[np.float64]

COARSE = 3
"""Pixels of the picture to one of the coarse one in which the shape is looked for."""

REACHES = (0, 2, 4, 7, 11)
"""Half the widest gap that is bridged, tried in this order. [coarse px]"""

STUB = 3
"""Half the width up to which what sticks out is a stray line, not part of the shape. [coarse px]"""

LEAST_HEIGHT = 1 / 15
"""Of the picture's longer side: smaller shapes can't be followed well enough."""

SLENDER = 0.03
"""Half the width of a shape over its length; what is thinner is a line that encloses nothing."""

RIVAL = 0.2
"""A second shape of this part of the first one's area makes it unclear which is meant."""

LEAST_DRAWN = 0.78
"""Of the shape's edge: what must be drawn, the rest being gaps."""

ALL_DRAWN = 0.95
"""An edge drawn so far is a line, whatever lies beside it."""

LEAST_ON_LINE, LEAST_ALONG = 0.3, 0.85
"""Of the ink in a shape with gaps, and of the marks on its edge: what runs along the edge."""

OFF_INK = 4
"""How far from ink the contour may run and still be drawn there. [px]"""

FILLED = 0.6
"""A shape is filled if this part of its inside is nearer to the ink of its edge than to the paper."""


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
    stubs : (k, 2) float
        Middles of the lines that stick out of the shape, such as the ends of a drawn axis. [px]
    """

    contour: Floats
    filled: bool
    line: float
    drawn: float
    left_out: int
    stubs: Floats


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
    ink, seed, left_out = _looked_for(mask)
    solid = _part_with(_filled_holes(ink), seed)
    if not solid.any():
        raise _nothing(mask)
    if not _runs_off_as_lines(solid):
        raise _cut_off()
    box = _box_round(solid, margin=40)
    solid, ink, mask, grey = solid[box], ink[box] & solid[box], mask[box], grey[box]
    hollow, line = _hollow(solid, ink)
    filled = _is_filled(grey, mask, solid=solid, hollow=hollow)
    if not filled and not hollow.any():
        got = "marks that fill only part of what they cover"
        raise _writing(got)
    if filled:
        line = 0.0
        stray = _stubs(solid, _distance(solid) > STUB * COARSE, reach=STUB * COARSE)
        field = _edge_of_silhouette(grey, solid & ~stray)
    else:
        stray = _stubs(ink, hollow, reach=1.5 * line)
        field = _distance(~hollow) - _distance(solid)
    contour = _longest_contour(field)
    drawn = _drawn_part(contour, mask)
    if drawn < LEAST_DRAWN or (not filled and drawn < ALL_DRAWN and _is_scattered(contour, mask & solid)):
        got = f"marks that cover {100 * drawn:.0f} % of the outline round them"
        raise _writing(got)
    corner = np.array([box[0].start, box[1].start])
    stubs = np.array(_middles(stray)).reshape(-1, 2)
    places = [(np.asarray(points) + corner)[:, ::-1] * [1, -1] for points in (contour, stubs)]
    return Shape(places[0], filled, line, drawn, left_out, places[1])


def _looked_for(mask: Mask) -> tuple[Mask, tuple[int, int], int]:
    """Return the ink with its gaps bridged, a pixel inside the shape, and how many marks lie beside it."""
    coarse = _coarse(mask)
    bridges = [_bridges(coarse, reach) for reach in REACHES]
    solids = [_filled_holes(coarse | bridge) for bridge in bridges]
    depths = [_distance(solid) for solid in solids]
    enclosed = [int((depth > STUB).sum()) for depth in depths]
    most = max(enclosed)
    if not most:
        raise _nothing(mask)
    for bridge, solid, depth, area in zip(bridges, solids, depths, enclosed, strict=True):
        if area < 0.3 * most:
            continue
        labels, _, sizes = _parts(solid)
        cores = np.bincount(labels[depth > STUB], minlength=len(sizes) + 1)[1:]
        first = int(np.argmax(cores))
        if float(depth.max()) < SLENDER * sizes[first]:
            continue
        if sizes[first] < LEAST_HEIGHT * max(coarse.shape):
            raise NoShape(
                2,
                f"the shape is at least a {1 / LEAST_HEIGHT:.0f}th of the picture high or wide",
                "Go nearer, or cut the picture to the drawing.",
                got="small marks only, such as writing" if len(sizes) > 3 else "a small mark",
            )
        rivals = int(np.sum(cores >= RIVAL * cores[first]))
        if rivals > 1:
            raise NoShape(
                3,
                "a picture holds one shape",
                "Cut the picture to the one you want, or cover the others (writing too).",
                got=f"{rivals} of like size",
            )
        if area >= 0.85 * most:
            deepest = int(np.argmax(np.where(labels == first + 1, depth, 0)))
            row, column = (int(at) * COARSE + 1 for at in np.unravel_index(deepest, depth.shape))
            return mask | _fine(bridge, mask.shape), (row, column), len(sizes) - 1
    raise _nothing(mask)


def _writing(got: str) -> NoShape:
    return NoShape(
        3,
        "one closed line or one filled shape is drawn",
        "Close the gaps of the line with a dark pen, and leave writing out of the picture.",
        got=got,
    )


def _touches_edge(mask: Mask) -> bool:
    return bool(mask[0].any() or mask[-1].any() or mask[:, 0].any() or mask[:, -1].any())


def _runs_off_as_lines(solid: Mask) -> bool:
    """Return whether at most the two ends of a drawn axis leave the picture."""
    edge = np.concatenate([solid[0], solid[1:, -1], solid[-1, -2::-1], solid[-2:0:-1, 0]])
    runs = int(np.sum(edge & ~np.roll(edge, 1)))
    return runs <= 2 and int(edge.sum()) <= 4 * STUB * COARSE


def _cut_off() -> NoShape:
    return NoShape(
        4,
        "the whole shape lies inside the picture",
        "This one touches the edge of the picture: photograph it with paper all round. On squared or lined "
        "paper draw much darker than the paper's own lines.",
    )


def _nothing(mask: Mask) -> NoShape:
    if _touches_edge(mask):
        return _cut_off()
    return NoShape(
        1 if mask.any() else 0,
        "one closed line or one filled shape is drawn, dark on light paper",
        "Draw the outline as one closed dark line (or half of it against a straight axis), or fill it in; "
        "photograph it from straight above in even light.",
        got="lines that enclose nothing" if mask.any() else "nothing drawn that stands out from the paper",
    )


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
    """Return whether the inside is as dark as the edge."""
    beside, depth = _distance(~solid), _distance(solid)
    paper = float(np.median(grey[(beside > 4) & (beside < 30) & ~mask]))
    edge = float(np.quantile(grey[mask & (depth < 20)], 0.3))
    within = hollow & (_distance(hollow) > 4) & (depth < 70) if hollow.any() else solid
    if not within.any():
        within = solid
    return float(np.mean(paper - grey[within] > 0.5 * (paper - edge))) > FILLED


def _edge_of_silhouette(grey: Grey, solid: Mask) -> Floats:
    """Return a field that is zero where the grey is half way from the silhouette to the paper."""
    depth = _distance(solid) - _distance(~solid)
    places = np.arange(-12.0, 13.0)
    tones = np.array([float(grey[np.abs(depth - place) <= 1.0].mean()) for place in places])
    half = (tones[:4].mean() + tones[-4:].mean()) / 2
    return float(np.interp(-half, -tones, places)) - depth if np.all(np.diff(tones[4:-4]) < 0) else -depth


def _stubs(solid: Mask, core: Mask, *, reach: float) -> Mask:
    """Return the long thin lines that stick out of a core; short ones are its own corners."""
    rest = solid & ~_distance_within(core, reach)
    labels, _, longest = _parts(rest)
    stray: Mask = np.concatenate([[False], longest > 4 * STUB * COARSE])[labels]
    return stray


def _middles(mask: Mask) -> list[tuple[float, float]]:
    from scipy.ndimage import center_of_mass

    labels, areas, _ = _parts(mask)
    return list(center_of_mass(mask, labels, np.arange(len(areas)) + 1))


def _longest_contour(field: Floats) -> Floats:
    from scipy.ndimage import gaussian_filter
    from skimage.measure import find_contours

    contours = find_contours(gaussian_filter(field, 1.5), 0.0)
    return np.asarray(max(contours, key=len), dtype=np.float64)


def _drawn_part(contour: Floats, mask: Mask) -> float:
    rows, columns = np.round(contour).astype(int).T
    return float(np.mean(_distance(~mask)[rows, columns] <= OFF_INK))


def _is_scattered(contour: Floats, mask: Mask) -> bool:
    """Return whether the ink is writing: most of it off the contour, or lying across it where they meet."""
    from scipy.ndimage import label

    away = np.ones(mask.shape, dtype=np.bool_)
    rows, columns = np.round(contour).astype(int).T
    away[rows, columns] = False
    off = _distance(away)
    labels, count = label(mask, structure=np.ones((3, 3)))
    met = np.zeros(count + 1, dtype=np.bool_)
    met[np.unique(labels[(off <= OFF_INK) & mask])] = True
    near = off <= 2 * float(_distance(mask)[mask].mean()) + OFF_INK  # half the thickness of a stroke
    return bool(near[mask].mean() < LEAST_ON_LINE or near[mask & met[labels]].mean() < LEAST_ALONG)


def _coarse(mask: Mask) -> Mask:
    h, w = (-(-n // COARSE) * COARSE for n in mask.shape)
    padded = np.pad(mask, ((0, h - mask.shape[0]), (0, w - mask.shape[1])))
    blocks = padded.reshape(h // COARSE, COARSE, w // COARSE, COARSE).any(axis=(1, 3))
    return np.asarray(blocks, dtype=np.bool_)


def _fine(coarse: Mask, shape: tuple[int, ...]) -> Mask:
    return coarse.repeat(COARSE, axis=0).repeat(COARSE, axis=1)[: shape[0], : shape[1]]


def _bridges(ink: Mask, reach: int) -> Mask:
    """Return lines through the middle of all ink that cross gaps up to twice `reach` wide.

    Ink is widened by the reach, which joins what lies near, and thinned to lines again: across a gap they run
    straight from end to end.
    """
    from skimage.morphology import skeletonize

    lines: Mask = skeletonize(_distance_within(ink, reach) if ink.any() else ink)
    return lines


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
