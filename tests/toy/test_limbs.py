"""Two legs joined into one body: counts, written rounds, and the form as one fabric."""

from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from numpy.testing import assert_allclose

from solver.cli import main
from solver.cli.toytext import toy_text
from solver.errors import InputError
from solver.form.energy import StitchEnergy
from solver.form.joined import joined_fabric, laid_back
from solver.notation.proof import proof_read
from solver.notation.writer import write_rounds
from solver.rounds import Finish, Legs, Piece, Round, Start
from solver.toy.data import toy_dict
from solver.toy.solved import SolvedToy, solve_toy
from solver.toy.toyfile import read_toy

LANGUAGES = ("US", "UK", "de", "es", "fr", "nl", "pt", "ru")

DOCKER = """title = "Docker"
[gauge]
stitches = 24
rows = 26
[parts.body]
shape = { kind = "outline", points = [[20, 0], [27, 12], [28, 30], [22, 50], [15, 62]] }
work = { start = "open", finish = "open" }
[parts.leg]
on = "body"
join = "joined"
shape = { kind = "outline", points = [[0, 0], [10, 0], [12, 6], [10, 14], [9, 34]] }
work = { finish = "open" }
"""


@cache
def docker(more: str = "") -> SolvedToy:
    """Return a body on two legs."""
    return solve_toy(read_toy(DOCKER + more, file="docker.toml", title="T", folder=Path()))


@pytest.mark.parametrize("more", ["", "chain = 0", "chain = 4"])
def test_counts_and_form(more: str) -> None:
    """The first round has both legs' stitches and the chain twice; the whole is in balance and closed."""
    toy = docker(more)
    leg, body = toy.parts["leg"], toy.parts["body"]
    legs = body.piece.legs
    assert legs is not None
    n = leg.piece.counts[-1]
    assert legs.stitches == n
    assert body.piece.counts[0] == body.piece.foundation == 2 * (n + legs.chain)
    assert more in ("", f"chain = {legs.chain}")
    assert body.form.residual == leg.form.residual <= 1e-3
    whole, left, right = toy.copies
    shared = whole.points[whole.surface.form.fabric.rings[0]]
    for copy, first in ((left, 0), (right, n + legs.chain)):
        edge = copy.points[copy.surface.form.fabric.rings[-1]]
        assert_allclose(edge, shared[first : first + n], atol=1e-6)  # one fabric: its edge is the body's
    assert left.points[:, 0].mean() > 0 > right.points[:, 0].mean()
    apart = left.points[:, 0].min() - right.points[:, 0].max()
    assert apart > -1.0  # limbs do not run through each other
    # both sides of the body hang on one chain
    front, back = shared[n : n + legs.chain], shared[2 * n + legs.chain :]
    assert_allclose(front, back[::-1], atol=1e-6)
    # the beginning of the round is at the back, between the legs
    begin = (shared[0] + shared[-1]) / 2 - shared.mean(axis=0)
    assert begin[1] > -1.0


def test_the_whole_is_closed() -> None:
    """The joined surface encloses what its pieces enclose, wherever it lies: no gap is left."""
    toy = docker("chain = 3")
    leg, body = toy.parts["leg"].form.fabric, toy.parts["body"].form.fabric
    whole = joined_fabric(leg, body)
    points = np.random.default_rng(1).normal(size=(whole.node_count, 3)) * 30
    energy = StitchEnergy(whole, 1e-3)
    rim = points[whole.rings[-1]]  # open above: closed flat, and so part of the closed surface
    assert len(rim) == body.piece.counts[-1]
    shifts = [energy.volume(points + shift) for shift in ([0, 0, 0], [100.0, 0, 0], [0, -70.0, 50.0])]
    assert_allclose(shifts, shifts[0], rtol=1e-9)


def test_mirror_and_level() -> None:
    """Left and right are alike but for single stitches, and it rests on both feet.

    Increases of one hand's spiral are not mirrored: they twist the feet against the body by a few degrees.
    """
    _, left, right = docker().copies
    one, other = left.points.mean(axis=0), right.points.mean(axis=0)
    assert_allclose(one[0], -other[0], atol=1.0)
    assert_allclose(one[2], other[2], atol=1.0)
    assert abs(np.degrees(np.arctan2(one[1] - other[1], one[0] - other[0]))) < 6
    assert_allclose(left.points[:, 2].min(), right.points[:, 2].min(), atol=0.5)


