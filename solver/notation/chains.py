"""Rounds worked along a chain: one side, the turn, the other side; and the chain that they take."""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq
from itertools import product
from typing import NamedTuple

from solver.notation.instructions import Act, Fill, Node, Sequence, Work, Worked, open_ended, totals, worked
from solver.notation.token import Token, shape

#: Stitches in one chain from which it is the far end, where the round turns.
_TURNS = 3


class Sides(NamedTuple):
    """How the first round lies on its chain.

    Attributes
    ----------
    chain : int
        Chains that are there; 0 when not told.
    needed : int
        Chains that the first side takes, with those skipped at the hook; 0 when that can't be told.
    there, back : int
        Stitches along the two sides between the ends.
    even : bool
        Whether the two sides agree.
    flat : bool
        Whether the round goes along one side alone.
    """

    chain: int
    needed: int
    there: int = 0
    back: int = 0
    even: bool = True
    flat: bool = False

    @property
    def fits(self) -> bool:
        """Whether the chain is of the right length and both sides agree."""
        return self.even and (not self.chain or not self.needed or self.chain == self.needed)


class Along(NamedTuple):
    """A first round worked along a chain: what it comes to, with its open ends closed, and how it lies."""

    worked: Worked
    node: Node
    sides: Sides


def without_chain(node: Node) -> Node:
    """Return a tree without its leading foundation chain."""
    if isinstance(node, Sequence) and node.items:
        first = node.items[0]
        act = getattr(first, "act", None)
        if act is not None and act.stitch == "chain" and act != Act("chain", 1, 1):
            return Sequence(node.items[1:])
        if isinstance(first, Sequence):
            return Sequence((without_chain(first), *node.items[1:]))
    return node


def along_chain(node: Node, chain: int, goal: int | None, *, skipped: int | None) -> Along:
    """Work round 1 along a chain: a side, the far end, and the other side.

    Parameters
    ----------
    node : Node
        A tree without choices.
    chain : int
        Stitches of the chain; 0 when not told.
    goal : int or None
        The stated count.
    skipped : int or None
        Chains between the hook and the first stitch; None when that is not told.
    """
    if not open_ended(node):
        uses, makes = totals(node)
        return Along(Worked(uses, makes, 0, 0), node, _sides(_flat(node), chain, skipped))
    if chain == 0:
        return Along(worked(node, None, makes=goal), node, Sides(0, 0))
    items = _flat(node)
    fills = [i for i, item in enumerate(items) if open_ended(item)]
    best: tuple[float, Along] | None = None
    for options in _fill_lengths(chain, len(fills)):
        lengths = dict(zip(fills, options, strict=True))
        tried = Sequence(
            tuple(_filled(item, lengths[i]) if i in lengths else item for i, item in enumerate(items))
        )
        uses, makes = totals(tried)
        sides = _sides(_flat(tried), chain, skipped)
        misfit = (0.0 if goal is None or makes == goal else 5.0) + (0.0 if sides.fits else 6.0)
        if best is None or misfit < best[0]:
            best = (misfit, Along(Worked(uses, makes, 0, 0), tried, sides))
    assert best is not None
    return best[1]


def _flat(node: Node) -> list[Node]:
    """Return the instructions of a tree one after the other."""
    if isinstance(node, Sequence):
        return [one for item in node.items for one in _flat(item)]
    return [node]


def _is_turn(item: Node) -> bool:
    return isinstance(item, Work) and item.act.stitch == "side"


def _shaped(item: Node) -> int:
    """Return the stitches that one chain takes; 0 where a stitch goes into each of several."""
    if isinstance(item, Work) and item.times == 1 and item.act.uses <= 1:
        return item.act.makes
    uses, makes = totals(item)
    return makes if uses == 1 else 0


