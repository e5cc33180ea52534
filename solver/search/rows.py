"""What the wanted outline asks of each round, for a number of rounds: before any count is whole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats, frozen
from solver.search.counts import LEAST, RING
from solver.search.making import Making
from solver.search.membrane import RestFabric
from solver.wanted.outline import Outline, turning_directions

REACH = 4
"""Multiples by which a count may first differ from the one that statics asks for."""

HELD_SHARE = 0.06
"""Part by which an edge that is held may be longer or shorter than what holds it, or by one stitch: the form
shows nothing of it."""

CHAIN_ENDS = (6, 10)
"""Stitches that a first round may have in both ends of a chain."""

TURN_STITCHES = 0.5
"""A rise or fall of the wanted girth by less than this many stitches is none."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rows:
    """So many rounds laid along the rest meridian.

    Attributes
    ----------
    asked : (n,) float
        Stitches that statics asks for in each round.
    flat : (n,) float
        Stitches that fill the wanted girth at each round.
    guess : (m, 2) float
        Where the rings of the wanted form are. [mm]
    directions : tuple of int
        Rises (+1) and falls (-1) of the wanted girth, in order.
    first, last : tuple of two int
        Least and greatest count of the first and of the last round.
    least : int
        No round has fewer stitches.
    most : int
        Stitches that a round may gain or lose: what lies flat.
    """

    asked: Floats
    flat: Floats
    guess: Floats
    directions: tuple[int, ...]
    first: tuple[int, int]
    last: tuple[int, int]
    least: int
    most: int

    def __post_init__(self) -> None:
        for name in ("asked", "flat", "guess"):
            object.__setattr__(self, name, frozen(getattr(self, name)))


def laid(outline: Outline, making: Making, rest: RestFabric, *, number: int) -> Rows:
    """Return what `number` rounds along the rest meridian are asked for.

    Parameters
    ----------
    outline : Outline
        The wanted form.
    making : Making
    rest : RestFabric
        What the outline asks for.
    number : int
        Rounds, >= 2.
    """
    w, m = making.stitch_width, making.multiple
    rows = np.arange(1, number + 1) / (number + making.closing_rows) * rest.length
    asked, flat = (np.interp(rows, rest.arc, girth) / w for girth in (rest.girth, rest.wanted_girth))
    at = np.interp(np.concatenate([[0.0], rows, [rest.length]]), rest.arc, rest.wanted_arc)
    guess = np.column_stack([np.interp(at, outline.arc, values) for values in outline.points.T])
    point = np.array([0.0])
    outlined = np.concatenate(
        [
            flat[:0] if making.start_open else point,
            rest.wanted_girth / w,
            flat[:0] if making.finish_open else point,
        ]
    )
    ring = (making.ring, making.ring) if making.ring else multiples(RING, m)
    least = min(making.ring or LEAST, LEAST)
    low = -(-least // m) * m
    near, far = (_edge(float(asked[end]), making, low=low) for end in (0, -1))
    if making.side:  # the first round along a chain
        near = (making.ring, making.ring) if making.ring else multiples(CHAIN_ENDS, m)
    return Rows(
        asked=asked,
        flat=flat,
        guess=guess[:-1] if making.finish_open else guess,
        directions=tuple(turning_directions(outlined, slack=TURN_STITCHES)),
        first=near if making.start_open and not making.ring else ring,
        last=far if making.finish_open else multiples(RING, m),
        least=least,
        most=int(np.ceil(2 * np.pi * making.row_height / w)) + (m == 1),
    )


def _edge(asked: float, making: Making, *, low: int) -> tuple[int, int]:
    """Return the least and greatest count of an open edge."""
    m = making.multiple
    reach = m * REACH
    if making.held and not making.folded:
        share = HELD_SHARE if making.tolerance else 0.0
        reach = max(m // 2 if making.tolerance is None else m, int(share * asked))
    return max(low, round(asked) - reach), max(low, round(asked) + reach)


def multiples(span: tuple[int, int], multiple: int) -> tuple[int, int]:
    """Return the least and greatest multiple in a span, or the first one above it."""
    low = -(-span[0] // multiple) * multiple
    return low, max(low, span[1] // multiple * multiple)
