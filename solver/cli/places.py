"""`plumpline places`: pin maps and tables of what goes where on the parts of a toy."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from solver.cli.work import RESULT, part_file, say_written, solved_toy, toy_of
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from solver.sentences.say import Sentences
    from solver.toy.places import Count
    from solver.toy.solved import SolvedToy


@click.command(
    short_help="Draw pin maps of a toy: what goes where.",
    epilog="\b\nExample, the harbour seal:\n  plumpline places samples/seal/seal.toml --out seal-places.png",
)
@part_file
@click.option(
    "--out",
    type=RESULT,
    metavar="FILE",
    help="The picture: .png, .svg or .pdf; with several parts that carry others, the name of each is added. "
    "Left out: FILE-places.png in the folder where you are.",
)
@click.option("--tables", is_flag=True, help="Tables alone, without pictures.")
def places(file: Path, out: Path | None, tables: bool) -> None:
    """Draw a pin map for each part of a toy that carries others or eyes, and tell it as a table.

    Rounds stand against stitches as on the table, the middle of the front in the middle; the real outline
    stands beside. An arrow marks where each round begins.
    """
    from solver.files.outfile import extension_of, target_of

    out = out or Path(f"{file.stem}-places.png")
    if not tables:
        from viz.figure import PICTURE_EXTENSIONS

        extension_of(out, PICTURE_EXTENSIONS, what="a picture")
    toy = toy_of(file)
    if toy is None:
        rule = "places are of a toy, whose file has a table for each part, [parts.body]"
        remedy = "Make a toy file of your parts: plumpline toy FOLDER --out toy.toml."
        raise InputError(Problem(rule, remedy=remedy, file=str(file)))
    carrying = [
        each.name for each in toy.in_order if each.eyes or any(other.on == each.name for other in toy.parts)
    ]
    alone = len(carrying) == 1
    pictures = {name: out if alone else out.with_stem(f"{out.stem}-{name}") for name in carrying}
    for own in pictures.values() if not tables else ():
        target_of(own)
    solved = solved_toy(toy)
    for name, own in pictures.items():
        click.echo("\n".join(_table(solved, name)))
        click.echo("")
        if not tables:
            _draw(solved, name, own)
            say_written(own)


def _table(solved: SolvedToy, name: str) -> Iterator[str]:
    """Yield a table of what sits on a part: one line a place, readable without the columns too."""
    from solver.sentences.say import sentences
    from solver.toy.places import eye_places
    from solver.toy.places import places as places_of
    from solver.toy.pressing import pin_names

    yield f"On the {solved.toy.part(name).spoken}:"
    for place in places_of(solved):
        copy = place.copy
        if copy.carrier is None or copy.carrier.wanted.name != name:
            continue
        yield (
            f"  {copy.name}: rounds {place.lowest:.1f} to {place.highest:.1f}; middle {_told(place.middle)}; "
            f"across {place.across:.1f} stitches"
        )
        say = sentences("US")
        named = [*map(say.within, pin_names(copy.solved.piece))] if copy.is_laid_rows else ["its line"] * 8
        for name_of, (number, count) in zip(named, place.eighths, strict=False):
            stitch = f"its stitch {number}" if number else name_of
            yield f"    {stitch} meets {_told(count)}"
    for eye in eye_places(solved):
        if eye.part == name:
            for count in eye.counts:
                yield f"  {eye.eyes.what}: between rounds {eye.below} and {eye.below + 1}; {_told(count)}"


def _told(count: Count) -> str:
    side = "left" if count.from_front > 0 else "right"
    return (
        f"round {count.round}, stitch {count.stitch:.1f} of {count.of} "
        f"({abs(count.from_front):.1f} to the {side} of the middle front)"
    )


def _draw(solved: SolvedToy, name: str, out: Path) -> None:
    from viz.figure import save_figure

    title = f"{solved.toy.title}: places on the {solved.toy.part(name).spoken}"
    save_figure(pin_map(solved, name, title=title), out)


def pin_map(
    solved: SolvedToy,
    name: str,
    *,
    title: str,
    left: bool = False,
    column: float = 0.0,
    say: Sentences | None = None,
) -> Any:
    """Return the figure of what sits where on a part of a toy; for the left hand, for a column [inches]."""
    import numpy as np

    from solver.sentences.say import sentences
    from solver.toy.places import front_turn, leftward
    from viz.pinmap import Labels, draw_pin_map

    say = say or sentences("US")

    copy = solved.first_of(name)
    surface = copy.surface
    sense, begins = leftward(surface), []
    for number in range(1, surface.rounds + 1):
        n = surface.form.piece.counts[number - 1]
        front = surface.stitch(number, front_turn(surface, number))
        begins.append(sense * ((0.5 - front + n / 2) % n - n / 2))
    axes = draw_pin_map(
        surface.form.piece.counts,
        np.array(begins),
        _silhouette(surface.table),
        list(_footprints(solved, name, say, left=left)),
        title=title,
        labels=Labels(
            rounds=say.within("pin_rounds"),
            stitches=f"{say.within('pin_stitches')}\n{say.within('pin_sides')}",
            outline=say.within("pin_outline"),
        ),
        left=left,
        column=column,
    )
    return axes.figure


def _footprints(solved: SolvedToy, name: str, say: Sentences, *, left: bool) -> Iterator[Any]:
    import numpy as np

    from solver.toy.places import count_of, eye_places
    from solver.toy.words import called
    from viz.pinmap import Footprint

    first = solved.first_of(name)
    for copy in solved.copies:
        if copy.carrier is not first or copy.edge is None:
            continue
        edge = copy.edge
        points = first.surface.at(edge.rings, edge.turns)
        counts = [
            count_of(first.surface, float(ring), float(turn))
            for ring, turn in zip(edge.rings, edge.turns, strict=True)
        ]
        label = called(copy.wanted, say)
        if copy.wanted.twins and copy.of == 2:
            label = say.within("pin_left" if (copy.number == 1) is not left else "pin_right", name=label)
        elif copy.of > 1:
            label = f"{label} {copy.number}"
        yield Footprint(
            label,
            edge.rings,
            np.array([count.from_front for count in counts]),
            points[:, 2],
            points[:, 0],
            edge.closed,
            behind=bool(points[:, 1].mean() > 1.0),
        )
    for eye in eye_places(solved):
        if eye.part == name:
            spots = [(c.ring, first.surface.turn(c.round, c.stitch)) for c in eye.counts]
            points = np.array([first.surface.at(*spot) for spot in spots])
            yield Footprint(
                say.within(eye.eyes.what),
                np.array([count.ring for count in eye.counts]),
                np.array([count.from_front for count in eye.counts]),
                points[:, 2],
                points[:, 0],
                dot=True,
            )


def _silhouette(table: Any) -> Any:
    """Return what one sees of a surface from the front: its convex hull ring by ring. (k, 2) [mm]"""
    import numpy as np

    left, right = table[..., 0].max(axis=1), table[..., 0].min(axis=1)
    at_left = table[np.arange(len(table)), table[..., 0].argmax(axis=1), 2]
    at_right = table[np.arange(len(table)), table[..., 0].argmin(axis=1), 2]
    return np.concatenate([np.column_stack([left, at_left]), np.column_stack([right, at_right])[::-1]])
