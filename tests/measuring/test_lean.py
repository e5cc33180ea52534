"""The lean of a spiral, counted: invented countings."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from solver.cli import main
from solver.errors import InputError
from solver.measuring.lean import lean_of


@pytest.mark.parametrize(
    ("told", "lean"),
    [
        ("10 rounds, 2 stitches", 0.2),
        ("10 rounds, 2 stitches left", 0.2),
        ("10 rounds, 2 1/2 stitches to the right", -0.25),
        ("8 rnds, -1 st", -0.125),
        ("10 rounds, 0 stitches", 0.0),
        ("20 rounds, 3,5 stitches back", -0.175),
    ],
)
def test_counted(told: str, lean: float) -> None:
    """Stitches over rounds; above zero to the left, which is the direction of work of right hands."""
    assert lean_of(told).lean == pytest.approx(lean)
    assert lean_of(told).error == pytest.approx(0.5 / int(told.split()[0]))


@pytest.mark.parametrize("told", ["two", "3 rounds, 1 st", "10 rounds, 12 sts", "10 rounds, -2 right"])
def test_refused(told: str) -> None:
    """What can't be read, too few rounds, and more than any spiral leans."""
    with pytest.raises(InputError, match="--lean"):
        lean_of(told)


def test_command(tmp_path: Path) -> None:
    """By itself, and beside a swatch in the data and the gauge file."""
    run = CliRunner()
    alone = run.invoke(main, ["gauge", "--lean", "10 rounds, 2 stitches", "--json"])
    assert json.loads(alone.stdout) == {"lean": 0.2, "lean_error": 0.05}
    out = tmp_path / "g.toml"
    whole = ["gauge", "--swatch", "20 x 20", "--lean", "10 rounds, 3 stitches right", "--out", str(out)]
    assert json.loads(run.invoke(main, [*whole, "--json"]).stdout)["gauge"]["lean"] == -0.3
    assert "lean = -0.3" in out.read_text(encoding="utf-8")
    wrong = run.invoke(main, ["gauge", "--lean", "some"])
    assert wrong.exit_code == 2
