"""Gauge of several measurements: their mean, their spread, and what it means for the size of a part.

A part's sizes s and a measured ball's sizes f move with g = log (w, h) and, where there is a ball, with
y = log (p/k, k_w/k_c). What was measured on the ball, m = f(g, y), ties y to g:

    ds = s_g dg + s_y dy,    dy = f_y^-1 (dm - f_g dg).                                               (1)

So gauge and stretch partly cancel: a stitch taken for too wide gives a stretch taken for too low.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats
from solver.form.rings import Form, RingFabric, ring_form
from solver.measuring.tension import BallFit, sizes
from solver.trade import YarnWeight
from solver.wanted.gauge import DEFAULT_FIRMNESS, GREATEST_STRETCH, USUAL_ROW_RATIOS, Gauge, Stuffing

READING = 0.25
"""Standard error of counting stitches or rounds over a length, where there is one measurement only: a
quarter of a stitch. ASSUMED."""

TURNED = (0.86, 0.94)
"""Row height over stitch width of swatches that were turned (common practice, no source: 0.91 +- 0.02)."""

EVEN_STIFFNESS = (0.6, 1.7)
"""k_w/k_c of a measured ball beyond which it is warned of. ASSUMED."""

BY_CHANCE = 0.01
"""Probability below which a scatter is not taken for errors of reading."""

STEP = 0.01
"""Change of a logarithm by which slopes are taken."""

REFERENCE = 100.0
"""Part on which an uncertainty is told. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A gauge with its uncertainty.

    Attributes
    ----------
    gauge : Gauge
    width_error, row_error : float
        Standard errors of stitch width and row height, relative. [1]
    origin : str
        What was measured, in words.
    is_guess : bool
        It was not measured at all.
    differing : tuple of str
        What scatters by more than errors of reading do, in words.
    """

    gauge: Gauge
    width_error: float
    row_error: float
    origin: str
    is_guess: bool = False
    differing: tuple[str, ...] = ()

    def on_reference(self, ball: BallFit | None = None) -> tuple[float, float]:
        """Return what the errors mean in mm on a part 100 mm wide and high: of its width, of its height.

        Parameters
        ----------
        ball : BallFit, optional
            Measured over this gauge; left out: the stuffing is taken as it is assumed, without an error.

        Notes
        -----
        (1) for the counts of a ball of that size; the errors of w, of h and of each measure of the ball are
        independent of each other and add in squares. Neglected: that forms bend within the errors, that hands
        stuff one part otherwise than another, and that the swatch's fabric may not be the ball's.
        """
        gauge, radius = self.gauge, REFERENCE / 2
        places = np.arange(gauge.row_height, math.pi * radius, gauge.row_height)
        counts = np.maximum(2 * math.pi * radius * np.sin(places / radius) / gauge.stitch_width, 4.0)
        measures = 0 if ball is None else 1 + ball.has_height

        def both(moves: Floats) -> Floats:
            """Return f, where there is a ball, and s, at logarithms of w, h, p/k and k_w/k_c moved so far."""
            w, h, p, k = np.exp(np.pad(moves, (0, 4 - len(moves))))

            def form(rounds: Sequence[float], pressure: float) -> Form:
                fabric = RingFabric.from_counts(
                    rounds,
                    stitch_width=gauge.stitch_width * w,
                    row_height=gauge.row_height * h,
                    wale_stiffness=(ball or gauge).stiffness_ratio * k,
                )
                return ring_form(fabric, pressure=pressure)

            if ball is None:
                part = form(counts.tolist(), Stuffing.of_firmness(DEFAULT_FIRMNESS).pressure(radius))
                return np.array([part.width, part.size])
            stuffed = form(ball.counts, ball.pressure * p)
            # parts of any size are stretched alike: p R / k is the ball's
            part = form(counts.tolist(), ball.pressure * p * stuffed.width / 2 / radius)
            return np.array([*sizes(stuffed, measures), part.width, part.size])

        slopes = np.column_stack(
            [(both(step) - both(-step)) / (2 * STEP) for step in STEP * np.eye(2 + measures)]
        )
        (f_g, f_y), (s_g, s_y) = (np.hsplit(rows, [2]) for rows in np.vsplit(slopes, [measures]))
        by_measures = s_y @ np.linalg.inv(f_y)
        of_gauge = (s_g - by_measures @ f_g) * [self.width_error, self.row_error]  # (1)
        of_ball = by_measures * (ball.tape if ball else 0.0)
        width, height = np.hypot(np.linalg.norm(of_gauge, axis=1), np.linalg.norm(of_ball, axis=1))
        return float(width), float(height)

    def warnings(self, *, stretch: float | None = None, stiffness: float | None = None) -> Iterator[str]:
        """Yield where the numbers contradict each other, or what toys are like.

        Parameters
        ----------
        stretch, stiffness : float, optional
            Of a ball measured over this gauge: stretch of its fabric, and k_w/k_c by its height.
        """
        for what in self.differing:
            yield (
                f"What you measured differs by more than reading explains: {what}. Was one of them turned, "
                "worked with another hook, or pulled while you measured? Their mean is taken; better measure "
                "again, all worked alike."
            )
        ratio, (low, high) = self.gauge.row_ratio, USUAL_ROW_RATIOS
        if not low <= ratio <= high:
            yield (
                f"A row is {ratio:.2f} times as tall as a stitch is wide; toys in rounds nearly always lie "
                f"between {low:g} and {high:g}. Count both again."
            )
        elif TURNED[0] <= ratio <= TURNED[1]:
            yield (
                f"A row is {ratio:.2f} times as tall as a stitch is wide, as on swatches that are turned "
                "after each row. Toys are worked in rounds, where rows come out about as tall as stitches "
                "are wide: measure there, if this swatch was turned."
            )
        if stretch is not None and stretch > GREATEST_STRETCH:
            yield (
                f"The ball would stretch its fabric by {stretch:.0%}, and no hands stuff harder than about "
                f"{GREATEST_STRETCH:.0%}: the gauge is probably wrong, or not that of the ball."
            )
        if stiffness is not None and not EVEN_STIFFNESS[0] <= stiffness <= EVEN_STIFFNESS[1]:
            yield (
                f"By the ball's height the fabric would be {stiffness:.2f} times as stiff along a part as "
                f"round it; outside {EVEN_STIFFNESS[0]:g} to {EVEN_STIFFNESS[1]:g} (assumed) we take it that "
                "girth, height and gauge don't fit together. Measure all three again, and stuff the ball "
                "evenly, neither long nor flat."
            )


def of_swatches(swatches: Sequence[tuple[float, float, float]], *, thickness: float = 0.0) -> Measured:
    """Return the gauge of swatches, each (stitches, rows, length in mm), all above zero."""
    gauges = [
        Gauge.from_swatch(stitches=stitches, rows=rows, over_mm=over, thickness=thickness)
        for stitches, rows, over in swatches
    ]
    reading = [(READING / stitches, READING / rows) for stitches, rows, _ in swatches]
    return _mean(gauges, reading, "swatch")


def of_circles(circles: Sequence[tuple[float, float, float]], *, thickness: float = 0.0) -> Measured:
    """Return the gauge of flat circles, each (rounds, stitches, diameter in mm), all above zero.

    Notes
    -----
    Its diameter is read to 1 mm (assumed), and moves both sizes.
    """
    gauges = [
        Gauge.from_circle(rounds=rounds, stitches=stitches, across_mm=across, thickness=thickness)
        for rounds, stitches, across in circles
    ]
    return _mean(gauges, [(1.0 / across, 1.0 / across) for _, _, across in circles], "flat circle")


def of_yarn(weight: YarnWeight, *, thickness: float = 0.0) -> Measured:
    """Return the gauge that toys in a category of yarn are likely to have: a guess."""
    low, high = weight.toy_stitches_range
    size = 100.0 / weight.toy_stitches
    error = math.log(high / low) / 4  # the range taken as two standard deviations to each side
    return Measured(
        gauge=Gauge(stitch_width=size, row_height=size, thickness=thickness),
        width_error=error,
        row_error=error,
        origin=f"a guess for yarn of weight {weight.number} ({weight.name})",
        is_guess=True,
    )


def _mean(gauges: Sequence[Gauge], reading: Sequence[tuple[float, float]], what: str) -> Measured:
    """Return the mean of gauges; its error is that of their spread, and of reading where that is larger."""
    number = len(gauges)
    means, errors, differing = [], [], []
    for name, attribute, read in zip(
        ("stitches", "rounds"), ("stitch_width", "row_height"), zip(*reading, strict=True), strict=True
    ):
        found = [getattr(gauge, attribute) for gauge in gauges]
        means.append(statistics.fmean(found))
        spread = statistics.stdev(found) / means[-1] if number > 1 else 0.0
        errors.append(max(spread, statistics.fmean(read)) / math.sqrt(number))
        if _differ(found, read):
            differing.append(f"{100 / max(found):.3g} to {100 / min(found):.3g} {name} to 10 cm")
    return Measured(
        gauge=Gauge(stitch_width=means[0], row_height=means[1], thickness=gauges[0].thickness),
        width_error=errors[0],
        row_error=errors[1],
        origin=f"{number} {what}{'es' if number > 1 and what == 'swatch' else 's' if number > 1 else ''}",
        differing=tuple(differing),
    )


def _differ(found: Sequence[float], reading: Sequence[float]) -> bool:
    """Return whether measurements scatter beyond their relative errors of reading.

    Notes
    -----
    The sum of squared residuals over their errors is distributed as chi-squared with one degree of freedom
    fewer than measurements (P. Bevington and D. Robinson, Data Reduction and Error Analysis for the Physical
    Sciences, 3rd ed., ch. 4; from memory).
    """
    if len(found) < 2:
        return False
    from scipy.special import chdtri

    values = np.array(found)
    errors = values * reading
    mean = np.average(values, weights=errors**-2)
    return bool((((values - mean) / errors) ** 2).sum() > chdtri(len(found) - 1, BY_CHANCE))
