"""Named sets of the one-letter classes of words (`lexicon.CLASS`), and what tells work from talk."""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq

from solver.notation.token import Token, shape

OPEN, CLOSE = "([{<", ")]}>"
#: Increases and decreases; as patterns: what names a stitch in a place, and which of them.
SHAPED = "id"
NOUN = "[tsc]"
WHICH = "[NLFR]"
#: Words of stitches.
STITCH = "sidltc"
#: What is worked, by whatever words: stitches, shaping, "even", "double each", groups, a ring.
WORKS = "sidEDGM"
#: Signs and words between instructions.
BETWEEN = ",;.:"
#: Finishing, markers and colours.
TALK = "ZKC"

CORE = re.compile(
    r"[idEDGM]|n\*?[scl](?!H)|s[npexXg]|[scl]a|s[NF]|kn|k[NpF]|nk|r(?:.{0,3})[an*]|n[p]|[st]D|eo?t?s?g|^s(?:[(\[]n|[.]?$|T)"
)
#: What tells that a line without stitches is a round all the same, or a remark: "BLO (18)", "grey (18)".
_TELLING = frozenset("sidltcEDGrMabCKZjuSgkwPVYX")


def core(found: Seq[Token]) -> bool:
    """Tell whether tokens hold something to work."""
    return bool(CORE.search(shape([token for token in found if token.cls not in "q"])))


def unknown(body: Seq[Token]) -> bool:
    """Tell whether instructions are words that nobody knows: a number among them is no stitch either."""
    classes = {token.cls for token in body}
    return "z" in classes and not classes & _TELLING


def mostly_known(classes: str) -> bool:
    """Tell a line of words that are known, most of them, from a story."""
    unknown = classes.count("z")
    known = sum(cls in "sidtlcnNeaprEM" for cls in classes)
    return unknown <= 2 or unknown * 1.5 <= known


def starts(found: Seq[Token]) -> bool:
    """Tell whether a line begins a part: in a ring, or in a chain counted from the hook."""
    classes = shape(found)
    return "M" in classes or ("c" in classes and "H" in classes)