def _sides(items: list[Node], chain: int, skipped: int | None) -> Sides:
    """Tell how a first round lies on its chain."""
    working = [item for item in items if _is_turn(item) or any(totals(item))]
    while working and _is_turn(working[0]):
        working.pop(0)
    if working and isinstance(working[0], Work) and working[0].act.stitch == "skip":
        # "miss 1 ch, 11 sc"
        skipped = working.pop(0).times if skipped is None else skipped  # type: ignore[union-attr]
    turn = next((i for i, item in enumerate(working) if _is_turn(item)), len(working))
    far = next((i for i, item in enumerate(working) if i and _shaped(item) >= _TURNS), len(working))
    turn = min(turn, far + 1)
    # Skipped chains that count as a stitch may stand in a chain of their own.
    counted = any(isinstance(item, Work) and item.act == Act("chain", 0, 1) for item in working[:2])
    first = [item for item in working[:turn] if totals(item)[0]]
    back = [item for item in working[turn:] if not _is_turn(item)]
    if back and first and _shaped(back[0]) >= _TURNS and len(back) > 1 and _shaped(first[-1]) < _TURNS:
        first.append(back.pop(0))
    uses = sum(totals(item)[0] for item in first)
    needed = uses + skipped if skipped is not None else (chain if uses in (chain, chain - 1) else uses + 1)
    if not back:
        return Sides(chain, needed, max(uses - 1, 0), 0, flat=True)
    there = uses - 2
    end = _shaped(back[-1])
    used = sum(totals(item)[0] for item in back)
    into_end = totals(back[-1])[0] if end else 0
    if end > 1 or (end and not into_end):
        plain = used - into_end
        whole = end >= _TURNS or not into_end or counted
        # Three more in the first chain belong to a side that was worked to its very end.
        balanced = end < _TURNS or _shaped(first[0]) + end <= _shaped(first[-1])
        even = (plain == there and balanced) or (whole and plain == there + 1)
        return Sides(chain, needed, there, plain, even)
    start = _shaped(first[0])
    if used == uses and all(_shaped(item) <= 1 for item in (*first, *back)):
        # "7 sc, then down the other side 7 sc": nothing goes round the ends
        return Sides(chain, needed, uses, used)
    # Where the round ends without a stitch that says so, its last goes into the first end once more.
    even = used == there + 1 or (start >= _TURNS and used == there)
    return Sides(chain, needed, there, used - (start < _TURNS), even)


def _fill_lengths(chain: int, fills: int) -> list[tuple[int, ...]]:
    one_side = [length for length in (chain - 3, chain - 2, chain - 1, chain - 4) if length > 0] or [1]
    if fills == 1:
        return [(length,) for length in dict.fromkeys((*one_side, 2 * chain - 3, 2 * chain - 2, chain))]
    return [(*pair, *(1,) * (fills - 2)) for pair in product(one_side, one_side)]


def _filled(item: Node, length: int) -> Node:
    """Return an open-ended part worked over a number of stitches."""
    if isinstance(item, Fill):
        uses = max(totals(item.item)[0], 1)
        if isinstance(item.item, Work) and uses == 1:
            return Work(item.item.act, item.item.times * length)
        return Sequence((item.item,) * max(1, length // uses)) if length // uses < 400 else item
    if isinstance(item, Sequence):
        return Sequence(tuple(_filled(one, length) if open_ended(one) else one for one in item.items))
    return item


#: How far a chain may be off for another to be offered.
_OFF = 4


def with_chain_for(goal: int, node: Node, sides: Sides, skipped: int | None) -> Sides:
    """Return how a round lies on its chain, with the chain on which it would make what it says."""
    for off in sorted(range(-_OFF, _OFF + 1), key=abs):
        chain = sides.chain + off
        if chain < 2 or not off:
            continue
        tried = along_chain(node, chain, goal, skipped=skipped)
        if tried.worked.makes == goal and tried.sides.fits:
            return sides._replace(needed=chain)
    return sides


_BEGINS_IN = re.compile(r"[^sidO]*(?:n?[si]n?)?[Fpfq]*(o)q*c")
_FROM_HOOK = re.compile(r"([no])[^,;:)no]{0,3}H")


def skipped_at_hook(body: Seq[Token]) -> int | None:
    """Return the chains skipped at the hook: one for "in 2nd ch from hook"; None when nothing is told."""
    match = _FROM_HOOK.search(shape(body)) or _BEGINS_IN.match(shape(body))
    if match is None:
        return 1 if any(token.cls == "H" for token in body) else None
    # The chain nearest to the hook is counted from the other end where it is called the first.
    return max(body[match.start(1)].value - 1, 1)
