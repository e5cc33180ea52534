"""The two laws of what stuffing lets an oval be, measured on the built model."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solver.form.descent import Supports
from solver.form.stitches import StitchForm, stitch_form
from solver.rounds import Finish
from solver.search.oval_limits import (
    CINCHED_SIDE,
    cinch_limit,
    kept,
    rim_limit,
    seam_limit,
    side_limit,
    tie_lengths,
    tie_note,
    ties,
)
from solver.search.oval_plan import OvalMaking, Plan
from solver.search.oval_search import fit_oval
from solver.search.oval_trial import middle_sizes, tried, waist
from solver.wanted.stadium import Stadium, domed, seamed, soled_open

WIDTH, HEIGHT, STRETCH = 5.0, 4.55, 0.05


def making(radius: float, **how: object) -> OvalMaking:
    """Return how a firmly stuffed part of that radius is made at this gauge."""
    pressure = 2 * STRETCH / (1 + STRETCH) / radius
    return OvalMaking(
        stitch_width=WIDTH,
        row_height=HEIGHT,
        stretch=STRETCH,
        pressure=pressure,
        **{"finish": Finish.SEAMED, **how},
    )


def middle_ratio(side: int, widest: int, rounds: int) -> float:
    """Return width over height across the middle of a seamed part."""
    wanted = seamed(length=140, width=40, height=40)
    form = tried(wanted, making(widest * WIDTH / np.pi), Plan(side, widest, rounds)).form
    across, up = middle_sizes(form)
    return across / up


@pytest.mark.parametrize("rounds", [12, 16, 20])
def test_law_s_width_equals_height_where_the_rows_go_round(rounds: int) -> None:
    """A seamed part is as wide as high across its middle where (c - 1) w = N h, within 6 %."""
    law = 1 + rounds * HEIGHT / WIDTH
    widest = np.arange(round(law) - 3, round(law) + 4)
    ratio = [middle_ratio(8, each, rounds) for each in widest.tolist()]
    crossing = np.interp(1.0, ratio, widest)
    assert_allclose((crossing - 1) * WIDTH, rounds * HEIGHT, rtol=0.06)


def test_law_s_long_parts_are_round_across_the_middle_whatever_their_counts() -> None:
    """Across the middle of a long seamed part width and height are alike, whatever its widest ends have."""
    assert_allclose([middle_ratio(20, widest, 12) for widest in (10, 12, 14)], 1, atol=0.03)


def test_law_o_a_free_edge_forgets_its_oval() -> None:
    """At a free edge L - W is exp(-0.7 (H/R)^2.2) of the chain, to 0.1 (root mean square over heights)."""
    off = []
    for side, widest in ((6, 10), (10, 14)):
        for rounds in (5, 8, 11, 14):
            radius = widest * WIDTH / np.pi
            high = max(rounds * HEIGHT - radius * (np.pi / 2 - 1), 0.8 * radius)
            wanted = domed(length=2 * radius + side * WIDTH, width=2 * radius, height=high)
            how = making((side + widest) * WIDTH / np.pi, finish=Finish.OPEN, held=False)
            form = tried(wanted, how, Plan(side, widest, rounds)).form
            edge, chain = form.rings[-1], form.rings[0]
            perimeter = np.linalg.norm(edge - np.roll(edge, 1, axis=0), axis=1).sum()
            share = (np.ptp(edge[:, 0]) - np.ptp(edge[:, 1])) / np.ptp(chain[:, 0])
            off.append(share - kept(height=form.height, perimeter=perimeter))
    assert np.sqrt(np.mean(np.square(off))) < 0.1


@pytest.mark.parametrize("width", [30, 45])
def test_law_c_a_part_with_short_sides_keeps_its_sizes_when_drawn_to_a_point(width: float) -> None:
    """Up to the limit that is told, the search meets all sizes; nothing is told then."""
    wanted = seamed(length=(1 + CINCHED_SIDE) * width, width=width, height=width)
    assert cinch_limit(wanted) is None
    assert fit_oval(wanted, making(width / 2, finish=Finish.CINCHED)).best.met


def test_law_c_a_long_part_drawn_to_a_point_is_pulled_in() -> None:
    """At twice its width long, no plan keeps the length; the nearest form is told, and the flat seam."""
    wanted = seamed(length=60, width=30, height=30)
    best = fit_oval(wanted, making(15.0, finish=Finish.CINCHED)).best
    assert best.form.length < wanted.length - WIDTH / 2
    assert best.form.width > 1.1 * wanted.width
    limit = cinch_limit(wanted)
    assert limit is not None
    assert "40 mm long, 30 mm wide and 30 mm high" in limit.note
    assert 'finish = "seamed"' in limit.note


@pytest.mark.parametrize(
    ("wanted", "sole"),
    [
        (domed(length=125, width=50, height=40), 0.0),
        (domed(length=100, width=40, height=40), 0.0),
        (soled_open(length=100, width=50, height=35), 12.5),
    ],
)
def test_law_a_open_sides_bulge_to_an_arc(wanted: Stadium, sole: float) -> None:
    """Aimed upright, sizes are missed; aimed at the nearest form that is told, all are met."""
    how = making(wanted.width / 2, finish=Finish.OPEN, sole=sole)
    upright = fit_oval(wanted, how).best
    assert not upright.met
    assert upright.form.width > 1.05 * wanted.width
    limit = side_limit(wanted)
    assert limit is not None
    assert limit.nearest is not None
    assert_allclose(limit.nearest.height, wanted.height)
    assert_allclose(limit.nearest.base, wanted.base)
    assert_allclose(limit.nearest.profile[-1], wanted.profile[-1])
    assert fit_oval(limit.nearest, how).best.met


def test_law_a_is_not_told_of_low_or_short_parts() -> None:
    """Up to half the width high the sides need not stand; a short part is held by its ends."""
    assert side_limit(domed(length=125, width=50, height=25)) is None
    assert side_limit(domed(length=60, width=42, height=30)) is None


def hull() -> StitchForm:
    """Return the nearest form of a hull too flat for stuffing, 140 x 60 x 50 mm."""
    limit = seam_limit(seamed(length=140, width=60, height=50))
    assert limit is not None
    assert limit.nearest is not None
    best = fit_oval(limit.nearest, making(30.0)).best
    assert best.met
    assert waist(best.form) > 0.97
    return best.form


def test_too_flat_a_hull_is_told_with_the_nearest_form_and_remedies() -> None:
    """A hull 140 x 60 x 50 without a sole: the note has the law, the nearest form and remedies with sizes."""
    wanted = seamed(length=140, width=60, height=50)
    limit = seam_limit(wanted)
    assert limit is not None
    assert "as high as it is wide" in limit.note
    assert "140 mm long, 55 mm wide and 55 mm high" in limit.note
    # a chord of the circle of 60 mm, 50 mm high, is 44.7 mm wide
    assert "125 mm long and 45 mm wide" in limit.note
    form = hull()
    number, length = tie_lengths(wanted)
    tied = stitch_form(
        form.fabric,
        pressure=form.pressure,
        guess=form.points,
        supports=Supports(ties=ties(form.fabric.rings, number=number, length=length)),
    )
    assert tied.height < form.height - 0.5
    assert tied.width > form.width + 1
    note = tie_note(wanted, length=tied.length, width=tied.width, height=tied.height)
    assert "5 ties of 44 mm" in note


@pytest.mark.parametrize(
    ("length", "width", "height"), [(90, 45, 45), (110, 35, 35), (55, 50, 38), (60, 40, 44)]
)
def test_what_stuffing_holds_is_not_told_off(length: float, width: float, height: float) -> None:
    """Round or high seamed parts, and short flat ones, are within what stuffing holds."""
    assert seam_limit(seamed(length=length, width=width, height=height)) is None


def test_free_edge_is_told_before_solving() -> None:
    """A free edge 30 mm up is told to forget its oval; a low one and a nearly round one are not."""
    limit = rim_limit(domed(length=60, width=42, height=30))
    assert limit is not None
    assert "Sew the edge to something stiff" in limit.note
    assert rim_limit(domed(length=60, width=42, height=14)) is None
    assert rim_limit(domed(length=43, width=42, height=30)) is None
