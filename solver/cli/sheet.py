"""`plumpline sheet`: a pattern to print, to sell, to read with the fingers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.progress import Report, progress
from solver.cli.sheetpictures import charts_of, photo_of, portrait
from solver.cli.work import RESULT, part_file, part_of, say_written, solved_part, toy_of
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.sheet.contents import SheetPart
    from solver.sheet.model import Copy, Sheet, Step
    from solver.solving.solved import Solved
    from solver.wanted.own_lines import OwnLines
    from solver.wanted.part import AnyPart

SHEETS = (".pdf", ".html", ".txt")
_MOST_SIZES = 6


@click.command(
    short_help="A pattern to print, to sell, to read with the fingers.",
    epilog="\b\nExample, the gull's head to print, and the same for low vision:\n"
    "  plumpline sheet samples/gull-head.toml --out gull.pdf\n"
    "  plumpline sheet samples/gull-head.toml --large --out gull-large.pdf\n"
    "a page to work from that keeps your place, and a text for a braille display:\n"
    "  plumpline sheet samples/gull-head.toml --out gull.html\n"
    "  plumpline sheet samples/gull-head.toml --spelled --out gull.txt",
)
@part_file
@click.option("--out", type=RESULT, metavar="FILE", help="Where to: .pdf, .html or .txt. Left out: FILE.pdf.")
@click.option(
    "--large", is_flag=True, help="For low vision: 24 point, one column, every round on its own line."
)
@click.option("--spelled", is_flag=True, help="Every stitch told: no brackets, no abbreviations.")
@click.option("--terms", type=click.Choice(["US", "UK"], case_sensitive=False), help="US or UK words.")
@click.option("--language", metavar="CODE", help="Another language: de, es, fr, ja, nl, pt, ru, vi.")
@click.option("--tester", is_flag=True, help="For a tester: wide margins, questions, and room to write.")
@click.option("--left", is_flag=True, help="For left-handed makers: pictures and charts mirrored.")
@click.option(
    "--paper", type=click.Choice(["a4", "letter"], case_sensitive=False), default="a4", show_default=True
)
@click.option("--sizes", metavar="TEXT", help='Several sizes by height, like "S=18 cm, M=22 cm, L=28 cm".')
@click.option(
    "--from",
    "rounds",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Rounds as somebody wrote them, laid out as they are, at the part file's gauge.",
)
def sheet(file: Path, out: Path | None, rounds: Path | None, sizes: str | None, **options: Any) -> None:
    """Write the pattern of a part or a toy as a document.

    The part file's own lines go on it, from its table [sheet]: by, shop_line, licence, thanks, skill, hook,
    yarn, ball, photo.
    The PDF can be read by reading voices (PDF/UA-1); [sheet] template names a template of your own.
    """
    from solver.files.outfile import extension_of

    out = out or Path(f"{file.stem}.pdf")
    extension = extension_of(out, SHEETS, what="a sheet")
    if whole := toy_of(file):
        from solver.cli.toysheet import toy_sheet

        if rounds or sizes:
            rule = "--from and --sizes are for a part, and this file is a whole toy"
            raise InputError(Problem(rule, remedy="Name the part's own file.", file=str(file)))
        copy = _copy(whole.parts[0].part.work.terms, **options)
        made = toy_sheet(whole, copy, folder=file.parent, forms=extension == ".html")
        _finish(made, out, whole.own_lines, file.parent)
        return
    part = part_of(file)
    copy = _copy(part.work.terms, **options)
    if rounds and sizes:
        raise InputError(Problem("rounds that somebody wrote have one size", remedy="Leave out --sizes."))
    if rounds:
        told = [_part_from(part, rounds, copy)]
    elif sizes:
        told = [_part(one, copy, label=label) for label, one in _sized(part, sizes)]
    else:
        told = [_part(solved_part(part), copy)]
    made = _sheet(part, told, copy, file.parent, extension)
    _finish(made, out, part.own_lines, file.parent)


def _finish(made: Sheet, out: Path, own: OwnLines, folder: Path) -> None:
    """Write a sheet to its file, and tell what stands in English."""
    from solver.files.outfile import replacing

    written = _written(made, out.suffix.lower(), own, folder)
    with replacing(out) as temporary:
        temporary.write_bytes(written)
    if made.missing:
        click.echo(f"Not told in {made.language} yet, so in English: {', '.join(made.missing)}.", err=True)
    say_written(out)


def _copy(own: str, *, terms: str | None, language: str | None, paper: str, **options: Any) -> Copy:
    from solver.sentences.say import languages
    from solver.sheet.model import Copy, Paper

    if language and language.lower() in ("en", "en-us", "en-uk", "en-gb"):
        terms, language = terms or ("US" if language.lower() == "en-us" else None), None
    if language and terms:
        rule = "US and UK are terms of English"
        raise InputError(Problem(rule, got=f"--language {language}", remedy="Leave out --terms."))
    if language and language not in languages():
        known = ", ".join(("en", *languages()))
        raise InputError(Problem("the language has a word table", got=language, remedy=f"Known: {known}."))
    if language and options["spelled"]:
        rule = "rounds are spelled out in English alone"
        raise InputError(Problem(rule, got=f"--language {language}", remedy="Leave out --spelled."))
    told = language or (terms.upper() if terms else own)
    return Copy(terms=told, paper=Paper(paper.lower()), **options)


@dataclass(frozen=True, slots=True)
class _Size:
    label: str
    height: float


def _sized(part: AnyPart, text: str) -> list[tuple[str, Solved]]:
    """Return the part at several heights of its stuffed form."""
    from solver.tuning.scale import check_scaled, scaled_to
    from solver.units import to_mm

    sizes: list[_Size] = []
    for piece in text.split(","):
        label, _, height = (each.strip() for each in piece.rpartition("="))
        if not label or not height:
            remedy = 'Write it like --sizes "S=18 cm, M=22 cm".'
            raise InputError(Problem("a size has a name and a height", got=piece.strip(), remedy=remedy))
        if label in (size.label for size in sizes):
            remedy = 'Write it like --sizes "S=18 cm, M=22 cm".'
            raise InputError(Problem("each size has a name of its own", got=label, remedy=remedy))
        sizes.append(_Size(label[:40], to_mm(height)))
    if len(sizes) > _MOST_SIZES:
        raise InputError(Problem(f"a sheet has at most {_MOST_SIZES} sizes", got=str(len(sizes))))
    for size in sizes:
        check_scaled(part, "height", size.height)
    found = []
    with progress("Solving each size") as report:
        for done, size in enumerate(sizes):
            share = partial(_report_within, report, done, len(sizes))
            found.append((size.label, scaled_to(part, measure="height", target=size.height, progress=share)))
    return found


def _report_within(report: Report, done: int, many: int, share: float) -> None:
    """Report the share of one of several pieces of work."""
    report((done + share) / many)


def _part(solved: Solved, copy: Copy, *, label: str = "") -> SheetPart:
    from solver.sheet.contents import SheetPart

    name = solved.part.title
    charts = charts_of(solved, copy, f"{name}, {label}" if label else name)
    return SheetPart(name=name, solved=solved, label=label, pictures=(portrait(solved, copy),), charts=charts)


def _part_from(part: AnyPart, rounds: Path, copy: Copy) -> SheetPart:
    """Return a part with the rounds that somebody wrote, and the form that they become."""
    from solver.cli.written import added_up, written
    from solver.files.pagetext import page_text
    from solver.sheet.contents import SheetPart
    from solver.solving.again import with_rounds

    read = written(rounds)
    for note in read.notes:
        click.echo(note, err=True)
    base = solved_part(part)
    piece = replace(added_up(read, rounds), finish=base.piece.finish)
    with progress("Solving the form"):
        solved = with_rounds(base, piece)
    steps = _steps_from(page_text(rounds))
    return SheetPart(
        name=part.title,
        solved=solved,
        pictures=(portrait(solved, copy),),
        charts=charts_of(solved, copy, part.title),
        told=steps,
    )


def _steps_from(text: str) -> tuple[Step, ...]:
    """Return the lines of a page as they are; those with rounds have boxes."""
    from solver.notation.proof import proof_read
    from solver.sheet.model import Step

    numbers: dict[int, tuple[int, ...]] = {}
    goes_on: set[int] = set()
    for line in proof_read(text).lines:
        if line.rounds and line.counts:
            numbers[line.line] = line.rounds
            goes_on |= set(range(line.line + 1, line.line + 1 + line.text.count("\n")))
    steps: list[Step] = []
    for number, written_line in enumerate(text.splitlines(), start=1):
        shown = written_line.strip()
        if number in goes_on and steps:
            steps[-1] = replace(steps[-1], text=f"{steps[-1].text} {shown}")
        elif shown:
            own = numbers.get(number, (0,))
            steps.append(Step(shown, own[0], own[-1]))
    return tuple(steps)


def _sheet(part: AnyPart, told: list[SheetPart], copy: Copy, folder: Path, extension: str) -> Sheet:
    from solver.sheet.contents import Whole, sheet_of

    own = part.own_lines
    pictures = (photo_of(own.photo, folder, part.title, copy),) if own.photo else told[-1].pictures
    if not own.photo and len(told) == 1:
        told = [replace(told[0], pictures=())]
    whole = Whole(title=part.title, lines=own, pictures=pictures)
    return sheet_of(whole, told, copy, forms=extension == ".html")


def _written(made: Sheet, extension: str, own: OwnLines, folder: Path) -> bytes:
    if extension == ".txt":
        from solver.sheet.text import as_text

        return as_text(made).encode()
    if extension == ".html":
        from solver.sheet.webpage import as_page

        return as_page(made).encode()
    from solver.sheet.printed import as_pdf

    return as_pdf(made, template=folder / own.template if own.template else None, by=own.by)
