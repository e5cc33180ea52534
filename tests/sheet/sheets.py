"""Sheets of the samples for the tests, each part solved once."""

from __future__ import annotations

import subprocess
import tempfile
from functools import cache
from pathlib import Path

from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.partfile import load
from solver.rounds import Piece
from solver.sheet.contents import SheetPart, Whole, sheet_of
from solver.sheet.model import Copy, Picture, Sheet
from solver.solving.solved import Solved, solve
from solver.wanted.own_lines import OwnLines

ROOT = Path(__file__).parents[2]
SAMPLES = ("gull-head", "puffin-foot", "seal-snout", "lighthouse", "tug-hull")

HOSTILE = (
    "#let x = 1 $a^2$ \\n \\u{41} </script><b>&amp; \u05e9\u05dc\u05d5\u05dd hi 🧶 *bold* _x_ @ref \u202eabc"
)
"""A title that means something to each of the languages that a sheet is written in. Invented."""

DOT = b'<svg xmlns="http://www.w3.org/2000/svg" width="20" height="20"><circle cx="10" cy="10" r="8"/></svg>'


@cache
def solved(name: str) -> Solved:
    """Return a sample, solved."""
    return solve(load(ROOT / "samples" / f"{name}.toml"))


def sheet(
    name: str, copy: Copy, *, title: str = "", lines: OwnLines | None = None, forms: bool = False
) -> Sheet:
    """Return the sheet of a sample for a copy."""
    one = solved(name)
    title = title or one.part.title
    picture = Picture(DOT, "svg", "A dot.")
    part = SheetPart(name=title, solved=one)
    whole = Whole(title=title, lines=lines or one.part.own_lines, pictures=(picture,))
    return sheet_of(whole, [part], copy, forms=forms)


def extracted(pdf: bytes) -> str:
    """Return the text of a PDF as poppler takes it out."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.pdf"
        path.write_bytes(pdf)
        done = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, check=True, timeout=60)
    return done.stdout.decode()


def read_back(text: str) -> Piece:
    """Return the last part that is read out of a text, which nothing is wrong with."""
    proof = proof_read(text)
    wrong = [(line.text, problem.message) for line in proof.lines for problem in line.problems]
    assert not wrong, wrong[:3]
    piece = converted(proof)[-1].piece
    assert piece is not None, converted(proof)[-1].reason
    return piece
