"""Lengths as people write them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.errors import InputError
from solver.units import in_both, in_inches, in_mm, to_mm

# The inch is exactly 25.4 mm: International Yard and Pound Agreement, 1959;
# NIST Special Publication 811, B.8 (memory).
INCH = 25.4


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        (80, 80.0),
        (0, 0.0),
        (8.5, 8.5),
        ("80", 80.0),
        ("80 mm", 80.0),
        ("80mm", 80.0),
        ("8 cm", 80.0),
        ("0.08 m", 80.0),
        (" 8.25 CM ", 82.5),
        ("8,5 cm", 85.0),
        ("0,125 in", INCH / 8),
        ("12,25 mm", 12.25),
        ("1234,5 mm", 1234.5),
        (".5 in", INCH / 2),
        ("3 1/4 in", 3.25 * INCH),
        ("3-1/4 in", 3.25 * INCH),
        ("3 1/4 in.", 3.25 * INCH),
        ('3 1/4"', 3.25 * INCH),
        ("13/4 in", 13 / 4 * INCH),
        ("3/8 inch", 3 / 8 * INCH),
        ("2 inches", 2 * INCH),
        ("3¼ in", 3.25 * INCH),
        ("3 ¼ in", 3.25 * INCH),
        ("⅞”", 7 / 8 * INCH),
        ("2½''", 2.5 * INCH),
        ("2½″", 2.5 * INCH),
        ("1⁄2 in", INCH / 2),
        ("10\u00a0cm", 100.0),
        ("2 centimetres", 20.0),
        ("2 centimeter", 20.0),
        ("5 millimetre", 5.0),
        ("1 meter", 1000.0),
    ],
)
def test_length_as_written(written: object, mm: float) -> None:
    """Every usual way of writing a length gives its millimetres."""
    assert to_mm(written) == pytest.approx(mm, rel=1e-15)


@pytest.mark.parametrize(
    ("written", "message"),
    [
        (math.inf, "finite"),
        (math.nan, "finite"),
        (10**400, "finite"),
        ("9" * 400, "finite"),
        (-1, "not below zero"),
        ("-3 cm", "not below zero"),
        ("\u22123 cm", "not below zero"),
        ("3 ft", "ft"),
        ("3 parsecs", "parsecs"),
        ("8 cm wide", "number with a unit"),
        ("", "number with a unit"),
        ("cm", "number with a unit"),
        ("3 1/0 in", "not zero"),
        ("1,000 mm", "thousands"),
        ("1,000.5 mm", "number with a unit"),
        ("3..5", "number with a unit"),
        ("inf", "number with a unit"),
        (True, "number of millimetres"),
        (None, "number of millimetres"),
        ([3], "number of millimetres"),
    ],
)
def test_refused_lengths(written: object, message: str) -> None:
    """What is no length, or could be two lengths, is refused with the rule that it breaks and examples."""
    with pytest.raises(InputError, match=message):
        to_mm(written)


def test_long_input_is_shown_short() -> None:
    """A message quotes at most sixty characters of what was written."""
    with pytest.raises(InputError) as caught:
        to_mm("x" * 10_000)
    assert len(str(caught.value)) < 250


def test_signed_length() -> None:
    """A height against a drawing's own zero line may be below it."""
    assert to_mm("-3 cm", signed=True) == -30.0


@given(st.floats(min_value=0.0, max_value=1e6), st.sampled_from(["mm", "cm", "m", "in"]))
def test_any_decimal_number(number: float, unit: str) -> None:
    """Point and comma read alike, unless three digits follow the comma."""
    text = f"{number:.2f}"
    scale = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": INCH}[unit]
    assert to_mm(f"{text} {unit}") == pytest.approx(float(text) * scale, rel=1e-15)
    assert to_mm(f"{text.replace('.', ',')} {unit}") == to_mm(f"{text} {unit}")


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (0.0, "0 in"),
        (INCH, "1 in"),
        (3.25 * INCH, "3 1/4 in"),
        (9.6, "3/8 in"),
        (2.499 * INCH, "2 1/2 in"),
        (30.0, "1 3/16 in"),
        (1000.0, "39 1/4 in"),
    ],
)
def test_inches_for_people(mm: float, text: str) -> None:
    """Inches are told as the nearest fraction on a tape measure."""
    assert in_inches(mm) == text


def test_millimetres_for_people() -> None:
    """Small lengths keep one decimal, and inches follow in brackets."""
    assert in_mm(5.04) == "5.0 mm"
    assert in_mm(63.26) == "63 mm"
    assert in_both(63.5) == "64 mm (2 1/2 in)"


@given(st.floats(min_value=0.0, max_value=5000.0))
def test_told_inches_are_near(mm: float) -> None:
    """Told inches read back within half the step of the tape, an eighth of an inch at the coarsest."""
    assert to_mm(in_inches(mm)) == pytest.approx(mm, abs=INCH / 8 + 1e-9)
