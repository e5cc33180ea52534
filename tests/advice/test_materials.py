"""Materials: arithmetic of what was measured, guesses told as guesses, colours."""

from pathlib import Path

import numpy as np
import pytest

from solver.advice.materials import materials
from solver.errors import InputError
from solver.painting.bands import of_rounds
from solver.partfile import read
from solver.rounds import Finish, Piece, Round, Start
from solver.solving.solved import solve
from solver.trade import hooks, likely_weight, makers, next_hook, yarn_weights
from solver.wanted.gauge import Gauge
from solver.wanted.supplies import Band, Supplies, Yarn

GAUGE = Gauge(stitch_width=5.0, row_height=5.0)
EXACT = 1e-12
TUBE = Piece(Start.OPEN, 20, tuple(Round.plain(20) for _ in range(10)), Finish.OPEN)
"""A tube of 10 rounds of 20 stitches on 20 chains (invented)."""
HEIGHTS = np.arange(11) * 5.0
PART = """
[gauge]
stitches = 20
rows = 20
[shape]
kind = "ball"
width = "{width} mm"
"""


def of_tube(supplies: Supplies, **changes: float):
    """Materials of the tube, stuffed to half a litre."""
    values = {"stretch": 0.02, "volume": 5e5, **changes}
    colours = [(name,) * 20 for name in of_rounds(supplies, HEIGHTS)]
    return materials(TUBE, supplies, gauge=GAUGE, colours=colours, height=50.0, **values)


def test_yarn_of_a_weighed_swatch() -> None:
    """A swatch of 400 stitches that weighs 8 g gives 0.02 g for each of 220 stitches and chains, no range."""
    got = of_tube(Supplies(yarn=Yarn(grams_per_stitch=8 / 400, metres_per_100g=250)))
    assert got.stitches == 220
    assert got.grams.value == pytest.approx(4.4, rel=EXACT)
    assert got.metres.value == pytest.approx(11.0, rel=EXACT)
    assert not got.grams.is_guess
    assert not got.metres.is_guess


def test_yarn_without_a_swatch_is_a_guess_per_area() -> None:
    """Without a swatch: 12.4 cm to the square cm (common practice, no source), more in smaller stitches."""
    got = of_tube(Supplies())
    area = 220 * 0.5 * 0.5
    bare = 12.4 * area / 100
    assert got.metres.is_guess
    assert got.grams.is_guess
    assert got.metres.least < bare < got.metres.most
    assert got.metres.value == pytest.approx(bare * 6.67 / 5.0, rel=EXACT)
    assert any("guess" in sentence for sentence in got.basis)
    assert sum("guess" in sentence for sentence in got.sentences()) >= 3


@pytest.mark.parametrize(("stretch", "grams"), [(0.003, 5.0), (0.03, 10.0)])
def test_stuffing(stretch: float, grams: float) -> None:
    """Half a litre takes 5 g when soft and 10 g when very firm (common practice, no source)."""
    got = of_tube(Supplies(), stretch=stretch).stuffing
    assert got.value == pytest.approx(grams, rel=EXACT)
    assert got.is_guess


def test_hours() -> None:
    """220 stitches take 220/1200 to 220/300 hours (common practice, no source)."""
    assert of_tube(Supplies()).hours == pytest.approx((220 / 1200, 220 / 300), rel=EXACT)


def test_colours_by_round_and_by_height() -> None:
    """Bands by number and by height share the rounds out; a later band goes first."""
    bands = (Band(colour="white", rounds=((1, 3), (9, 9))), Band(colour="red", low=40.0))
    got = of_tube(Supplies(main_colour="blue", bands=bands, yarn=Yarn(grams_per_stitch=0.02)))
    assert {part.colour: part.rounds for part in got.colours} == {
        "white": (1, 2, 3),
        "blue": (4, 5, 6, 7, 8),
        "red": (9, 10),
    }
    assert [part.stitches for part in got.colours] == [80, 100, 40]  # 20 chains are in the first colour
    assert sum(part.grams.value for part in got.colours) == pytest.approx(got.grams.value, rel=EXACT)
    assert {part.colour: part.grams.value for part in got.colours}["red"] == pytest.approx(0.8, rel=EXACT)
    assert any(line.startswith("In white are rounds 1-3, with 80 stitches") for line in got.sentences())
    assert not any("No round" in line for line in got.sentences())


def test_a_band_by_height_goes_by_the_middle_of_a_round() -> None:
    """Round 9 of the tube has its middle at 42.5 mm: that is the first height above, not the last below."""
    bands = (Band(colour="red", low=42.5), Band(colour="white", high=42.5))
    assert of_rounds(Supplies(bands=bands), HEIGHTS) == ("white",) * 8 + ("red",) * 2


