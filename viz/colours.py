"""Yarn colours by their names, for pictures."""

from __future__ import annotations

from matplotlib.colors import to_rgb

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
