"""The text of a page of written rounds: plain text in any usual encoding, a PDF's text layer, a .docx."""

from __future__ import annotations

import io
import sys
import zipfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from solver.errors import InputError, Problem, shown
from solver.files.inputs import note_input

if TYPE_CHECKING:
    from docx.text.paragraph import Paragraph

#: Longest file that is read, and most bytes that a packed one may unfold to.
LARGEST, UNPACKED = 20_000_000, 200_000_000
#: Most pages of a PDF.
MOST_PAGES = 300
#: Letters on a page, on average, below which a PDF holds pictures of text.
_LETTERS = 12
#: Bytes from this one up make this share of a Cyrillic page of an old encoding; of a Latin page they are few.
_HIGH, _MANY = 0xC0, 0.2

_KEPT = "\t\n\r\f\v\x1c\x1d\x1e\x85"
_VISIBLE = {code: shown(chr(code)) for code in (*range(0x20), *range(0x7F, 0xA0)) if chr(code) not in _KEPT}
"""Control characters of a page as pictures of them: what a terminal would obey is shown, not passed on."""

_PICTURES = {
    b"\x89PNG": "a PNG picture",
    b"\xff\xd8": "a JPEG picture",
    b"GIF8": "a GIF picture",
    b"RIFF": "a WebP picture",
    b"II*\x00": "a TIFF picture",
    b"MM\x00*": "a TIFF picture",
}
_OTHERS = {
    b"{\\rtf": "a rich text file (.rtf)",
    b"\xd0\xcf\x11\xe0": "an old word processor's file (.doc)",
    b"\x1f\x8b": "a packed file",
}


def page_text(file: Path) -> str:
    """Return the text of a file of written rounds, control characters shown; "-" is standard input.

    Raises
    ------
    InputError
        If it is missing, a folder, too large, or holds no text.
    """
    return _text(file).translate(_VISIBLE)


def _text(file: Path) -> str:
    raw = _bytes_of(file)
    if raw.startswith(b"%PDF"):
        return _of_pdf(raw, file)
    if raw.startswith(b"PK\x03\x04"):
        return _of_docx(raw, file)
    for start, what in {**_PICTURES, **_OTHERS}.items():
        if raw.startswith(start):
            way = (
                "Type the rounds into a text file" if start in _PICTURES else "Save it as plain text or .docx"
            )
            raise _unreadable(file, what, f"{way}: nothing is read from pictures of text.")
    text = _decoded(raw)
    if text is None:
        raise _unreadable(file, "something else", "Copy the rounds into a plain text file.")
    return text


def _bytes_of(file: Path) -> bytes:
    try:
        if str(file) == "-":
            raw = sys.stdin.buffer.read(LARGEST + 1)
        else:
            with file.open("rb") as stream:
                note_input(file)
                raw = stream.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        what = getattr(error, "strerror", None) or "it can't be opened"
        rule = "the file with the rounds can be read"
        remedy = "Give the path of a text file, a PDF or a .docx."
        raise InputError(Problem(rule, got=what, remedy=remedy, file=str(file))) from None
    if len(raw) > LARGEST:
        got = f"{len(raw)} bytes and more"
        raise InputError(Problem("a file of written rounds is at most 20 MB", got=got, file=str(file)))
    return raw


def _unreadable(file: Path, what: str, remedy: str) -> InputError:
    rule = "the file holds plain text, a PDF with a text layer, or a .docx"
    return InputError(Problem(rule, got=what, remedy=remedy, file=str(file)))


# ---- plain text --------------------------------------------------------------------------------------------


