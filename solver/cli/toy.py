"""`plumpline toy`: a toy file begun from the part files of a folder, or read off a drawing."""

from __future__ import annotations

from pathlib import Path

import click

from solver.cli.work import TOY_RESULT, Finite, keep_others, length, say_written
from solver.errors import InputError, Problem, shown

_HEAD = """\
# A toy of the part files in this folder, begun by plumpline toy. Put the parts in order: the first stands on
# the ground, every other sits on another. What can't be known from the parts is guessed: look at each line.
title = {title}
"""


@click.command(
    short_help="Begin a toy file from part files, or from a drawing.",
    epilog="\b\nExamples, all part files of a folder; a drawing whose closed lines are the parts:\n"
    "  plumpline toy my-seal --out my-seal/toy.toml\n"
    '  plumpline toy docker.svg --height "22 cm" --out docker.toml',
)
@click.argument("source", metavar="FOLDER|DRAWING", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=TOY_RESULT,
    metavar="FILE",
    help="The toy file to write: .toml. Left out, of a drawing: a new one beside it, of its name.",
)
@click.option(
    "--height", callback=length, metavar="LENGTH", help="Of a drawing: how high the toy shall stand."
)
@click.option("--stitches", type=Finite(4, 100), default=24.0, help="For a drawing: to 10 cm.")
@click.option("--rows", type=Finite(4, 100), default=26.0, help="For a drawing: to 10 cm.")
def toy(source: Path, out: Path | None, height: float | None, stitches: float, rows: float) -> None:
    """Begin a toy file, to be edited.

    From the part files of a folder: the widest part comes first, and stands; what sits where is guessed.
    From an SVG drawing: closed lines, named by their ids, are the parts (arm-left and arm-right are two of
    one; eye and nose are eyes and noses); overlapping lines tell what sits on what and where. A group with
    the id "side" holds a side view that looks to the left. What it can't show stands in commented lines.
    """
    from solver.files.outfile import extension_of

    if source.suffix.lower() == ".svg":
        target = out or source.with_suffix(".toml")
        extension_of(target, (".toml",), what="a toy file")
        keep_others(target, writes="a toy file")
        if out is None and target.exists():
            rule = "a toy file that is there already may have been edited: it is not written over unasked"
            remedy = f"Name a new file, or this one to have it written anew: --out {target}"
            raise InputError(Problem(rule, remedy=remedy, file=str(target)))
        _from_drawing(source, target, height, stitches=stitches, rows=rows)
        return
    if out is None:
        rule = "a toy file of a folder's parts is written to a file"
        raise InputError(Problem(rule, remedy="Write --out FILE.", file=str(source)))
    if height is not None:
        rule = "height is for a drawing, and part files have their sizes"
        raise InputError(Problem(rule, remedy="Leave --height out.", file=str(source)))
    extension_of(out, (".toml",), what="a toy file")
    _from_folder(source, out)


def _from_drawing(source: Path, out: Path, height: float | None, *, stitches: float, rows: float) -> None:
    """Write the toy file of a drawing, once it solves and places."""
    import os

    from solver.cli.work import solved_toy
    from solver.files.inputs import note_input
    from solver.files.outfile import replacing
    from solver.toy.drawn import drawn_toy
    from solver.toy.drawnfile import toy_file
    from solver.toy.toyfile import read_toy
    from solver.toy.words import size_words

    note_input(source)
    if height is not None and not 0 < height < 5000:
        rule = "a toy is more than nothing and less than 5 m high"
        raise InputError(
            Problem(rule, got=f"{height:g} mm", remedy='Write --height "22 cm".', place="--height")
        )
    drawn = drawn_toy(source, height=height, stitch_width=100 / stitches, row_height=100 / rows)
    title = shown(source.stem).replace("-", " ").capitalize()
    name = Path(os.path.relpath(str(source), str(out.parent))).as_posix()
    straight: frozenset[str] = frozenset()
    while True:
        text = toy_file(
            drawn, title=title, name=name, height=height, stitches=stitches, rows=rows, upright=straight
        )
        try:
            solved = solved_toy(read_toy(text, file=str(out), title=title, folder=out.parent))
            break
        except InputError as error:
            told = " ".join(each.place for each in error.problems)
            more = {each.name for each in drawn.parts if f"[parts.{each.name}]" in told and each.lean}
            if not more - straight:
                raise
            straight |= more
    with replacing(out) as temporary:
        temporary.write_text(text, encoding="utf-8")
    for note in drawn.notes:
        click.echo(note)
    for part in sorted(straight):
        click.echo(f"The {part} finds no room as it leans in the drawing: it stands straight out for now.")
    click.echo(size_words(solved.sizes))
    say_written(out)


