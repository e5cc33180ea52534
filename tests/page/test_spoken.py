"""Notes and faults on the page are in her words: no keys of a file, no options, no commands."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import solver
from solver.errors import Problem
from solver.page.spoken import fault, spoken

OF_A_FILE = re.compile(
    r"\[\[?[a-z_]+[\].]|\b[a-z_]+ = |\b(?:part|toy) file\b|plumpline |(?<!\w)--[a-z]|\w_\w"
)
"""What only a person who writes files or commands would read."""

TOLD = ("advice", "solving", "toy", "search/oval_limits.py", "search/bent_limits.py", "tuning/scale.py")
"""Where sentences are written that come to the page, whatever she draws."""

ASIDE = ("drawnfile.py", "drawn.py", "drawnparts.py", "tables.py", "toyfile.py", "data.py")
"""What writes files, and faults of what stands in a file alone."""


def sentences() -> Iterator[tuple[str, str]]:
    """Yield every sentence of those modules, a number in each place that is filled in."""
    home = Path(solver.__file__).parent
    for place in TOLD:
        root = home / place
        for path in sorted(root.rglob("*.py")) if root.is_dir() else [root] if root.is_file() else []:
            if path.name in ASIDE:
                continue
            tree = ast.parse(path.read_text(encoding="utf-8"))
            filled = [node for node in ast.walk(tree) if isinstance(node, ast.JoinedStr)]
            inside = {id(each) for node in filled for each in node.values}
            inside |= {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
            for node in ast.walk(tree):
                if isinstance(node, ast.JoinedStr):
                    told = (
                        str(each.value) if isinstance(each, ast.Constant) else "7" for each in node.values
                    )
                    text = "".join(told).replace('join = "7"', 'join = "flat"')
                    yield f"{path.name}, line {node.lineno}", text
                elif (
                    isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inside
                ):
                    yield f"{path.name}, line {node.lineno}", node.value


def test_no_keys_of_a_file() -> None:
    """Whatever the solver, the advice and the toys say, the page says it without a key of a file."""
    told = [(where, text) for where, text in sentences() if " " in text.strip()]
    assert len(told) > 200  # the modules are where they were
    left = [f"{where}: {spoken(text)}" for where, text in told if OF_A_FILE.search(spoken(text))]
    assert not left, "\n".join(left)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'Increases that stand in line show as corners; increases = "staggered" keeps the ends round.',
            "Increases that stand in line show as corners; increases “staggered” (above the rounds) keep "
            "the ends round.",
        ),
        (
            'The open edge is taken as free (edge = "free"): stuffing draws it upright.',
            "The open edge is taken as free (“Open edge: left free”): stuffing draws it upright.",
        ),
        (
            "Your label is surer: [yarn] metres_per_100g.",
            "Your label is surer: “Metres to 100 g”, below the gauge.",
        ),
    ],
)
def test_notes(text: str, said: str) -> None:
    """What can be set on the page is named as it is there."""
    assert spoken(text) == said


def test_faults() -> None:
    """A fault says which part, which size, which file it is about."""
    one = Problem('join = "sewn" needs an open edge', remedy='Or write join = "pressed".')
    placed = Problem(one.rule, remedy=one.remedy, place="[parts.left_fin] join, line 8", file="toy.toml")
    assert fault(placed, own="toy.toml") == (
        "Left fin: “Joined: sewn on by its open edge” needs an open edge. Or choose “Joined: pressed on”."
    )
    size = Problem(
        "a length is a number with a unit", got='"x"', place="[shape] width, line 3", file="a/b.toml"
    )
    assert fault(size, own="b.toml") == 'Width: a length is a number with a unit (got "x").'
    assert fault(size, own="toy.toml").startswith("b.toml, width: ")
