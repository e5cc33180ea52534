"""Sets of pages by hands that never saw the reader stay read; all of them in tests/bench/proof_pages."""

from __future__ import annotations

from tests.bench.proof_pages import Score, score
from tests.notation.corpus import BLIND, pages_of


def test_blind_sets_stay_read() -> None:
    """Counts, mistakes and clean lines of every twelfth page, over all the sets."""
    total = Score()
    for page in [page for name in BLIND for page in pages_of(name)][::12]:
        total += score(page)
    assert total.lines > 600
    assert total.right >= 0.99 * total.lines
    assert total.named >= 0.97 * total.mistakes
    assert total.accused <= 0.01 * total.clean