def test_ranges_of_what_is_guessed() -> None:
    """Medium yarn has 130 to 200 m in 100 g (the table's figures): the widest of both."""
    both = of_tube(Supplies())
    assert both.grams.value == pytest.approx(both.metres.value / 1.65, rel=EXACT)
    assert both.grams.least == pytest.approx(both.metres.least / 2.0, rel=EXACT)
    assert both.grams.most == pytest.approx(both.metres.most / 1.3, rel=EXACT)
    weighed = of_tube(Supplies(yarn=Yarn(grams_per_stitch=0.02)))
    assert not weighed.grams.is_guess
    assert weighed.metres.least == pytest.approx(1.3 * 4.4, rel=EXACT)
    assert weighed.metres.value == pytest.approx(1.65 * 4.4, rel=EXACT)
    assert weighed.metres.most == pytest.approx(2.0 * 4.4, rel=EXACT)
    labelled = of_tube(Supplies(yarn=Yarn(metres_per_100g=250)))
    assert labelled.grams.is_guess
    assert labelled.grams.least == pytest.approx(labelled.metres.least / 2.5, rel=EXACT)


def test_what_else_is_told() -> None:
    """The least time stands first; tails are left out where there are some."""
    told = "\n".join(of_tube(Supplies()).sentences())
    assert "10 to 45 minutes" in told
    assert "Tails for sewing are not counted" in told
    closed = Piece(Start.RING, 0, (Round.plain(6),), Finish.CINCHED)
    got = materials(closed, Supplies(), gauge=GAUGE, stretch=0.02, volume=1e3)
    assert "Tails" not in "\n".join(got.sentences())


def test_a_guess_by_colour_is_told_as_one() -> None:
    """Without a swatch what a colour takes is a guess too, with its range; with one it is not."""
    band = (Band(colour="white", rounds=((1, 3),)),)
    (white,) = [line for line in of_tube(Supplies(bands=band)).sentences() if "In white" in line]
    assert white.count("about") == 1
    measured = Supplies(bands=band, yarn=Yarn(grams_per_stitch=0.02, metres_per_100g=200))
    assert [line for line in of_tube(measured).sentences() if "In white" in line] == [
        "In white are rounds 1-3, with 80 stitches, 3.2 m, 1.6 g of yarn."
    ]


def test_a_colour_of_no_round_is_told() -> None:
    """A band beyond the part, or one that a later band covers, is told by its colour, once."""
    bands = (
        Band(colour="green", rounds=((3, 4),)),
        Band(colour="white", rounds=((3, 4),)),
        Band(colour="red", rounds=((11, 12),)),
        Band(colour="red", low=60.0),
    )
    got = of_tube(Supplies(bands=bands))
    assert (
        of_rounds(Supplies(bands=bands), HEIGHTS)
        == ("the main yarn",) * 2 + ("white",) * 2 + ("the main yarn",) * 6
    )
    told = [line for line in got.sentences() if "No round" in line]
    assert ["green" in line for line in told] == [True, False]
    assert ["red" in line for line in told] == [False, True]
    assert all("10 rounds and is 50 mm" in line for line in told)


def test_small_amounts_are_not_told_as_nothing() -> None:
    """A flat piece of 12 stitches takes minutes, and no stuffing."""
    piece = Piece(Start.RING, 0, (Round.plain(12),), Finish.CINCHED)
    yarn = Yarn(grams_per_stitch=0.002, metres_per_100g=50)
    got = materials(piece, Supplies(yarn=yarn), gauge=GAUGE, stretch=0.02, volume=0.0)
    told = "\n".join(got.sentences())
    assert "0.012 m, 0.013 yards, 0.024 g" in told
    assert "about 5 minutes" in told
    assert "tuffing" not in told
    assert "filling" not in told


def test_part_file_tells_yarn_colours_and_extras() -> None:
    """The tables [yarn], [colours] and [extras] are read, and what they say comes out in the solution."""
    text = PART.format(width=60) + (
        '[yarn]\nswatch = { stitches = 20, rows = 20, weight = "0.5 oz" }\nmetres_per_100g = 200\n'
        '[colours]\nmain = "red"\nbands = [{ colour = "white", rounds = "1-4, 7" }]\n'
        '[extras]\neyes = { diameter = "9 mm" }\ncords = [{ name = "rope", length = "30 cm" }]\n'
    )
    data = solve(read(text, file="buoy.toml", title="Buoy")).as_dict()
    took = data["materials"]
    assert took["yarn_g"]["value"] == pytest.approx(took["stitches"] * 0.5 * 28.349523125 / 400, rel=EXACT)
    assert took["yarn_m"]["value"] == pytest.approx(2 * took["yarn_g"]["value"], rel=EXACT)
    assert took["yarn_yards"]["value"] == pytest.approx(took["yarn_m"]["value"] / 0.9144, rel=EXACT)
    assert took["colours"][0]["rounds"] == [1, 2, 3, 4, 7]
    assert any("eyes" in caution for caution in data["cautions"])
    assert any("rope" in caution for caution in data["cautions"])


