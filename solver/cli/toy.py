"""`plumpline toy`: a toy file begun from the part files of a folder."""

from __future__ import annotations

from pathlib import Path

import click

from solver.cli.work import RESULT
from solver.errors import InputError, Problem, shown

_HEAD = """\
# A toy of the part files in this folder, begun by plumpline toy. Put the parts in order: the first stands on
# the ground, every other sits on another. What can't be known from the parts is guessed: look at each line.
title = {title}
"""


@click.command(
    short_help="Begin a toy file from part files.",
    epilog="\b\nExample, all part files of a folder:\n  plumpline toy my-seal --out my-seal/toy.toml",
)
@click.argument("folder", metavar="FOLDER", type=click.Path(path_type=Path))
@click.option("--out", type=RESULT, metavar="FILE", required=True, help="The toy file to write: .toml.")
def toy(folder: Path, out: Path) -> None:
    """Begin a toy file from the part files of a folder, to be edited: what sits where is guessed.

    The widest part comes first, and stands; the others sit on it, each with the join that its ends allow.
    """
    import os

    from solver.files.outfile import extension_of, replacing

    extension_of(out, (".toml",), what="a toy file")
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
    click.echo(f"{shown(first.stem)} stands{rest}: edit where each sits, then plumpline rounds {out}")
    click.echo(f"Written to {out}", err=True)


def _parts(folder: Path, out: Path) -> list[tuple[Path, str, str, float]]:
    """Return part files, the widest first: name in a toy file, how to join it, height. [mm]"""
    import re

    from solver.partfile import load
    from solver.rounds import Finish, Start
    from solver.solving.kinds import kind_of
    from solver.toy.toyfile import is_toy

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
        width, join = 0.0 if part.is_flat else part.half_width, "sewn" if is_open else "pressed"
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
