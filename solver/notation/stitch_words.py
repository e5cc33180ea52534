"""The words of each stitch: those of its plain stitch, and of what is done with it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from solver.rounds import Stitch

if TYPE_CHECKING:
    from solver.notation.words import Words


def item(table: Words, stitch: Stitch, number: int) -> str:
    """Return a run of like stitches: "3 sc", "inc", "6 hdc", "2 hdc in the next st", "hdc2tog".

    A slip stitch has its number always, as one without may join.
    """
    plain = stitch.plain
    if plain is Stitch.SC:
        return table.say("terse", "item", stitch=table[stitch].short, n=number)
    word = table["slip" if plain is Stitch.SLST else plain].short
    if stitch is Stitch.SLST and number == 1:
        return f"1 {word}"
    if stitch is plain:
        return table.say("terse", "item", stitch=word, n=number)
    does = "inc" if stitch.makes > stitch.uses else "dec"
    if table.has("terse", f"tall_{does}"):
        return table.say("terse", f"tall_{does}", stitch=word, n=number)
    return table.say("terse", "item", stitch=f"{word} {table[does].short}", n=number)


def spelled(table: Words, runs: Iterable[tuple[Stitch, int]]) -> str:
    """Return runs of stitches with every stitch told in order, without brackets and abbreviations."""
    told = (table.say("spelled", stitch, n=number) for stitch, number in runs)
    return table.say("spelled", "between").join(told)


def notes(table: Words, used: Iterable[Stitch]) -> list[str]:
    """Return the names of the notes that tell what the short forms of these stitches mean."""
    return [stitch for stitch in used if table.has("notes", stitch)]
