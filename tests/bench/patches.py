"""Patches of colour against exact areas, at many leans, on parts of every kind; invented parts.

Run: python -m tests.bench.patches
"""

from __future__ import annotations

import math
import time
from typing import Any

import numpy as np

from solver.painting.ground import Ground, front_of
from solver.partfile import read
from solver.solving.solved import Solved, solve

GAUGE = "[gauge]\nstitches = {s}\nrows = {r}\nover = '10 cm'\nlean = {lean}\n"
TUBE = """[shape]\nkind = "outline"\npoints = [["{r} mm", "0 mm"], ["{r} mm", "{h} mm"]]
[work]\nstart = "open"\nfinish = "open"\n"""
PATCH = '[[colours.patches]]\ncolour = "white"\n'
BALL = '[shape]\nkind = "ball"\nwidth = "{d} mm"\n'


def part(
    shape: str, patches: str, *, lean: float = 0.0, s: float = 20, r: float = 20, more: str = ""
) -> Solved:
    """Return a solved part with patches."""
    text = GAUGE.format(s=s, r=r, lean=lean) + shape + f'[colours]\nmain = "grey"\n{more}' + patches
    return solve(read(text, file="bench", title="Bench"))


def ellipses(rng: np.random.Generator) -> None:
    """Ellipses on tubes: area pi a b."""
    off, rms = [], []
    for lean in np.linspace(-0.4, 0.4, 9):
        for _ in range(6):
            radius, w, h = rng.uniform(20, 45), rng.uniform(30, 70), rng.uniform(30, 70)
            w = min(w, 2.4 * radius)
            s, r = rng.uniform(17, 26, 2)
            up, turn = rng.uniform(h / 2 + 5, 115 - h / 2), rng.uniform(-180, 180)
            at = f"{{ height = {up:.2f}, turn = {turn:.2f} }}"
            patch = PATCH + f'shape = "ellipse"\nwidth = {w}\nheight = {h}\nat = {at}\n'
            got = part(TUBE.format(r=radius, h=120), patch, lean=float(lean), s=s, r=r)
            one = got.painted.shown[0]
            off.append(one.stitched / (math.pi * w * h / 4) - 1)
            rms.append(one.rms)
    tell("ellipses on tubes", off, rms)


def caps(rng: np.random.Generator) -> None:
    """Caps on balls, at sides, tops and bottoms: area 2 pi R (R - sqrt(R^2 - a^2)) of the ball as drawn."""
    off, drawn, rms = [], [], []
    for lean in np.linspace(-0.4, 0.4, 9):
        for where in ("bottom", "top", "", "", "", ""):
            d, w = rng.uniform(50, 120), rng.uniform(26, 60)
            w = min(w, 0.75 * d)
            s, r = rng.uniform(17, 26, 2)
            height, turn = rng.uniform(0.3, 0.7) * d, rng.uniform(-180, 180)
            at = f'"{where}"' if where else f"{{ height = {height:.2f}, turn = {turn:.2f} }}"
            patch = PATCH + f'shape = "ellipse"\nlaid = "straight"\nwidth = {w}\nat = {at}\n'
            work = ("", '[work]\nrounds = "exact"\n', '[work]\nincreases = "stacked"\n')[rng.integers(3)]
            one = part(BALL.format(d=d) + work, patch, lean=float(lean), s=s, r=r).painted.shown[0]
            exact = math.pi * d * (d / 2 - math.sqrt(d * d - w * w) / 2)
            off.append(one.stitched / exact - 1)
            drawn.append(abs(one.wanted / exact - 1))
            rms.append(one.rms)
            if abs(off[-1]) > 1 / 40 or one.rms > 0.6:
                made = (
                    f"{where or 'side'}, {d:.0f} mm, {w:.0f} mm, {s:.0f} x {r:.0f} in 10 cm, lean {lean:.1f}"
                )
                print(f"  {made}: {one.stitches} stitches, {off[-1]:+.2%}, outline {one.rms:.2f}")
    print(f"area wanted of caps is off by {max(drawn):.2%} at most")
    tell("caps on balls against exact balls", off, rms)


