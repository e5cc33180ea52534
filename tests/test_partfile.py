"""Part files: what they say, what they leave out, and everything that can be wrong with them."""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.errors import InputError
from solver.partfile import Part, load, read
from solver.partfile.places import line_numbers
from solver.rounds import Finish, Start

BUOY = """\
title = "Mooring buoy"
[gauge]
stitches = 20
rows = 20
over = "10 cm"
[stuffing]
firmness = "medium"
[shape]
kind = "ball"
width = "6 cm"
[work]
start = "ring"
finish = "cinched"
"""
DRAWN = """\
[gauge]
stitches = 20
rows = 20
[shape]
kind = "outline"
points = [
  [0, 0],
  [22, 9],
  ["3 cm", "3 cm"],
  [0, 70],
]
"""
INCH = 25.4


def part(text: str) -> Part:
    """Read a part file's text."""
    return read(text, file="part.toml", title="Part")


def problems(text: str) -> list[str]:
    """Return what is wrong with a text, line by line."""
    with pytest.raises(InputError) as caught:
        part(text)
    return str(caught.value).splitlines()


def edited(text: str, old: str, new: str) -> str:
    """Return the text with one line changed."""
    assert old in text
    return text.replace(old, new)


def test_everything_said() -> None:
    """A full part file gives its title, gauge, stuffing, outline and work."""
    buoy = part(BUOY)
    assert buoy.title == "Mooring buoy"
    assert (buoy.gauge.stitch_width, buoy.gauge.row_height, buoy.gauge.thickness) == (5.0, 5.0, 0.0)
    assert buoy.stuffing.stretch == 0.006
    assert buoy.outline.width == pytest.approx(60.0, rel=1e-5)  # a fine polyline
    assert (buoy.work.start, buoy.work.finish) == (Start.RING, Finish.CINCHED)


def test_everything_left_out() -> None:
    """What a part file leaves out has its told default, and assumptions are noted."""
    plain = part('[gauge]\nstitches = 20\n[shape]\nkind = "tube"\nheight = 70\nwidth = 30\n')
    assert plain.title == "Part"
    assert plain.gauge.stitch_width == plain.gauge.row_height == 5.0  # over 10 cm
    work = plain.work
    assert (work.start, work.ring, work.finish, work.edge) == (Start.RING, None, Finish.OPEN, "held")
    assert (work.multiple, work.increases, work.terms) == (1, "staggered", "US")
    assert any("Rows were left out" in note for note in plain.notes)
    assert any("Medium stuffing, assumed" in note for note in plain.notes)


def test_ball_replaces_firmness() -> None:
    """A measured ball's stretch replaces the firmness that stands beside it."""
    both = BUOY.replace("[stuffing]", "[stuffing]\nball = { stitches = 36, girth = 190 }")
    stuffing = part(both).stuffing
    assert stuffing.measured
    assert stuffing.stretch == pytest.approx(190 / 180 - 1)


def test_circle_and_ball() -> None:
    """A flat circle is a gauge, and a measured ball is a stuffing."""
    measured = part(
        "[gauge]\ncircle = { rounds = 5, stitches = 30, across = '52 mm' }\n"
        "[stuffing]\nball = { stitches = 36, girth = '200 mm' }\n[shape]\nkind = 'ball'\nheight = '2.5 in'\n"
    )
    assert measured.gauge.stitch_width == pytest.approx(math.pi * 52 / 30, rel=1e-12)
    assert measured.gauge.row_height == 5.2
    assert measured.stuffing.stretch == pytest.approx(200 / (36 * math.pi * 52 / 30) - 1, rel=1e-12)
    assert measured.outline.height == pytest.approx(2.5 * INCH, rel=1e-12)
    assert not any("Rows were left out" in note for note in measured.notes)


def test_points() -> None:
    """An outline goes through its points: as a smooth curve, or as straight lines."""
    smooth = part(DRAWN).outline
    assert len(smooth.points) > 100
    straight = part(DRAWN + 'between = "straight"\n').outline
    np.testing.assert_array_equal(straight.points, [[0, 0], [22, 9], [30, 30], [0, 70]])
    assert smooth.height == straight.height == 70.0


