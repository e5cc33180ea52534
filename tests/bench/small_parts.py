"""The small-parts check against a search over orientations in the true cylinder of 16 CFR 1501.4; by hand:

python -m tests.bench.small_parts            # 2,000 random convex meshes
python -m tests.bench.small_parts 200        # fewer

Three in four meshes are scaled until they lie about a limit: that of the true cylinder, where a miss would
be, and that with the walls moved out by the margin, where false alarms end. A margin here is how far the
search had to move the walls of the true cylinder out to hold a mesh: at most 0 where it fits.
"""

from __future__ import annotations

import os
import sys
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # one core, as the figures are quoted

import numpy as np
import trimesh

from solver.advice.smallparts import CYLINDER_WIDTH, MARGIN, all_directions, cloud_support, fits_cylinder
from tests.validation.test_small_parts_cylinder import SEARCH_SLACK, searched

CASES = 2000
QUICK, DEEP = 3, 40
"""Orientations that are refined: of every mesh, and again where the search and the check disagree."""


def mesh(rng: np.random.Generator) -> np.ndarray:
    """Return the corners of a random convex mesh, 4 to 40 of them, up to four times as long as wide. [mm]"""
    cloud = rng.normal(size=(int(rng.integers(4, 40)), 3))
    if rng.random() < 0.5:  # on an ellipsoid; else corners inside it are lost
        cloud /= np.linalg.norm(cloud, axis=1)[:, None]
    shape = rng.uniform(8, 26) * rng.uniform(0.45, 1.8, 3)
    return np.asarray(trimesh.convex.convex_hull(cloud * shape).vertices)


def about(points: np.ndarray, rng: np.random.Generator, *, limit: float) -> np.ndarray:
    """Return a mesh scaled until its margin is about `limit`. [mm]"""
    radius = CYLINDER_WIDTH / 2
    for _ in range(3):
        margin = searched(points, rng, starts=1)
        points = points * np.clip((radius + limit) / (radius + margin), 0.4, 2.5)
    return points * rng.uniform(0.97, 1.03)


def main() -> None:
    """Print misses, false alarms and their margins."""
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else CASES
    rng = np.random.default_rng(1501)
    directions = all_directions()
    misses, alarms, over, fitting, told_of, checking = [], [], [], 0, 0, 0.0
    for case in range(cases):
        points = mesh(rng)
        if case % 4:
            points = about(points, rng, limit=MARGIN if case % 4 == 3 else 0.0)
        began = time.perf_counter()
        told = fits_cylinder(cloud_support(points), directions)
        checking += time.perf_counter() - began
        margin = searched(points, rng, starts=QUICK)
        if (told and margin > MARGIN) or (not told and margin < MARGIN / 2):
            margin = min(margin, searched(points, rng, starts=DEEP, steps=600))
        fitting += margin <= 0
        told_of += told
        if margin <= 0 and not told:
            misses.append((case, margin))
        if told and margin > 0:
            alarms.append(margin)
        if told and margin > MARGIN + SEARCH_SLACK:
            over.append((case, margin))
    print(f"{cases} meshes: {fitting} fit the true cylinder, {told_of} are told")
    print(
        f"misses: {len(misses)}", *(f"case {case}, {margin:+.2f} mm" for case, margin in misses), sep="\n  "
    )
    if alarms:
        spread = np.percentile(alarms, [0, 50, 90, 100])
        figures = ", ".join(f"{value:.2f}" for value in spread)
        print(f"false alarms: {len(alarms)}; margins least, median, 90 %, greatest: {figures} mm")
    print(
        f"beyond {MARGIN:g} mm, and {SEARCH_SLACK:g} mm that the search may fall short: {len(over)}",
        *(f"case {case}, {margin:+.2f} mm" for case, margin in over),
        sep="\n  ",
    )
    print(f"the check takes {1000 * checking / cases:.0f} ms a mesh")


if __name__ == "__main__":
    main()
