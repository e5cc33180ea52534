"""`plumpline proof`: written rounds, proof-read line by line, and written anew."""

from __future__ import annotations

import json
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.errors import shown
from solver.files.inputs import note_input

if TYPE_CHECKING:
    from solver.notation.finding import Finding
    from solver.notation.proof import Proof, ProofLine

#: Longest file that is read. [bytes]
LARGEST = 20_000_000

_KEPT = "\t\n\r\f\v\x1c\x1d\x1e\x85"
_VISIBLE = {code: shown(chr(code)) for code in (*range(0x20), *range(0x7F, 0xA0)) if chr(code) not in _KEPT}
"""Control characters of a page as pictures of them: what a terminal would obey is shown, not passed on."""


@click.command(
    short_help="Proof-read written rounds.",
    epilog="\b\nExample, the rounds in a text file, each line with what it makes and needs:\n"
    "  plumpline proof rounds.txt\n"
    "and the same rounds in one clean style:\n"
    "  plumpline proof rounds.txt --rewrite --terms UK --spelled",
)
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--json", "as_json", is_flag=True, help="Give the result as data (JSON) instead of text.")
@click.option("--rewrite", is_flag=True, help="Write the rounds anew, in one clean style.")
@click.option(
    "--terms",
    type=click.Choice(["US", "UK"], case_sensitive=False),
    help="Words to rewrite in; left out: those of the page.",
)
@click.option(
    "--spelled", is_flag=True, help="Rewrite with every round in full: no brackets, no abbreviations."
)
@click.option("--problems", "only", is_flag=True, help="Show only the lines where something is wrong.")
def proof(file: Path, as_json: bool, rewrite: bool, terms: str | None, spelled: bool, only: bool) -> None:
    """Check written rounds: does each line use the stitches it has, make its count, follow the one before?

    FILE is plain text with the rounds as they were written, in any notation; "-" reads from standard input.
    Ends with 0 when all is well, 1 when something is wrong, 2 when there is nothing that can be read.
    """
    from solver.notation.proof import proof_read

    found = proof_read(page_text(file))
    _check_rounds(found, file)
    if as_json:
        click.echo(json.dumps(as_dict(found), indent=2, ensure_ascii=False, allow_nan=False))
    elif rewrite:
        click.echo("\n".join(rewritten(found, terms=terms, spelled=spelled)))
    else:
        click.echo("\n".join(_report(found, file, only=only)))
    if not found.clean:
        sys.exit(1)


def page_text(file: Path) -> str:
    """Return the text of a file of written rounds.

    Raises
    ------
    InputError
        If it is missing, a folder, too large, or not text.
    """
    from solver.errors import InputError, Problem

    try:
        if str(file) == "-":
            raw = sys.stdin.buffer.read(LARGEST + 1)
        else:
            if file.exists() and not (file.is_file() or file.is_dir()):
                rule = "a page is a plain file; one from another program comes in by way of -"
                raise InputError(Problem(rule, file=str(file)))
            note_input(file)
            with file.open("rb") as stream:
                raw = stream.read(LARGEST + 1)
    except OSError as error:
        what = error.strerror or "it can't be opened"
        raise InputError(
            Problem(
                "the file with the rounds can be read",
                got=what,
                remedy="Give the path of a text file.",
                file=str(file),
            )
        ) from None
    if len(raw) > LARGEST:
        raise InputError(
            Problem(
                "a file of written rounds is at most 20 MB", got=f"{len(raw)} bytes and more", file=str(file)
            )
        )
    text = _decoded(raw)
    text = None if text is None else text.translate(_VISIBLE)
    if text is None:
        raise InputError(
            Problem(
                "the file holds plain text",
                got="something else, such as a PDF, a picture or a word processor's file",
                remedy="Copy the rounds into a plain text file.",
                file=str(file),
            )
        )
    return text


