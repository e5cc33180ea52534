"""A toy solved: every part by itself, every copy in its place, and the whole on the ground."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from solver.errors import InputError, Problem
from solver.solving.solved import Solved, solve
from solver.toy.cast import Frame
from solver.toy.holding import held
from solver.toy.limbs import joined
from solver.toy.model import Join
from solver.toy.placed import Copy, grounded, placed
from solver.toy.surface import standing_surface

if TYPE_CHECKING:
    from solver.arrays import Floats
    from solver.toy.model import Toy


@dataclass(frozen=True, eq=False, kw_only=True)
class SolvedToy:
    """A toy put together.

    Attributes
    ----------
    toy : Toy
    parts : dict of str to Solved
        Each part by itself, by its name.
    copies : tuple of Copy
        Every copy of each part, each after the one that carries it; the ground at z = 0.
    loose : tuple of str
        Copies whose form has no balance with its edge held on its place: they are shown as by themselves.
    """

    toy: Toy
    parts: dict[str, Solved]
    copies: tuple[Copy, ...]
    loose: tuple[str, ...] = ()

    @cached_property
    def points(self) -> Floats:
        """All nodes, (n, 3). [mm]"""
        return np.concatenate([each.points for each in self.copies])

    @property
    def sizes(self) -> tuple[float, float, float]:
        """Width, depth and height as it stands. [mm]"""
        width, depth, height = np.ptp(self.points, axis=0).tolist()
        return width, depth, height

    def copies_of(self, name: str) -> tuple[Copy, ...]:
        """Return the copies of a part."""
        return tuple(each for each in self.copies if each.wanted.name == name)

    def first_of(self, name: str) -> Copy:
        """Return the first copy of a part."""
        return self.copies_of(name)[0]


def solve_toy(toy: Toy, *, progress: Callable[[float], None] | None = None) -> SolvedToy:
    """Return a toy put together.

    Parameters
    ----------
    toy : Toy
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    InputError
        If a part can't be worked, has no such place or no room there: every one of them.
    ConvergenceError
        If rounds have no balance under the stuffing.
    """
    parts: dict[str, Solved] = {}
    problems: list[Problem] = []
    for number, each in enumerate(toy.parts):
        try:
            parts[each.name] = solve(each.part)
        except InputError as error:
            where = f"[parts.{each.name}]"
            problems += [
                replace(one, place=one.place or where, file=one.file or toy.file) for one in error.problems
            ]
        if progress:
            progress((number + 1) / len(toy.parts))
    if problems:
        raise InputError(*problems)
    return put_together(toy, parts)


def put_together(toy: Toy, parts: dict[str, Solved]) -> SolvedToy:
    """Return solved parts as a toy; errors as for `solve_toy`."""
    first, *others = toy.in_order
    problems: list[Problem] = []
    missing: set[str] = set()
    loose: list[str] = []
    copies = []
    if toy.limbs:
        try:
            whole = joined(first, toy.limbs, parts, file=toy.file)
            parts, copies = whole.parts, [whole.body, *whole.limbs]
        except InputError as error:
            problems += error.problems
            missing.add(toy.limbs.name)
    if not copies:
        copies = [grounded(first, parts[first.name])]
    for each in others:
        if each is toy.limbs:
            continue
        if each.on in missing:
            missing.add(each.name)
            continue
        form = parts[each.name].form
        surface = standing_surface(each, form)
        try:
            seated = [
                placed(each, parts[each.name], surface, carrier, copy=copy, file=toy.file)
                for carrier in copies
                if carrier.wanted.name == each.on
                for copy in range(each.make)
            ]
        except InputError as error:
            problems += error.problems
            missing.add(each.name)
            continue
        for one in seated:
            now, is_held = (one, True) if one.matched or each.join is Join.PRESSED else held(one)
            copies.append(now)
            loose += [] if is_held else [one.name]
    if problems:
        raise InputError(*problems)
    return SolvedToy(toy=toy, parts=parts, copies=_on_the_ground(copies), loose=tuple(loose))


def _on_the_ground(copies: list[Copy]) -> tuple[Copy, ...]:
    """Return the copies moved up or down together until the lowest touches the ground."""
    lowest = min(float(each.points[:, 2].min()) for each in copies)
    moved: dict[int, Copy] = {}
    for each in copies:
        origin = each.frame.origin - [0.0, 0.0, lowest]
        moved[id(each)] = replace(
            each,
            carrier=moved[id(each.carrier)] if each.carrier else None,
            frame=Frame(origin, each.frame.turned),
            points=each.points - [0.0, 0.0, lowest],
        )
    return tuple(moved.values())
