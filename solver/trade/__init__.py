"""Standard tables and makers' figures of the trade, from the data files beside this module.

Each file names its source; what has none is common practice or assumed, and told as a guess where it is used.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class YarnWeight:
    """A category of the standard yarn table.

    Attributes
    ----------
    number : int
        1 (super fine) to 7 (jumbo).
    name : str
    stitches : tuple of two float
        Single crochet stitches over 10 cm in fabric that is not stuffed, fewest and most.
    hook_mm : tuple of two float
        Hooks for such fabric. [mm]
    metres_per_100g : tuple of two float
        Common practice, no source. [m]
    also : tuple of str
        Other words for it (common practice, no source).
    """

    number: int
    name: str
    stitches: tuple[float, float]
    hook_mm: tuple[float, float]
    metres_per_100g: tuple[float, float]
    also: tuple[str, ...] = ()

    @property
    def toy_stitches(self) -> float:
        """Stitches over 10 cm that a toy in this yarn is likely to have: a guess."""
        return sum(self.stitches) / 2 * float(makers()["tighter"]["stitches"])

    @property
    def toy_stitches_range(self) -> tuple[float, float]:
        """Fewest and most stitches over 10 cm that toys in this yarn have: a guess."""
        low, high = makers()["tighter"]["stitches_range"]
        return self.stitches[0] * low, self.stitches[1] * high

    @property
    def toy_hook_mm(self) -> float:
        """Hook that a toy in this yarn is likely to be worked with: a guess. [mm]."""
        return sum(self.hook_mm) / 2 * float(makers()["tighter"]["hook"])


@cache
def yarn_weights() -> tuple[YarnWeight, ...]:
    """Return the categories of the standard yarn table, the finest first."""
    return tuple(
        YarnWeight(
            number=row["number"],
            name=row["name"],
            also=tuple(row.get("also", ())),
            **{key: (row[key][0], row[key][1]) for key in ("stitches", "hook_mm", "metres_per_100g")},
        )
        for row in _table("yarn-weights")["weight"]
    )


def likely_weight(stitch_width: float) -> YarnWeight:
    """Return the category whose toys come nearest to a stitch width: a guess.

    Parameters
    ----------
    stitch_width : float
        w, > 0. [mm]
    """
    wanted = math.log(100.0 / stitch_width)
    return min(yarn_weights(), key=lambda weight: abs(math.log(weight.toy_stitches) - wanted))


@cache
def hooks() -> tuple[tuple[float, str], ...]:
    """Return hook sizes in mm with their US letters, the finest first; no letter where copies differ."""
    return tuple((float(size), str(letter)) for size, letter in _table("hooks")["hook"])


def nearest_hook(size_mm: float) -> tuple[float, str]:
    """Return the hook size nearest to a diameter, with its US letter."""
    return min(hooks(), key=lambda hook: abs(hook[0] - size_mm))


def next_hook(size_mm: float, *, steps: int) -> tuple[float, str]:
    """Return the hook so many sizes above a size of the table (below: less than zero), or the last one."""
    sizes = hooks()
    here = [size for size, _ in sizes].index(size_mm)
    return sizes[min(max(here + steps, 0), len(sizes) - 1)]


@cache
def makers() -> Mapping[str, Mapping[str, Any]]:
    """Return what makers go by: common practice or assumed."""
    return _table("makers")


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads((files(__name__) / f"{name}.toml").read_text(encoding="utf-8"))
