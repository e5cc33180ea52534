"""Colours in the written rounds: marked where they change, and the page still reads back."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from itertools import groupby
from pathlib import Path

import pytest
from click.testing import CliRunner

from solver.cli import main
from solver.cli.report import report
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.notation.writer import LineKind, standing_notes, write_rounds
from solver.partfile import load
from solver.rounds import Finish, Piece, Round, Start
from solver.rounds.shaping import shaped_piece
from solver.solving.solved import solve

BALL = shaped_piece(
    [6, 12, 18, 24, 30, 36, *[36] * 6, 30, 24, 18, 12, 6],
    start=Start.RING,
    finish=Finish.CINCHED,
    increases="stacked",
)
TUBE = Piece(Start.OPEN, 20, tuple(Round.plain(20) for _ in range(6)), Finish.OPEN)
STRIPES = ("white",) * 7 + ("red",) * 2 + ("white",) * 8
STYLES = [(terms, spelled) for terms in ("US", "UK") for spelled in (False, True)]
PARTS = {
    "ball": '[shape]\nkind = "ball"\nwidth = "70 mm"\n',
    "large": '[shape]\nkind = "ball"\nwidth = "150 mm"\n',
    "tube": '[shape]\nkind = "outline"\npoints = [[25, 0], [25, 60]]\n'
    '[work]\nstart = "open"\nfinish = "open"\n',
    "oval": '[shape]\nkind = "oval"\nlength = "60 mm"\nwidth = "40 mm"\nheight = "40 mm"\n'
    '[work]\nstart = "chain"\n',
    "flat oval": '[shape]\nkind = "flat oval"\nlength = "90 mm"\nwidth = "50 mm"\n[work]\nstart = "chain"\n',
}
"""Parts of the harbour, all invented."""
COLOURS = (
    '[colours]\nmain = "signal red"\n'
    'bands = [{ colour = "white", rounds = "1-2, 4" }, { colour = "C2", low = "20 mm" }]\n'
)


def part_file(folder: Path, kind: str, *, colours: str = COLOURS) -> str:
    """Write a part file with colours, and return its path."""
    path = folder / "part.toml"
    path.write_text("[gauge]\nstitches = 20\nrows = 22\n" + PARTS[kind] + colours)
    return str(path)


def run(*arguments: str) -> str:
    """Return what a command prints."""
    result = CliRunner().invoke(main, list(arguments))
    assert result.exit_code == 0, result.output
    return result.stdout


@pytest.mark.parametrize("kind", ["ball", "tube", "oval", "flat oval"])
def test_a_page_with_colours_reads_back(kind: str, tmp_path: Path) -> None:
    """The whole page, short and spelled, US and UK, has no flag, is the same piece, and marks each colour."""
    part = load(Path(part_file(tmp_path, kind)))
    solution = solve(part)
    data = solution.as_dict()
    of_rounds = [this["colour"] for this in data["rounds"]]
    assert {"white", "signal red"} <= set(of_rounds)
    for terms, spelled in STYLES:
        told = replace(solution, part=replace(part, work=replace(part.work, terms=terms)))
        page = report(told, spelled=spelled)
        proof = proof_read(page)
        assert proof.clean, [(line.text, line.problems) for line in proof.lines if line.problems]
        piece = converted(proof)[0].piece
        assert piece is not None
        assert [[str(one) for one in this.stitches] for this in piece.rounds] == [
            this["stitches"] for this in data["rounds"]
        ]
        assert [str(piece.start), piece.foundation, str(piece.finish)] == [
            data[key] for key in ("start", "foundation", "finish")
        ]
        marked = re.findall(r"^(?:Begin with|Change to) (.*)\.$", page, re.MULTILINE)
        assert marked == [colour for colour, _ in groupby(of_rounds)]
        assert max(map(len, page.splitlines())) <= 88


def test_a_page_with_many_notes_reads_back() -> None:
    """Notes that name rounds, as of ruffles, are no rounds: the sample's page has no flag."""
    part = load(Path(__file__).parents[2] / "samples" / "gull-head.toml")
    solution = solve(part)
    page = report(solution, full=True)
    assert re.search(r"round|rounds", page.partition("Notes")[2])
    proof = proof_read(page)
    assert proof.clean
    assert converted(proof)[0].piece.counts == solution.piece.counts


@pytest.mark.parametrize("main", ["white", "a deep and rather dark blue with specks"])
def test_a_page_of_stripes_reads_back(main: str, tmp_path: Path) -> None:
    """Long lists of rounds in the materials are no rounds, wherever their lines break."""
    odd = ", ".join(str(number) for number in range(1, 60, 2))
    stripes = f'[colours]\nmain = "{main}"\nbands = [{{ colour = "red", rounds = "{odd}" }}]\n'
    page = run("rounds", part_file(tmp_path, "large", colours=stripes))
    assert page.count("Change to") > 30
    proof = proof_read(page)
    assert proof.clean, [line.text for line in proof.lines if line.problems]


