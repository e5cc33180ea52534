"""Yarn colours by their names, for pictures."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.colors import to_rgb

from solver.arrays import Floats
from solver.rounds import Start

if TYPE_CHECKING:
    from solver.form.fabric import StitchFabric
    from viz.stitches import Patches

Shades = Sequence[str] | Sequence[Sequence[str]]
"""The colour of each round, or for each round that of every stitch that it makes."""

SAND = "#D9A86C"
"""Yarn of which no colour is told: light, so that stitches show in grey as well."""

YARNS = {
    "cream": "#F3E7CB",
    "natural": "#EDE3CF",
    "rust": "#A4472B",
    "ochre": "#C98A1B",
    "charcoal": "#3F4347",
}
"""Words of yarn shops that are no colour names of the web (common practice, no source)."""

DARKEST = 0.16
"""Least light of a channel: stitches of black yarn are still seen."""


def yarn_rgb(name: str) -> tuple[float, float, float]:
    """Return the colour that a yarn's name tells: a colour name of the web, its last word, or #rrggbb.

    A name that tells none is drawn in sand.
    """
    words = name.lower().strip()
    for told in (words.replace(" ", ""), *reversed(words.split())):
        try:
            red, green, blue = to_rgb(YARNS.get(told, told))
        except ValueError:
            continue
        return max(red, DARKEST), max(green, DARKEST), max(blue, DARKEST)
    return to_rgb(SAND)


def names_of_patches(patches: Patches, fabric: StitchFabric, colours: Shades) -> list[str]:
    """Return the colour of each patch of fabric: of its stitch; of a drawn-in end's, of the one drawn in."""
    counts = fabric.piece.counts
    if not colours:
        return [""] * len(patches.node)
    by_round = [
        [own] * n if isinstance(own, str) else list(own) for own, n in zip(colours, counts, strict=True)
    ]
    names = list(chain.from_iterable(by_round))
    if fabric.piece.start is Start.ROWS:  # each stitch is seen from both sides
        return names * (len(patches.node) // len(names))
    gathers = len(patches.node) - len(names)
    return [*names, *(by_round[-1] if gathers else [])]


def rgb_of_patches(patches: Patches, fabric: StitchFabric, colours: Shades) -> Floats:
    """Return red, green and blue of each patch of fabric, (s, 3); see `names_of_patches`."""
    names = names_of_patches(patches, fabric, colours)
    known = {name: yarn_rgb(name) for name in dict.fromkeys(names)}
    return np.array([known[name] for name in names])
