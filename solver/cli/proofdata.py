"""A proof-read page as data (JSON)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from solver.notation.author import Remark
    from solver.notation.proof import Proof


def as_dict(found: Proof, remarks: tuple[Remark, ...] = ()) -> dict[str, Any]:
    """Return a proof-read page as plain data, with an editor's remarks where there are any."""
    told: dict[str, Any] = {
        "terms": found.terms,
        "terms_declared": found.declared,
        "language": found.language,
        "parts": list(found.parts),
        "lines": [line.as_dict() for line in found.lines],
        "rounds": list(_round_dicts(found)),
    }
    if remarks:
        told["author"] = [
            {"kind": one.kind.value, "line": one.line, "message": one.message} for one in remarks
        ]
    return told


def _round_dicts(found: Proof) -> Iterator[dict[str, Any]]:
    from solver.notation.coloured import colored_text
    from solver.notation.convert import round_of
    from solver.notation.words import words
    from solver.notation.writer import round_text
    from solver.rounds import Round

    table = words(found.terms or "US")
    for line in found.lines:
        for i, acts in enumerate(line.stitches):
            one = round_of(acts)
            names = line.colours[i] if line.colours else ()
            text = line.reading
            if isinstance(one, Round) and len(set(names)) > 1:
                text = colored_text(one, names, table)
            elif isinstance(one, Round):
                text = round_text(one, table)
            yield {
                "part": line.part,
                "number": line.rounds[i] if i < len(line.rounds) else None,
                "count": line.counts[i],
                "text": text,
                "increases": sum(max(act.makes - max(act.uses, 1), 0) for act in acts),
                "decreases": sum(max(act.uses - max(act.makes, 1), 0) for act in acts),
                **({"colours": list(names)} if line.colours else {}),
                "stitches": [_name(act.stitch, act.uses, act.makes) for act in acts if act.uses or act.makes],
            }


def _name(stitch: str, uses: int, makes: int) -> str:
    if (uses, makes) in ((1, 1), (0, 1), (1, 0)):
        return stitch
    shaping = f"inc{makes if makes > 2 else ''}" if makes > uses else f"dec{uses if uses > 2 else ''}"
    return shaping if stitch == "sc" else f"{stitch} {shaping}"
