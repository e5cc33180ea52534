"""Gauge of several measurements: their mean, their spread, and what it means for the size of a part."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.gauge import DEFAULT_FIRMNESS, GREATEST_STRETCH, USUAL_ROW_RATIOS, Gauge, Stuffing
from solver.tension import ball_form
from solver.trade import YarnWeight

READING = 0.25
"""Standard error of counting stitches or rounds over a length, where there is one measurement only: a
quarter of a stitch. ASSUMED."""

TURNED = (0.86, 0.94)
"""Row height over stitch width of swatches that were turned (common practice, no source: 0.91 +- 0.02)."""

STEP = 0.01
"""Relative change of a stitch by which the reference part is solved again."""

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
    """

    gauge: Gauge
    width_error: float
    row_error: float
    origin: str
    is_guess: bool = False

    @property
    def on_reference(self) -> tuple[float, float]:
        """What the errors mean in mm on a part 100 mm wide and high: of its width, of its height.

        Notes
        -----
        The counts of a ball of that size, solved again with the gauge a little off.
        """
        radius, gauge = REFERENCE / 2, self.gauge
        places = np.arange(gauge.row_height, math.pi * radius, gauge.row_height)
        counts = np.maximum(2 * math.pi * radius * np.sin(places / radius) / gauge.stitch_width, 4.0)
        pressure = Stuffing.of_firmness(DEFAULT_FIRMNESS).pressure(radius)

        def moved(**changes: float) -> tuple[float, float]:
            form = ball_form(counts.tolist(), replace(gauge, **changes), pressure=pressure)
            return form.width, form.size

        nominal = moved()
        wide = moved(stitch_width=gauge.stitch_width * (1 + STEP))
        tall = moved(row_height=gauge.row_height * (1 + STEP))
        width, height = (
            math.hypot((wide[k] - nominal[k]) * self.width_error, (tall[k] - nominal[k]) * self.row_error)
            / STEP
            for k in (0, 1)
        )
        return width, height

    def warnings(self, *, stretch: float | None = None) -> Iterator[str]:
        """Yield where the numbers contradict each other, or what toys are like.

        Parameters
        ----------
        stretch : float, optional
            Of the fabric of a measured ball over this gauge.
        """
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
    widths = [gauge.stitch_width for gauge in gauges]
    heights = [gauge.row_height for gauge in gauges]
    number = len(gauges)
    errors = []
    for sizes, read in ((widths, [w for w, _ in reading]), (heights, [h for _, h in reading])):
        spread = statistics.stdev(sizes) / statistics.fmean(sizes) / math.sqrt(number) if number > 1 else 0.0
        errors.append(max(spread, statistics.fmean(read) / math.sqrt(number)))
    return Measured(
        gauge=Gauge(
            stitch_width=statistics.fmean(widths),
            row_height=statistics.fmean(heights),
            thickness=gauges[0].thickness,
        ),
        width_error=errors[0],
        row_error=errors[1],
        origin=f"{number} {what}{'es' if number > 1 and what == 'swatch' else 's' if number > 1 else ''}",
    )
