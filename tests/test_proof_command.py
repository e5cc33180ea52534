"""`plumpline proof`, and the commands that take rounds from a text."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from solver.cli import main

CLEAN = "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\nRnds 3-5: sc around (12)\nRnd 6: dec x 6 (6)\n"
WRONG = CLEAN.replace("inc x 6 (12)", "inc x 6 (13)")
SAMPLES = Path(__file__).parents[1] / "samples"


def _run(*arguments: str | Path, stdin: str | None = None) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], input=stdin)


@pytest.fixture
def page(tmp_path: Path) -> Path:
    """Return a page with one wrong count."""
    file = tmp_path / "rounds.txt"
    file.write_text(WRONG, encoding="utf-8")
    return file


def test_a_clean_page_ends_with_0_and_says_so(tmp_path: Path) -> None:
    """Rounds that add up end with 0."""
    file = tmp_path / "rounds.txt"
    file.write_text(CLEAN, encoding="utf-8")
    result = _run("proof", file)
    assert result.exit_code == 0
    assert "Every line uses the stitches it has" in result.output


def test_a_line_read_in_part_is_never_told_as_fine(tmp_path: Path) -> None:
    """What is taken at its word is listed at the end, and shown among the problems."""
    file = tmp_path / "rounds.txt"
    file.write_text("Rd 1: 6 sc in mr (6)\nRd 2: *sc, 1 sc in nxt* arnd, (18)\n", encoding="utf-8")
    for words in ((), ("--problems",)):
        told = _run("proof", file, *words).output
        assert "Not wholly read, and for you to look at: 2." in told
        assert "Every line uses" not in told
        assert "Read in part: taken at the 18 that it states." in told


def test_a_wrong_line_is_shown_as_written_with_a_caret_and_its_mend(page: Path) -> None:
    """A wrong count ends with 1: the line as it was written, carets under the place, the mend below."""
    result = _run("proof", page)
    assert result.exit_code == 1
    lines = result.output.splitlines()
    at = next(i for i, line in enumerate(lines) if "inc x 6 (13)" in line)
    assert lines[at + 1].index("^") == lines[at].index("(13)")
    assert "Makes 12, says 13; needs 6, has 6: 6 inc" in lines[at + 2]
    assert "COUNT: Makes 12, says 13. The next line follows 12. Mend: (13) -> (12)" in lines[at + 3]


def test_the_data_have_the_promised_keys(page: Path) -> None:
    """JSON holds terms, language, lines with their problems, and rounds like `plumpline rounds --json`."""
    result = _run("proof", page, "--json")
    data = json.loads(result.output)
    assert result.exit_code == 1
    assert {"terms", "language", "lines", "rounds"} <= data.keys()
    line = data["lines"][1]
    assert line["problems"][0]["kind"] == "count"
    keys = ("line", "text", "label", "rounds", "stated", "made", "needed", "available")
    assert {key: line[key] for key in keys} == {
        "line": 2,
        "text": "Rnd 2: inc x 6 (13)",
        "label": "Rnd 2:",
        "rounds": [2],
        "stated": 13,
        "made": 12,
        "needed": 6,
        "available": 6,
    }
    assert [one["count"] for one in data["rounds"]] == [6, 12, 12, 12, 12, 6]
    assert data["rounds"][1]["stitches"] == ["inc"] * 6
    assert {"number", "count", "text", "increases", "decreases", "stitches"} <= data["rounds"][0].keys()


def test_rounds_are_written_anew_in_uk_terms_spelled_out(tmp_path: Path) -> None:
    """--rewrite writes the same rounds in one style, here UK and in full."""
    file = tmp_path / "rounds.txt"
    file.write_text(CLEAN, encoding="utf-8")
    result = _run("proof", file, "--rewrite", "--terms", "UK", "--spelled")
    assert result.exit_code == 0
    assert "Round 2: increase in each of the next 6 stitches, 12 stitches in all." in result.output
    assert "double crochet in the next 12 stitches" in result.output


def test_rounds_come_from_standard_input(page: Path) -> None:
    """A dash reads the page from standard input."""
    assert _run("proof", "-", stdin=CLEAN).exit_code == 0


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (None, "can be read"),
        (b"%PDF-1.7 ...", "plain text"),
        (b"\x00\x01\x02\x03", "plain text"),
        (b"", "at least one round"),
        (b"Once upon a time there was a buoy.", "at least one round"),
    ],
)
def test_what_holds_no_rounds_ends_with_2_and_one_message(
    tmp_path: Path, content: bytes | None, message: str
) -> None:
    """A missing file, a PDF, bytes, nothing and a story end with 2 and say why."""
    file = tmp_path / "rounds.txt"
    if content is not None:
        file.write_bytes(content)
    result = _run("proof", file)
    assert result.exit_code == 2
    assert message in result.output
    assert "Traceback" not in result.output


def test_a_russian_page_of_an_old_encoding_is_read(tmp_path: Path) -> None:
    """Pages saved in Windows-1251 are read like UTF-8 ones."""
    file = tmp_path / "rounds.txt"
    file.write_bytes("1 ряд: 6 сбн в кольцо (6)\n2 ряд: 6 приб (12)\n3 ряд: 12 сбн (12)".encode("cp1251"))
    data = json.loads(_run("proof", file, "--json").output)
    assert (data["language"], [line["made"] for line in data["lines"]]) == ("ru", [6, 12, 12])


# ---- what rounds become ------------------------------------------------------------------------------------


def test_written_rounds_become_a_mesh(tmp_path: Path) -> None:
    """Preview works the form of somebody's rounds out at the gauge that is given."""
    file, out = tmp_path / "rounds.txt", tmp_path / "form.stl"
    file.write_text(CLEAN, encoding="utf-8")
    result = _run("preview", file, "--gauge", "20 x 22 / 10 cm", "--out", out)
    assert result.exit_code == 0
    assert out.stat().st_size > 1000
    assert "mm" in result.output