def stripes(rng: np.random.Generator) -> None:
    """Stripes up tubes: how far the middle of each round's stitches lies from the upright line. [stitches]"""
    worst, off, rms = [], [], []
    for lean in np.linspace(-0.4, 0.4, 9):
        for _ in range(4):
            radius, w, turn = rng.uniform(20, 45), rng.uniform(8, 40), rng.uniform(-180, 180)
            patch = PATCH + f'shape = "stripe"\nwidth = {w}\nat = {{ turn = {turn:.1f} }}\n'
            got = part(TUBE.format(r=radius, h=155), patch, lean=float(lean))
            one = got.painted.shown[0]
            off.append(one.stitched / one.wanted - 1)
            rms.append(one.rms)
            middles = []
            for i, names in enumerate(got.colours):
                n = len(names)
                own = np.array([name == "white" for name in names])
                place = (np.arange(n) + 0.5 + lean * i) / n
                middles.append(np.angle((own * np.exp(2j * np.pi * place)).sum()) / (2 * np.pi) * n)
            n = len(got.colours[0])
            wanted = (0.5 - turn / 360) * n
            worst.append(np.abs((np.array(middles) - wanted + n / 2) % n - n / 2).max())
    print(f"stripes: middle at most {max(worst):.2f} stitches off")
    tell("stripes", off, rms)


SIX = {
    "ball": 'kind = "ball"\nwidth = "84 mm"',
    "egg": 'kind = "egg"\nwidth = "70 mm"\nheight = "95 mm"',
    "pear": 'kind = "outline"\npoints = [[0, 0], [30, 8], [40, 34], [24, 66], [20, 84], [0, 100]]',
    "waist": 'kind = "outline"\npoints = [[0, 0], [28, 6], [36, 28], [22, 52], [30, 76], [0, 104]]',
    "oval": 'kind = "oval"\nlength = "100 mm"\nwidth = "62 mm"\nheight = "70 mm"',
    "bent limb": 'kind = "bent"\npoints = [[0, 0], [11, 4], [16, 16], [16, 110]]\n'
    'bends = [{ at = "55 mm", angle = "60 deg", over = "30 mm" }]',
}
"""Parts that no part of the code has seen; invented."""
HIGH = {"ball": 84, "egg": 95, "pear": 100, "waist": 104, "oval": 70, "bent limb": 90}


def drawn(rng: np.random.Generator, high: float, *, limb: bool) -> list[tuple[str, bool]]:
    """Return ten patches, and whether each is alike on both sides of its middle."""
    share = 0.5 if limb else 1.0

    def size(least: float, most: float) -> str:
        return f"{share * rng.uniform(least, most):.1f}"

    def at(turn: float | None = None) -> str:
        turn = rng.uniform(-180, 180) if turn is None else turn
        return f"at = {{ height = {high * rng.uniform(0.35, 0.65):.1f}, turn = {turn:.1f} }}\n"

    a, b, c = (float(size(8, 20)) for _ in range(3))
    tail = f"tilt = {rng.uniform(10, 80):.0f}\n"
    front = f'shape = "ellipse"\nlaid = "front"\nwidth = {size(24, 36)}\nheight = {size(24, 40)}\n'
    stripe = f'shape = "stripe"\nwidth = {size(14, 26)}\nlow = {high * 0.25:.0f}\nhigh = {high * 0.75:.0f}\n'
    return [
        (f'shape = "ellipse"\nwidth = {size(24, 44)}\nheight = {size(24, 44)}\n' + at(0), True),
        (f'shape = "ellipse"\nwidth = {size(24, 44)}\nheight = {size(24, 44)}\n' + at(), False),
        (f'shape = "ellipse"\nwidth = {size(14, 22)}\n' + at(0), True),
        (f'shape = "ellipse"\nwidth = {size(14, 22)}\n' + at(), False),
        (f'shape = "ellipse"\nwidth = {size(30, 40)}\nheight = {size(18, 26)}\n{tail}' + at(), False),
        (front + at(0), True),
        (f'shape = "ellipse"\nlaid = "straight"\nwidth = {size(24, 36)}\n' + at(), False),
        (f'shape = "polygon"\npoints = [[-{a}, -{b}], [{a}, -{b}], [0, {c}]]\n' + at(0), True),
        (f'shape = "polygon"\npoints = [[-{a}, -{b}], [{b}, -{c}], [{c}, {a}], [-{c}, {b}]]\n' + at(), False),
        (stripe + at(0), True),
    ]  # fmt: skip


