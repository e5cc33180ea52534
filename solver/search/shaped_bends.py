"""Bends by increases on one side and as many decreases on the other: every round keeps its count.

Where they stay at their places round after round, as the rounds begin in their midst, they move the part
aside and do not tilt it: a step, which a spine has between two opposite bends. Where the rounds begin at the
side, each round's stand half their number of stitches further on round the part, and tilt it by about

    one degree for each increase,                                                                          (1)

towards the increases. Both are laws of forms that were solved (12 to 30 stitches, 3 to 14 rounds); each set
of rounds is judged by its own form.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np

from solver.rounds import Stitch
from solver.search.bent_plan import Pattern, Straight, Turn
from solver.wanted.swept import Bend

REACH, FEWEST, BY_STITCH = 12.0, 12, 3.0
"""Greatest tilt, beyond which the middle line strays; the stitches of a round that hardly tilts, and what
each stitch more gives. [degrees]"""

MOST = 26
"""Stitches of a round from which the part moves aside too far while it tilts."""

STEEPEST = 25.0
"""Greatest slope of a step against the part before and after it. [degrees]"""

TURNED = 0.75
"""Increases of a bend over the stitches of a round, from which it leans to all sides."""

ASIDE, AT_FIRST = {2: 0.36, 4: 0.47}, {2: 0.2, 4: 0.4}
"""Stitch widths by which a round with so many increases moves the next, and the first one more."""

OPPOSITE = 3.0
"""Degrees by which two bends that make a step may differ."""

LIKELIEST = 12
"""Ways that are worth solving."""


def is_step(bends: Sequence[Bend]) -> bool:
    """Whether bends move a part aside and leave its end as upright as its start."""
    if len(bends) != 2:
        return False
    return bool(abs(np.degrees(bends[0].angle + bends[1].angle)) <= OPPOSITE)


def shaped_reach(bends: Sequence[Bend], *, count: int) -> float:
    """Return the greatest angle that increases and decreases give such bends; 0 for several. [degrees]

    Parameters
    ----------
    bends : sequence of Bend
    count : int
        Stitches of the rounds there.
    """
    if is_step(bends):
        return STEEPEST
    most = REACH * min(1.0, (MOST / count) ** 2)
    return float(np.clip(BY_STITCH * (count - FEWEST), 0.0, most)) if len(bends) == 1 else 0.0


def shaped_turns(straight: Straight, bends: Sequence[Bend], share: float = 1.0) -> list[tuple[Turn, ...]]:
    """Return ways to work the bends by increases and decreases, the likeliest first.

    Parameters
    ----------
    straight : Straight
    bends : sequence of Bend
        One, or two that make a step.
    share : float
        The part of (1) that solved forms came to.
    """
    step = is_step(bends)
    middle = (bends[0].middle + bends[-1].middle) / 2
    n, row = straight.count_at(middle), straight.row_at(middle)
    angle = abs(float(np.degrees(bends[0].angle)))
    found: list[tuple[float, Turn]] = []
    for shaped, rounds in product(range(2, n // 4 + 1), range(2, 25)):
        if step:
            if shaped not in ASIDE:
                continue
            aside = np.sin(abs(bends[0].angle)) * (bends[1].middle - bends[0].middle)
            given = (AT_FIRST[shaped] + ASIDE[shaped] * rounds) * straight.stitch_width
            off = (given - aside) / straight.stitch_width / 0.5
            long = (rounds * row - (bends[1].middle - bends[0].middle)) / straight.stitch_width / 4
        else:
            if shaped * rounds > TURNED * n:
                continue
            off = (share * shaped * rounds - angle) / 2.5  # (1)
            long = (rounds * row - bends[0].over) / straight.stitch_width / 8
        first = int(np.argmin(np.abs(straight.at - (middle - rounds * row / 2))))
        if first < 1 or first + rounds >= len(straight.at):
            continue
        if len(set(straight.counts[first - 1 : first + rounds])) > 1:
            off += 1.0
        early = shaped // 2 if step else 0
        pattern = Pattern(n, 0, 0, Stitch.HDC, shaped=shaped, early=early)
        found.append((float(off**2 + long**2), Turn(first, first + rounds, rounds, pattern)))
    return [(turn,) for _, turn in sorted(found, key=lambda each: each[0])[:LIKELIEST]]
