"""What a maker is told: where, why, and what to do about it, and nothing where there is nothing to tell."""

import numpy as np
import pytest

from solver.advice.notes import assumption_notes, firm_rounds, fit_notes, ruffle_notes, unsupported_notes
from solver.form.rings import RingFabric, ring_form
from solver.search.making import Making
from solver.search.membrane import Unsupported
from solver.search.round_counts import Fit, fit
from solver.wanted.outline import Outline
from solver.wanted.silhouette import Deviation, deviation
from tests.outlines import ball

W, H = 5.0, 5.0

DRAWING = Outline(np.array([[20.0, 100.0], [30.0, 140.0], [20.0, 180.0]]))
"""Drawn from 100 mm up: heights are told from its foot."""


def fitted(width: float) -> tuple[Fit, Deviation]:
    """Return a fitted ball and its deviation."""
    wanted = ball(width)
    found = fit(wanted, Making(stitch_width=W, row_height=H, pressure=1.2e-3))
    return found, deviation(found.form.points, wanted)


def notes_of(found: Fit, off: Deviation, *, height: float) -> list[str]:
    """Return the notes on a fit."""
    told = fit_notes(
        found.misfit_rows,
        scale=found.scale_to_fit,
        rounds=len(found.counts),
        rms=off.rms,
        stitch_width=W,
        height=height,
    )
    return list(told)


@pytest.mark.parametrize(
    ("kind", "where", "why", "remedy"),
    [
        ("hoop", "from 30 mm to 50 mm of its height", "fabric only pulls", "Stuff it less"),
        ("flat", "from 30 mm to 50 mm of the height", "pushes a flat end out into a dome", "stiff disc"),
        ("corner", "from 30 mm to 50 mm of the height", "no sharp edges", "back loops only"),
    ],
)
def test_what_stuffing_cannot_hold(kind: str, where: str, why: str, remedy: str) -> None:
    """What stuffing can't hold is told with its heights above the foot, the reason and a remedy."""
    zones = (Unsupported(kind, 130.0, 150.0),)
    (note,) = unsupported_notes(zones, DRAWING, row_height=H)
    for words in (where, why, remedy):
        assert words in note


def test_one_height_is_told_once() -> None:
    """A place that is no higher than it can be told by is told as one height."""
    (note,) = unsupported_notes((Unsupported("corner", 140.0, 140.01),), DRAWING, row_height=H)
    assert "The corner at 40 mm of the height" in note


@pytest.mark.parametrize(("corner", "notes"), [(149.0, 1), (165.0, 2)])
def test_corner_of_a_flat_end(corner: float, notes: int) -> None:
    """The corner round a flat end is part of its note; another corner has its own."""
    zones = (Unsupported("flat", 145.0, 145.5), Unsupported("corner", corner, corner + 0.5))
    assert len(list(unsupported_notes(zones, DRAWING, row_height=H))) == notes


def test_nothing_to_tell() -> None:
    """A ball that its rounds fit has no note on its fit, its ruffles or its outline."""
    found, off = fitted(67.0)
    assert abs(found.misfit_rows) < 0.1
    assert list(notes_of(found, off, height=67.0)) == []
    counts = found.counts.tolist()
    assert list(ruffle_notes(found.form.course_stretch, counts, first=2, last=len(counts) - 1)) == []
    assert list(unsupported_notes(found.rest.unsupported, ball(67.0), row_height=H)) == []


@pytest.mark.parametrize("width", [65.0, 69.0])
def test_misfit_is_told_with_its_way_out(width: float) -> None:
    """Rounds too many or too few are told with the height that would need them."""
    found, off = fitted(width)
    (note,) = notes_of(found, off, height=width)
    assert note == f"{found.scale_to_fit * width:.0f} mm high would fit {len(found.counts)} rounds exactly."


def test_poor_fit_is_told() -> None:
    """A form that lies further away than whole stitches explain is told, in millimetres."""
    found, off = fitted(67.0)
    poor = Deviation(rms=0.34 * W, greatest=4.0, height=1.0, width=1.0, place=off.place, raised=off.raised)
    (note,) = notes_of(found, poor, height=67.0)
    assert "lies 1.7 mm from the drawing" in note
    assert list(notes_of(found, off, height=67.0)) == []


def test_slack_rounds_are_told_with_their_stitches() -> None:
    """A round with stitches to spare is told by number, with how many are too many; the ends are let off."""
    counts = [6, 12, 18, 24, 30, 36, 36, 36, 46, 36, 36, 36, 30, 24, 18, 12, 6]
    form = ring_form(RingFabric.from_counts(counts, stitch_width=W, row_height=H), pressure=1.2e-3)
    slack = -form.course_stretch[9] * 46
    told = list(ruffle_notes(form.course_stretch, counts, first=2, last=len(counts) - 1))
    assert f"Expect a ruffle in round 9: about {round(slack)} stitches too many." in told
    assert slack == pytest.approx(46 - 2 * np.pi * form.radius[9] / W, abs=1e-9)
    assert not any(
        note.startswith("Round 9 ") for note in ruffle_notes(form.course_stretch, counts, first=10, last=12)
    )


def test_one_stitch_too_many() -> None:
    """A single stitch too many is told in the singular."""
    stretch = np.array([0.0, 0.0, -0.15, 0.0])
    assert list(ruffle_notes(stretch, [6, 9, 6], first=1, last=3)) == [
        "Expect a ruffle in round 2: about 1 stitch too many."
    ]
    stretch[2] = -0.099
    assert list(ruffle_notes(stretch, [6, 9, 6], first=1, last=3)) == []


def test_several_ruffles_share_a_line() -> None:
    """Two slack rounds are told in one line, with the least and the most that they have too many."""
    stretch = np.array([0.0, -0.2, -0.1, -0.15, 0.0])
    told = "Expect a little ruffle in rounds 1 and 3: 2 to 3 stitches too many."
    assert list(ruffle_notes(stretch, [10, 12, 20, 9], first=1, last=4)) == [told]


def test_a_ring_and_a_cinch_draw_their_rounds_together() -> None:
    """6, 12, 18 at either end is what every recipe has (common practice, no source); more shows."""
    ball = [6, 12, 18, 24, 30, 30, 24, 18, 12, 6]
    tight = np.zeros(12)
    assert firm_rounds(ball, tight, ring=True, cinched=True) == (6, 5)
    assert firm_rounds(ball, tight, ring=False, cinched=False) == (2, 10)
    assert firm_rounds([8, 16, 24, 24], tight, ring=True, cinched=False) == (2, 4)
    assert firm_rounds([6, 12, 20, 24], tight, ring=True, cinched=False) == (3, 4)
    assert firm_rounds([6, 12, 12, 12, 12, 6], tight, ring=True, cinched=True) == (3, 3)
    slack = np.full(12, -0.17)  # rows lower than 0.8 stitch widths
    assert firm_rounds(ball, slack, ring=True, cinched=True) == (4, 7)


def test_assumptions() -> None:
    """What the form rests on is told: yarn and hands, the closing, and what holds an open edge."""
    usual = list(assumption_notes(measured=False, closing=3.0, edge=""))
    assert "work one ball, measure it" in usual[0]
    assert "0.6 of a round's height (3.0 mm)" in usual[1]
    assert len(usual) == 2
    measured = list(assumption_notes(measured=True, closing=0.0, edge="held"))
    assert "work one ball" not in measured[0]
    assert 'edge = "held"' in measured[1]
    (_, free) = assumption_notes(measured=True, closing=0.0, edge="free")
    assert 'edge = "free"' in free
