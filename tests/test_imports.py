"""Imports point one way, and the command line starts without the heavy libraries."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

ORDER = (
    "errors",
    "units",
    "outfile",
    "meshfile",
    "trade",
    "turntable",
    "gauge",
    "supplies",
    "outline",
    "inset",
    "stadium",
    "shapes",
    "membrane",
    "counts",
    "rounds",
    "repeats",
    "shaping",
    "oval_rounds",
    "oval_flat",
    "fabric",
    "equilibrium",
    "stitch_bending",
    "stitch_energy",
    "stitch_descent",
    "stitch_equilibrium",
    "corners",
    "oval_fit",
    "oval_laws",
    "oval_outlines",
    "silhouette",
    "fitting",
    "smallparts",
    "tension",
    "measured",
    "tracing",
    "partfile",
    "notation",
    "advice",
    "cautions",
    "materials",
    "oval_advice",
    "solution",
    "oval_solution",
    "sizing",
    "tuning",
    "oval_tuning",
    "cli",
    "__main__",
)
"""The steps in order: each module imports from those before it alone."""

NOTATION_NEEDS = {"errors", "rounds", "repeats", "notation"}
"""What reads and writes rounds knows of rounds alone, so that it serves any tool."""

MODULES = sorted((ROOT / "solver").rglob("*.py"))

HEAVY = (
    "matplotlib",
    "trimesh",
    "shapely",
    "scipy.optimize",
    "scipy.interpolate",
    "scipy.sparse.linalg",
    "viz",
)


def imported(path: Path) -> Iterator[str]:
    """Yield the full name of each module that a file imports from, at its top or inside a function."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports relatively, which hides the direction"
            if node.module == "solver":
                yield from (f"solver.{name.name}" for name in node.names)
            elif node.module:
                yield node.module


def step(path: Path) -> str:
    """Return the step that a file of the solver belongs to."""
    return path.relative_to(ROOT / "solver").with_suffix("").parts[0]


def test_order_is_whole() -> None:
    """Every module of the solver has its place in the order."""
    assert {step(path) for path in MODULES} - {"__init__"} == set(ORDER)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_arrows_point_one_way(path: Path) -> None:
    """A module imports from its own step and those before it, never from a later one."""
    used = {name.split(".")[1] for name in imported(path) if name.startswith("solver.")}
    if step(path) == "__init__":
        assert not used
        return
    allowed = set(ORDER[: ORDER.index(step(path)) + 1])
    assert used <= (NOTATION_NEEDS if step(path) == "notation" else allowed)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_pictures_hang_on_the_command_line_alone(path: Path) -> None:
    """Only the command line imports pictures, and only inside the function that draws."""
    drawing = [name for name in imported(path) if name.split(".")[0] == "viz"]
    assert not drawing or step(path) == "cli"
    top = ast.parse(path.read_text(encoding="utf-8")).body
    assert not [
        node for node in top if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("viz")
    ]


def test_solving_needs_no_heavy_library() -> None:
    """The modules behind `plumpline rounds` load neither pictures, meshes, optimisers nor sparse solvers."""
    code = (
        "import sys, solver.cli, solver.partfile, solver.solution\n"
        f"print(*[name for name in {HEAVY!r} if name in sys.modules])"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True, timeout=60
    )
    assert shown.stdout.split() == []
