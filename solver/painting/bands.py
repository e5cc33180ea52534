"""Bands of colour: the colour of each round as a whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from solver.wanted.supplies import MAIN_YARN

if TYPE_CHECKING:
    from solver.arrays import Floats
    from solver.wanted.supplies import Supplies


def of_rounds(supplies: Supplies, edges: Floats) -> tuple[str, ...]:
    """Return the colour of each round, by its number or the height of its middle; empty where none are told.

    Parameters
    ----------
    supplies : Supplies
    edges : (n + 1,) float
        Of the start and of each round's edge in the stuffed form, from its lowest point. [mm]
    """
    if not (supplies.bands or supplies.main_colour or supplies.patches):
        return ()
    middles = (edges[:-1] + edges[1:]) / 2
    if supplies.down == "finish":
        middles = edges.max() - middles
    found = []
    for number, height in enumerate(middles.tolist(), start=1):
        own = [band.colour for band in supplies.bands if band.holds(number, height)]
        found.append(own[-1] if own else supplies.main_colour or MAIN_YARN)
    return tuple(found)
