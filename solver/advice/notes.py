"""What a maker should hear about a solved part: where the form leaves the drawing, why, and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import pi

from solver.arrays import Floats
from solver.form.fabric import CLOSING_ROWS
from solver.notes import About, Note, listed
from solver.search.counts import LEAST
from solver.search.membrane import Unsupported
from solver.units import in_mm
from solver.wanted.outline import Outline

RUFFLE = 0.1
"""A round ruffles where more than this share of its stitches hangs slack; less is not seen. [1]"""


FLAT_MORE = 6
"""Stitches more a round that lie flat (common practice, no source)."""

FLAT_SLACK = 0.16
"""Slack of a disc of six more a round at rows of 0.8 stitch widths, 1 - 2 pi 0.8 / 6: recipes have it. [1]"""

DRAWN = 3
"""Rounds that a ring or a cinch draws together: 6, 12 and 18 stitches (common practice, no source)."""

_MORE = (
    (1.15, "as much", "as much reading"),
    (1.35, "a quarter more", "a quarter more reading"),
    (1.75, "half as much again", "1 1/2 times the reading"),
    (2.25, "twice as much", "twice the reading"),
    (2.75, "two and a half times as much", "2 1/2 times the reading"),
    (3.5, "three times as much", "3 times the reading"),
    (float("inf"), "many times as much", "many times the reading"),
)
"""Words for how much more there is to read, up to each ratio; and short ones."""

TELL_MISFIT = 0.25
"""A misfit of fewer rows than this is not worth a word."""


def unsupported_notes(
    zones: tuple[Unsupported, ...], outline: Outline, *, row_height: float
) -> Iterator[str]:
    """Yield where stuffing can't hold the wanted outline, why, and what a maker does about it.

    Parameters
    ----------
    zones : tuple of Unsupported
        From membrane statics.
    outline : Outline
        The wanted outline; heights are told from its lowest point.
    row_height : float
        A corner this near to a flat end is told with it. [mm]
    """
    base = float(outline.points[0, 1])
    flats = [zone for zone in zones if zone.kind == "flat"]
    for zone in zones:
        where = f"at {in_mm(zone.low - base)}"
        if in_mm(zone.high - base) != in_mm(zone.low - base):
            where = f"from {in_mm(zone.low - base)} to {in_mm(zone.high - base)}"
        if zone.kind == "hoop":
            yield (
                f"Round the part {where} of its height the drawing is flatter than stuffing can hold: there "
                "the fabric would have to push back, and fabric only pulls (a flattened ball meets this when "
                "it is over 1.41 times as wide as high). It will come out rounder. Stuff it less, sew "
                "through it from side to side (quilting), or put a stiff insert inside."
            )
        elif zone.kind == "flat":
            yield (
                f"The end {where} of the height is drawn flat, and stuffing pushes a flat end out into a "
                "dome. Put a stiff disc inside, work the edge round in the back loops only and sew the end "
                "down, or stuff lightly there."
            )
        elif not any(abs(zone.low - flat.low) < 2 * row_height for flat in flats):
            yield (
                f"The corner {where} of the height will come out rounded: fabric under stuffing has no sharp "
                "edges. A round in the back loops only, or a line of stitches through the edge, marks it."
            )


def fit_notes(
    misfit: float, *, scale: float, rounds: int, rms: float, stitch_width: float, height: float
) -> Iterator[str]:
    """Yield what whole rounds and stitches cost, and which height other than the wanted one costs less.

    Parameters
    ----------
    misfit : float
        Rounds that the drawing has beyond the whole number.
    scale : float
        Times this it would want a whole number.
    rounds : int
    rms : float
        Distance of the form from the drawing. [mm]
    stitch_width, height : float
        Of a stitch, and of the part as drawn. [mm]
    """
    if abs(misfit) > TELL_MISFIT:
        yield Note(f"{in_mm(scale * height)} high would fit {rounds} rounds exactly.", About.FIT)
    if rms > stitch_width / 3:
        yield (
            f"The stuffed outline lies {in_mm(rms)} from the drawing on average, which is more "
            "than whole stitches alone explain: look at `plumpline compare`."
        )


def plain_note(rms: float, exact: float, *, words: int, exact_words: int) -> Note:
    """Return in one line what plain rounds cost and save.

    Parameters
    ----------
    rms, exact : float
        Distance from the drawing of the plain rounds and of the exact ones. [stitch widths]
    words, exact_words : int
        To read in each.
    """
    more = exact_words / words
    amount, brief = next(told for most, *told in _MORE if more < most)
    told = f"Plain rounds: {rms:.2f} of a stitch from the drawing"
    return Note(
        f"{told} on average; exact ones {exact:.2f}, with {amount} to read.",
        About.PLAIN,
        short=f"{told}; exact: {exact:.2f}, {brief}.",
    )


def ruffle_notes(course_stretch: Floats, counts: Sequence[int], *, first: int, last: int) -> Iterator[str]:
    """Yield in one line the rounds that hang slack, and by how many stitches; nothing where none does.

    Parameters
    ----------
    course_stretch : (m,) float
        Of each ring; ring i is the edge of round i. [1]
    counts : sequence of int
        Stitches of each round.
    first, last : int
        Rounds between which a slack round is a ruffle: a ring and a cinch draw theirs together.
    """
    slack = {
        number: max(1, round(-float(course_stretch[number]) * counts[number - 1]))
        for number in range(first, last + 1)
        if course_stretch[number] < -RUFFLE
    }
    least, most = min(slack.values(), default=0), max(slack.values(), default=0)
    stitches = f"{most} stitch{'es' if most > 1 else ''} too many."
    if len(slack) == 1:
        yield Note(f"Expect a ruffle in round {next(iter(slack))}: about {stitches}", About.FORM)
    elif slack:
        told = f"{least} to {stitches}" if least < most else f"about {stitches}"
        yield Note(f"Expect a little ruffle in rounds {listed(list(slack))}: {told}", About.FORM)


def firm_rounds(
    counts: Sequence[int], course_stretch: Floats, *, ring: bool, cinched: bool
) -> tuple[int, int]:
    """Return the first and the last round in which slack shows as a ruffle.

    A ring that goes 6, 12, 18 lies flat, and the tail draws a last 18, 12, 6 together, as every recipe has
    it (common practice, no source); so do those that go on by six, unless rows are very low.

    Parameters
    ----------
    counts : sequence of int
        Stitches of each round.
    course_stretch : (m,) float
        Of each ring; ring i is the edge of round i. [1]
    ring, cinched : bool
        They begin with a ring; they end drawn to a point.
    """

    def lies(number: int, from_end: int, inner: int) -> bool:
        """Tell whether a round goes on with the disc of the round beside it."""
        grows = inner < counts[number - 1] <= FLAT_MORE * from_end
        return grows and (from_end <= DRAWN or course_stretch[number] > -FLAT_SLACK)

    first, last = 2, len(counts) - DRAWN * cinched
    while ring and first <= len(counts) and lies(first, first, counts[first - 2]):
        first += 1
    while cinched and last >= first and lies(last, len(counts) - last + 1, counts[last]):
        last -= 1
    return first, last


def small_notes(counts: Sequence[int], wanted: Sequence[float], *, stitch_width: float) -> Iterator[str]:
    """Yield where a part is drawn thinner than the fewest stitches go round, and where it has fewer.

    Parameters
    ----------
    counts : sequence of int
        Stitches of each round.
    wanted : sequence of float
        Stitches that would go round the drawing there.
    stitch_width : float
        [mm]
    """
    if min(counts) < LEAST:
        yield (
            "A tip so fine asks for rounds of three stitches, which are fiddly; four in their place make it "
            "a little blunter."
        )
    inner = zip(wanted[1:-1], counts[1:-1], strict=True)
    thin = [size for size, count in inner if count == LEAST and size < LEAST - 0.5]
    if thin:
        drawn, comes = (in_mm(size * stitch_width / pi) for size in (min(thin), LEAST))
        yield (
            f"In places the drawing is as thin as {drawn}, and four stitches are the least that is worked "
            f"inside a part: it comes out thicker there, about {comes}. Draw it thicker, make it two "
            "parts, or use finer yarn."
        )


def assumption_notes(*, measured: bool, closing: float, edge: str) -> Iterator[str]:
    """Yield what the computed form rests on.

    Parameters
    ----------
    measured : bool
        The stuffing's stretch was measured.
    closing : float
        Rest distance from the last edge to the point that it is drawn to; 0 where it is not. [mm]
    edge : str
        How open ends are taken, "held" or "free"; empty where there are none.
    """
    told = "The form is computed from the written counts, as fabric that only pulls round a soft filling."
    if not measured:
        told += (
            " Yarn and hands differ: work one ball, measure it, and put it into the part file "
            "([stuffing] ball)."
        )
    yield Note(told, About.ASSUMED)
    if closing:
        yield Note(
            f"The drawn-in end is assumed to close over {CLOSING_ROWS:g} of a round's height "
            f"({in_mm(closing)}).",
            About.ASSUMED,
        )
    if edge == "held":
        yield Note(
            'The open edge is taken as sewn to something stiff (edge = "held"), which keeps it as wide as '
            "drawn.",
            About.ASSUMED,
        )
    if edge == "free":
        yield Note(
            'The open edge is taken as free (edge = "free"): stuffing draws it upright, so it may come out '
            "narrower or wider than drawn.",
            About.ASSUMED,
        )
