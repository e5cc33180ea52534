"""The plain rule, girth over stitch width at each row: what solved counts are held against."""

from __future__ import annotations

import numpy as np

from solver.errors import ConvergenceError
from solver.search.counts import LEAST, RING, Whole
from solver.search.making import Making
from solver.search.rows import TURN_STITCHES, multiples
from solver.search.trials import Trial, tried
from solver.wanted.outline import Outline, turning_directions
from solver.wanted.silhouette import deviation


def rule_counts(outline: Outline, making: Making, *, least: int = 3) -> Whole:
    """Return the counts of the plain rule, girth over stitch width at each row, and `least` at the least."""
    rows = max(2, round(outline.length / making.row_height) - (not making.finish_open))
    at = np.arange(1, rows + 1) * making.row_height
    girth = 2 * np.pi * np.interp(at, outline.arc, outline.points[:, 0])
    m = making.multiple
    counts = m * np.round(girth / (making.stitch_width * m))
    return np.asarray(np.maximum(-(-least // m) * m, counts), dtype=np.int64)


def nearer_by_rule(best: Trial, outline: Outline, making: Making) -> Trial:
    """Return the plain rule's counts where they can be worked and their form lies nearer than the best."""
    counts = rule_counts(outline, making)
    if counts.max() < LEAST:
        return best
    ring, tip = multiples((3, RING[1]), making.multiple), np.flatnonzero(counts >= LEAST)
    inner = slice(0 if making.start_open else tip[0], len(counts) if making.finish_open else tip[-1])
    counts[inner] = np.maximum(counts[inner], -(-LEAST // making.multiple) * making.multiple)
    if making.ring:
        counts[0] = making.ring
    elif not making.start_open:
        counts[0] = np.clip(counts[0], *ring)
    if not making.finish_open:
        counts[-1] = np.clip(counts[-1], *ring)
    if np.any(counts[1:] > 2 * counts[:-1]) or np.any(2 * counts[1:] < counts[:-1]):
        return best
    if not _turns_with(outline, counts, making.stitch_width):
        return best
    try:
        rule = tried(counts, outline, making, None)
    except ConvergenceError:
        return best
    nearer = deviation(rule.form.points, outline).rms < deviation(best.form.points, outline).rms * (1 - 1e-9)
    return rule if nearer else best


def _turns_with(outline: Outline, counts: Whole, stitch_width: float) -> bool:
    """Tell whether counts turn only where the girth does: multiples may rise and fall about one of them."""
    girth = iter(turning_directions(2 * np.pi * outline.points[:, 0] / stitch_width, slack=TURN_STITCHES))
    return all(direction in girth for direction in turning_directions(counts.astype(float), slack=0.0))
