"""Parts to draw: invented ones, of sizes that can be told without our own code."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.axis import Axis, Tick
from matplotlib.figure import Figure
from matplotlib.text import Text

from solver.form.fabric import StitchFabric, lofted, stitch_fabric
from solver.rounds import Finish, Piece, Round, Start, Stitch

Part = tuple[StitchFabric, np.ndarray]


def shaped(before: int, count: int) -> Round:
    """Return a round that turns `before` stitches into `count`, its shaping spread evenly."""
    stitches = [Stitch.SC] * min(before, count)
    for k in range(abs(count - before)):
        place = int((k + 0.5) * len(stitches) / abs(count - before))
        stitches[place] = Stitch.INC if count > before else Stitch.DEC
    return Round(tuple(stitches))


def worked(counts: list[int], *, start: Start, finish: Finish, **loft: np.ndarray) -> Part:
    """Return rounds of these counts, an open start being a ring of the first."""
    open_start = start is Start.OPEN
    first = [] if open_start else [Round.plain(counts[0])]
    rounds = (*first, *(shaped(a, b) for a, b in pairwise(counts)))
    piece = Piece(start, counts[0] if open_start else 0, rounds, finish)
    fabric = stitch_fabric(piece, stitch_width=5.0, row_height=5.0)
    return fabric, lofted(fabric, **loft)


@pytest.fixture(scope="session")
def ball() -> Callable[..., Part]:
    """Return a maker of closed balls: rounds at even angles on a sphere."""

    def make(diameter: float, rounds: int, width: float = 5.0) -> Part:
        angle = np.pi * np.arange(rounds + 2) / (rounds + 1)
        radius, height = diameter / 2 * np.sin(angle), diameter / 2 * (1 - np.cos(angle))
        counts = [max(6, round(2 * np.pi * r / width)) for r in radius[1:-1]]
        counts[0] = min(counts[0], 8)
        for i in range(1, len(counts)):
            counts[i] = min(max(counts[i], -(-counts[i - 1] // 2)), 2 * counts[i - 1])
        return worked(counts, start=Start.RING, finish=Finish.CINCHED, radius=radius, height=height)

    return make


@pytest.fixture(scope="session")
def tube() -> Callable[..., Part]:
    """Return a maker of tubes that are open at both ends."""

    def make(diameter: float, height: float, rounds: int, count: int) -> Part:
        rings = rounds + 1
        return worked(
            [count] * rings,
            start=Start.OPEN,
            finish=Finish.OPEN,
            radius=np.full(rings, diameter / 2),
            height=np.linspace(0, height, rings),
        )

    return make


def words_of(artist: Artist) -> Iterator[Text]:
    """Yield every text below an artist that is drawn."""
    if not artist.get_visible():
        return
    if isinstance(artist, Text) and artist.get_text().strip():
        yield artist
    for child in artist.get_children():
        if isinstance(artist, Axes) and not artist.axison and isinstance(child, Axis):
            continue
        if isinstance(child, Tick) and not in_view(child, artist):
            continue
        yield from words_of(child)


def in_view(tick: Tick, axis: Artist) -> bool:
    """Tell whether a tick lies within the limits of its axis."""
    low, high = sorted(axis.get_view_interval())
    return low <= tick.get_loc() <= high


@pytest.fixture
def assert_readable() -> Callable[[Figure], None]:
    """Return a check that no words overlap, none leaves the page, and none is smaller than 11 points."""

    def check(figure: Figure) -> None:
        figure.draw_without_rendering()
        texts = list(words_of(figure))
        told = [(text.get_text(), Text.get_window_extent(text)) for text in texts]
        page = figure.bbox
        for i, (words, box) in enumerate(told):
            assert page.x0 <= box.x0 <= box.x1 <= page.x1, f"{words!r} leaves the page"
            assert page.y0 <= box.y0 <= box.y1 <= page.y1, f"{words!r} leaves the page"
            for others, other in told[i + 1 :]:
                assert not box.overlaps(other), f"{words!r} overlaps {others!r}"
        assert min(text.get_fontsize() for text in texts) >= 11

    return check
