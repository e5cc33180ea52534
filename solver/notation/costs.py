"""What it costs a reading not to come out."""

from __future__ import annotations

#: What a misfit costs: more than any doubtful wording.
MISFIT = 10.0
#: What a repeat cut short at the end of the round costs.
CUT_SHORT = 3.0


def misfit(uses_ok: bool, count_ok: bool) -> float:
    """Return what a line costs that does not fit; one slip often spoils both sums."""
    return (MISFIT if not (uses_ok and count_ok) else 0.0) + (1.0 if not uses_ok and not count_ok else 0.0)