def _decoded(raw: bytes) -> str | None:
    """Return bytes as text in the first encoding that fits; None when they are no text."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace")
    if raw.startswith((b"%PDF", b"PK\x03\x04", b"\x89PNG", b"\xff\xd8")) or b"\x00" in raw[:4096]:
        return None
    for encoding in ("utf-8-sig", "cp1251" if _mostly_cyrillic(raw) else "cp1252"):
        try:
            return raw.decode(encoding)
        except UnicodeDecodeError:
            continue
    return raw.decode("latin-1")


def _mostly_cyrillic(raw: bytes) -> bool:
    high = [byte for byte in raw[:20_000] if byte >= 0xC0]
    return len(high) > 0.2 * len(raw[:20_000])


def _check_rounds(found: Proof, file: Path) -> None:
    from solver.errors import InputError, Problem

    if not any(line.made is not None for line in found.lines):
        raise InputError(
            Problem(
                "the file has at least one round that can be read",
                got="none",
                remedy='Rounds look like "Rnd 2: inc x 6 (12)".',
                file=str(file),
            )
        )


# ---- data --------------------------------------------------------------------------------------------------


def as_dict(found: Proof) -> dict[str, Any]:
    """Return a proof-read page as plain data."""
    return {
        "terms": found.terms,
        "terms_declared": found.declared,
        "language": found.language,
        "lines": [_line_dict(line) for line in found.lines],
        "rounds": list(_round_dicts(found)),
    }


def _line_dict(line: ProofLine) -> dict[str, Any]:
    return {
        "line": line.line,
        "text": line.text,
        "label": line.label,
        "rounds": list(line.rounds),
        "stated": line.stated,
        "made": line.made,
        "needed": line.needed,
        "available": line.available,
        "reading": line.reading,
        "counts": list(line.counts),
        "notes": list(line.notes),
        "part": line.part,
        "problems": [
            {
                "kind": one.kind,
                "message": one.message,
                "fix": one.fix,
                "mended": one.mended,
                "start": one.start,
                "end": one.end,
            }
            for one in line.problems
        ],
    }


def _round_dicts(found: Proof) -> Iterator[dict[str, Any]]:
    from solver.notation.convert import round_of
    from solver.notation.words import words
    from solver.notation.writer import round_text
    from solver.rounds import Round

    table = words(found.terms or "US")
    for line in found.lines:
        for i, acts in enumerate(line.stitches):
            one = round_of(acts)
            yield {
                "part": line.part,
                "number": line.rounds[i] if i < len(line.rounds) else None,
                "count": line.counts[i],
                "text": round_text(one, table) if isinstance(one, Round) else line.reading,
                "increases": sum(max(act.makes - max(act.uses, 1), 0) for act in acts),
                "decreases": sum(max(act.uses - max(act.makes, 1), 0) for act in acts),
                "stitches": [_name(act.stitch, act.uses, act.makes) for act in acts if act.uses or act.makes],
            }


def _name(stitch: str, uses: int, makes: int) -> str:
    if (uses, makes) in ((1, 1), (0, 1), (1, 0)):
        return stitch
    shaping = f"inc{makes if makes > 2 else ''}" if makes > uses else f"dec{uses if uses > 2 else ''}"
    return shaping if stitch == "sc" else f"{stitch} {shaping}"


# ---- rewriting ---------------------------------------------------------------------------------------------


def rewritten(found: Proof, *, terms: str | None, spelled: bool) -> Iterator[str]:
    """Yield a page's rounds in one clean style, part by part."""
    from solver.errors import InputError
    from solver.notation.convert import converted
    from solver.notation.writer import standing_notes, write_rounds

    words = terms or found.terms or "US"
    several = len({line.part for line in found.lines}) > 1
    for one in converted(found):
        if several:
            yield f"{'' if one.part == 0 else chr(10)}Part {one.part + 1}"
        if one.piece is None:
            yield from _as_read(found, one.part, words, spelled=spelled)
            yield f"(Not a whole piece: {one.reason}.)"
            continue
        try:
            yield from (line.text for line in write_rounds(one.piece, terms=words, spelled=spelled))
            if one.part == 0:
                yield ""
                yield from (f"- {note}" for note in standing_notes(one.piece, terms=words, spelled=spelled))
        except InputError as error:
            yield from _as_read(found, one.part, words, spelled=spelled)
            yield f"({error})"