def test_outside_sizes() -> None:
    """With a fabric thickness, sizes are outside sizes and the outline is half a thickness further in."""
    thick = part(edited(BUOY, "rows = 20", 'rows = 20\nthickness = "3 mm"'))
    assert thick.outline.width == pytest.approx(57.0, abs=0.01)  # the polyline's corners
    assert thick.outline.height == pytest.approx(57.0, abs=0.01)
    assert any("outside sizes" in note for note in thick.notes)


@pytest.mark.parametrize(
    ("points", "start", "finish"),
    [
        ("[[0, 0], [30, 30], [0, 70]]", Start.RING, Finish.CINCHED),
        ("[[10, 0], [30, 30], [0, 70]]", Start.OPEN, Finish.CINCHED),
        ("[[0, 0], [10, 0], [30, 30], [12, 70]]", Start.RING, Finish.OPEN),
    ],
)
def test_ends_of_a_drawn_outline(points: str, start: Start, finish: Finish) -> None:
    """Where the file does not say how a drawn part starts and finishes, its points do."""
    drawn = part(f"[gauge]\nstitches = 20\n[shape]\nkind = 'outline'\npoints = {points}\n")
    assert (drawn.work.start, drawn.work.finish) == (start, finish)


def test_first_end() -> None:
    """A shape with two ends can be worked from either."""
    egg = "[gauge]\nstitches = 20\n[shape]\nkind = 'egg'\nheight = 80\nwidth = 58\n"
    blunt, pointed = part(egg).outline, part(egg + "first = 'pointed'\n").outline
    heights = [float(o.points[np.argmax(o.points[:, 0]), 1]) for o in (blunt, pointed)]
    assert heights[0] < 40.0 < heights[1]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('title = "Mooring buoy"', "title = 5", "title, line 1: title is one line of text in quotes.*got 5"),
        ('title = "Mooring buoy"', 'title = "a\\nb"', "title, line 1: title is one line of text"),
        ('title = "Mooring buoy"', "title = '  '", "title, line 1: title is one line of text"),
        ("stitches = 20", "stitches = 0", r"\[gauge\] stitches, line 3: stitches is .* above zero \(got 0\)"),
        ("stitches = 20", "stitches = -4", r"\[gauge\] stitches, line 3: .* above zero \(got -4\)"),
        ("stitches = 20", "stitches = inf", r"\[gauge\] stitches, line 3: .* above zero \(got inf\)"),
        ("stitches = 20", "stitches = nan", r"\[gauge\] stitches, line 3: .* above zero \(got nan\)"),
        ("stitches = 20", 'stitches = "20"', r"\[gauge\] stitches, line 3: .*the number of stitches"),
        ("stitches = 20", "stitches = true", r"\[gauge\] stitches, line 3: .*the number of stitches"),
        ("stitches = 20", f"stitches = {10**400}", r"\[gauge\] stitches, line 3: .*the number of stitches"),
        ("stitches = 20", "", r"\[gauge\], line 2: .*it has stitches, or circle"),
        (
            'over = "10 cm"',
            'over = "10 m"',
            r"\[gauge\] stitches, line 3: a stitch width is from 0.5 to 40 mm",
        ),
        ('over = "10 cm"', 'over = "10 furlongs"', r"\[gauge\] over, line 5: .*furlongs"),
        ('over = "10 cm"', 'over = "0 cm"', r"\[gauge\] over, line 5: this length is above zero"),
        ('over = "10 cm"', 'thickness = "6 cm"', r"\[gauge\] .*fabric thickness is from 0 to 40 mm"),
        ('over = "10 cm"', "circle = 3", r"\[gauge\] circle, line 5: circle is a table"),
        ("rows = 20", "rows = 60", r"\[gauge\] stitches, line 3: a row is 0.4 to 2 times"),
        ("rows = 20", "rwos = 20", r'\[gauge\] rwos, line 4: "rwos" is not .* Did you mean "rows"'),
        ("rows = 20", "width = 20", r'\[gauge\] width, line 4: "width" is not .* belongs in \[shape\]'),
        ("rows = 20", "hieght = 20", r'line 4: "hieght" .* Did you mean "height", in \[shape\]'),
        ("[stuffing]", "[stufing]", r'\[stufing\], line 6: .*not a table .* Did you mean "stuffing"'),
        ('"medium"', '"medum"', r'\[stuffing\] firmness, line 7: .*one of: light.* Did you mean "medium"'),
        (
            'firmness = "medium"',
            "ball = { stitches = 36, girth = 170 }",
            r"\[stuffing\] ball, line 7: a stuffed ball measures more .*got 170 mm",
        ),
        (
            'firmness = "medium"',
            "ball = { stitches = 36, grith = 190 }",
            r'\[stuffing\] ball.grith, line 7: .*Did you mean "girth"',
        ),
        ('kind = "ball"', 'kind = "bal"', r'\[shape\] kind, line 9: .*Did you mean "ball"'),
        ('kind = "ball"', "kind = 3", r"\[shape\] kind, line 9: kind is the name of a shape"),
        ('kind = "ball"', "", r"\[shape\] kind, line 8: kind is missing"),
        (
            'kind = "ball"',
            'kind = "capsule"',
            r"\[shape\] height, line 8: height is missing. It is a length: from end",
        ),
        (
            'kind = "ball"',
            'kind = "cone"\nheight = 40\nfirst = "top"',
            r'\[shape\] first, line 11: first is "pointed" or',
        ),
        (
            'kind = "ball"',
            'kind = "capsule"\nheight = 40',
            r"\[shape\] height, line 10: a capsule is at least",
        ),
        ('width = "6 cm"', 'widht = "6 cm"', r'\[shape\] widht, line 10: .*Did you mean "width"'),
        ('width = "6 cm"', 'width = "6 parsecs"', r"\[shape\] width, line 10: .*parsecs"),
        ('width = "6 cm"', "width = inf", r"\[shape\] width, line 10: a length is finite"),
        ('width = "6 cm"', "width = -60", r"\[shape\] width, line 10: a length is not below zero"),
        ('width = "6 cm"', "width = 0", r"\[shape\] width, line 10: this length is above zero"),
        ('width = "6 cm"', "width = 0.5", r"\[shape\], line 8: a part is from 2 mm to 2 m .*got 0.5 mm high"),
        ('width = "6 cm"', 'width = "5 m"', r"\[shape\], line 8: a part is from 2 mm to 2 m .*got 5000 mm"),
        ('width = "6 cm"', "width = 5", r"\[shape\], line 8: the widest round .* 4 stitches \(got about 3.1"),
        ('start = "ring"', 'start = "rign"', r'\[work\] start, line 12: .*Did you mean "ring"'),
        (
            'start = "ring"',
            'start = "open"',
            r"\[work\] start, line 12: the start of this ball closes to a point",
        ),
        ('start = "ring"', 'start = "open"\nring = 6', r"\[work\] ring, line 13: ring belongs to start"),
        ('start = "ring"', "ring = 2.5", r"\[work\] ring, line 12: ring is a whole number .*got 2.5"),
        ('start = "ring"', "ring = 40", r"\[work\] ring, line 12: ring is a whole number .*3 to 12"),
        (
            'start = "ring"',
            "ring = 7\nmultiple = 6",
            r"\[work\] ring, line 12: the ring holds a multiple of 6",
        ),
        ('start = "ring"', "multiple = 60", r"\[work\] multiple, line 12: multiple is .* 1 to 8 \(got 60\)"),
        ('start = "ring"', "multiple = 0", r"\[work\] multiple, line 12: multiple is .* 1 to 8 \(got 0\)"),
        ('finish = "cinched"', 'finish = "open"', r"\[work\] finish, line 13: the finish of this ball"),
        ('finish = "cinched"', 'terms = "us"', r'\[work\] terms, line 13: .*Did you mean "US"'),
        ("[work]", "[[work]]", r"\[?work\]?, line 11: work is a table"),
    ],
)
def test_one_fault(old: str, new: str, told: str) -> None:
    """Every fault is told once: file, table, key, line, rule, value and remedy."""
    found = problems(edited(BUOY, old, new))
    assert len(found) == 1, found
    assert found[0].startswith("part.toml: ")
    with pytest.raises(InputError, match=told):
        part(edited(BUOY, old, new))


