"""Three sketches of the toy harbour, drawn by a shaky hand on purpose (invented data).

Run as a script it writes them to samples/sketches.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFilter
from scipy.interpolate import PchipInterpolator
from scipy.ndimage import gaussian_filter, gaussian_filter1d

from solver.arrays import Floats

SIZE = (1500, 1125)
PAPER = (244, 240, 229)
FINER = 2


def _curve(points: list[tuple[float, float]], n: int = 900) -> Floats:
    """Return a smooth curve through radius and height pairs, as part of the sheet's height."""
    given = np.array(points)
    arc = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(given, axis=0).T))])
    at = np.linspace(0, arc[-1], n)
    return np.column_stack([PchipInterpolator(arc, values)(at) for values in given.T])


GULL = _curve(
    [
        (0, 0),
        (0.12, 0.015),
        (0.21, 0.09),
        (0.235, 0.2),
        (0.2, 0.32),
        (0.125, 0.44),
        (0.1, 0.53),
        (0.07, 0.6),
        (0, 0.63),
    ]
)
BUOY = _curve(
    [
        (0, 0),
        (0.1, 0.01),
        (0.2, 0.07),
        (0.25, 0.18),
        (0.23, 0.3),
        (0.14, 0.42),
        (0.08, 0.5),
        (0.07, 0.58),
        (0.045, 0.63),
        (0, 0.64),
    ]
)
BOLLARD = np.vstack(
    [
        [[0, 0], [0.17, 0]],
        _curve([(0.17, 0.01), (0.13, 0.12), (0.105, 0.28), (0.12, 0.4)]),
        _curve([(0.12, 0.4), (0.19, 0.44), (0.2, 0.5), (0.14, 0.56), (0, 0.58)]),
    ]
)
"""Half-outlines: radius and height from below, as part of the sheet's height."""


class Hand:
    """A hand with a pencil over a sheet of paper."""

    def __init__(self, seed: int, *, turned: float) -> None:
        self.random = np.random.default_rng(seed)
        self.turned = math.radians(turned)
        size = (SIZE[0] * FINER, SIZE[1] * FINER)
        self.sheet = Image.new("L", size, 0)
        self.draw = ImageDraw.Draw(self.sheet)

    def place(self, points: Floats) -> Floats:
        """Return where points (x from the axis, height) lie on the sheet, turned."""
        c, s = math.cos(self.turned), math.sin(self.turned)
        x, y = points[:, 0], points[:, 1] - 0.3
        scale = SIZE[1] * 1.35 * FINER
        across, up = x * c - y * s, x * s + y * c
        return np.column_stack([SIZE[0] * FINER / 2 + scale * across, SIZE[1] * FINER / 2 - scale * up])

    def stroke(self, points: Floats, *, shake: float, width: float, gaps: int = 0, dark: int = 190) -> None:
        """Draw a line that wanders off by about `shake` pixels, with gaps where the pencil lifts."""
        at = self.place(points)
        arc = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(at, axis=0).T))])
        even = np.linspace(0, arc[-1], max(20, int(arc[-1] / 3)))
        line = np.column_stack([np.interp(even, arc, values) for values in at.T])
        for spread, share in ((60, 1.0), (9, 0.25)):
            wander = gaussian_filter1d(
                self.random.standard_normal(line.shape), spread, axis=0, mode="nearest"
            )
            line += share * shake * FINER * wander * math.sqrt(2 * spread * math.sqrt(math.pi))
        lifted = np.zeros(len(line), dtype=bool)
        for start in self.random.integers(0, len(line), gaps):
            lifted[start : start + int(24 * FINER / 3)] = True
        pressure = gaussian_filter1d(self.random.standard_normal(len(line)), 40) * 9
        for i in np.flatnonzero(~lifted[:-1]):
            r = width * FINER * (1 + 0.25 * pressure[i]) / 2
            x, y = line[i]
            self.draw.ellipse(
                [x - r, y - r, x + r, y + r], fill=int(np.clip(dark + 40 * pressure[i], 90, 255))
            )

    def picture(self, *, shadow: bool, squared: bool = False) -> Image.Image:
        """Return the sheet as a telephone sees it: grain, uneven light, perhaps a shadow."""
        ink = np.asarray(self.sheet.reduce(FINER), dtype=np.float64) / 255
        grain = gaussian_filter(self.random.standard_normal(ink.shape), 1.2) * 4
        ink = ink * np.clip(0.82 + 0.1 * grain, 0, 1)
        h, w = ink.shape
        y, x = np.mgrid[0:h, 0:w] / h
        light = 1 - 0.25 * (x - 0.2) ** 2 - 0.12 * y
        if shadow:
            edge = 1 / (1 + np.exp(-(x - 0.55 - 0.5 * y) / 0.035))
            light = light * (1 - 0.33 * edge)
        colours = np.array(PAPER) / 255 * (1 + 0.012 * grain[..., None])
        if squared:
            lines = ((x * 28 + 0.02 * y) % 1 < 0.06) | ((y * 28 - 0.02 * x) % 1 < 0.06)
            colours = colours * np.where(lines[..., None], [0.86, 0.93, 0.98], 1.0)
        colours = colours * (1 - 0.78 * ink[..., None]) * light[..., None]
        colours += 0.012 * self.random.standard_normal(colours.shape)
        return Image.fromarray((np.clip(colours, 0, 1) * 255).astype(np.uint8)).filter(
            ImageFilter.GaussianBlur(0.7)
        )


