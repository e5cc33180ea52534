"""A body worked on from two legs put into words: how the yarn comes to them, the round that joins them."""

from __future__ import annotations

from solver.notation.words import Words
from solver.rounds import Legs


def onto_legs(legs: Legs, table: Words) -> str:
    """Return how the yarn comes to the first leg: it goes on from the second, or is joined anew."""
    one, other = legs.firsts
    how = "" if one == other == 1 else "_turned"
    sentence = f"start_legs{how}" if legs.chain else f"start_legs{how}_direct"
    last = (other - 2) % legs.stitches + 1
    return table.say("plain", sentence, n=legs.chain, first=one, last=last)


def round_legs(legs: Legs, table: Words, style: str) -> str:
    """Return the round that goes round both legs and along the chain between them.

    Parameters
    ----------
    legs : Legs
    table : Words
    style : {"terse", "spelled"}
    """
    n, chain = legs.stitches, legs.chain
    told = [("legs_one", n), ("legs_chain", chain), ("legs_other", n), ("legs_back", chain)]
    said = [table.say(style, sentence, n=number) for sentence, number in told if number]
    return table.say(style, "between").join(said)
