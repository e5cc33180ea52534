"""Pages of rounds in files of several kinds: text, PDF with a text layer (ISO 32000), .docx (ECMA-376)."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from solver.errors import InputError
from solver.files.pagetext import page_text
from solver.notation.proof import proof_read

ROUNDS = ["Rnd 1: 6 sc in MR (6)", "Rnd 2: inc x 6 (12)", "Rnd 3: (sc, inc) x 6 (18)"]


def _pdf(lines: list[str]) -> bytes:
    """Return a PDF of one page, written by hand after ISO 32000-1, annex H (from memory)."""
    shown = " ".join(f"({line.replace('(', chr(92) + '(').replace(')', chr(92) + ')')}) '" for line in lines)
    stream = f"BT /F1 12 Tf 14 TL 72 720 Td {shown} ET".encode()
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Contents 4 0 R/Resources<</Font<</F1 5 0 R>>>>>>",
        b"<</Length %d>>stream\n%s\nendstream" % (len(stream), stream),
        b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
    ]
    out, places = io.BytesIO(b"%PDF-1.4\n"), []
    out.seek(0, io.SEEK_END)
    for number, body in enumerate(objects, start=1):
        places.append(out.tell())
        out.write(b"%d 0 obj%s endobj\n" % (number, body))
    start = out.tell()
    out.write(b"xref\n0 6\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % place for place in places))
    out.write(b"trailer<</Size 6/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % start)
    return out.getvalue()


def _made(file: Path) -> list[int | None]:
    return [line.made for line in proof_read(page_text(file)).lines]


def test_the_text_layer_of_a_pdf_is_read(tmp_path: Path) -> None:
    """Rounds of a PDF come out as those of a text."""
    file = tmp_path / "rounds.pdf"
    file.write_bytes(_pdf(ROUNDS))
    assert _made(file) == [6, 12, 18]


def test_paragraphs_lists_and_tables_of_a_docx_are_read(tmp_path: Path) -> None:
    """A list that the word processor counts keeps its numbers."""
    import docx

    document = docx.Document()
    document.add_heading("Funnel")
    for line in ROUNDS[:2]:
        document.add_paragraph(line.split(": ")[1], style="List Number")
    row = document.add_table(1, 2).rows[0].cells
    row[0].text, row[1].text = "Rnd 3:", "(sc, inc) x 6 (18)"
    file = tmp_path / "rounds.docx"
    document.save(str(file))
    assert page_text(file).splitlines()[:2] == ["Funnel", "1. 6 sc in MR (6)"]
    assert _made(file) == [6, 12, 18]


def test_pictures_of_text_and_other_files_are_refused_with_a_reason(tmp_path: Path) -> None:
    """A picture, a PDF of pictures, a damaged file, a packed one: each is told what it is."""
    png = tmp_path / "rounds.png"
    Image.new("RGB", (4, 4)).save(png)
    cases = {png: "PNG picture"}
    for name, raw, reason in (
        ("scan.pdf", _pdf([]), "without a text layer"),
        ("cut.pdf", _pdf(ROUNDS)[:60], "damaged PDF"),
        ("cut.docx", b"PK\x03\x04 and no more", "damaged .docx"),
        ("old.doc", b"\xd0\xcf\x11\xe0\x00", "word processor"),
        ("page.rtf", b"{\\rtf1 rounds}", "rich text"),
        ("bytes.txt", b"\x00\x01", "something else"),
    ):
        cases[tmp_path / name] = reason
        (tmp_path / name).write_bytes(raw)
    for file, reason in cases.items():
        with pytest.raises(InputError, match=reason):
            page_text(file)