def test_lean_back() -> None:
    """A form turned and moved is laid back onto where it was."""
    rng = np.random.default_rng(3)
    points = rng.normal(size=(40, 3))
    turned, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    turned *= np.linalg.det(turned)
    assert_allclose(laid_back(points @ turned + [3.0, 2.0, 1.0], points), points, atol=1e-9)


@pytest.mark.parametrize("terms", LANGUAGES)
@pytest.mark.parametrize("chain", [0, 5])
@pytest.mark.parametrize("firsts", [(1, 1), (10, 4)])
def test_written_rounds_read_back(terms: str, chain: int, firsts: tuple[int, int]) -> None:
    """What is written of joined legs is read without a problem, the chain as stitches, in all languages."""
    legs = Legs(12, chain, firsts)
    body = Piece(Start.OPEN, legs.around, (Round.plain(legs.around),) * 3, Finish.OPEN, legs=legs)
    for spelled in (False, True) if terms in ("US", "UK") else (False,):
        lines = [line.text for line in write_rounds(body, terms=terms, spelled=spelled)]
        proof = proof_read("\n".join(lines))
        assert not [line.text for line in proof.lines if line.problems]
        first = next(line for line in proof.lines if "12" in line.text and str(legs.around) in line.text)
        assert first.made == legs.around
        wrong = "\n".join(lines).replace(f"({legs.around})", f"({legs.around + 1})", 1)
        if wrong != "\n".join(lines):
            assert [line for line in proof_read(wrong).lines if line.problems]


def test_the_text_of_the_whole() -> None:
    """The legs come first, are left open, and the joining tells that nothing is sewn."""
    text = toy_text(docker("chain = 2"))
    assert text.index("\nLeg (make 2)") < text.index("\nBody\n")
    assert "Leave the edge open: the next part goes on from here." in text
    joining = " ".join(text[text.index("\nJoining") : text.index("\nSize and weight")].split())
    assert "are one piece: nothing is sewn" in joining
    assert "Sewn on, and so to be held" not in text
    pages = text[text.index("\nLeg (make 2)") : text.index("\nJoining")]
    assert not [line.text for line in proof_read(pages).lines if line.problems]
    data = toy_dict(docker("chain = 2"))
    assert [part["name"] for part in data["parts"]] == ["leg", "body"]
    assert data["parts"][1]["legs"] == {"stitches": data["parts"][0]["rounds"][-1]["count"], "chain": 2}
    assert [place["join"] for place in data["places"]] == ["joined", "joined"]


WRONG = (
    (
        '[[20, 0], [27, 12], [28, 30], [22, 50], [15, 62]] }\nwork = { start = "open", finish',
        "[[0, 0], [27, 12], [28, 30], [22, 50], [15, 62]] }\nwork = { finish",
        "starts open",
    ),
    ('[9, 34]] }\nwork = { finish = "open" }', "[0, 34]] }", "to an open edge"),
    ('join = "joined"', 'join = "joined"\nlean = 20', "have no lean"),
    ('join = "joined"', 'join = "joined"\nchain = -1', "from 0 to 60"),
    ('join = "joined"', 'join = "sewn"\nat = "top"\nchain = 2', "chain belongs to"),
    ("[10, 14], [9, 34]", "[22, 14], [24, 34]", "goes round both legs"),
    ("[parts.leg]", "[parts.leg]\ngauge = { stitches = 20, rows = 22 }", "one piece of fabric"),
)


@pytest.mark.parametrize(("old", "new", "told"), WRONG)
def test_what_is_refused(old: str, new: str, told: str, tmp_path: Path) -> None:
    """Each fault is told, with status 2."""
    assert old in DOCKER
    file = tmp_path / "docker.toml"
    file.write_text(DOCKER.replace(old, new), encoding="utf-8")
    found = CliRunner().invoke(main, ["rounds", str(file)])
    assert found.exit_code == 2, found.output
    assert told in " ".join(found.output.split())


def test_legs_that_do_not_fit_their_body() -> None:
    """A piece that begins with other stitches than its legs have is none."""
    with pytest.raises(InputError, match="begins open"):
        Piece(Start.OPEN, 31, (Round.plain(31),), Finish.OPEN, legs=Legs(12, 3))
    with pytest.raises(InputError, match="three stitches"):
        Legs(2, 0)


def test_steps_are_even() -> None:
    """Heights of the rounds rise one after another over both legs and the body."""
    for copy in docker().copies:
        heights = [copy.surface.table[ring, :, 2].mean() for ring in range(1, copy.surface.rounds + 1)]
        assert all(one < other for one, other in pairwise(heights[3:]))
