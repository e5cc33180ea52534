"""A reading told in one clean notation: "2 sc, inc, (4 sc, inc) x 5"."""

from __future__ import annotations

from solver.notation.instructions import Act, Choice, Fill, Node, Repeat, Sequence, Work
from solver.notation.words import Words

_SILENT = frozenset({"join", "side", "shift"})


def described(node: Node, table: Words, fill: int = 0) -> str:
    """Tell what a tree comes to.

    Parameters
    ----------
    node : Node
        A tree without choices.
    table : Words
        The words to tell it in.
    fill : int, optional
        How often its open-ended part is worked; 0 when that is not known.
    """
    match node:
        case Work():
            return _stitches(node.act, node.times, table)
        case Sequence():
            return ", ".join(told for item in node.items if (told := described(item, table, fill)))
        case Repeat():
            return _times(node.item, node.times, table, fill)
        case Fill():
            if isinstance(node.item, Work) and node.item.times == 1:
                one = _stitches(node.item.act, 1, table)
                return f"{one} in each st" if node.item.act == Act("sc", 1, 1) else f"{one} to the end"
            inner = described(node.item, table)
            often = f" ({fill} times)" if fill else ""
            return f"({inner}) to the end{often}"
        case Choice():
            return described(node.options[0][2], table, fill)


def _times(item: Node, times: int, table: Words, fill: int) -> str:
    if isinstance(item, Work) and item.times == 1:
        return _stitches(item.act, times, table)
    while isinstance(item, Sequence) and len(item.items) == 1:
        item = item.items[0]
    inner = described(item, table, fill)
    if times == 1:
        return inner
    return f"{inner} x {times}" if inner.startswith("(") and inner.endswith(")") else f"({inner}) x {times}"


def _stitches(act: Act, times: int, table: Words) -> str:
    if act.stitch in _SILENT or (act.stitch == "chain" and act.makes == 0):
        return ""
    number = f"{times} " if times != 1 else ""
    name = table[act.stitch].short if act.stitch in table.word else act.stitch
    if act.stitch == "skip":
        return f"{name} {times}"
    match act.uses, act.makes:
        case 1, 2:
            inc = table["inc"].short
            return f"{number}{inc}" if act.stitch == "sc" else f"{number}{name} {inc}"
        case 2, 1:
            dec = table["dec"].short
            return f"{number}{dec}" if act.stitch == "sc" else f"{number}{name} {dec}"
        case 1, makes if makes > 2:
            return f"{number}({makes} {name} in one)"
        case uses, 1 if uses > 2:
            return f"{number}({uses} {name} together)"
    return f"{number}{name}"