@pytest.mark.parametrize(
    ("text", "arguments", "message"),
    [
        (CLEAN, [], "only at a gauge"),
        (CLEAN, ["--gauge", "many"], "two counts and a length"),
        (CLEAN.replace("Rnds 3-5: sc around (12)\n", "").replace("12", "13"), ["--gauge", "2 / 1 cm"], ""),
        ("Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 5 (10)\n", ["--gauge", "2 x 2 / 1 cm"], "the rounds add up"),
        (
            "Ch 8\nRnd 1: sc in 2nd ch from hook, 5 sc, 3 sc in last ch, on other side of chain: 5 sc, 2 sc "
            "in last ch (16)\nRnd 2: sc around (16)\n",
            ["--gauge", "2 x 2 / 1 cm"],
            "round",
        ),
    ],
    ids=["no gauge", "bad gauge", "not clean", "does not add up", "oval"],
)
def test_rounds_without_a_form_are_refused_in_words(
    tmp_path: Path, text: str, arguments: list[str], message: str
) -> None:
    """Preview says why rounds have no form: no gauge, rounds that do not add up, a part that is not round."""
    file = tmp_path / "rounds.txt"
    file.write_text(text, encoding="utf-8")
    result = _run("preview", file, "--out", tmp_path / "form.stl", *arguments)
    assert result.exit_code in (0, 2)
    assert message in result.output
    assert (result.exit_code == 0) == (tmp_path / "form.stl").exists()