def mirrored(half: Floats) -> Floats:
    """Return a half-outline carried on down its other side."""
    return np.vstack([half, half[::-1] * [-1, 1]])


def gull() -> Image.Image:
    """Return the gull's body: a whole outline with gaps and an eye, a hand's shadow across it."""
    hand = Hand(7, turned=-3)
    hand.stroke(mirrored(GULL), shake=2.5, width=5, gaps=5)
    t = np.linspace(0, 2 * np.pi, 60)
    hand.stroke(np.column_stack([0.035 + 0.012 * np.cos(t), 0.55 + 0.012 * np.sin(t)]), shake=0.5, width=4)
    return hand.picture(shadow=True)


def buoy() -> Image.Image:
    """Return the spar buoy: one half beside a drawn axis, on squared paper."""
    hand = Hand(11, turned=2)
    hand.stroke(np.array([[0, -0.05], [0, 0.7]]), shake=0.8, width=4, dark=170)
    hand.stroke(BUOY, shake=2.0, width=5, gaps=2)
    return hand.picture(shadow=False, squared=True)


def bollard() -> Image.Image:
    """Return the bollard: an outline gone over twice and hatched on its shadow side, with a signature."""
    hand = Hand(23, turned=1.5)
    hand.stroke(mirrored(BOLLARD), shake=1.6, width=4, gaps=3)
    hand.stroke(mirrored(BOLLARD), shake=1.6, width=4, gaps=3)
    for z in np.linspace(0.03, 0.52, 26):
        r = float(np.interp(z, BOLLARD[:, 1], BOLLARD[:, 0]))
        hand.stroke(np.array([[0.45 * r, z - 0.012], [0.9 * r, z + 0.012]]), shake=1.0, width=3, dark=130)
    t = np.linspace(0, 5 * np.pi, 120)
    hand.stroke(np.column_stack([0.3 + 0.006 * t, -0.02 + 0.02 * np.sin(t)]), shake=1.0, width=3)
    return hand.picture(shadow=False)


SKETCHES = {"gull": (gull, GULL), "buoy": (buoy, BUOY), "bollard": (bollard, BOLLARD)}
"""Each sketch with the half-outline that the hand was following."""

if __name__ == "__main__":
    folder = Path(__file__).parents[2] / "samples" / "sketches"
    folder.mkdir(exist_ok=True)
    for name, (sketch, _) in SKETCHES.items():
        sketch().save(folder / f"{name}.jpg", quality=82)