def unlike(got: Solved, lean: float) -> int:
    """Return how many rounds' stitches are no mirror image about the half stitch nearest the middle front."""
    missing, form = 0, got.form
    ground = Ground.of(form, got.points, front=got.lie.front or front_of(form), over=False)
    front = ground.meridian(0.0)
    for i, (names, begins) in enumerate(zip(got.colours, got.painted.begins, strict=True)):
        n = len(names)
        place = (begins % 360) / 360 * n  # of the front, in stitches from the first
        if form.fabric.corners:  # ends and sides have stitches of different widths
            place = float(ground.wander.stitch(i + 1, (front[i] + front[i + 1]) / 2))
        own = np.array([name == "white" for name in names])
        near = 2 * place  # of two half stitches as near, either
        centres = [round(near)] if abs(near % 1 - 0.5) > 0.05 else [int(near), int(near) + 1]
        images = [own[(centre - 1 - np.arange(n)) % n] for centre in centres]
        missing += not any(np.array_equal(own, image) for image in images)
    return missing


def six_parts(rng: np.random.Generator, leans: tuple[float, ...]) -> None:
    """Ten patches on each of six parts: area, outline, and halves that are alike."""
    for name, shape in SIX.items():
        short, rms, odd, apart = 0, [], 0, []
        for lean in leans:
            for patch, even in drawn(rng, HIGH[name], limb=name == "bent limb"):
                got = part(f"[shape]\n{shape}\n", PATCH + patch, lean=lean)
                one = got.painted.shown[0]
                share = max(1 / 40, 1 / max(one.stitches, 1)) if one.stitches < 40 else 1 / 40
                off = one.stitched / one.wanted - 1
                apart.append(abs(off) / share)
                rms.append(one.rms)
                uneven = unlike(got, lean) if even else 0
                short += abs(off) > share
                odd += bool(uneven)
                if abs(off) > share or one.rms > 0.6 or uneven:
                    words = patch.replace("\n", ", ")
                    print(f"  {name}, lean {lean:g}: {one.stitches} stitches, {off:+.2%}, outline "
                          f"{one.rms:.2f}, {uneven} rounds uneven: {words}")  # fmt: skip
        print(f"{name}: {len(rms)}, {short} areas off, at most {max(apart):.2f} of what may be; outline "
              f"{np.mean(rms):.2f}, at most {max(rms):.2f} stitches; {odd} uneven")  # fmt: skip


def tell(what: str, off: list[float], rms: list[float]) -> None:
    """Print areas and outlines."""
    apart = np.abs(off)
    print(
        f"{what}: {len(off)}, area off by {apart.mean():.2%} in the mean, {apart.max():.2%} at most, "
        f"{(apart > 1 / 40).sum()} over 1/40; outline {np.mean(rms):.2f}, at most {max(rms):.2f} stitches"
    )


def speed() -> None:
    """Seconds that colours cost beyond solving, for 2,000 stitches."""
    shape = TUBE.format(r=40, h=200)
    patch = '[[colours.patches]]\nshape = "ellipse"\ncolour = "white"\nwidth = 60\nheight = 90\n'
    times: dict[str, Any] = {}
    for name, told in (("without", ""), ("with", patch)):
        began = time.process_time()
        got = part(shape, told)
        times[name] = time.process_time() - began
    print(f"{sum(got.piece.counts)} stitches: {times['with'] - times['without']:.2f} s beyond solving")


if __name__ == "__main__":
    seed = np.random.default_rng(17)
    ellipses(seed)
    caps(seed)
    stripes(seed)
    speed()
    six_parts(seed, (0.0, -0.2, 0.3))
