"""The shortest writing with brackets, held against a search through every writing there is."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from solver.rounds.repeats import folded, told

Writing = list[tuple[tuple[str, ...], int]]

LETTERS = ["sc", "inc", "12 sc", "2 dec"]


@st.composite
def sequences(draw: st.DrawFn, *, longest: int) -> list[str]:
    """Draw sequences of items in which no two neighbours are alike, many of them with repeats."""
    body = draw(st.lists(st.sampled_from(LETTERS), min_size=1, max_size=5))
    items = body * draw(st.integers(1, 15)) + draw(st.lists(st.sampled_from(LETTERS), max_size=8))
    apart = [item for i, item in enumerate(items) if i == 0 or item != items[i - 1]]
    return apart[:longest]


def written(items: list[str]) -> Writing:
    """Return the writing of `folded`, as (body, times)."""
    leads = [item[-2:] != "sc" for item in items]
    folds = folded(items, widths=[len(item) for item in items], leads=leads)
    return [(tuple(items[fold.start : fold.start + fold.length]), fold.times) for fold in folds]


@cache
def least_effort(items: tuple[str, ...]) -> tuple[int, int]:
    """Try every way to begin: one thing alone, or a body of two or more told several times."""
    if not items:
        return 0, -2
    tried = []
    for length in range(1, len(items) + 1):
        for times in range(1, len(items) // length + 1):
            if items[: length * times] != items[:length] * times:
                break
            if (length == 1) == (times == 1):
                things, characters = least_effort(items[length * times :])
                own_things, own_characters = effort([(items[:length], times)])
                tried.append((own_things + things, own_characters + 2 + characters))
    return min(tried)


def effort(writing: Writing) -> tuple[int, int]:
    """Return the things to read (a bracket's number is one) and the characters of the line."""
    things = sum(len(body) + (times > 1) for body, times in writing)
    parts = [", ".join(body) if times == 1 else f"({', '.join(body)}) x {times}" for body, times in writing]
    return things, len(", ".join(parts))


@given(sequences(longest=40))
def test_writing_out_the_brackets_gives_the_sequence_back(items: list[str]) -> None:
    """No thing is lost, added or moved."""
    assert [item for body, times in written(items) for _ in range(times) for item in body] == items


@given(sequences(longest=40))
@example(["inc", "sc", "12 sc", *["inc", "sc", "12 sc"], *["sc", "12 sc"] * 2])  # one bracket or two
@example([*["2 inc", "1sc"] * 3, *["2 dec", "1sc"] * 9, "2 dec"])  # x 9 or x 10
def test_no_writing_is_shorter(items: list[str]) -> None:
    """No writing with one level of brackets has fewer things, nor as many things and fewer characters."""
    assert effort(written(items)) == least_effort(tuple(items))


@pytest.mark.parametrize(
    ("items", "expected"),
    [
        (
            ["2 sc", "inc", *["4 sc", "inc"] * 5, "2 sc"],
            [(("2 sc",), 1), (("inc",), 1), (("4 sc", "inc"), 5), (("2 sc",), 1)],
        ),
        (["4 sc", "inc"] * 5 + ["4 sc"], [(("4 sc", "inc"), 5), (("4 sc",), 1)]),
    ],
)
def test_a_bracket_rather_ends_with_the_shaping(items: list[str], expected: Writing) -> None:
    """Of two writings of equal length the one whose bracket opens with plain stitches is taken."""
    assert written(items) == expected


def test_a_greedy_bracket_is_not_taken_where_another_is_shorter() -> None:
    """The longest bracket at the start is passed over when it spoils a better one further on."""
    items = ["a", "b", "a", "b", "c", "a", "b", "c", "a", "b", "c"]
    assert written(items) == [(("a",), 1), (("b",), 1), (("a", "b", "c"), 3)]


def test_a_round_of_two_thousand_stitches_is_written() -> None:
    """Thousands of things are no obstacle, whether they repeat or not."""
    assert written(["sc", "inc"] * 1000) == [(("sc", "inc"), 1000)]
    mixed = [LETTERS[k % 2] if k * k % 7 < 3 else LETTERS[2 + k % 2] for k in range(2000)]
    assert [item for body, times in written(mixed) for _ in range(times) for item in body] == mixed


@given(sequences(longest=12), st.integers(1, 8))
def test_what_is_told_is_worked_to_the_same_stitches(items: list[str], times: int) -> None:
    """Runs and brackets worked out give the stitches back; one repeat is one bracket or shorter."""
    stitches = items * times
    pieces = told(stitches)
    worked = [
        thing
        for piece in pieces
        for _ in range(piece.times)
        for thing, many in piece.runs
        for _ in range(many)
    ]
    assert worked == stitches
    if times > 1 and len(set(items)) > 1:
        things = 1 + sum(one != other for one, other in pairwise(items))
        assert len(pieces) == 1 or sum(len(piece.runs) for piece in pieces) < things


@pytest.mark.parametrize(
    ("stitches", "expected"),
    [
        ("aabaa" * 6, [((("a", 2), ("b", 1), ("a", 2)), 6)]),
        ("ab" * 3, [((("a", 1), ("b", 1)), 3)]),
        ("aabaabaab" + "a", [((("a", 2), ("b", 1)), 3), ((("a", 1),), 1)]),
        ("a" * 9, [((("a", 9),), 1)]),
        ("aba", [((("a", 1),), 1), ((("b", 1),), 1), ((("a", 1),), 1)]),
    ],
)
def test_a_bracket_may_cut_a_run_of_a_round_of_one_repeat(stitches: str, expected: list[object]) -> None:
    """Two, one, two and so on six times is one bracket; elsewhere runs stay whole."""
    assert [(piece.runs, piece.times) for piece in told(stitches)] == expected
