"""What a tape's error does to a measured ball, against simulated measurings; run by hand.

Of 27 balls (24, 36 and 48 stitches, three p/k, three k_w/k_c) the standard deviations that `fit_ball` tells
for a tape of 2 mm are laid beside those of 400 measurings, each fitted by itself. Those that are refused,
as no stuffing gives such a ball, are left out.
"""

from __future__ import annotations

import time

import numpy as np
from tests.test_tension import BALLS, GAUGE, ball, measures, stratified

from solver.errors import InputError
from solver.measuring.tension import fit_ball

TAPE = 2.0
SQUARE = 20
"""Measurings are stratified: one in each of 20 x 20 cells of equal probability."""


def main() -> None:
    """Print both for each ball, the greatest disagreement, and the time that one propagation takes."""
    worst = 0.0
    for most, firmness, ratio in BALLS:
        pressure, girth, height = measures(most, firmness=firmness, ratio=ratio)
        began = time.perf_counter()
        told = fit_ball(ball(most), GAUGE, girth_mm=girth, height_mm=height, tape_mm=TAPE)
        took = time.perf_counter() - began
        found, refused = [], 0
        for dg, dh in TAPE * stratified(SQUARE, seed=2):
            try:
                got = fit_ball(ball(most), GAUGE, girth_mm=girth + dg, height_mm=height + dh)
            except InputError:
                refused += 1
                continue
            found.append((got.pressure, got.stiffness_ratio))
        drawn = np.std(np.array(found), axis=0)
        off = np.array([told.pressure_error, told.ratio_error]) / drawn - 1
        worst = max(worst, float(np.abs(off).max()))
        print(
            f"{most} stitches, p R/k {firmness:4.2f}, k_w/k_c {ratio:3.1f}: "
            f"p/k +- {told.pressure_error / pressure:4.0%} ({off[0]:+.1%} of the drawn), "
            f"k_w/k_c +- {told.ratio_error / ratio:4.0%} ({off[1]:+.1%}), "
            f"{refused} refused, {took:.2f} s",
            flush=True,
        )
    print(f"worst {worst:.1%}")


if __name__ == "__main__":
    main()
