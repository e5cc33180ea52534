"""Words that nobody explains, and lines in two languages that say two things."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from solver.notation.chains import without_chain
from solver.notation.finding import Finding, columns
from solver.notation.fits import Fit, acts
from solver.notation.instructions import Node, TooManyError, worked
from solver.notation.likeliest import Line
from solver.notation.ways import halves, stranger


def unknown_word(line: Line, borne: Mapping[str, str]) -> Finding | None:
    """Tell of a word that stands where a stitch should and is explained nowhere; `borne`: what others are."""
    fit = line.fit
    if fit is None or fit.way.content.unknown in borne:
        return None
    word = next((t for t in line.entry.tokens if t.cls == "z" and t.text == fit.way.content.unknown), None)
    fits = fit.comes_out
    if word is None and not fits:
        word = stranger(fit.way.content.body)
    if word is None:
        return None
    place = columns(line, word.start, word.end)
    shown = line.entry.text[slice(*place)]
    stitch = fit.way.content.instead
    message = f'"{shown}" stands where a stitch should, and is explained nowhere.'
    if fits and stitch:
        message += f" With {stitch} the line comes out."
    return Finding("unread", message, f"{shown} -> {stitch}" if fits and stitch else "", "", *place)


def halves_differ(line: Line, language: str) -> Iterator[Finding]:
    """Tell of a line in two languages whose halves say different things."""
    fit = line.fit
    if fit is None:
        return
    mine = _plain_names(fit)
    for ways, code in halves(line.entry, fit.way):
        if not ways:
            continue
        come = [_comes_to(one.reading.node, fit) for one in ways]
        same = (fit.first.uses if fit.there is not None else None, fit.counts[0])
        whole = (0, len(line.entry.text))
        if same not in come:
            uses, makes = come[0]
            verb, mine_says, other = ("makes", fit.counts[0], makes)
            if makes == fit.counts[0] or (uses is not None and uses != fit.there):
                verb, mine_says, other = ("needs", fit.first.uses, uses or 0)
            message = f"The two halves of the line differ: one {verb} {mine_says}, the other {other}."
            repeated = any(token.cls == "x" for token in ways[0].content.body)
            if verb == "needs" and repeated:
                yield Finding("repeat", message, "", "", *whole)
            yield Finding("consumes" if verb == "needs" else "count", message, "", "", *whole)
            if verb == "needs" and makes != fit.counts[0]:
                message = f"The two halves of the line differ: one makes {fit.counts[0]}, the other {makes}."
                yield Finding("count", message, "", "", *whole)
            return
        theirs = _plain_names(fit._replace(way=ways[come.index(same)]))
        if code != language and mine and theirs and not mine & theirs:
            names = " and ".join(sorted(mine | theirs))
            yield Finding(
                "terms", f"The two halves of the line name different stitches: {names}.", "", "", *whole
            )
            return


def _comes_to(node: Node, fit: Fit) -> tuple[int | None, int]:
    try:
        come = worked(without_chain(node), fit.there, makes=fit.counts[0])
    except TooManyError:
        return None, 0
    return (come.uses if fit.there is not None else None), come.makes


def _plain_names(fit: Fit) -> set[str]:
    """Return the plain stitches that a line names."""
    return {act.stitch for round_ in acts(fit)[:1] for act in round_ if act.uses == act.makes == 1}