def _as_read(found: Proof, part: int, terms: str, *, spelled: bool) -> Iterator[str]:
    """Yield the rounds of a part that is no whole piece, each on a line of its own."""
    from solver.notation.convert import round_of
    from solver.notation.words import words
    from solver.notation.writer import round_text
    from solver.rounds import Round

    table = words(terms)
    style = "spelled" if spelled else "terse"
    for line in found.lines:
        if line.part != part:
            continue
        for i, acts in enumerate(line.stitches):
            one = round_of(acts)
            items = round_text(one, table, spelled=spelled) if isinstance(one, Round) else line.reading
            number = line.rounds[i] if i < len(line.rounds) else 0
            yield table.say(
                style, "round", first=number, last=number, items=items, count=line.counts[i], n=line.counts[i]
            )


# ---- the report --------------------------------------------------------------------------------------------


def _report(found: Proof, file: Path, *, only: bool) -> Iterator[str]:
    wrong = [line for line in found.lines if line.problems]
    terms = (
        f"{found.terms} terms ({'declared' if found.declared else 'told by the words'})"
        if found.terms
        else found.language
    )
    yield f"{file}: {len(found.lines)} lines with rounds, {terms}."
    yield ""
    for line in found.lines:
        if only and not line.problems:
            continue
        yield from _line_report(line)
    yield ""
    if wrong:
        yield f"Something is wrong on {len(wrong)} of {len(found.lines)} lines: {_listed(wrong)}."
    else:
        yield "Every line uses the stitches it has, makes what it says, and follows the one before."


def _listed(wrong: list[ProofLine]) -> str:
    numbers = [str(line.line) for line in wrong]
    return ", ".join(numbers[:12]) + (" ..." if len(numbers) > 12 else "")


def _line_report(line: ProofLine) -> Iterator[str]:
    head = f"{line.line:4}  "
    texts = line.text.split("\n")
    carets = _carets(line.problems, texts)
    for i, text in enumerate(texts):
        yield (head if i == 0 else " " * len(head)) + text
        if carets.get(i):
            yield " " * len(head) + carets[i]
    yield " " * len(head) + _sums(line)
    for note in line.notes:
        yield " " * len(head) + note
    seen: set[str] = set()
    for one in line.problems:
        told = f"{one.kind.upper()}: {one.message}"
        if one.fix and one.fix not in seen:
            told += f" Mend: {one.fix}"
            seen.add(one.fix)
        yield " " * len(head) + told


def _sums(line: ProofLine) -> str:
    """Return what a line says, makes, needs and has."""
    if line.made is None:
        return "Not counted."
    says = f"says {line.stated}" if line.stated is not None else "says nothing"
    told = f"Makes {line.made}, {says}"
    if line.needed is not None and line.available is not None:
        told += f"; needs {line.needed}, has {line.available}"
    if len(line.counts) > 1:
        told += f"; {len(line.counts)} rounds"
    return f"{told}: {line.reading}"


def _carets(problems: tuple[Finding, ...], texts: list[str]) -> dict[int, str]:
    """Return a line of carets for each line of text that has a place marked."""
    marks: dict[int, str] = {}
    for one in problems:
        start = one.start
        for i, text in enumerate(texts):
            if start <= len(text):
                length = max(1, min(one.end - one.start, len(text) - start))
                row = " " * _width(text[:start]) + "^" * max(1, _width(text[start : start + length]))
                before = marks.get(i, "")
                marks[i] = "".join(
                    "^" if "^" in pair else " "
                    for pair in zip(before.ljust(len(row)), row.ljust(len(before)), strict=True)
                ).rstrip()
                break
            start -= len(text) + 1
    return marks


def _width(text: str) -> int:
    """Return the columns that a text takes on a terminal."""
    return sum(
        0 if unicodedata.combining(sign) else (2 if unicodedata.east_asian_width(sign) in "WF" else 1)
        for sign in text
    )
