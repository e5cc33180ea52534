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
    "arrays",
    "notes",
    "files",
    "trade",
    "rounds",
    "wanted",
    "form",
    "painting",
    "search",
    "measuring",
    "tracing",
    "partfile",
    "notation",
    "sentences",
    "advice",
    "solving",
    "tuning",
    "toy",
    "sheet",
    "page",
    "cli",
    "__main__",
)
"""The steps in order: each folder imports from those before it alone."""

NOTATION_NEEDS = {"errors", "rounds", "notation"}
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
    """Only the command line and the page import pictures, and only inside the function that draws."""
    drawing = [name for name in imported(path) if name.split(".")[0] == "viz"]
    assert not drawing or step(path) in ("cli", "page")
    top = ast.parse(path.read_text(encoding="utf-8")).body
    assert not [
        node for node in top if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("viz")
    ]


def test_no_circles() -> None:
    """No module imports itself by way of others, inside its folder or out."""
    names = {".".join(path.relative_to(ROOT).with_suffix("").parts): path for path in MODULES}
    names = {name.removesuffix(".__init__"): path for name, path in names.items()}
    arrows = {name: {used for used in _modules(path, names) if used != name} for name, path in names.items()}
    while ends := {name for name, used in arrows.items() if not used & arrows.keys()}:
        arrows = {name: used for name, used in arrows.items() if name not in ends}
    assert not arrows, f"these import each other: {sorted(arrows)}"


def _modules(path: Path, names: dict[str, Path]) -> Iterator[str]:
    """Yield the modules that a file imports when it runs, a name that is none as the module that holds it."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for_types = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and getattr(node.test, "id", "") == "TYPE_CHECKING"
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        if id(node) in for_types:
            continue
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names if name.name in names)
        elif isinstance(node, ast.ImportFrom) and node.module in names:
            inside = {f"{node.module}.{name.name}" for name in node.names}
            yield from inside & names.keys() or {node.module}


def test_solving_needs_no_heavy_library() -> None:
    """The modules behind `plumpline rounds` load neither pictures, meshes, optimisers nor sparse solvers."""
    code = (
        "import sys, solver.cli, solver.partfile, solver.solving.round, solver.solving.solved\n"
        f"print(*[name for name in {HEAVY!r} if name in sys.modules])"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True, timeout=60
    )
    assert shown.stdout.split() == []
