"""A toy made larger or smaller as a whole: every drawing and every place times one factor."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from solver.errors import InputError, Problem
from solver.toy.frames import place_of
from solver.toy.model import Spot, Toy, ToyPart
from solver.toy.solved import SolvedToy, solve_toy
from solver.units import in_mm

if TYPE_CHECKING:
    from collections.abc import Callable

MEASURES = ("height", "width", "length")
"""Sizes of a whole toy that can be asked for; its length is from front to back."""
NEAR = 0.005
"""Relative difference from the size that is asked for which needs no further trial."""
TRIALS = 6
FACTORS = (0.1, 10.0)
"""How far a toy may be scaled."""


def by_height(solved: SolvedToy) -> Toy:
    """Return the toy with places told by round and stitch told by height and turn: they scale."""
    toy = solved.toy

    def told(spot: Spot, on: str, where: str) -> Spot:
        if spot.round is None:
            return spot
        surface = solved.first_of(on).surface
        point = surface.at(*place_of(surface, spot, name=on, where=where, file=toy.file))
        return Spot(
            height=min(max(float(point[2]), 0.0), surface.height),
            turn=math.degrees(math.atan2(point[0], -point[1])),
        )

    def moved(each: ToyPart) -> ToyPart:
        eyes = tuple(replace(eye, at=told(eye.at, each.name, eye.where)) for eye in each.eyes)
        return replace(each, at=told(each.at, each.on, each.where) if each.on else each.at, eyes=eyes)

    return replace(toy, parts=tuple(moved(each) for each in toy.parts))


def placed_as(toy: Toy, solved: SolvedToy) -> Toy:
    """Return a toy with its places where another one, of the same parts, has them, by height and turn."""
    there = {each.name: each for each in by_height(solved).parts}
    parts = tuple(replace(each, at=there[each.name].at, eyes=there[each.name].eyes) for each in toy.parts)
    return replace(toy, parts=parts)


def scaled(toy: Toy, factor: float) -> Toy:
    """Return a toy whose places are told by height with all drawings and heights times a factor, > 0.

    Eyes and noses stay as large as they were bought.
    """

    def spot(at: Spot) -> Spot:
        return at if at.height is None else replace(at, height=at.height * factor)

    def part(each: ToyPart) -> ToyPart:
        eyes = tuple(replace(eye, at=spot(eye.at)) for eye in each.eyes)
        return replace(each, part=each.part.scaled(factor), at=spot(each.at), eyes=eyes)

    return replace(toy, parts=tuple(part(each) for each in toy.parts))


def sized(
    solved: SolvedToy, *, measure: str, target: float, progress: Callable[[float], None] | None = None
) -> tuple[SolvedToy, float]:
    """Return the toy scaled so that it stands so high, wide or long; and the factor.

    Rounds are whole, so that sizes come in steps: the nearest of a few trials.

    Parameters
    ----------
    solved : SolvedToy
        As drawn.
    measure : str
        One of `MEASURES`.
    target : float
        [mm]
    progress : callable, optional
        Told the share of the work done.

    Raises
    ------
    InputError
        If the size is far from what is drawn, or parts can't be worked at it.
    """
    toy = by_height(solved)
    factor = target / size_of(solved, measure)
    low, high = FACTORS
    if not low <= factor <= high:
        rule = f"a toy is scaled by {low:g} to {high:g}"
        raise InputError(Problem(rule, got=f"{in_mm(target)} for {in_mm(size_of(solved, measure))}"))
    best: tuple[float, SolvedToy, float] | None = None
    for trial in range(TRIALS):
        found = solve_toy(scaled(toy, factor))
        got = size_of(found, measure)
        off = abs(got / target - 1)
        if best is None or off < best[0]:
            best = off, found, factor
        if progress:
            progress((trial + 1) / TRIALS)
        if off <= NEAR:
            break
        factor = float(np.clip(factor * target / got, *FACTORS))
    assert best is not None
    return best[1], best[2]


def size_of(solved: SolvedToy, measure: str) -> float:
    """Return a size of a toy as it stands. [mm]"""
    width, depth, height = solved.sizes
    return {"width": width, "length": depth, "height": height}[measure]