def _from_folder(folder: Path, out: Path) -> None:
    import os

    from solver.files.outfile import replacing

    if not folder.is_dir():
        rule = "toy files are begun from a folder of part files"
        raise InputError(Problem(rule, got="no such folder", file=str(folder)))
    found = _parts(folder, out)
    lines = [_HEAD.format(title=_quoted(shown(folder.resolve().name).replace("-", " ").capitalize()))]
    (first, _, _, height), *others = found
    middle = height / 2
    for number, (path, key, join, _) in enumerate(found):
        name = os.path.relpath(str(path), str(out.parent))
        lines += [f"[parts.{key}]", f"file = {_quoted(Path(name).as_posix())}"]
        if number:
            lines += [
                f"on = {_quoted(found[0][1])}  # a guess: the part that it sits on",
                f'at = {{ height = "{middle:.0f} mm", turn = 0 }}  # a guess: half way up, in front',
                f"join = {_quoted(join)}",
                "# twins = true   # two, left and right (turn between 0 and 180)",
                "# lean = 0       # degrees downward from straight out",
            ]
        lines += [
            f"# [[parts.{key}.eyes]]",
            '# diameter = "9 mm"',
            '# at = { height = "30 mm", turn = 30 }',
            "# twins = true",
            "",
        ]
    with replacing(out) as temporary:
        temporary.write_text("\n".join(lines), encoding="utf-8")
    rest = f", and {len(others)} that sit on it" if others else ""
    told = f"{first.stem} stands{rest}: edit where each sits, then plumpline rounds {out}"
    click.echo(shown(told))
    say_written(out)


def _parts(folder: Path, out: Path) -> list[tuple[Path, str, str, float]]:
    """Return part files, the widest first: name in a toy file, how to join it, height. [mm]"""
    import re

    from solver.partfile import load
    from solver.partfile.source import is_toy
    from solver.rounds import Finish, Start
    from solver.solving.kinds import kind_of

    problems: list[Problem] = []
    parts: list[tuple[float, Path, str, str, float]] = []
    for path in sorted(folder.glob("*.toml")):
        if (
            path.resolve() == out.resolve()
            or is_toy(path)
            or not re.search(r"(?m)^\s*\[\s*shape", _text(path))
        ):
            continue
        try:
            part = load(path)
        except InputError as error:
            problems += error.problems
            continue
        is_open = part.start is Start.OPEN or (not part.is_flat and part.work.finish is Finish.OPEN)
        key = re.sub(r"[^A-Za-z0-9_-]+", "-", path.stem).strip("-") or f"part-{len(parts) + 1}"
        width, join = (
            0.0 if part.is_flat else part.half_width,
            "flat" if part.start is Start.ROWS else "sewn" if is_open else "pressed",
        )
        parts.append((width, path, key, join, kind_of(part).wanted(part).height or 0.0))
    if problems:
        raise InputError(*problems)
    if not parts:
        rule = "the folder has part files, whose names end in .toml"
        raise InputError(Problem(rule, got="none", file=str(folder)))
    parts.sort(key=lambda each: -each[0])
    return [(path, key, join, height) for _, path, key, join, height in parts]


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8", errors="replace")


def _quoted(text: str) -> str:
    import json

    return json.dumps(text, ensure_ascii=False)