def test_a_number_in_prose_is_no_label() -> None:
    """A broken line of the materials that begins with a number leaves the ranges above it as they are."""
    page = (
        "Rnds 1-2 (2 rounds): 30 sc (30)\nRnds 3-13 (11 rounds): 30 sc (30)\n\n"
        "Yarn: about 6.2 g (3.3 to\n  11) of yarn."
    )
    proof = proof_read(page)
    assert proof.clean
    assert [line.rounds for line in proof.lines] == [(1, 2), tuple(range(3, 14))]


def test_each_round_stands_under_its_colour() -> None:
    """Going down the lines, each round is covered once, under the colour that it was given."""
    lines = write_rounds(BALL, colours=STRIPES)
    colour, under = "", {}
    for line in lines:
        if line.kind is LineKind.COLOUR:
            colour = re.sub(r"(Begin with|Change to) (.*)\.", r"\2", line.text)
        elif line.kind is LineKind.ROUND:
            under |= dict.fromkeys(range(line.first, line.last + 1), colour)
    assert tuple(under[number] for number in range(1, 18)) == STRIPES
    texts = [line.text for line in lines]
    place = texts.index("Change to red.")
    assert texts[place - 1] == "Rnd 7: 36 sc (36)"
    assert texts[place + 1] == "Rnds 8-9 (2 rounds): 36 sc (36)"
    assert texts[place + 2 : place + 4] == ["Change to white.", "Rnds 10-12 (3 rounds): 36 sc (36)"]


def test_the_first_colour_stands_before_the_chain() -> None:
    """A start on chains is worked in the first colour: its line comes first of all."""
    lines = write_rounds(TUBE, colours=["blue"] * 6)
    assert [line.kind for line in lines[:2]] == [LineKind.COLOUR, LineKind.START]
    assert lines[0].text == "Begin with blue."
    assert sum(line.kind is LineKind.COLOUR for line in lines) == 1


def test_a_colour_line_stands_right_before_its_round() -> None:
    """A stuffing line before the same round comes first."""
    closing = next(line.first for line in write_rounds(BALL) if line.kind is LineKind.STUFFING)
    lines = write_rounds(BALL, colours=["white"] * (closing - 1) + ["red"] * (18 - closing))
    kinds = [line.kind for line in lines if line.first == closing]
    assert kinds == [LineKind.STUFFING, LineKind.COLOUR, LineKind.ROUND]


def test_without_colours_nothing_is_said_of_them(tmp_path: Path) -> None:
    """No colours given: no line, no note, no key."""
    file = part_file(tmp_path, "ball", colours="")
    assert not re.search("colou?r|Begin with", run("rounds", file))
    assert "colour" not in json.loads(run("rounds", file, "--json"))["rounds"][0]


@pytest.mark.parametrize(("terms", "word"), [("US", "color"), ("UK", "colour")])
def test_how_to_change_is_told_in_the_terms_words(terms: str, word: str) -> None:
    """Where colours change a note tells how, spelled as its readers spell; one colour needs none."""
    told = [note for note in standing_notes(BALL, terms=terms, colours=STRIPES) if "last stitch" in note]
    assert len(told) == 1
    assert re.findall("colou?r", told[0]) == [word] * 2
    assert standing_notes(BALL, terms=terms, colours=["red"] * 17) == standing_notes(BALL, terms=terms)


def test_a_main_colour_alone_is_told(tmp_path: Path) -> None:
    """`main` without bands names the colour once, at the start; a nameless main yarn has words too."""
    page = run("rounds", part_file(tmp_path, "ball", colours='[colours]\nmain = "red"\n'))
    assert "\nBegin with red.\nRnd 1:" in page
    assert "Change to" not in page
    bands = '[colours]\nbands = [{ colour = "white", rounds = "1" }]\n'
    page = run("rounds", part_file(tmp_path, "ball", colours=bands))
    assert "\nChange to the main yarn.\nRnd 2:" in page


@pytest.mark.parametrize("colour", ["C1", "R2", "no. 7", "6", "slip", "cream (36)", "2 strands of sc", "{n}"])
@pytest.mark.parametrize(("terms", "spelled"), STYLES)
def test_names_of_colours_are_not_read_as_rounds(colour: str, terms: str, spelled: bool) -> None:
    """Whatever a yarn is called, its line is a remark."""
    names = ["white"] * 3 + [colour] * 14
    lines = write_rounds(BALL, terms=terms, spelled=spelled, colours=names)
    assert f"Change to {colour}." in [line.text for line in lines]
    proof = proof_read("\n".join(line.text for line in lines))
    assert proof.clean
    assert [this.stitches for this in converted(proof)[0].piece.rounds] == [
        this.stitches for this in BALL.rounds
    ]


def test_one_colour_a_round() -> None:
    """Colours that are not one a round are a fault of the caller."""
    with pytest.raises(ValueError, match="got 2 for 17 rounds"):
        write_rounds(BALL, colours=["red", "white"])
