"""Named shapes: a few sizes become the outline of a part."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.wanted.outline import Outline
from solver.wanted.shapes import curves

FLAT_POINTS = 50
"""Points on a flat end."""

_CURVES: Mapping[str, Callable[..., Floats]] = {
    curve.__name__: curve
    for curve in (
        curves.ball,
        curves.spheroid,
        curves.egg,
        curves.drop,
        curves.pear,
        curves.capsule,
        curves.spindle,
        curves.lens,
        curves.cone,
        curves.taper,
        curves.tube,
        curves.dome,
        curves.bell,
    )
}


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A named shape: what it is, what it needs, and how it becomes an outline.

    Attributes
    ----------
    name : str
        The word for it in a part file.
    sentence : str
        What it looks like.
    needed, optional : mapping of str to str
        The sizes that it takes, each with its meaning.
    ends : tuple of str
        Words for the end that may be worked first, the usual one first; empty where both ends are alike.
    start_open, finish_open : bool
        Whether the usual first end and the other are open unless the part says otherwise.
    example : mapping of str to float
        Sizes that make a sensible toy part. [mm]
    """

    name: str
    sentence: str
    needed: Mapping[str, str]
    optional: Mapping[str, str]
    ends: tuple[str, ...]
    start_open: bool
    finish_open: bool
    example: Mapping[str, float]

    def opens(self, *, first: str | None = None) -> tuple[bool, bool]:
        """Return whether start and finish are open unless the part says otherwise.

        Parameters
        ----------
        first : str, optional
            The end that is worked first, one of `ends`.
        """
        usual = self.start_open, self.finish_open
        return usual[::-1] if self._is_turned(first) else usual

    def stands_on_finish(self, *, first: str | None = None) -> bool:
        """Return whether it is worked from the top: it stands on its opening, else on its usual first end."""
        return (self.finish_open and not self.start_open) is not self._is_turned(first)

    def wide_ends(self) -> tuple[bool, bool]:
        """Return whether the usual first end and the other are wide: open, or closed flat."""
        first, last = (bool(radius > 0.0) for radius in _CURVES[self.name](**self.example)[[0, -1], 0])
        return first, last

    def outline(
        self,
        sizes: Mapping[str, float],
        *,
        first: str | None = None,
        start_open: bool | None = None,
        finish_open: bool | None = None,
    ) -> Outline:
        """Return the shape's outline at these sizes.

        Parameters
        ----------
        sizes : mapping of str to float
            All of `needed` and any of `optional`, > 0. [mm]
        first : str, optional
            The end that is worked first, one of `ends`; the usual one when left out.
        start_open, finish_open : bool, optional
            Whether that end is left open; a wide end that is not is closed flat. As usual when left out.

        Raises
        ------
        InputError
            If sizes are not above zero or don't fit the shape, or a pointed or round end is to be open.
        """
        if bad := {name: size for name, size in sizes.items() if not (math.isfinite(size) and size > 0)}:
            rule = "a size of a shape is above zero"
            raise InputError(*(Problem(rule, got=f"{size:g}", place=name) for name, size in bad.items()))
        points = _CURVES[self.name](**sizes)
        if self._is_turned(first):
            points = np.column_stack([points[::-1, 0], points[-1, 1] - points[::-1, 1]])
        usual = self.opens(first=first)
        opens = (
            usual[0] if start_open is None else start_open,
            usual[1] if finish_open is None else finish_open,
        )
        for end, is_open, place in zip((0, -1), opens, ("start", "finish"), strict=True):
            if is_open and points[end, 0] == 0.0:
                raise InputError(
                    Problem(
                        f"the {place} of this {self.name} closes to a point, and can't be open",
                        remedy=f"Leave {place} out; for an open neck, cut it where you want it: "
                        'cut = "62 mm" from the end worked first, or cut = "80 %".',
                        place=place,
                    )
                )
        if not opens[0]:
            points = np.vstack([_flat(*points[0]), points])
        if not opens[1]:
            points = np.vstack([points, _flat(*points[-1])[::-1]])
        return Outline(points)

    def _is_turned(self, first: str | None) -> bool:
        if first is not None and first not in self.ends:
            rule = f"the end of this {self.name} that is worked first is one of: {', '.join(self.ends)}"
            if not self.ends:
                rule = f"both ends of this {self.name} are alike, so none is chosen"
            raise InputError(Problem(rule, got=first, place="first"))
        return first is not None and first != self.ends[0]


@cache
def named_shapes() -> Mapping[str, Shape]:
    """Return all named shapes by name, in the order in which they are told."""
    text = files("solver.wanted.shapes").joinpath("shapes.toml").read_text(encoding="utf-8")
    return MappingProxyType(
        {
            name: Shape(
                name=name,
                sentence=told["sentence"],
                needed=MappingProxyType(told["needed"]),
                optional=MappingProxyType(told.get("optional", {})),
                ends=tuple(told.get("ends", ())),
                start_open=told["start"] == "open",
                finish_open=told["finish"] == "open",
                example=MappingProxyType(told["example"]),
            )
            for name, told in tomllib.loads(text).items()
        }
    )


def _flat(radius: float, height: float) -> Floats:
    """Return the points of a flat end from the axis to before its rim; none for an end on the axis."""
    return np.linspace([0.0, height], [radius, height], FLAT_POINTS if radius else 0, endpoint=False)
