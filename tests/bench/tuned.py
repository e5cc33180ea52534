"""Parts tuned to sizes: how far the forms miss them, how near the drawing they stay, how long it takes.

python -m tests.bench.tuned        # ten round parts, four targets each, one graded; five ovals; two minutes
"""

from __future__ import annotations

import os
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # one core, as the figures are quoted

import numpy as np

from solver.partfile import OvalPart, Part, read
from solver.solving.kinds import kind_of
from solver.tuning.scale import bar, scaled_to, size_of

PARTS = {
    "mooring ball": ("20, 20, light", 'kind = "ball"\nwidth = 64', ""),
    "float, outside sizes": ("18, 19, medium, 3", 'kind = "egg"\nheight = 82\nwidth = 60', ""),
    "bell of the buoy": ("24, 25, firm", 'kind = "drop"\nheight = 66\nwidth = 48', "multiple = 6"),
    "net weight": ("22, 24, medium", 'kind = "spindle"\nheight = 96\nwidth = 46', "multiple = 3"),
    "thick fender": ("11, 11.5, very firm, 5", 'kind = "capsule"\nheight = 140\nwidth = 72', ""),
    "harbour seal's neck": (
        "26, 28, medium",
        'kind = "outline"\npoints = [[0,0],[20,5],[31,26],[23,52],[14,70],[16,86],[9,97],[0,101]]',
        "",
    ),
    "mooring post": (
        "20, 22, firm",
        'kind = "taper"\nheight = 118\nfirst_width = 42\nlast_width = 66',
        'finish = "open"',
    ),
    "lantern": ("17, 17, light", 'kind = "spheroid"\nheight = 60\nwidth = 78', "multiple = 6"),
    "duckling": (
        "22, 20, light",
        'kind = "outline"\npoints = [[0,0],[24,7],[33,30],[22,58],[16,72],[19,88],[14,100]]',
        'finish = "open"\nedge = "free"',
    ),
    "limb": (
        "28, 30, medium",
        'kind = "outline"\npoints = [[11,0],[13,20],[12,44],[15,60],[0,72]]',
        'start = "open"\nmultiple = 2',
    ),
}
"""Gauge (stitches and rounds to 10 cm), firmness, thickness; shape; work. Invented, no sample among them."""

FACTORS = {"height": (0.7, 1.27), "width": (1.43, 0.83), "girth": (0.94, 1.6), "volume": (1.5, 0.72)}
"""Target over the size as drawn: for parts of even and of odd place."""


OVALS = {
    "rowing boat": (
        "19, 20, firm",
        'kind = "oval"\nlength = 130\nwidth = 62\nheight = 48\nbase = "flat"',
        'finish = "seamed"\nsole = "stiff"',
    ),
    "mussel": (
        "22, 24, medium, 2",
        'kind = "oval"\nlength = 80\nwidth = 50\nheight = 49',
        'finish = "seamed"',
    ),
    "porpoise's beak": (
        "24, 26, firm",
        'kind = "oval"\nlength = 56\nwidth = 36\nheight = 24',
        'finish = "open"\nedge = "held"',
    ),
    "cushion of the quay": (
        "14, 15, firm, 4",
        'kind = "oval"\nlength = 190\nwidth = 120\nheight = 116',
        'finish = "seamed"',
    ),
    "gangway mat": ("20, 22, medium", 'kind = "flat oval"\nlength = 140\nwidth = 60', ""),
}
"""The same for parts on a chain."""

OVAL_FACTORS = (0.83, 1.27)


def part_of(name: str) -> Part:
    """Return one of the round parts."""
    found = _read(name, *PARTS[name])
    assert isinstance(found, Part)
    return found


def oval_of(name: str) -> OvalPart:
    """Return one of the parts on a chain."""
    measured, shape, work = OVALS[name]
    found = _read(name, measured, shape, f'start = "chain"\n{work}')
    assert isinstance(found, OvalPart)
    return found


def _read(name: str, measured: str, shape: str, work: str) -> Part | OvalPart:
    stitches, rows, firmness, *thickness = measured.split(", ")
    thick = f"thickness = {thickness[0]}\n" if thickness else ""
    stuffing = "" if "flat oval" in shape else f'[stuffing]\nfirmness = "{firmness}"\n'
    text = (
        f"[gauge]\nstitches = {stitches}\nrows = {rows}\n{thick}{stuffing}[shape]\n{shape}\n[work]\n{work}\n"
    )
    return read(text, file=name, title=name.capitalize())


def main() -> None:
    """Print misfit, deviation and time of each, and the time of three sizes of one part."""
    found = []
    for place, name in enumerate(PARTS):
        part = part_of(name)
        for measure, factors in FACTORS.items():
            target = factors[place % 2] * getattr(kind_of(part).wanted(part), measure)
            begun = time.process_time()
            solution = scaled_to(part, measure=measure, target=target)
            spent = time.process_time() - begun
            off = size_of(solution, measure) / target - 1
            half_row = part.gauge.row_height / 2 / target if measure != "volume" else 0.0
            rms = solution.deviation.rms / part.gauge.stitch_width
            found.append((abs(off) / max(0.01, half_row), abs(off), rms, spent))
            print(
                f"{name:22} {measure:6} {off:+.2%}, bar {max(0.01, half_row):.2%}; "
                f"rms {rms:.3f} w; {spent:.1f} s"
            )
    shares, misses, apart, times = np.array(found).T
    print(f"over the bar: {np.sum(shares > 1)} of {len(found)}; over 1 %: {np.sum(misses > 0.01)}")
    print(
        f"rms {np.mean(apart):.3f} w in the mean; "
        f"{np.mean(times):.1f} s in the mean, {times.max():.1f} s at most"
    )
    begun = time.process_time()
    for height in (80, 120, 160):
        scaled_to(part_of("mooring ball"), measure="height", target=height)
    print(f"three sizes: {time.process_time() - begun:.1f} s")
    ovals()


def ovals() -> None:
    """Print the same of the ovals."""
    found = []
    for name in OVALS:
        part = oval_of(name)
        for measure in kind_of(part).measures:
            for factor in OVAL_FACTORS:
                target = factor * getattr(kind_of(part).wanted(part), measure)
                begun = time.process_time()
                solution = scaled_to(part, measure=measure, target=target)
                spent = time.process_time() - begun
                off = size_of(solution, measure) / target - 1
                allowed = bar(part, measure, target) / target
                rms = solution.rms / part.gauge.stitch_width
                found.append((measure, abs(off) / allowed, rms, spent))
                print(
                    f"{name:22} {measure:6} {off:+.2%}, bar {allowed:.2%}; "
                    f"rms {rms:.3f} w; {len(solution.piece.rounds)} rounds; {spent:.1f} s"
                )
    over = [share > 1 for measure, share, _, _ in found if measure != "volume"]
    volumes = [share > 1 for measure, share, _, _ in found if measure == "volume"]
    print(f"ovals over the bar: {sum(over)} of {len(over)} lengths, {sum(volumes)} of {len(volumes)} volumes")
    _, _, apart, times = (np.array(each) for each in zip(*found, strict=True))
    print(
        f"rms {apart.mean():.3f} w in the mean; {times.mean():.1f} s in the mean, {times.max():.1f} s at most"
    )


if __name__ == "__main__":
    main()