def drawn(points: str, more: str = "") -> str:
    """Return a part file of an outline."""
    return f"[gauge]\nstitches = 20\n[shape]\nkind = 'outline'\npoints = {points}\n{more}"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (drawn("[[0, 0]]"), r"\[shape\] points, line 5: points is a list of 2 to 2000"),
        (drawn("[]"), r"\[shape\] points, line 5: points is a list of 2 to 2000"),
        (drawn("[[0, 5], [0, 5]]"), r"\[shape\] points, line 5: .*at least two different points"),
        (drawn("[[0, 0], [-4, 9], [0, 20]]"), r"\[shape\] points, line 5: a radius is zero or more .*-4"),
        (drawn("[[0, 0], [40, 30], [40, 20], [0, 70]]"), r"points, line 5: heights never go back"),
        (drawn("[[0, 0], [40, 50], [40, 10], [10, 60]]", "between = 'straight'"), "heights never go back"),
        (drawn("[[0, 0], [40, 0], [20, 0], [0, 60]]"), "does not cross or run back over itself"),
        (drawn("[[0, 0], [40, 20], [10, 50], [0, 20]]"), "does not cross(.|\n)*|heights never go back"),
        (drawn("[[0, 0], [4, 9, 3], [0, 20]]"), r"points, point 2, line 5: points is a list of .* pairs"),
        (drawn("[[0, 0],\n [4,\n 'x'], [0, 20]]"), r"points, point 2, line 6: a length is a number"),
        (drawn("5"), r"points, line 5: points is a list"),
        (drawn(str([[1, z] for z in range(2001)])), r"points, line 5: points is a list of 2 to 2000"),
        (
            drawn("[[10, 0], [20, 20], [0, 30]]", "[work]\nstart = 'ring'"),
            r"start, line 7: with start = \"ring\"",
        ),
        (
            drawn("[[0, 0], [20, 20], [0, 30]]", "[work]\nstart = 'open'"),
            r"start, line 7: with start = \"open\"",
        ),
        (
            drawn("[[0, 0], [20, 20], [5, 30]]", "[work]\nfinish = 'cinched'"),
            r"finish, line 7: .* here it has a radius",
        ),
        (
            drawn("[[0, 0], [20, 20], [0, 30]]", "[work]\nfinish = 'open'"),
            r"finish, line 7: .*here it lies on the axis",
        ),
        (drawn("[[20, 0], [20, 20], [0, 30]]", "[work]\nring = 6"), r"ring, line 7: ring belongs to"),
        (
            drawn("[[0, 0], [20, 20], [1, 30]]"),
            r"an open end has room for at least 4 stitches .*at the finish",
        ),
        (drawn("[[0, 0], [8, 8], [0, 16]]", "[work]\nmultiple = 8"), "needs at least 16 stitches"),
    ],
)
def test_faults_of_outlines(text: str, told: str) -> None:
    """An outline that can't be worked is told with the place of its points."""
    with pytest.raises(InputError, match=told):
        part(text)


