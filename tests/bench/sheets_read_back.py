"""Every sample's sheet in every copy, read back: `python -m tests.bench.sheets_read_back [WORD ...]`.

Parts and toys, as PDF by pdftotext, as text and as the page's visible text; each is clean in the proof and
gives the very rounds. What differs is printed; words leave out all samples or copies that lack them.
"""

from __future__ import annotations

import html
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from solver.cli import toysheet
from solver.cli.sheetpictures import charts_of
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.partfile import load
from solver.partfile.source import is_toy
from solver.rounds.piece import Piece
from solver.sheet.contents import SheetPart, Whole, sheet_of
from solver.sheet.model import Copy, Paper, Picture, Sheet
from solver.sheet.printed import as_pdf
from solver.sheet.text import as_text
from solver.sheet.webpage import as_page
from solver.solving.solved import Solved, solve
from solver.toy.solved import SolvedToy, solve_toy
from solver.toy.toyfile import load_toy

SAMPLES = Path(__file__).parents[2] / "samples"
DOT = b'<svg xmlns="http://www.w3.org/2000/svg" width="20" height="20"><circle cx="10" cy="10" r="8"/></svg>'
LANGUAGES = ("US", "UK", "de", "es", "fr", "ja", "nl", "pt", "ru", "vi")


def copies() -> Iterator[Copy]:
    """Yield every copy there is: languages by size, terms by spelling, a tester's, a left-handed one."""
    for terms in LANGUAGES:
        for large in (False, True):
            for paper in Paper if large else (Paper.A4,):
                yield Copy(terms=terms, large=large, paper=paper)
        yield Copy(terms=terms, tester=True)
        yield Copy(terms=terms, left=True, paper=Paper.LETTER)
    for terms in ("US", "UK"):
        for large in (False, True):
            yield Copy(terms=terms, spelled=True, large=large)
        yield Copy(terms=terms, spelled=True, tester=True, large=True)


def told(copy: Copy) -> str:
    """Return what a copy is."""
    ways = [name for name in ("large", "spelled", "tester", "left") if getattr(copy, name)]
    return "-".join([copy.terms, *ways, copy.paper])


@cache
def part(name: str) -> Solved:
    """Return a sample part, solved."""
    return solve(load(SAMPLES / f"{name}.toml"))


@cache
def toy(name: str) -> SolvedToy:
    """Return a sample toy, solved."""
    return solve_toy(load_toy(SAMPLES / name / f"{name}.toml"))


def without_pictures() -> None:
    """Draw each picture of a toy as a dot: only the words are looked at."""
    dot = Picture(DOT, "svg", "A dot.")
    toysheet.portrait = lambda solved, copy: dot  # type: ignore[assignment]
    toysheet._picture = lambda *_, **__: dot  # type: ignore[assignment]
    import viz.chart
    import viz.figure

    viz.chart.draw_chart = lambda *_, **__: None  # type: ignore[assignment]
    viz.figure.figure_bytes = lambda *_, **__: DOT


def sheets(name: str, copy: Copy) -> tuple[Sheet, list[Piece]]:
    """Return the sheet of a sample and the pieces on it, dots for its pictures."""
    if (SAMPLES / name).is_dir():
        whole = toy(name)
        made = toysheet.sheet_of_solved(whole, copy, folder=SAMPLES / name, forms=False)
        return made, [whole.parts[each.name].piece for each in whole.toy.as_worked]
    one = part(name)
    title = one.part.title
    picture = Picture(DOT, "svg", "A dot.")
    told_part = SheetPart(name=title, solved=one, charts=charts_of(one, copy, title))
    whole_part = Whole(title=title, lines=one.part.own_lines, pictures=(picture,))
    return sheet_of(whole_part, [told_part], copy), [one.piece]


def texts(made: Sheet, *, pdf: bool = True) -> Iterator[tuple[str, str]]:
    """Yield the text of a sheet in each form."""
    yield "txt", as_text(made)
    page = re.sub(r"(?s)<(script|style|section).*?</\1>", "", as_page(made))
    page = re.sub(r"</(li|p|h\d|tr|ul|ol)>", "\n", page)
    yield "html", html.unescape(re.sub(r"<[^>]*>", " ", page))
    if not pdf:
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.pdf"
        path.write_bytes(as_pdf(made))
        done = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, check=True, timeout=60)
        yield "pdf", done.stdout.decode()


def wrong(text: str, pieces: list[Piece]) -> str:
    """Return what differs; empty where all reads back."""
    proof = proof_read(text)
    for line in proof.lines:
        for problem in line.problems:
            return f"not clean: {line.text[:120]!r}: {problem.message}"
    read = converted(proof)
    if len(read) != len(pieces):
        return f"{len(read)} parts instead of {len(pieces)}: " + "; ".join(
            str(len(one.piece.rounds)) if one.piece else one.reason for one in read
        )
    for one, piece in zip(read, pieces, strict=True):
        if one.piece is None:
            return f"no piece: {one.reason}"
        if one.piece.rounds != piece.rounds:
            return "other rounds"
        if one.piece.start is not piece.start or one.piece.finish is not piece.finish:
            return f"start {one.piece.start}, finish {one.piece.finish}, not {piece.start}, {piece.finish}"
    return ""


def main() -> None:
    """Write, take the text out, read it, compare."""
    words = sys.argv[1:]
    keep = "--keep" in words
    words = [word for word in words if word != "--keep"]
    without_pictures()
    names = sorted(p.stem for p in SAMPLES.glob("*.toml")) + sorted(
        p.parent.name for p in SAMPLES.glob("*/*.toml") if is_toy(p)
    )
    done = bad = 0
    for name in names:
        for copy in copies():
            label = f"{name} {told(copy)}"
            if not all(any(w in label for w in word.split("|")) for word in words):
                continue
            made, pieces = sheets(name, copy)
            for kind, text in texts(made):
                done += 1
                if what := wrong(text, pieces):
                    bad += 1
                    print(f"{label} {kind}: {what}", flush=True)
                    if keep:
                        Path(f"{name}-{told(copy)}.{kind}.txt").write_text(text, encoding="utf-8")
    print(f"{done} texts, {bad} read back otherwise")


if __name__ == "__main__":
    main()
