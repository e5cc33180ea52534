"""Which pixels of a picture carry ink: darker than the paper beside them, whatever the light on the sheet."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Grey, Mask

WINDOW = 1 / 20
"""Side of the square that a pixel is compared with, of the picture's longer side: wider than lines, narrower
than shadows."""

LEAST_CONTRAST = 0.035
"""Of the range from black to white: fainter marks can't be told from paper."""

SURE = 5.0
"""Ink is darker than its surroundings by this many times the noise of the paper."""

SPECK = 1 / 60
"""Marks that are smaller across than this part of the longer side are dust."""


def greys(colours: NDArray[np.float32], frame: Mask) -> Iterator[Grey]:
    """Give the picture as ways to see it in grey, ink dark, the likeliest first.

    Its lightness and its darkest primary (yellow on white is plain in blue); for a mostly dark sheet (chalk
    on a blackboard, a white silhouette) the lightness and the lightest primary, turned round.

    Parameters
    ----------
    colours : (h, w, 3) float32
        Red, green and blue, 0 to 1.
    frame : (h, w) bool
        Where the sheet lies.
    """
    lightness = colours @ np.array([0.299, 0.587, 0.114], dtype=np.float32)  # ITU-R BT.601
    if np.median(lightness[frame]) < 0.4:
        yield 1 - lightness
        yield 1 - colours.max(axis=2)
    else:
        yield lightness
        yield colours.min(axis=2)


def ink(grey: Grey, *, strength: float) -> Mask:
    """Return where there is ink.

    Parameters
    ----------
    grey : (h, w) float32
        The picture, 0 (black) to 1.
    strength : float
        1 for the threshold that parts ink from paper best; above 1 leaves fainter lines out, such as the
        squares of the paper.

    Returns
    -------
    (h, w) bool
        Without specks; nothing set where there is no contrast.
    """
    from scipy.ndimage import gaussian_filter, uniform_filter
    from skimage.filters import apply_hysteresis_threshold, threshold_otsu

    side = max(grey.shape)
    smooth = gaussian_filter(grey, 1.2)
    darker = uniform_filter(smooth, 2 * round(side * WINDOW / 2) + 1, mode="nearest") - smooth
    # half the pixels at least are paper, and what they differ by is noise: 0.6745 sigma is its median size
    noise = float(np.median(np.abs(darker - np.median(darker)))) / 0.6745
    least = max(SURE * noise, LEAST_CONTRAST)
    inked = darker[darker > least]
    if len(inked) < side / 4:
        return np.zeros(grey.shape, dtype=np.bool_)
    parting = strength * max(least, 0.5 * float(threshold_otsu(inked)) + 0.25 * least)
    mask = apply_hysteresis_threshold(darker, max(least, 0.6 * parting), parting)
    return _without_specks(mask, side * SPECK)


def _without_specks(mask: Mask, across: float) -> Mask:
    from scipy.ndimage import find_objects, label

    labels, _ = label(mask, structure=np.ones((3, 3)))
    large = [False]
    for box in find_objects(labels):
        large.append(max(s.stop - s.start for s in box) >= across)
    kept: Mask = np.asarray(large, dtype=np.bool_)[labels]
    return kept