def test_count_over_two_thousand() -> None:
    """A part whose widest round would have over 2,000 stitches is told with its count."""
    text = "[gauge]\nstitches = 20\nover = '10 mm'\n[shape]\nkind = 'ball'\nwidth = '60 cm'\n"
    with pytest.raises(InputError, match=r"at most 2,000 stitches .*about 3,770 stitches round"):
        part(text)


def test_fabric_thicker_than_the_part() -> None:
    """A part that its fabric would fill is refused."""
    text = "[gauge]\nstitches = 5\nthickness = 30\n[shape]\nkind = 'ball'\nwidth = 25\n"
    with pytest.raises(InputError, match="larger than its fabric is thick"):
        part(text)


def test_unusual_gauge_is_noted() -> None:
    """A gauge with unusually low or tall rows is worked and noted."""
    assert any("nearly always" in note for note in part(edited(BUOY, "rows = 20", "rows = 30")).notes)


def test_all_faults_at_once() -> None:
    """All faults of a file are told together, in the order of its lines, across its tables."""
    text = edited(BUOY, "stitches = 20", "stiches = 20")
    text = edited(text, '"medium"', '"hard"')
    text = edited(text, 'width = "6 cm"', 'width = "6 ft"')
    text = edited(text, 'start = "ring"', "start = 3\nmultiple = 1.5")
    found = problems(text)
    assert [line.split(", line ")[1].split(":")[0] for line in found] == ["3", "7", "10", "12", "13"]


def test_faults_in_values_and_between_tables_at_once() -> None:
    """A gauge that no hook makes and an outline that goes back are told together."""
    text = drawn("[[0, 0], [40, 30], [40, 20], [0, 70]]").replace("stitches = 20", "stitches = 2000")
    found = problems(text)
    assert "stitch width" in found[0]
    assert "never go back" in found[1]


