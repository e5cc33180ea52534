"""The ways to read a tree of instructions: each doubtful place taken in each way, the likeliest first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice, product
from typing import NamedTuple

from solver.notation.instructions import Choice, Fill, Node, Repeat, Sequence

#: Most readings of one line that are tried.
MOST_READINGS = 32
#: Most readings of a line that is far longer than a round is ever written.
FEW_READINGS = 6
_LONG = 120


class Reading(NamedTuple):
    """One way to read a line.

    Attributes
    ----------
    node : Node
        What it comes to, without choices.
    cost : float
        How unlikely it is by its wording alone.
    taken : tuple of str
        How each doubtful place was taken.
    """

    node: Node
    cost: float
    taken: tuple[str, ...]


def readings(node: Node) -> Iterator[Reading]:
    """Yield every way to read a tree, the likeliest first."""
    choices: dict[str, Choice] = {}
    seen: set[int] = set()
    _collect(node, choices, seen)
    most = FEW_READINGS if len(seen) > _LONG else MOST_READINGS
    if not choices:
        yield Reading(node, 0.0, ())
        return
    names = list(choices)
    combos = islice(product(*(range(len(choices[name].options)) for name in names)), 4 * MOST_READINGS)
    ranked = sorted(
        combos,
        key=lambda combo: sum(choices[name].options[i][0] for name, i in zip(names, combo, strict=True)),
    )
    for combo in ranked[:most]:
        picked = dict(zip(names, combo, strict=True))
        cost = sum(choices[name].options[i][0] for name, i in picked.items())
        taken = tuple(told for name, i in picked.items() if (told := choices[name].options[i][1]))
        yield Reading(_resolved(node, picked), cost, taken)


def _collect(node: Node, choices: dict[str, Choice], seen: set[int]) -> None:
    """Gather the choices of a tree; a part that several options share is looked at once."""
    if id(node) in seen:
        return
    seen.add(id(node))
    match node:
        case Choice():
            known = choices.get(node.name)
            if known is None or len(known.options) < len(node.options):
                choices[node.name] = node
            for _, _, option in node.options:
                _collect(option, choices, seen)
        case Sequence():
            for item in node.items:
                _collect(item, choices, seen)
        case Repeat() | Fill():
            _collect(node.item, choices, seen)


def _resolved(node: Node, picked: Mapping[str, int]) -> Node:
    match node:
        case Choice():
            return _resolved(node.options[min(picked[node.name], len(node.options) - 1)][2], picked)
        case Sequence():
            return Sequence(tuple(_resolved(item, picked) for item in node.items))
        case Repeat():
            return Repeat(_resolved(node.item, picked), node.times)
        case Fill():
            return Fill(_resolved(node.item, picked), node.leave, node.implied)
    return node
