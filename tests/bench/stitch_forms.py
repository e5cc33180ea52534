"""Time of a form in space against the number of stitches, and against scipy's general minimiser.

Run from the repository's root: `python -m tests.bench.stitch_forms`. Prints a table for a sphere, a pear
and a pillow, the exponent of the growth of the time, and how many times longer L-BFGS-B takes on the same
energy.
"""

import argparse
import time

import numpy as np
from scipy.optimize import minimize

from solver.form.descent import FREE, Constraints
from solver.form.energy import StitchEnergy
from solver.form.fabric import StitchFabric, stitch_fabric
from solver.form.stitches import TOLERANCE, loft, stitch_form
from solver.rounds import Finish, Start
from solver.rounds.shaping import shaped_piece

WIDTH, HEIGHT = 5.0, 4.6
LIMITS = {500: 0.1, 2000: 0.4, 8000: 2.0, 20000: 6.0}
"""Seconds that a form of so many stitches may take."""


def outline(shape: str) -> tuple[np.ndarray, np.ndarray]:
    """Return radius and arc length of a shape about as tall as 2."""
    t = np.linspace(0, np.pi, 2000)
    radius, height = np.sin(t), -np.cos(t)
    if shape == "pear":
        radius = radius * (1 - 0.38 * np.exp(-(((t - 1.9) / 0.45) ** 2)))
        height = 1.35 * height
    if shape == "pillow":  # two flat discs
        radius, height = 1 - np.abs(1 - 2 * t / np.pi), 0 * t
    return radius, np.append(0, np.cumsum(np.hypot(np.diff(radius), np.diff(height))))


def fabric_of(shape: str, stitches: int) -> StitchFabric:
    """Return the fabric of a shape scaled to so many stitches."""
    radius, along = outline(shape)

    def counts(scale: float) -> list[int]:
        rounds = np.arange(1, int(scale * along[-1] / HEIGHT)) * HEIGHT
        girth = 2 * np.pi * scale * np.interp(rounds, scale * along, radius)
        return [max(5, round(each / WIDTH)) for each in girth]

    low, high = 10.0, 1000.0
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if sum(counts(middle)) < stitches else (low, middle)
    piece = shaped_piece(counts(high), start=Start.RING, finish=Finish.CINCHED)
    return stitch_fabric(piece, stitch_width=WIDTH, row_height=HEIGHT)


def general_minimiser(fabric: StitchFabric, pressure: float) -> tuple[float, bool]:
    """Return seconds that scipy's L-BFGS-B takes to the same residual, and whether it got there."""
    began = time.perf_counter()
    energy = StitchEnergy(fabric, pressure)
    constraints = Constraints(fabric, loft(fabric, pressure), FREE)
    unit = pressure * WIDTH * HEIGHT

    def value(x: np.ndarray) -> tuple[float, np.ndarray]:
        e, gradient = energy(x.reshape(-1, 3))
        return e / unit, constraints.project(gradient).ravel() / unit

    options = {"maxcor": 20, "maxiter": 5000, "maxfun": 10000, "gtol": TOLERANCE / np.sqrt(3), "ftol": 0.0}
    result = minimize(value, constraints.points.ravel(), jac=True, method="L-BFGS-B", options=options)
    return time.perf_counter() - began, float(np.abs(result.jac).max()) < TOLERANCE


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--stretch", type=float, default=0.02, help="of the fabric: 0.02 is medium, 0.05 firm"
    )
    parser.add_argument("--sizes", type=int, nargs="+", default=sorted(LIMITS))
    parser.add_argument("--compare-to", type=int, default=8000, help="largest size for the general minimiser")
    given = parser.parse_args()
    for shape in ("sphere", "pear", "pillow"):
        taken = []
        for stitches in given.sizes:
            fabric = fabric_of(shape, stitches)
            radius = max(fabric.piece.counts) * WIDTH / (2 * np.pi)
            pressure = 2 * given.stretch / (radius * (1 + given.stretch))
            began = time.perf_counter()
            form = stitch_form(fabric, pressure=pressure)
            taken.append(time.perf_counter() - began)
            line = f"{shape:7}{sum(fabric.piece.counts):7} st {taken[-1]:7.3f} s {form.iterations:4} steps"
            if 2000 <= stitches <= given.compare_to:
                general, arrived = general_minimiser(fabric, pressure)
                line += (
                    f"; L-BFGS-B {'' if arrived else 'over '}{general:.1f} s, {general / taken[-1]:.0f} times"
                )
            print(line)
        exponent = np.polyfit(np.log(given.sizes), np.log(taken), 1)[0]
        print(f"{shape:7}grows with the power {exponent:.2f}")


if __name__ == "__main__":
    main()