def test_one_changed_round_is_told_with_the_place_where_the_form_changed(tmp_path: Path) -> None:
    """A sample's own rounds change nothing; one round off by a stitch is named, and the form's change."""
    written = _run("rounds", SAMPLES / "buoy.toml").output
    lines = [line for line in written.splitlines() if line.startswith("Rnd")]
    file, out = tmp_path / "edited.txt", tmp_path / "compare.png"
    file.write_text("\n".join(lines), encoding="utf-8")
    same = _run("compare", SAMPLES / "buoy.toml", "--rounds", file, "--out", out)
    assert same.exit_code == 0
    assert "Its form is that of the solved rounds." in same.output
    at = next(at for at, line in enumerate(lines) if "(3 rounds)" in line)
    number, count = (int(found) for found in re.findall(r"Rnds (\d+)-.*\((\d+)\)", lines[at])[0])
    lines[at] = f"Rnd {number}: {count} sc ({count})\nRnd {number + 1}: inc, {count - 1} sc ({count + 1})"
    lines[at] += f"\nRnd {number + 2}: dec, {count - 1} sc ({count})"
    file.write_text("\n".join(lines), encoding="utf-8")
    edited = _run("compare", SAMPLES / "buoy.toml", "--rounds", file, "--out", out)
    assert edited.exit_code == 0
    assert f"Round {number + 1} has {count + 1} stitches, the solved part {count}." in edited.output
    assert f"its form changed most at round {number + 1}" in edited.output


HULL = SAMPLES / "tug-hull.toml"


def test_an_oval_s_own_rounds_change_nothing_and_a_changed_one_is_told(tmp_path: Path) -> None:
    """The hull's rounds from its page give the solver's form and picture; one round changed moves both."""
    file, out = tmp_path / "edited.txt", tmp_path / "compare.png"
    page = _run("rounds", HULL, "--full").output
    sizes = [line.removeprefix("- ") for line in page.splitlines() if "; wanted" in line]
    file.write_text(page, encoding="utf-8")
    same = _run("compare", HULL, "--rounds", file, "--out", out)
    assert same.exit_code == 0
    assert "Its form is that of the solved rounds." in same.output
    assert [line for line in same.output.splitlines() if "; wanted" in line] == sizes
    assert out.stat().st_size > 10_000
    # the first line with increases between two runs: the last of them moved to where it mirrors
    line = re.search(r"Rnd (\d+): \(.*?(\d+) sc, inc, (\d+) sc\) x 2", page)
    assert line
    number, before, after = line.groups()
    assert before != after
    told = line[0].replace(f"{before} sc, inc, {after} sc)", f"{after} sc, inc, {before} sc)")
    file.write_text(page.replace(line[0], told), encoding="utf-8")
    moved = _run("compare", HULL, "--rounds", file, "--out", out)
    assert f"Round {number} has its increases and decreases in other places." in moved.output
    assert re.search(
        r"its form changed most at round \d+: \d\.\d mm (longer|wider|narrow|short)", moved.output
    )


def test_written_rounds_are_held_as_the_oval_part_is(tmp_path: Path) -> None:
    """An open snout held to its oval keeps the form that was solved, and a flat foot its size."""
    for name in ("seal-snout", "puffin-foot"):
        part, file, out = SAMPLES / f"{name}.toml", tmp_path / f"{name}.txt", tmp_path / "compare.png"
        file.write_text(_run("rounds", part).output, encoding="utf-8")
        result = _run("compare", part, "--rounds", file, "--out", out)
        assert "Its form is that of the solved rounds." in result.output
    assert "the piece lies flat" in result.output
    fewer = file.read_text(encoding="utf-8").replace("Rnd 4:", "Remark:")
    file.write_text(fewer, encoding="utf-8")
    result = _run("compare", part, "--rounds", file, "--out", out)
    assert "The page has 3 rounds, the solved part 4: they part at round 4." in result.output
    assert "Width: 32 mm" in result.output  # 9 mm less: two rows of 4.5 mm


def test_a_last_edge_other_than_the_part_s_is_told(tmp_path: Path) -> None:
    """A page that sews the open edge of a snout flat is worked as the part file has it, and told."""
    part, file = SAMPLES / "seal-snout.toml", tmp_path / "edited.txt"
    page = _run("rounds", part).output
    sewn = page.replace("Fasten off, leaving a long tail for sewing.", "Fold the last round flat and sew it.")
    assert sewn != page
    file.write_text(sewn, encoding="utf-8")
    told = _run("compare", part, "--rounds", file, "--out", tmp_path / "compare.png").output
    assert 'The page sews the last edge flat, and the part file has finish = "open"' in told
    assert "as the page says" not in told
    assert "Its form is that of the solved rounds." in told


