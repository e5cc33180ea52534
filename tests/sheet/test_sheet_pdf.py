"""The printed sheet keeps to PDF/UA-1 (ISO 14289-1), and its tags say what is on the page.

The typesetting library refuses what breaks the standard; here the tags themselves are looked at.
"""

from __future__ import annotations

import io
import shutil
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from sheets import HOSTILE, extracted, sheet

from solver.errors import InputError
from solver.sheet.model import Copy, Paper
from solver.sheet.printed import as_pdf
from solver.wanted.own_lines import OwnLines

needs_poppler = pytest.mark.skipif(
    shutil.which("pdftotext") is None, reason="there is no pdftotext (poppler)"
)


def tags(pdf: pikepdf.Pdf) -> list[tuple[str, Any]]:
    """Return the tags of a document in reading order."""

    def walk(element: Any) -> Iterator[tuple[str, Any]]:
        if isinstance(element, pikepdf.Array):
            for each in element:
                yield from walk(each)
        elif isinstance(element, pikepdf.Dictionary):
            if "/S" in element:
                yield str(element.S), element
            if "/K" in element:
                yield from walk(element.K)

    return list(walk(pdf.Root.StructTreeRoot.K))


@pytest.mark.parametrize("copy", [Copy(), Copy(large=True, terms="UK"), Copy(terms="de", tester=True)])
def test_tags(copy: Copy) -> None:
    """Title, language, headings in order, a list, a table with heads, words for each picture."""
    made = sheet("gull-head", copy)
    with pikepdf.open(io.BytesIO(as_pdf(made))) as pdf:
        assert str(pdf.Root.Lang) == made.language
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        assert pdf.Root.MarkInfo.Marked
        with pdf.open_metadata() as about:
            assert about["dc:title"] == made.title
            assert about["pdfuaid:part"] == "1"
        found = tags(pdf)
    names = [name for name, _ in found]
    levels = [int(name[2]) for name in names if name.startswith("/H") and name[2:].isdigit()]
    assert levels[0] == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))
    figures = [element for name, element in found if name == "/Figure"]
    assert [str(each.Alt) for each in figures] == ["A dot."]
    tables = 0 if copy.large else 1  # large letters have no room beside each other
    assert names.count("/Table") == tables
    assert names.count("/TH") == tables * (4 if copy.terms == "de" else 5)  # yards in English alone
    assert "/L" in names


@pytest.mark.parametrize(("paper", "size"), [(Paper.A4, (595.28, 841.89)), (Paper.LETTER, (612.0, 792.0))])
def test_paper(paper: Paper, size: tuple[float, float]) -> None:
    """Sizes of ISO 216 A4 and of ANSI Letter, in points."""
    with pikepdf.open(io.BytesIO(as_pdf(sheet("puffin-foot", Copy(paper=paper))))) as pdf:
        box = [float(each) for each in pdf.pages[0].mediabox]
    assert box[2:] == pytest.approx(size, abs=0.1)


@needs_poppler
def test_large_letters_are_24_point() -> None:
    """Every letter of a round: content streams are looked at, not the template."""
    with pikepdf.open(io.BytesIO(as_pdf(sheet("puffin-foot", Copy(large=True))))) as pdf:
        sizes = {
            round(float(operands[1]), 1)
            for page in pdf.pages
            for operands, operator in pikepdf.parse_content_stream(page)
            if str(operator) == "Tf"
        }
    assert 24.0 in sizes
    assert min(sizes) >= 11.0


@needs_poppler
@pytest.mark.parametrize("title", [HOSTILE, "x" * 10_000, "#" * 300])
def test_hostile_title_is_text(title: str) -> None:
    """What looks like a program is printed as it is."""
    made = sheet("puffin-foot", Copy(), title=title, lines=OwnLines(by=HOSTILE, thanks=HOSTILE))
    pdf = as_pdf(made, by=HOSTILE)
    text = "".join(extracted(pdf).split())
    for word in ("#let", "$a^2$", "</script>", "*bold*", "_x_", "@ref", "&amp;"):
        assert text.count(word) >= 2
    with pikepdf.open(io.BytesIO(pdf)) as read, read.open_metadata() as about:
        shown = about["dc:title"].replace("\N{ZERO WIDTH SPACE}", "")
    assert "".join(shown.split()) == "".join(title.split())


def test_own_template(tmp_path: Path) -> None:
    """A template of her own is set; what is wrong with it is told with its name."""
    template = tmp_path / "mine.typ"
    template.write_text('#set document(title: "Mine")\n#set text(lang: "en")\n#title()\n', encoding="utf-8")
    made = sheet("puffin-foot", Copy())
    with pikepdf.open(io.BytesIO(as_pdf(made, template=template))) as pdf, pdf.open_metadata() as about:
        assert about["dc:title"] == "Mine"
    template.write_text("= No title\n#nonsense(", encoding="utf-8")
    with pytest.raises(InputError, match=r"mine\.typ"):
        as_pdf(made, template=template)
    with pytest.raises(InputError, match="template"):
        as_pdf(made, template=tmp_path / "missing.typ")


def test_no_picture_without_words() -> None:
    """The library refuses a picture that has no words: the check is on."""
    made = sheet("puffin-foot", Copy())
    silent = tuple(replace(each, words="") if hasattr(each, "data") else each for each in made.blocks)
    with pytest.raises(InputError, match="UA-1"):
        as_pdf(replace(made, blocks=silent))
