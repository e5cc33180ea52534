"""What is done to yes-or-no pictures: distances in them, gaps closed, holes filled, parts told apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats, Mask


def coarse_mask(mask: Mask, factor: int) -> Mask:
    """Return the mask with blocks of `factor` pixels each way made one, set where any of them is."""
    h, w = (-(-n // factor) * factor for n in mask.shape)
    padded = np.pad(mask, ((0, h - mask.shape[0]), (0, w - mask.shape[1])))
    blocks = padded.reshape(h // factor, factor, w // factor, factor).any(axis=(1, 3))
    return np.asarray(blocks, dtype=np.bool_)


def fine_mask(coarse: Mask, factor: int, shape: tuple[int, ...]) -> Mask:
    """Return a coarse mask at full size again."""
    return coarse.repeat(factor, axis=0).repeat(factor, axis=1)[: shape[0], : shape[1]]


def distance(mask: Mask) -> Floats:
    """Return how far each pixel that is set is from the nearest that is not. [px]"""
    from scipy.ndimage import distance_transform_edt

    if mask.all():
        return np.full(mask.shape, float(sum(mask.shape)))
    return np.asarray(distance_transform_edt(mask), dtype=np.float64)


def closed(mask: Mask, reach: float) -> Mask:
    """Return the mask with gaps up to twice `reach` wide closed."""
    if reach <= 0 or not mask.any():
        return mask
    edge = int(reach) + 2
    wide = distance(~np.pad(mask, edge)) <= reach
    return (distance(wide) > reach)[edge:-edge, edge:-edge] | mask


def filled_holes(mask: Mask) -> Mask:
    """Return the mask with what it encloses."""
    from scipy.ndimage import binary_fill_holes

    filled: Mask = binary_fill_holes(mask)
    return filled


def parts(mask: Mask) -> tuple[NDArray[np.int32], NDArray[np.int64], NDArray[np.int64]]:
    """Return the labels of connected parts, their areas, and the longer sides of their boxes."""
    from scipy.ndimage import find_objects, label

    labels, count = label(mask, structure=np.ones((3, 3)))
    areas = np.bincount(labels.ravel(), minlength=count + 1)[1:]
    longest = [max(s.stop - s.start for s in box) for box in find_objects(labels)]
    return labels, areas, np.array(longest, dtype=np.int64)


def part_with(mask: Mask, seed: tuple[int, int]) -> Mask:
    """Return the connected part that holds a pixel."""
    from scipy.ndimage import label

    labels, _ = label(mask, structure=np.ones((3, 3)))
    row, column = (min(at, n - 1) for at, n in zip(seed, mask.shape, strict=True))
    part: Mask = labels == labels[row, column]
    return part & mask


def box_round(mask: Mask, *, margin: int) -> tuple[slice, slice]:
    """Return the rows and columns of what is set, with some room."""
    sides = []
    for axis in (1, 0):
        there = np.flatnonzero(mask.any(axis=axis))
        sides.append(slice(max(0, int(there[0]) - margin), int(there[-1]) + margin + 1))
    return sides[0], sides[1]
