"""The cards of the oval shapes: every size is an arrow as long as it is."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.text import Annotation

from viz.oval_cards import OVALS, draw_oval


@pytest.mark.parametrize("name", OVALS)
def test_arrows_of_ovals_are_as_long_as_their_sizes(name: str) -> None:
    """Along the chain in every view; upward the height from the front, the width from above."""
    shape = OVALS[name]
    for ax, (_, upward) in zip(draw_oval(name), shape.views.values(), strict=True):
        arrows = [text for text in ax.texts if isinstance(text, Annotation)]
        lengths = [float(np.ptp([arrow.xy, arrow.xyann], axis=0).max()) for arrow in arrows]
        wanted = [shape.surface.length, getattr(shape.surface, upward)]
        assert lengths == pytest.approx(wanted, rel=2e-3)
