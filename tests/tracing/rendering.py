"""Pictures of known outlines, drawn and spoilt on purpose, each with its fixed seed (invented data)."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageDraw, ImageFilter
from scipy.ndimage import gaussian_filter

from solver.arrays import Floats

FINEST = 1600
"""Pixels that a picture is drawn with before it is reduced."""


def _arc(n: int = 400) -> Floats:
    return np.linspace(-np.pi / 2, np.pi / 2, n)


def ball() -> Floats:
    """Return a half circle: radius 0.5, height 1."""
    t = _arc()
    return np.column_stack([0.5 * np.cos(t), 0.5 + 0.5 * np.sin(t)])


def egg() -> Floats:
    """Return an egg, blunt below: an ellipse that narrows evenly with its height."""
    t = _arc()
    return np.column_stack([0.37 * np.cos(t) * (1 - 0.22 * np.sin(t)), 0.5 + 0.5 * np.sin(t)])


def pear() -> Floats:
    """Return a pear: a wide bowl, a neck, a small head; radius from a smooth sum of bumps."""
    z = 0.5 - 0.5 * np.cos(np.linspace(0, np.pi, 800))
    bumps = 0.42 * np.exp(-(((z - 0.32) / 0.24) ** 2)) + 0.2 * np.exp(-(((z - 0.85) / 0.18) ** 2))
    caps = np.sqrt(np.clip(1 - (1 - np.minimum(z, 1 - z) / 0.12).clip(0) ** 2, 0, None))
    return np.column_stack([bumps * caps, z])


def bottle() -> Floats:
    """Return a bottle with a flat base, a shoulder and a straight neck with a flat top."""
    t = np.linspace(0, np.pi, 200)
    shoulder_z, shoulder_r = 0.55 + 0.2 * t / np.pi, 0.1 + 0.16 * (1 + np.cos(t)) / 2
    return np.vstack([[[0, 0], [0.26, 0]], np.column_stack([shoulder_r, shoulder_z]), [[0.1, 1], [0, 1]]])


def capsule() -> Floats:
    """Return a capsule: a straight tube with half balls at both ends."""
    t = np.linspace(-np.pi / 2, 0, 200)
    low = np.column_stack([0.2 * np.cos(t), 0.2 + 0.2 * np.sin(t)])
    return np.vstack([low, low[::-1] * [1, -1] + [0, 1]])


SHAPES = {"ball": ball, "egg": egg, "pear": pear, "bottle": bottle, "capsule": capsule}


@dataclass(frozen=True)
class Look:
    """How a drawing is made and what is wrong with the picture of it."""

    style: str = "filled"  # "filled", "outlined", "half" (an outlined half on its axis), "half filled"
    size: int = 800
    turned: float = 0.0
    noise: float = 0.0
    uneven: float = 0.0
    texture: float = 0.0
    jpeg: int = 0
    blur: float = 0.0
    ink: tuple[int, int, int] = (40, 40, 45)
    paper: tuple[int, int, int] = (250, 248, 240)
    line: float = 0.008
    fills: float = 0.75
    seed: int = 1


def worn(look: Look, *, seed: int) -> Look:
    """Return the look with everything wrong with it that a photograph on paper may have."""
    return replace(look, noise=0.03, uneven=0.35, texture=0.04, jpeg=60, blur=0.6, seed=seed)


def placed(profile: Floats, look: Look) -> tuple[Floats, Floats]:
    """Return the right half and the left half of a profile in pixels, x right and y down."""
    z = profile[:, 1] - 0.5
    turn = math.radians(look.turned)
    scale = look.fills * look.size
    halves = []
    for side in (1, -1):
        x, y = side * profile[:, 0], z
        halves.append(
            np.column_stack(
                [
                    look.size / 2 + scale * (x * math.cos(turn) + y * math.sin(turn)),
                    look.size / 2 - scale * (y * math.cos(turn) - x * math.sin(turn)),
                ]
            )
        )
    return halves[0], halves[1]


def drawn(profile: Floats, look: Look) -> Image.Image:
    """Return the picture of a profile."""
    right, left = placed(profile, look)
    finer = max(1, FINEST // look.size)
    side = look.size * finer
    mask = Image.new("L", (side, side), 0)
    draw = ImageDraw.Draw(mask)
    whole = np.vstack([right, left[::-1]])
    if look.style in ("filled", "half filled"):
        polygon = whole if look.style == "filled" else right
        draw.polygon([tuple(p) for p in polygon * finer], fill=255)
    else:
        width = max(1, round(look.line * look.size * finer))
        halves = [right, left] if look.style == "outlined" else [right]
        for half in halves:
            _stroke(draw, half * finer, width)
        if look.style == "half":
            ends = right[[0, -1]]
            over = 0.06 * (ends[1] - ends[0])
            _stroke(draw, np.vstack([ends[0] - over, ends[1] + over]) * finer, width)
    covered = np.asarray(mask.reduce(finer), dtype=np.float32)[..., None] / 255
    paper, ink = (np.array(colour, dtype=np.float32) / 255 for colour in (look.paper, look.ink))
    colours = paper + (ink - paper) * covered
    return spoilt(colours, look)


def spoilt(colours: Floats, look: Look) -> Image.Image:
    """Return a picture with the look's light, paper, noise and compression laid over it."""
    random = np.random.default_rng(look.seed)
    h, w = colours.shape[:2]
    y, x = (np.arange(n, dtype=np.float32) / max(h, w) for n in (h, w))
    light = 1 - look.uneven * (0.6 * x + 0.4 * y[:, None] ** 2)
    fine = max(1, max(h, w) // 400)  # grains of a four-hundredth of the sheet, whatever its pixels
    coarse = gaussian_filter(random.standard_normal((-(-h // fine), -(-w // fine)), dtype=np.float32), 1)
    grain = np.asarray(Image.fromarray(coarse).resize((w, h), Image.Resampling.BILINEAR))
    grain = grain / max(float(grain.std()), 1e-9)
    colours = colours * (light * (1 + look.texture * grain))[..., None]
    colours += look.noise * random.standard_normal((h, w, 1), dtype=np.float32)
    image = Image.fromarray((np.clip(colours, 0, 1) * 255).astype(np.uint8))
    if look.blur:
        image = image.filter(ImageFilter.GaussianBlur(look.blur * look.size / 800))
    if look.jpeg:
        held = io.BytesIO()
        image.save(held, "JPEG", quality=look.jpeg)
        image = Image.open(io.BytesIO(held.getvalue()))
        image.load()
    return image


def _stroke(draw: ImageDraw.ImageDraw, points: Floats, width: int) -> None:
    draw.line([tuple(p) for p in points], fill=255, width=width, joint="curve")
    for x, y in points[[0, -1]]:
        r = width / 2
        draw.ellipse([x - r, y - r, x + r, y + r], fill=255)