def test_very_many_faults() -> None:
    """Of very many faults the first fifty are told, and the number of the others."""
    found = problems("".join(f"k{i} = 1\n" for i in range(1000)))
    assert len(found) == 51
    assert "952 problems more" in found[-1]


@pytest.mark.parametrize("table", ["gauge", "shape"])
def test_missing_table(table: str) -> None:
    """Gauge and shape are needed, and each is told once when it is missing."""
    lines = BUOY.splitlines()
    start = lines.index(f"[{table}]")
    end = next((i for i in range(start + 1, len(lines)) if lines[i].startswith("[")), len(lines))
    found = problems("\n".join(lines[:start] + lines[end:]))
    assert found == [
        f"part.toml: [{table}]: {table} is missing. It is a table: [{table}] on a line of its own."
    ]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[gauge\nstitches = 20", r"line 1: this can't be read as TOML.*got \[gauge"),
        ("[gauge]\nover = 10 cm", r"line 2: .*TOML.*got over = 10 cm.* straight quotes"),
        ("[gauge]\nover = “10 cm”", r"line 2: .*Use straight quotes, not curly ones"),
        ("[gauge]\nstitches = 20\nstitches = 22", r"line 3: each key and each table is given once"),
        ("[gauge]\nstitches = 20\n[gauge]", r"line 3: each key and each table is given once"),
        ("[gauge]\ncircle = { rounds = 1, rounds = 2 }", r"line 2: each key and each table is given once"),
        ("points = [[0, 0],", r"line 1: this can't be read as TOML"),
        ("points = " + "[" * 100_000, "too deep in each other"),
        ("width = " + "1" * 5000, "too many digits"),
        ("", "gauge is missing(.|\n)*shape is missing"),
    ],
)
def test_faults_of_syntax(text: str, told: str) -> None:
    """Text that is no TOML is told by its line, as it was written, with the likely remedy."""
    with pytest.raises(InputError, match=told):
        part(text)


def test_faults_of_files(tmp_path: Path) -> None:
    """A file that is missing, a folder, too large, binary or in another encoding is told in one line."""
    made = {
        "large.toml": b"#" * 200_001,
        "picture.toml": b"\x89PNG\r\n\x1a\n\0\0",
        "latin.toml": 'title = "Möwe"'.encode("latin-1"),
    }
    for name, content in made.items():
        (tmp_path / name).write_bytes(content)
    for name, told in {
        "absent.toml": "there is no such file",
        ".": "this is a folder",
        "large.toml": "at most 200 kB",
        "picture.toml": "binary file",
        "latin.toml": "UTF-8",
        "n" * 5000: "can't be opened",
        "a\0b": "there is no such file",
    }.items():
        with pytest.raises(InputError, match=told) as caught:
            load(tmp_path / name)
        assert "\n" not in str(caught.value)


def test_file_from_another_editor(tmp_path: Path) -> None:
    """A byte order mark and the line ends of other systems do no harm, nor move the line numbers."""
    path = tmp_path / "mooring-buoy.toml"
    path.write_bytes(b"\xef\xbb\xbf" + BUOY.replace("\n", "\r\n").encode())
    assert load(path).title == "Mooring buoy"
    path.write_bytes(b"\xef\xbb\xbf" + BUOY.replace("rows = 20", "rows = 0").replace("\n", "\r\n").encode())
    with pytest.raises(InputError, match="line 4"):
        load(path)


def test_title_from_the_file_name(tmp_path: Path) -> None:
    """A part without a title is called after its file."""
    path = tmp_path / "tug-boat-funnel.toml"
    path.write_text(DRAWN, encoding="utf-8")
    assert load(path).title == "Tug boat funnel"


def test_line_numbers() -> None:
    """Tables, keys and the lists in lists have the line that they start on, whatever stands between."""
    text = (
        '# [gauge] in a comment\ntitle = """two\nlines = [1]"""\n\n[gauge] # a "remark\n"stitches" = 20\n'
        "a.b = '# no comment'\n[shape]\npoints = [ # [9, 9]\n [0, 0], [1, '], ['],\n\n [2, 2] ]\n"
        "[[list]]\nkey = { inner = [1, 2] }\nnote = '''\n[x]\ny = \"'''\nlast = 1\n"
    )
    assert line_numbers(text) == {
        ("title",): 2,
        ("gauge",): 5,
        ("gauge", "stitches"): 6,
        ("gauge", "a", "b"): 7,
        ("shape",): 8,
        ("shape", "points"): 9,
        ("shape", "points", 0): 10,
        ("shape", "points", 1): 10,
        ("shape", "points", 2): 12,
        ("list",): 13,
        ("list", 0): 13,
        ("list", 0, "key"): 14,
        ("list", 0, "key", 0): 14,
        ("list", 0, "note"): 15,
        ("list", 0, "last"): 18,
    }