def _decoded(raw: bytes) -> str | None:
    """Return bytes as text in the first encoding that fits; None when they are no text."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace")
    if b"\x00" in raw[:4096]:
        return None
    for encoding in ("utf-8-sig", "cp1251" if _mostly_cyrillic(raw) else "cp1252"):
        try:
            return raw.decode(encoding)
        except UnicodeDecodeError:
            continue
    return raw.decode("latin-1")


def _mostly_cyrillic(raw: bytes) -> bool:
    sample = raw[:20_000]
    return sum(byte >= _HIGH for byte in sample) > _MANY * len(sample)


# ---- PDF ---------------------------------------------------------------------------------------------------


def _of_pdf(raw: bytes, file: Path) -> str:
    """Return the text layer of a PDF."""
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    try:
        reader = PdfReader(io.BytesIO(raw))
        if reader.is_encrypted and not reader.decrypt(""):
            raise _unreadable(file, "a PDF with a password", "Save it without one.")
        if len(reader.pages) > MOST_PAGES:
            raise _unreadable(file, f"a PDF of {len(reader.pages)} pages", f"Keep to {MOST_PAGES}.")
        pages = [page.extract_text() for page in reader.pages]
    except InputError:
        raise
    except (PyPdfError, ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError, OSError):
        raise _unreadable(
            file, "a damaged PDF", "Save it anew, or copy the rounds into a text file."
        ) from None
    text = "\n".join(pages)
    if sum(sign.isalnum() for sign in text) < _LETTERS * max(len(pages), 1):
        remedy = "Its pages are pictures of text. Type the rounds into a text file."
        raise _unreadable(file, "a PDF without a text layer", remedy)
    return text


# ---- .docx -------------------------------------------------------------------------------------------------


def _of_docx(raw: bytes, file: Path) -> str:
    """Return the paragraphs and tables of a .docx, in order, lists with their numbers."""
    import docx
    from docx.opc.exceptions import OpcError
    from docx.text.paragraph import Paragraph

    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            if sum(one.file_size for one in packed.infolist()) > UNPACKED:
                raise _unreadable(file, "a file that unfolds to over 200 MB", "Leave its pictures out.")
            if "word/document.xml" not in packed.namelist():
                raise _unreadable(file, "another packed file", "Save it as .docx or plain text.")
        document = docx.Document(io.BytesIO(raw))
        numbers: Counter[tuple[int, int]] = Counter()
        lines: list[str] = []
        for block in document.iter_inner_content():
            if isinstance(block, Paragraph):
                lines += _paragraph(block, numbers)
            else:
                lines += (" ".join(cell.text for cell in row.cells) for row in block.rows)
    except InputError:
        raise
    except (OpcError, zipfile.BadZipFile, KeyError, ValueError, AttributeError, SyntaxError, OSError):
        raise _unreadable(file, "a damaged .docx", "Save it anew, or as plain text.") from None
    return "\n".join(lines)


def _paragraph(block: Paragraph, numbers: Counter[tuple[int, int]]) -> Iterator[str]:
    """Yield a paragraph with the number that the word processor shows before it."""
    place = _numbered(block)
    if place is None:
        yield block.text
        return
    numbers[place] += 1
    yield f"{numbers[place]}. {block.text}"


def _numbered(block: Paragraph) -> tuple[int, int] | None:
    """Return the list and the level of a paragraph that is counted; None for bullets and plain ones."""
    style: Any = block.style
    told = [
        one for one in (block._p.pPr, style.element.pPr if style is not None else None) if one is not None
    ]
    counted: Any = next((one.numPr for one in told if one.numPr is not None), None)
    if counted is None or counted.numId is None:
        return None
    level = counted.ilvl.val if counted.ilvl is not None else 0
    number = counted.numId.val
    try:
        part: Any = block.part
        root: Any = part.numbering_part.element
    except (KeyError, NotImplementedError):
        return None
    found = root.xpath(f"./w:num[@w:numId='{int(number)}']/w:abstractNumId/@w:val")
    if not found:
        return None
    path = (
        f"./w:abstractNum[@w:abstractNumId='{int(found[0])}']/w:lvl[@w:ilvl='{int(level)}']/w:numFmt/@w:val"
    )
    return (int(number), int(level)) if root.xpath(path)[:1] == ["decimal"] else None
