"""Lines and their labels: each is taken in the way that fits those around it, or as no label at all."""

from __future__ import annotations

import re
from dataclasses import replace

from solver.notation.classes import core, mostly_known
from solver.notation.entries import Entry
from solver.notation.labels import Label
from solver.notation.lexicon import Lexicon
from solver.notation.token import shape
from solver.notation.tokens import tokens


def with_labels(rows: list[Entry], known: Lexicon) -> list[Entry]:
    """Take each label in the way that fits the labels around it."""
    out: list[Entry] = []
    #: The last number, and rounds told without one since.
    last, untold = 0, 0
    #: Whether the rounds so far go by numbers alone.
    bare = False
    for place, row in enumerate(rows):
        if not row.labels:
            following_on = _next_round(row, last + untold, known) if last else None
            out.append(following_on or row)
            even = _UNTOLD.match(shape(row.tokens))
            untold += row.tokens[even.start(even.lastindex or 1)].value if even else 0
            if following_on:
                last, untold = following_on.labels[0].numbers[-1], 0
            continue
        following = next(
            (
                later.labels
                for number, later in enumerate(rows[place + 1 :], start=place + 1)
                if later.labels
                and (later.labels[0].worded or bare or _likely(later, rows, number))
                and not _is_sentence(later)
            ),
            (),
        )
        ways = sorted(enumerate(row.labels), key=lambda way: (-_fits(way[1], last, following), way[0]))
        wrapped = row.folded.text[row.start : row.start + 1] in ("(", "[")
        follows = row.labels[0].numbers[0] == last + 1
        if row.labels[0].worded and not row.labels[0].separated and _is_retold(row, last):
            # "Round 3 hangs slack"; "Rounds 7 to 10 bend the part, all alike: 6 sl st, sc, 3 hdc"
            out.append(replace(row, labels=(), tokens=tuple(tokens(row.folded, known, row.start))))
            continue
        goes_on = bare and follows and not wrapped and _in_line(row, following)
        if not row.labels[0].worded and (
            not (goes_on or _likely(row, rows, place)) or (wrapped and not follows)
        ):
            out.append(replace(row, labels=(), tokens=tuple(tokens(row.folded, known, row.start))))
            continue
        best = ways[0][1]
        cut = row.tokens if best is row.labels[0] else tuple(tokens(row.folded, known, best.end))
        out.append(replace(row, labels=(best, *(way for _, way in ways[1:])), tokens=cut))
        last, untold, bare = best.numbers[-1], 0, not best.worded
    return out


_NEXT = (
    r"(?:next|following|last|final|nachsten?|folgenden?|volgende|siguientes?|proxim[ao]s?|prossim[oi]|nasta|"
    r"næste|neste|nastepn[ey]|prochains?|suivants?|seguintes?|successiv[oi]|следующ(?:ии|ие|ая))"
)
_NEXT_ROUND = re.compile(
    rf"(?:(?:the|die|de|la|las|los|le|les|il|i|den|os|as)\s+)?(?:{_NEXT}\s+(?:(\d+|[^\W\d_]+)\s+)?([^\W\d_]{{1,10}})"
    rf"|(\d+\s+)?([^\W\d_]{{1,10}})\s+{_NEXT})\s*[:.,-]"
)
#: "Work 5 rnds straight": rounds told without a label.
_UNTOLD = re.compile(r"q*(n)A?wq*E|E[qf]*(n)A?w|rq?f?q?[LB]w([nX])A?x?")


def _next_round(row: Entry, last: int, known: Lexicon) -> Entry | None:
    """Return a line that goes by "Next round:", "Next 3 rounds:" with the number that it stands for."""
    match = _NEXT_ROUND.match(row.folded.text, row.start)
    word = (match[2] or match[4]) if match else ""
    if match is None or not (word in known.labels or word in known.many):
        return None
    said = (match[1] or match[3] or "").strip()
    many = int(said) if said.isdigit() else known.numbers.get(said, 1)
    cut = tuple(tokens(row.folded, known, match.end()))
    if not (core(cut) or re.match("[q,:.-]*[Pr]q*w?[no]", shape(cut))):
        return None
    label = Label(tuple(range(last + 1, last + 1 + many)), match.end(), worded=True, separated=True)
    return replace(row, labels=(label,), tokens=cut)


_CAN_WORK = re.compile("[sidtclnEDGMraePbOZKC(]")
#: Stitches, or a count in brackets.
_NAMED_WORK = re.compile(r"[sidEDM]|[(\[]nt?[)\]]")


def _can_work(classes: str) -> bool:
    """Tell what may be an instruction from a sentence about a round: "Round 1 has fewer than 4 stitches"."""
    if classes.startswith("z"):
        return _NAMED_WORK.search(classes) is not None
    return _CAN_WORK.search(classes) is not None


def _is_sentence(row: Entry) -> bool:
    """Tell a line that may speak of rounds: their number, and at once a word that nobody knows."""
    label = row.labels[0]
    return label.worded and not label.separated and _begins_strange(row)


def _begins_strange(row: Entry) -> bool:
    return shape([token for token in row.tokens if token.cls != "q"])[:1] == "z"


def _is_retold(row: Entry, last: int) -> bool:
    """Tell a sentence about a round, or about rounds that were told before, from a line of another part."""
    label = row.labels[0]
    if not row.tokens and not row.folded.text[label.end :].strip():
        return False
    told = label.numbers[-1] <= last and (label.numbers[0] > 1 or label.ranged)
    spoken = row.tokens[:1] and row.tokens[0].text == "of"  # "Rounds 3 and 4 of the ear are pink"
    return bool(spoken) or (told and _begins_strange(row)) or not _can_work(shape(row.tokens))


def _in_line(row: Entry, following: tuple[Label, ...]) -> bool:
    """Tell a number that stands between those of its neighbours, or before a line with a count."""
    classes = shape(row.tokens)
    ended = re.search(r"[(\[]nt?[)\]][.]?$|,n[sid]$", classes) is not None
    return ended or (bool(following) and following[0].numbers[0] == row.labels[0].numbers[-1] + 1)


def _fits(label: Label, last: int, following: tuple[Label, ...]) -> float:
    score = 0.0
    if label.numbers[0] == last + 1 or label.numbers[0] == 1:
        score += 1
    if following and following[0].numbers[0] != 1:
        gap = following[0].numbers[0] - label.numbers[-1] - 1
        score += 2 - 0.6 * min(gap, 3) if gap >= 0 else -2
    return score + 0.5 * label.separated + 0.7 * label.tight


def _likely(row: Entry, rows: list[Entry], place: int) -> bool:
    """Tell the bare number of a round ("3.") from that of a heading or a list of materials."""
    classes = shape(row.tokens)
    if core(row.tokens) or re.match(r"[,:.-]*(?:n[ts]|[aE]|[rP]q*f?wn)|[+-]n?t?=n|[bsw]{1,3}n[.]?$", classes):
        return mostly_known(classes) and classes[:1] != "Z"
    return bool(re.fullmatch(r"n?[(\[]?n[)\]]?[.,]?", classes)) and any(
        near.labels for near in (*rows[max(place - 1, 0) : place], *rows[place + 1 : place + 2])
    )