@pytest.mark.parametrize(
    ("part", "text", "message"),
    [
        (HULL, CLEAN, 'Keep the line above round 1 that tells it, such as "Chain 18."'),
        (HULL, "Ch 4\nRnd 1: 4 sc in 2nd ch from hook, sc, 4 sc in last ch, sc (10)\nRnd 2: 11 sc", "add up"),
        (
            HULL,
            "Ch 4\nRnd 1: 4 sc in 2nd ch from hook, sc, 4 sc in last ch, sc (10)\nRnd 2: 10 sc (10)",
            "beyond the 5 that lie on its stiff sole (got 2 rounds)",
        ),
        (
            SAMPLES / "buoy.toml",
            "Ch 4\nRnd 1: 4 sc in 2nd ch from hook, sc, 4 sc in last ch, sc (10)\nRnd 2: 10 sc (10)",
            "rounds for a round part start in a ring (got round 1 along both sides of 4 chains)",
        ),
    ],
    ids=["a ring for an oval", "does not add up", "fewer than on the sole", "a chain for a round part"],
)
def test_rounds_that_do_not_suit_the_part_are_refused_in_words(
    tmp_path: Path, part: Path, text: str, message: str
) -> None:
    """Compare says why rounds can't be laid over a part, and leaves no picture."""
    file, out = tmp_path / "rounds.txt", tmp_path / "compare.png"
    file.write_text(text, encoding="utf-8")
    result = _run("compare", part, "--rounds", file, "--out", out)
    assert result.exit_code == 2
    assert message in result.output
    assert not out.exists()


def test_an_oval_sewn_flat_at_its_widest_has_a_form(tmp_path: Path) -> None:
    """A pillow begun on a chain and folded without decreases: its seam reaches into the ends."""
    file, out = tmp_path / "pillow.txt", tmp_path / "pillow.stl"
    file.write_text(
        "Ch 9\nRnd 1: 4 sc in 2nd ch from hook, 6 sc, 4 sc in last ch, 6 sc (20)\n"
        "Rnd 2: inc x 4, 6 sc, inc x 4, 6 sc (28)\nRnds 3-8: 28 sc (28)\nFold flat and sew closed.\n",
        encoding="utf-8",
    )
    result = _run("preview", file, "--gauge", "20 x 22 / 10 cm", "--out", out)
    assert result.exit_code == 0, result.output
    assert "without a stiff sole" in result.output
    # seam of 14 stitches, all but the first and last spaced a stitch apart: 13 x 5 mm = 65 mm, relaxed
    long = int(result.output.partition(" long")[0].rpartition(" mm")[0].rpartition(" ")[2])
    assert long == pytest.approx(65, abs=2)


def test_measured_stiffness_counts_for_written_rounds(tmp_path: Path) -> None:
    """Rounds read back have the solved form at a stiffness ratio other than 1 too (invented data)."""
    part, file = tmp_path / "float.toml", tmp_path / "float.txt"
    given = (SAMPLES / "buoy.toml").read_text(encoding="utf-8")
    part.write_text(given.replace("[gauge]\n", "[gauge]\nstiffness_ratio = 1.6\n"), encoding="utf-8")
    file.write_text(_run("rounds", part).output, encoding="utf-8")
    result = _run("compare", part, "--rounds", file, "--out", tmp_path / "compare.png")
    assert "Its form is that of the solved rounds." in result.output


def test_a_round_left_out_is_told_where_the_counts_part() -> None:
    """Rounds shifted by one left out are told by where they part and meet again, not one by one."""
    from solver.cli.written import changed_rounds

    solved = (6, 12, 18, 24, 24, 18, 12)
    assert list(changed_rounds((6, 12, 18, 25, 24, 18, 12), solved)) == [
        "Round 4 has 25 stitches, the solved part 24."
    ]
    assert list(changed_rounds((6, 12, 24, 24, 18, 12), solved)) == [
        "The page has 6 rounds, the solved part 7: they part at round 3.",
        "Counted from the end, 4 rounds are the same.",
    ]