@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    """Whatever stands in a file, the answer is a problem, never a crash."""
    with pytest.raises(InputError):
        part(text)


ODD = st.recursive(
    st.sampled_from(
        ["1", "0", "-3", "inf", "nan", "true", '"x"', '"6 cm"', "1979-05-27", "[]", "{}", "1e400"]
    ),
    lambda inner: st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
    max_leaves=4,
)
KEYS = st.sampled_from(
    ["stitches", "rows", "over", "circle", "firmness", "kind", "points", "ring", "start", "x"]
)


@given(
    st.dictionaries(
        st.sampled_from(["gauge", "stuffing", "shape", "work", "y"]), st.dictionaries(KEYS, ODD, max_size=4)
    )
)
def test_any_tables(tables: dict[str, dict[str, str]]) -> None:
    """Odd values under known keys are problems, each with its file, never a crash."""
    text = "\n".join(
        f"[{table}]\n" + "\n".join(f"{key} = {value}" for key, value in keys.items())
        for table, keys in tables.items()
    )
    assert all(line.startswith("part.toml: ") for line in problems(text))


def test_a_key_left_out_of_a_bend() -> None:
    """What an entry of a list lacks is told, not tripped over."""
    text = DRAWN.replace('kind = "outline"', 'kind = "outline"\nbends = [{ at = "30 mm", angle = "30 deg" }]')
    (told,) = problems(text)
    assert "over" in told


@pytest.mark.parametrize(
    ("shape", "stands"),
    [
        ('kind = "egg"\nwidth = 50\nheight = 70', False),
        ('kind = "egg"\nwidth = 50\nheight = 70\nfirst = "pointed"', True),
        ('kind = "cone"\nwidth = 50\nheight = 70', True),
        ('kind = "cone"\nwidth = 50\nheight = 70\nfirst = "wide"', False),
        ('kind = "ball"\nwidth = 50', False),
    ],
)
def test_a_part_worked_from_the_top_stands_on_its_finish(shape: str, stands: bool) -> None:
    """An egg that is begun at its point has the point above; a cone stands on its wide end."""
    gauge = '[gauge]\nstitches = 20\nrows = 20\nover = "10 cm"\n'
    part = read(f"{gauge}[shape]\n{shape}\n", file="x.toml", title="", folder=Path())
    assert part.stands_on_finish is stands
    told = read(
        f'{gauge}[shape]\n{shape}\n[colours]\ndown = "finish"\n', file="x.toml", title="", folder=Path()
    )
    assert told.stands_on_finish


@pytest.mark.parametrize(
    ("told", "stitches", "rows"),
    [
        ("20 x 22", 20, 22),
        ("20x22 / 10 cm", 20, 22),
        ("20/22", 20, 22),
        ("22 x 24 over 4 in", 22 / 1.016, 24 / 1.016),
        ("20 sts x 22 rows over 100 mm", 20, 22),
    ],
)
def test_a_gauge_may_be_told_in_a_line(told: str, stitches: float, rows: float, tmp_path: Path) -> None:
    """As the commands take it; what is no gauge is told with its line, and a unit asked for."""
    file = tmp_path / "ball.toml"
    shape = '[shape]\nkind = "ball"\nwidth = "5 cm"\n'
    file.write_text(f'gauge = "{told}"\n{shape}')
    gauge = load(file).gauge
    assert gauge.stitch_width == pytest.approx(100 / stitches, rel=1e-9)
    assert gauge.row_height == pytest.approx(100 / rows, rel=1e-9)
    for wrong, rule in (("20 by", "two counts and a length"), ("20 x 22 over 10", "has its unit")):
        file.write_text(f'gauge = "{wrong}"\n{shape}')
        with pytest.raises(InputError, match=f"gauge, line 1: .*{rule}"):
            load(file)
