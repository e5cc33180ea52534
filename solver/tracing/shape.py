"""The one closed shape that ink encloses: a filled silhouette, or a drawn line whose middle is followed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats, Grey, Mask
from solver.tracing.masks import (
    box_round,
    closed,
    coarse_mask,
    distance,
    filled_holes,
    fine_mask,
    part_with,
    parts,
)

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

BLUR = 12.0
"""Pixels either side of a silhouette's edge in which its darkness settles."""

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
    solid = part_with(filled_holes(ink), seed)
    if not solid.any():
        raise _nothing(mask)
    if not _runs_off_as_lines(solid):
        raise _cut_off()
    box = box_round(solid, margin=40)
    solid, ink, mask, grey = solid[box], ink[box] & solid[box], mask[box], grey[box]
    hollow, line = _hollow(solid, ink)
    depth = distance(solid)
    filled = _is_filled(grey, mask, solid=solid, hollow=hollow, depth=depth)
    if not filled and not hollow.any():
        got = "marks that fill only part of what they cover"
        raise _writing(got)
    if filled:
        line = 0.0
        stray = _stubs(solid, distance(depth <= STUB * COARSE), reach=STUB * COARSE)
        field = _edge_of_silhouette(grey, solid & ~stray)
    else:
        from_hollow = distance(~hollow)
        stray = _stubs(ink, from_hollow, reach=1.5 * line)
        field = from_hollow - depth
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
    coarse = coarse_mask(mask, COARSE)
    bridges = _bridges(coarse)
    solids = [filled_holes(coarse | bridge) for bridge in bridges]
    depths = [distance(solid) for solid in solids]
    enclosed = [int((depth > STUB).sum()) for depth in depths]
    most = max(enclosed)
    if not most:
        raise _nothing(mask)
    for bridge, solid, depth, area in zip(bridges, solids, depths, enclosed, strict=True):
        if area < 0.3 * most:
            continue
        labels, _, sizes = parts(solid)
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
            return mask | fine_mask(bridge, COARSE, mask.shape), (row, column), len(sizes) - 1
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
    line = 4 * float(distance(ink)[ink].mean())
    inside = closed(solid & ~ink, 0.75 * line + 1) & solid
    labels, areas, _ = parts(inside)
    if not len(areas):
        return inside, line
    return filled_holes(labels == int(np.argmax(areas)) + 1), line


def _is_filled(grey: Grey, mask: Mask, *, solid: Mask, hollow: Mask, depth: Floats) -> bool:
    """Return whether the inside is as dark as the edge."""
    beside = distance(~solid)
    paper = float(np.median(grey[(beside > 4) & (beside < 30) & ~mask]))
    edge = float(np.quantile(grey[mask & (depth < 20)], 0.3))
    inside = hollow & (distance(hollow) > 4) & (depth < 70)
    if not inside.any():
        inside = solid
    return float(np.mean(paper - grey[inside] > 0.5 * (paper - edge))) > FILLED


def _edge_of_silhouette(grey: Grey, solid: Mask) -> Floats:
    """Return a field that is zero where the grey is half way from the silhouette to the paper."""
    depth = distance(solid) - distance(~solid)
    if depth.max() < BLUR + 2:
        return -depth
    places = np.arange(-BLUR, BLUR + 1.0)
    tones = np.array([float(grey[np.abs(depth - place) <= 1.0].mean()) for place in places])
    half = (tones[:4].mean() + tones[-4:].mean()) / 2
    return float(np.interp(-half, -tones, places)) - depth if np.all(np.diff(tones[4:-4]) < 0) else -depth


def _stubs(solid: Mask, from_core: Floats, *, reach: float) -> Mask:
    """Return the long thin lines that stick out of a core; short ones are its own corners."""
    rest = solid & (from_core > reach)
    labels, _, longest = parts(rest)
    stray: Mask = np.concatenate([[False], longest > 4 * STUB * COARSE])[labels]
    return stray


def _middles(mask: Mask) -> list[tuple[float, float]]:
    from scipy.ndimage import center_of_mass

    labels, areas, _ = parts(mask)
    return list(center_of_mass(mask, labels, np.arange(len(areas)) + 1))


def _bridges(ink: Mask) -> list[Mask]:
    """Return, for each reach, lines through the middle of all ink that cross gaps up to twice as wide.

    Ink is widened by the reach, which joins what lies near, and thinned to lines again: across a gap they run
    straight from end to end.
    """
    from skimage.morphology import skeletonize

    if not ink.any():
        return [ink for _ in REACHES]
    away = distance(~ink)
    return [skeletonize(away <= reach) for reach in REACHES]


def _longest_contour(field: Floats) -> Floats:
    from scipy.ndimage import gaussian_filter
    from skimage.measure import find_contours

    contours = find_contours(gaussian_filter(field, 1.5), 0.0)
    if not contours:
        got = "marks too faint or too thin to have an edge"
        raise _writing(got)
    return np.asarray(max(contours, key=len), dtype=np.float64)


def _drawn_part(contour: Floats, mask: Mask) -> float:
    rows, columns = np.round(contour).astype(int).T
    return float(np.mean(distance(~mask)[rows, columns] <= OFF_INK))


def _is_scattered(contour: Floats, mask: Mask) -> bool:
    """Return whether the ink is writing: most of it off the contour, or lying across it where they meet."""
    from scipy.ndimage import label

    away = np.ones(mask.shape, dtype=np.bool_)
    rows, columns = np.round(contour).astype(int).T
    away[rows, columns] = False
    off = distance(away)
    labels, count = label(mask, structure=np.ones((3, 3)))
    met = np.zeros(count + 1, dtype=np.bool_)
    met[np.unique(labels[(off <= OFF_INK) & mask])] = True
    near = off <= 2 * float(distance(mask)[mask].mean()) + OFF_INK  # half the thickness of a stroke
    return bool(near[mask].mean() < LEAST_ON_LINE or near[mask & met[labels]].mean() < LEAST_ALONG)
