"""Parts tuned to a size: the solved form hits it."""

import pytest

from solver.partfile import read
from solver.solution import solve
from solver.tuning import form_size, refined_with, scaled_to, sensitivity, size_of

PARTS = {
    "float": 'kind = "egg"\nheight = 60\nwidth = 45',
    "mark": 'kind = "drop"\nheight = 64\nwidth = 44',
    "post": 'kind = "outline"\npoints = [[0, 0], [20, 6], [26, 24], [17, 44], [24, 62], [0, 76]]',
}
"""Parts that no sample is (invented)."""


def part(name: str):
    """One of the parts, at 20 stitches to 10 cm."""
    return read(f"[gauge]\nstitches = 20\nrows = 20\n[shape]\n{PARTS[name]}\n", file=name, title=name)


@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize(("measure", "factor"), [("height", 1.3), ("width", 0.8)])
def test_scaled_to_a_size(name: str, measure: str, factor: float) -> None:
    """The form of the scaled drawing lies within 1 % or half a row of the target."""
    wanted = part(name)
    target = factor * getattr(wanted.outline, measure)
    got = size_of(scaled_to(wanted, measure=measure, target=target), measure)
    assert abs(got - target) <= max(0.01 * target, 2.5)


def test_by_gauge_and_by_firmness_keep_the_rounds() -> None:
    """The same rounds at the told gauge, or stuffed as told, have the size; solved, not scaled."""
    drawn = solve(part("float"))
    for by, factor in (("gauge", 1.4), ("firmness", 1.02)):
        target = factor * size_of(drawn, "height")
        got = refined_with(drawn, measure="height", target=target, by=by)
        assert got.piece == drawn.piece
        assert size_of(got, "height") == pytest.approx(target, rel=1e-4)
        assert form_size(got.part, got.form, "height") == pytest.approx(target, rel=1e-4)


def test_sensitivities() -> None:
    """1 % more of stitch width and row height together make a part 1 % larger, stuffed as firmly."""
    drawn = solve(part("mark"))
    moved = sensitivity(drawn, "height")
    # the stuffing's p/k stays here, and on a larger part it stretches by a little more
    assert moved.stitch_width + moved.row_height == pytest.approx(0.01 * drawn.form.size, rel=0.1)
    assert moved.stretch > 0
