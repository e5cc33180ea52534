"""Places of parts judged from the outlines alone, for ten invented toys: `python -m tests.bench.toy_judge`.

It takes `plumpline rounds toy.toml --json` and nothing else: each carrying part's outline (radius and height
of every round) as a surface of revolution, smooth between the rounds; the edge as a circle about the outward
normal, as large as makes it `edge_mm` long on that surface (bisection); rounds and stitches by interpolation,
the rounds beginning at the middle of the back. No code of the solver is used.
"""

from __future__ import annotations

import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy.interpolate import PchipInterpolator

GAUGE = '[gauge]\nstitches = {0}\nrows = {1}\n[stuffing]\nfirmness = "{2}"\n'
BODIES = {  # invented parts of a harbour: buoys, bollards, fenders
    "ball": 'shape = { kind = "ball", width = "80 mm" }',
    "egg": 'shape = { kind = "outline", points = [[0, 0], [25, 5], [38, 30], [30, 62], [14, 84], [0, 90]] }',
    "pear": 'shape = { kind = "outline", points = [[0, 0], [30, 5], [42, 28], [30, 58], [22, 80], [0, 96]] }',
    "post": 'shape = { kind = "outline", points = [[0, 0], [26, 4], [32, 20], [32, 80], [26, 95], [0, 99]] }',
    "cone": 'shape = { kind = "outline", points = [[0, 0], [38, 4], [42, 14], [26, 60], [9, 96], [0, 99]] }',
}
LIMB = 'shape = {{ kind = "outline", points = [[0, 0], [{0}, 4], [{1}, 24]] }}\nwork = {{ finish = "open" }}'
TOYS = [
    ("ball", 24, 26, "firm", [(40, 0, 9), (30, 90, 12), (55, 140, 7)]),
    ("ball", 20, 21, "light", [(40, 40, 10), (60, -60, 12), (20, 180, 8)]),
    ("egg", 24, 26, "firm", [(30, 75, 10), (60, 0, 8), (45, -120, 9)]),
    ("egg", 18, 20, "firm", [(40, 20, 12), (55, 160, 10)]),
    ("pear", 26, 28, "very firm", [(28, 60, 12), (70, 0, 8), (45, 100, 9)]),
    ("pear", 20, 22, "firm", [(30, -35, 14), (62, 120, 9)]),
    ("post", 24, 25, "firm", [(50, 0, 10), (30, 90, 14), (75, -45, 9)]),
    ("post", 16, 17, "light", [(50, 70, 14), (72, 180, 12)]),
    ("cone", 24, 26, "firm", [(25, 0, 10), (50, 90, 9), (70, -150, 6)]),
    ("cone", 22, 23, "firm", [(30, 45, 12), (60, 0, 8)]),
]
STEPS = 720


def text(
    body: str, stitches: float, rows: float, firmness: str, limbs: list[tuple[float, float, float]]
) -> str:
    """Return the toy file."""
    lines = [GAUGE.format(stitches, rows, firmness), f"[parts.body]\n{BODIES[body]}"]
    for number, (height, turn, radius) in enumerate(limbs):
        at = f'at = {{ height = "{height} mm", turn = {turn} }}'
        lines.append(f'[parts.limb{number}]\non = "body"\n{at}\n{LIMB.format(radius + 1, radius)}')
    return "\n".join(lines)


def judged(data: dict, place: dict, height: float, turn: float, circle: np.ndarray) -> dict[str, float]:
    """Return how far a place is from what the outline alone gives: rounds and stitches."""
    body = next(part for part in data["parts"] if part["name"] == place["on"])
    outline = np.array(body["form"]["outline"])
    outline[:, 1] -= outline[:, 1].min()
    ring = np.arange(len(outline), dtype=float)
    rounds = len(body["rounds"])
    rising = np.concatenate([[True], np.diff(outline[:, 1]) > 1e-6])
    z, r, ring = outline[rising, 1], outline[rising, 0], ring[rising]
    radius, of_ring = PchipInterpolator(z, r), PchipInterpolator(z, ring)
    at, out = float(radius(height)), math.radians(turn)
    foot = np.array([at * math.sin(out), -at * math.cos(out), height])
    slope = float(radius(height, 1))
    normal = np.array([math.sin(out), -math.cos(out), -slope]) / math.hypot(1, slope)
    one = np.array([math.cos(out), math.sin(out), 0.0])
    other = np.cross(normal, one)

    def curve(scale: float) -> np.ndarray:
        flat = foot + scale * (circle[:, :1] * one + circle[:, 1:] * other)
        depth = np.zeros(len(flat))
        for _ in range(40):  # Newton along the axis
            p = flat + depth[:, None] * normal
            high = np.clip(p[:, 2], z[0], z[-1])
            f = np.hypot(p[:, 0], p[:, 1]) - radius(high)
            across = (p[:, :2] @ normal[:2]) / np.hypot(p[:, 0], p[:, 1])
            depth -= np.clip(f / (across - radius(high, 1) * normal[2]), -3, 3)
        return flat + depth[:, None] * normal

    def length(p: np.ndarray) -> float:
        return float(np.linalg.norm(np.roll(p, -1, axis=0) - p, axis=1).sum())

    low, high = 0.2, 1.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if length(curve(middle)) < place["edge_mm"] else (low, middle)
    points = curve(low)
    rings = of_ring(points[:, 2])
    number = min(max(math.ceil(float(of_ring(height))), 1), rounds)
    count = body["rounds"][number - 1]["count"]
    mine = np.array(place["points"])
    apart = np.linalg.norm(mine[:, None] - points[None], axis=2).min(axis=1).max()
    return {
        "lowest": abs(rings.min() - place["rounds"][0]),
        "highest": abs(rings.max() - place["rounds"][1]),
        "middle": abs(float(of_ring(height)) - place["middle"]["round"]),
        "from front": abs(
            (turn / 360 * count - place["middle"]["from_front"] + count / 2) % count - count / 2
        ),
        "apart, stitches": apart / body["gauge"]["stitch_width_mm"],
        "length, %": 100 * abs(place["place_mm"] / place["edge_mm"] - 1),
    }


def main() -> None:
    """Print the worst of each toy."""
    angle = 2 * np.pi * np.arange(STEPS) / STEPS
    worst: dict[str, float] = {}
    for number, (body, stitches, rows, firmness, limbs) in enumerate(TOYS, start=1):
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "toy.toml"
            file.write_text(text(body, stitches, rows, firmness, limbs), encoding="utf-8")
            done = subprocess.run(
                [sys.executable, "-m", "solver", "rounds", str(file), "--json"],
                capture_output=True, text=True, check=False,
            )  # fmt: skip
        if done.returncode:
            print(number, body, done.stderr)
            continue
        data = json.loads(done.stdout)
        for place in data["places"]:
            height, turn, _ = limbs[int(place["part"][4:])]
            circle = place["edge_mm"] / (2 * np.pi) * np.column_stack([np.cos(angle), np.sin(angle)])
            off = judged(data, place, height, turn, circle)
            print(number, body, place["part"], " ".join(f"{key} {value:.2f};" for key, value in off.items()))
            worst = {key: max(value, worst.get(key, 0.0)) for key, value in off.items()}
    print("worst:", " ".join(f"{key} {value:.2f};" for key, value in worst.items()))


if __name__ == "__main__":
    main()
