"""Rounds worked along a chain: one side, the turn, the other side."""

from __future__ import annotations

from solver.notation.instructions import Fill, Node, Sequence, Worked, open_ended, totals, worked


def without_chain(node: Node) -> Node:
    """Return a tree without its leading foundation chain."""
    if isinstance(node, Sequence) and node.items:
        first = node.items[0]
        act = getattr(first, "act", None)
        if act is not None and act.stitch == "chain":
            return Sequence(node.items[1:])
        if isinstance(first, Fill | Sequence):
            return Sequence((without_chain(first), *node.items[1:])) if isinstance(first, Sequence) else node
    return node


def along_chain(node: Node, chain: int, goal: int | None) -> tuple[Worked, Node, bool]:
    """Work round 1 along a chain: a side of chain - 1 stitches, the turn, and the other side.

    The end chains may count for both sides, so a round uses two to four fewer than twice the chain.
    """
    uses, makes = totals(node)
    if not open_ended(node):
        flat = chain > 0 and uses in (chain - 1, chain)
        around = chain == 0 or 2 * chain - 4 <= uses <= 2 * chain - 1
        return Worked(uses, makes, 0, 0), node, flat or around
    if chain == 0:
        return worked(node, None, makes=goal), node, True
    items = node.items if isinstance(node, Sequence) else (node,)
    fills = [i for i, item in enumerate(items) if open_ended(item)]
    best: tuple[float, Worked, Node] | None = None
    for options in _fill_lengths(chain, len(fills)):
        filled = tuple(
            _filled(item, options[fills.index(i)]) if i in fills else item for i, item in enumerate(items)
        )
        tried = Sequence(filled)
        uses, makes = totals(tried)
        misfit = 0.0 if (goal is None or makes == goal) else 5.0
        wanted = 2 * chain - 3 if len(fills) > 1 or any(_is_side(item) for item in items) else chain - 1
        misfit += abs(uses - wanted) * 0.5
        if best is None or misfit < best[0]:
            best = (misfit, Worked(uses, makes, 0, 0), tried)
    assert best is not None
    return best[1], best[2], True


def _is_side(item: Node) -> bool:
    return getattr(getattr(item, "act", None), "stitch", "") == "side"


def _fill_lengths(chain: int, fills: int) -> list[tuple[int, ...]]:
    one_side = [chain - 3, chain - 2, chain - 1, chain - 4]
    lengths = [length for length in one_side if length > 0] or [1]
    if fills == 1:
        return [(length,) for length in (*lengths, 2 * chain - 3, 2 * chain - 2, chain)]
    found = [(a, b) for a in lengths for b in lengths]
    return [(*pair, *(1,) * (fills - 2)) for pair in found]


def _filled(item: Node, length: int) -> Node:
    """Return an open-ended part worked over a number of stitches."""
    if isinstance(item, Fill):
        uses = max(totals(item.item)[0], 1)
        return Sequence((item.item,) * max(1, length // uses)) if length // uses < 400 else item
    if isinstance(item, Sequence):
        return Sequence(tuple(_filled(one, length) if open_ended(one) else one for one in item.items))
    return item
