"""Where the sheet of paper lies in a photograph that shows the table too."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Mask

COARSE = 8
"""Pixels of the picture to one of the coarse one."""

LEAST_STEP = 0.12
"""Lightness by which paper stands out from a table, 0 to 1."""

LEAST_AREA = 0.2
"""Of the picture: a smaller light patch is no sheet."""

LEAST_LIGHT = 0.6
"""Of the sheet: what is bare paper; otherwise it is a light line on something dark."""

MARGIN = 0.02
"""Of the picture's longer side: what is cut off along the edges of the sheet."""


def sheet(colours: NDArray[np.float32]) -> Mask:
    """Return where paper may carry a drawing: everywhere, unless a light sheet lies on something dark.

    Parameters
    ----------
    colours : (h, w, 3) float32
        Red, green and blue, 0 to 1.
    """
    from scipy.ndimage import binary_fill_holes, distance_transform_edt, label, zoom
    from skimage.filters import threshold_otsu

    everything: Mask = np.ones(colours.shape[:2], dtype=np.bool_)
    h, w = (n // COARSE * COARSE for n in everything.shape)
    blocks = (h // COARSE, COARSE, w // COARSE, COARSE)
    lightness = colours[:h, :w].mean(axis=2).reshape(blocks).mean(axis=(1, 3))
    parting = float(threshold_otsu(lightness))
    light = lightness > parting
    if not light.any() or lightness[light].mean() - lightness[~light].mean() < LEAST_STEP:
        return everything
    border = np.concatenate([light[0], light[-1], light[:, 0], light[:, -1]])
    labels, _ = label(light)
    largest = int(np.argmax(np.bincount(labels.ravel())[1:])) + 1
    whole = binary_fill_holes(labels == largest)
    marked = whole & ~light
    is_paper = light[whole].mean() > LEAST_LIGHT and whole.mean() > LEAST_AREA
    if border.mean() > 0.5 or not is_paper or not _is_convex(whole):
        return everything
    if not marked.any() and not _has_lines(lightness, whole):
        return everything  # a light silhouette on a dark ground
    deep = distance_transform_edt(np.pad(whole, 1))[1:-1, 1:-1] * COARSE > MARGIN * max(everything.shape)
    everything[:h, :w] = zoom(deep, COARSE, order=0)
    everything[h:], everything[:, w:] = False, False
    return everything


def _is_convex(whole: Mask) -> bool:
    from skimage.morphology import convex_hull_image

    return float(whole.sum()) > 0.93 * float(convex_hull_image(whole).sum())


def _has_lines(lightness: NDArray[np.float32], whole: Mask) -> bool:
    """Return whether anything on the sheet is darker than the paper near it."""
    from scipy.ndimage import binary_erosion, median_filter

    inner = binary_erosion(whole, iterations=4)
    darker = median_filter(lightness, 9) - lightness
    return bool(inner.any() and (darker[inner] > 0.03).sum() > 30)
