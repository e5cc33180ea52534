"""What there is to say of colours within a round: how well they show, and what the lean does to them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from solver.wanted.gauge import LEAN_ASSUMED, LEAN_UNSURE

if TYPE_CHECKING:
    from solver.painting.painted import Painted

COARSE = 0.6
"""Distance of a stitched outline from the wanted one beyond which stitches are too coarse. [stitches]"""
OFF = 0.05
"""Share by which the stitched area may differ from the wanted one before that is told."""


def colour_notes(painted: Painted, *, lean: float | None, rounds: int, along_chain: bool) -> Iterator[str]:
    """Yield how patches of colour come out, and what their places rest on.

    Parameters
    ----------
    painted : Painted
    lean : float or None
        Stitches by which a round moves on; None: not measured.
    rounds : int
        Of the part.
    along_chain : bool
        Whether the part has two ends, which go with its stitches.
    """
    shown = painted.shown
    for each in shown:
        if not each.stitches:
            yield f"{each.name} shows in no stitch: it is too small, or lies under a later patch."
            continue
        off = each.stitched / each.wanted - 1 if each.wanted else 0.0
        told = (
            f"{each.name}: {each.stitches} stitches, its outline {each.rms:.1f} stitches from the wanted one"
        )
        told += f", its area {off:+.0%}" if abs(off) > OFF else ""
        yield told + (
            ". Stitches are too coarse for it: make it larger or plainer." if each.rms > COARSE else "."
        )
    if lean and along_chain:
        straight = (
            ""
            if shown
            else " To keep it straight, begin the round a stitch earlier or later when the marker is one off."
        )
        yield (
            f"Stitches move on by {lean:g} a round, by {abs(lean) * (rounds - 1):.0f} over {rounds} rounds, "
            f"and the ends of the oval with them, which twists it: the form is worked out so.{straight}"
        )
    if shown and lean is None:
        yield (
            f"The lean of your spiral was not measured: {LEAN_ASSUMED:g} stitches a round are taken, "
            f"give or take "
            f"{LEAN_UNSURE:g} (common practice, no source), so that a patch may slant by up to "
            f"{LEAN_UNSURE * rounds:.0f} stitches over {rounds} rounds. Measure it: plumpline gauge --lean."
        )