@pytest.mark.parametrize(
    ("table", "match"),
    [
        ('[yarn]\nswatch = { stitches = 20, rows = 20, weight = "7 lightyears" }', "weight"),
        ("[yarn]\nmetres_per_100g = 1", "metres_per_100g"),
        ('[colours]\nbands = [{ colour = "red", rounds = "8-3" }]', "range of rounds"),
        ('[colours]\nbands = [{ colour = "red" }]', "by rounds, or by height"),
        ("[extras]\neyes = { width = 3 }", "width"),
        ('[extras]\ncords = [{ length = "-3 cm" }]', "below zero"),
    ],
)
def test_faults_are_told(table: str, match: str) -> None:
    """Faults in these tables are told with the file's name, the table and the rule."""
    with pytest.raises(InputError, match=match) as caught:
        read(PART.format(width=60) + table, file="buoy.toml", title="Buoy")
    assert "buoy.toml" in str(caught.value)
    assert table.split("]")[0] + "]" in str(caught.value)


def test_parts_small_and_large() -> None:
    """A 30 mm ball is a small part and a small ball, a 44 mm one a small ball, a 67 mm one neither."""

    def told(width: float) -> str:
        return "\n".join(solve(read(PART.format(width=width), file="b", title="B")).cautions)

    assert "Small part" in told(30)
    assert "Small ball" in told(30)
    assert "Small part" not in told(44)
    assert "Small ball" in told(44)
    assert "Small" not in told(67)
    for text in (told(30), told(67)):
        assert "qualified tester" in text
        assert "36 months" in text


def test_gauge_file(tmp_path: Path) -> None:
    """`gauge = "gauge.toml"` takes gauge, stuffing and yarn from that file; the part's own tables win."""
    from solver.partfile import load

    (tmp_path / "gauge.toml").write_text(
        "[gauge]\nstitches = 21\nrows = 22\nstiffness_ratio = 1.3\n[stuffing]\nstretch = 0.034\n"
        "[yarn]\nmetres_per_100g = 240\n"
    )
    part_file = tmp_path / "ball.toml"
    shape = '[shape]\nkind = "ball"\nwidth = 60\n'
    part_file.write_text('gauge = "gauge.toml"\n' + shape)
    part = load(part_file)
    assert part.gauge.stitch_width == pytest.approx(100 / 21, rel=EXACT)
    assert part.gauge.stiffness_ratio == 1.3
    assert part.stuffing.stretch == 0.034
    assert part.stuffing.measured
    assert part.supplies.yarn.metres_per_100g == 240
    part_file.write_text('gauge = "gauge.toml"\n[stuffing]\nfirmness = "firm"\n' + shape)
    assert load(part_file).stuffing.stretch == 0.012
    (tmp_path / "gauge.toml").write_text("[gauge]\nstiches = 21\n")
    with pytest.raises(InputError, match=r"gauge\.toml.*stitches"):
        load(part_file)
    (tmp_path / "gauge.toml").unlink()
    with pytest.raises(InputError, match="no such file"):
        load(part_file)


def test_standard_table() -> None:
    """Stitches and hooks are those of the Craft Yarn Council's standard table (seen in reprints)."""
    stitches = {weight.number: weight.stitches for weight in yarn_weights()}
    assert stitches == {1: (21, 32), 2: (16, 20), 3: (12, 17), 4: (11, 14), 5: (8, 11), 6: (6, 9), 7: (4, 5)}
    assert {size: letter for size, letter in hooks() if letter}[3.75] == "F-5"
    assert next_hook(3.75, steps=1) == (4.0, "G-6")
    assert next_hook(15.0, steps=3) == (15.0, "")


def test_guess_of_yarn_comes_back_to_the_makers_circle() -> None:
    """30 stitches round 50 mm, a circle in medium yarn (common practice), are guessed to be medium."""
    assert likely_weight(np.pi * 50 / 30).number == 4
    assert makers()["yarn"]["cm_per_square_cm"] == 12.4
