"""Ovals tuned to a size: the solved form hits it; what moves it is what another solve says."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solver.errors import InputError
from solver.form.stitches import TOLERANCE
from solver.partfile import OvalPart, read
from solver.solving.kinds import kind_of
from solver.solving.solved import Solved, solve
from solver.tuning.keep import By, refined_with, sensitivity
from solver.tuning.scale import scaled_to, size_of

KINDS = {
    "float": ("thickness = 3", 'kind = "oval"\nlength = 62\nwidth = 44\nheight = 42', 'finish = "seamed"'),
    "snout": ("", 'kind = "oval"\nlength = 58\nwidth = 40\nheight = 20', 'finish = "open"\nedge = "held"'),
    "punt": (
        "",
        'kind = "oval"\nlength = 70\nwidth = 36\nheight = 30\nbase = "flat"',
        'finish = "seamed"\nsole = "stiff"',
    ),
    "mat": ("", 'kind = "flat oval"\nlength = 88\nwidth = 46', ""),
}
"""Gauge, shape and work; invented, no sample among them."""


def part(name: str, work: str = "") -> OvalPart:
    """Return one of the parts, firm, at 20 x 21 over 10 cm."""
    gauge, shape, usual = KINDS[name]
    stuffing = "" if name == "mat" else "[stuffing]\nstretch = 0.05\n"
    text = (
        f"[gauge]\nstitches = 20\nrows = 21\n{gauge}\n{stuffing}[shape]\n{shape}\n"
        f'[work]\nstart = "chain"\n{usual}\n{work}\n'
    )
    found = read(text, file=name, title=name)
    assert isinstance(found, OvalPart)
    return found


@pytest.fixture(scope="module")
def solved() -> dict[str, Solved]:
    """Return the parts as drawn, solved."""
    return {name: solve(part(name)) for name in KINDS}


@pytest.mark.parametrize(
    ("name", "measure", "factor"),
    [
        ("float", "length", 1.25),
        ("snout", "width", 0.85),
        ("punt", "height", 0.9),
        ("mat", "girth", 1.4),
    ],
)
def test_scaled_to_a_size(name: str, measure: str, factor: float) -> None:
    """The form lies within 1 % of the target or half of what one stitch or round more is worth."""
    wanted = part(name)
    target = factor * getattr(kind_of(wanted).wanted(wanted), measure)
    got = scaled_to(wanted, measure=measure, target=target)
    step = {"length": 5, "width": 5, "height": 100 / 21, "girth": 10}[measure]
    assert abs(size_of(got, measure) - target) <= max(0.01 * target, step / 2)
    assert got.form.residual <= TOLERANCE
    assert not any("comes out" in note and "asked for" in note for note in got.notes)
    # the whole drawing was scaled, not one size of it
    shares = [getattr(got.part.wanted, size) / getattr(wanted.wanted, size) for size in ("length", "width")]
    assert_allclose(shares, shares[0])


def test_a_misfit_is_corrected() -> None:
    """Where the first drawing misses, others are tried, and the nearest is given; the work done is told."""
    wanted = part("snout")
    target = 0.9 * wanted.wanted.height
    first = solve(replace(wanted, wanted=wanted.wanted.scaled(0.9)))
    shares: list[float] = []
    got = scaled_to(wanted, measure="height", target=target, progress=shares.append)
    assert abs(got.got.height - target) < 0.7 * abs(first.got.height - target)
    assert shares == sorted(shares)
    assert 0.5 < shares[-1] <= 1


def test_a_given_chain_is_left_out() -> None:
    """A scaled drawing gets its own chain, and a note says so; a size out of its reach is told."""
    wanted = part("mat", "chain = 11")
    got = scaled_to(wanted, measure="length", target=150.0)
    assert got.piece.foundation > 11
    assert any("chain of 11" in note for note in got.notes)
    small = scaled_to(part("snout"), measure="volume", target=7.0)
    missed = size_of(small, "volume") - 7.0
    assert abs(missed) > 0.07
    assert f"comes out {abs(missed):.1f} ml {'over' if missed > 0 else 'under'}" in small.notes[-1]


def test_a_multiple_is_kept() -> None:
    """A scaled drawing's ends are multiples as the part file asks."""
    got = scaled_to(part("snout", "multiple = 2"), measure="length", target=70.0)
    assert not any((count // 2 - got.piece.side) % 2 for count in got.piece.counts)
    assert abs(size_of(got, "length") - 70) <= 5 / 2


@pytest.mark.parametrize("name", KINDS)
def test_by_gauge_keeps_the_rounds(name: str, solved: dict[str, Solved]) -> None:
    """The same rounds at the told gauge have the size, as has a form solved from nothing at that gauge."""
    drawn = solved[name]
    target = 1.4 * size_of(drawn, "length")
    tuned = refined_with(drawn, measure="length", target=target, by=By.GAUGE)
    assert tuned.piece == drawn.piece
    assert size_of(tuned, "length") == pytest.approx(target, rel=1e-3)
    anew = solve(tuned.part)
    assert anew.piece == drawn.piece
    assert_allclose(
        [getattr(tuned.got, size) for size in ("length", "width", "girth", "volume")],
        [getattr(anew.got, size) for size in ("length", "width", "girth", "volume")],
        rtol=2e-3,
    )
    assert tuned.as_dict().keys() == anew.as_dict().keys()
    # its notes are those of a part solved at that gauge, but for how the rounds were found
    found = ("Chain ", "Plain rounds", "It is as")
    kept = [note for note in tuned.notes if not note.startswith(found)]
    assert kept == [note for note in anew.notes if not note.startswith(found)]


def test_by_firmness(solved: dict[str, Solved]) -> None:
    """The same rounds stuffed as told have the size, and say so; no stuffing makes a part a metre long."""
    drawn = solved["snout"]
    target = 1.02 * size_of(drawn, "length")
    tuned = refined_with(drawn, measure="length", target=target, by=By.FIRMNESS)
    assert tuned.piece == drawn.piece
    assert size_of(tuned, "length") == pytest.approx(target, abs=0.05)
    assert tuned.part.stuffing.stretch > drawn.part.stuffing.stretch
    told = [note for note in tuned.notes if "it stretches the fabric" in note]
    assert told == [
        f"Stuffing tuned to the size: it stretches the fabric by {tuned.part.stuffing.stretch:.1%}."
    ]
    with pytest.raises(InputError, match="stuffing alone makes the length"):
        refined_with(drawn, measure="length", target=1000.0, by=By.FIRMNESS)
    with pytest.raises(InputError, match="not stuffed"):
        refined_with(solved["mat"], measure="length", target=90.0, by=By.FIRMNESS)


def test_sensitivities(solved: dict[str, Solved]) -> None:
    """1 % more of stitch width and row height: of a flat piece, chain and rounds; of a free one, all."""
    flat = solved["mat"]
    moved = sensitivity(flat, "length")
    chain, h = flat.piece.foundation - 2, flat.part.gauge.row_height
    assert moved.stitch_width == pytest.approx(0.01 * chain * 5.0)
    assert moved.row_height == pytest.approx(0.01 * (flat.got.length - chain * 5.0))
    assert moved.row_height > 0.01 * h
    assert moved.stretch == 0
    free = solved["float"]
    moved = sensitivity(free, "length")
    # the stuffing's p/k stays here, and on a larger part it stretches by a little more
    assert moved.stitch_width + moved.row_height == pytest.approx(0.01 * free.form.length, rel=0.1)
    assert moved.stretch > 0


def test_what_holds_a_part_keeps_holding_it(solved: dict[str, Solved]) -> None:
    """Solved again with nothing changed, a part with a sole or a held edge keeps its form."""
    for name in ("snout", "punt"):
        again = solved[name].kind.formed(solved[name].part, solved[name].piece, near=solved[name])
        assert np.abs(again.points - solved[name].form.points).max() < 0.1
