"""The sample toys, solved, placed, written and drawn."""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh
from click.testing import CliRunner
from numpy.testing import assert_allclose

from solver.cli import main
from solver.cli.toytext import toy_text
from solver.cli.toyview import toy_preview
from solver.notation.proof import proof_read
from solver.toy.beads import beads
from solver.toy.data import toy_dict
from solver.toy.scaling import sized
from solver.toy.solved import SolvedToy, solve_toy
from solver.toy.summary import takes
from solver.toy.toyfile import load_toy, read_toy
from viz.camera import Camera
from viz.toy import Skin, colours_of, rendered

SAMPLES = Path(__file__).parents[2] / "samples"
TOYS = ("seal", "puffin", "tug")


@cache
def solved(name: str) -> SolvedToy:
    """Return a sample toy, solved once."""
    return solve_toy(load_toy(SAMPLES / name / f"{name}.toml"))


@pytest.mark.parametrize("name", TOYS)
def test_the_samples(name: str) -> None:
    """Every copy has its place; edges are as long there as they should be; the ground is at zero."""
    toy = solved(name)
    data = json.loads(json.dumps(toy_dict(toy), allow_nan=False))
    assert len(data["places"]) == sum(part["make"] for part in data["parts"]) - 1
    for place in data["places"]:
        low, high = place["rounds"]
        assert low <= high
        if place["join"] in ("sewn", "flat") and not place["edge_to_edge"]:
            assert_allclose(place["place_mm"], place["edge_mm"], rtol=0.005)
        points = np.array(place["points"])
        ahead = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
        length = ahead.sum() if place["join"] in ("sewn", "pressed") else ahead[:-1].sum()
        assert_allclose(length, place["place_mm"], rtol=0.005)
    assert_allclose(toy.points[:, 2].min(), 0.0, atol=1e-9)
    assert toy.loose == ()
    assert data["form"]["mass_g"] == pytest.approx(
        sum(p["make"] * (p["materials"]["yarn_g"]["value"] + p["materials"]["stuffing_g"]["value"])
            for p in data["parts"]), rel=0.02)  # fmt: skip
    assert data["materials"]["stitches"] == sum(p["make"] * p["materials"]["stitches"] for p in data["parts"])


@pytest.mark.parametrize("name", TOYS)
def test_twins_mirror(name: str) -> None:
    """Twins lie left and right: the same rounds, as far from the middle front, mirrored points."""
    places = toy_dict(solved(name))["places"]
    twins = [place for place in places if place["copy"] == 2]
    assert twins
    for right in twins:
        left = next(p for p in places if p["part"] == right["part"] and p["copy"] == 1)
        assert_allclose(left["rounds"], right["rounds"], atol=0.3)  # stitches themselves are not mirrored
        assert_allclose(
            left["middle"]["from_front"], -right["middle"]["from_front"], atol=0.5
        )  # half a stitch
        assert left["middle"]["from_front"] > 0
        assert np.array(left["points"])[:, 0].mean() > 0
        assert_allclose(
            np.mean(left["points"], axis=0) * [-1, 1, 1], np.mean(right["points"], axis=0), atol=1
        )


def test_the_held_edges() -> None:
    """A form is solved again with its edge held: the stitches of its edge lie on the place."""
    for copy in solved("seal").copies:
        if copy.edge is None or copy.wanted.join != "sewn":
            continue
        rim = copy.points[copy.surface.form.fabric.rings[-1]]
        apart = np.linalg.norm(rim[:, None] - copy.edge_points[None], axis=2).min(axis=1)
        assert apart.max() < 0.75  # its points are up to 1.2 mm apart


def test_the_text() -> None:
    """The pattern has each part once, eyes in their place, one key, one list, and the joining by count."""
    text = toy_text(solved("seal"))
    assert text.count("Flipper (make 2)") == 1
    assert text.count("How to read it") == text.count("\nMaterials") == text.count("\nCautions") == 1
    head = text[text.index("\nHead\n") : text.index("\nFlipper")]
    assert head.index("Fix the two eyes (8 mm (5/16 in) across) between") < head.index("Stuff the piece")
    joining = " ".join(text[text.index("\nJoining") : text.index("\nSize and weight")].split())
    assert "Sew the open edge of the snout to the front of the head, its lower end between rounds" in joining
    assert "the middle of the front" in joining
    assert "The toy's own left one: find round" in joining
    assert "and fits" in joining
    assert "it was not measured" not in text
    assert "was not measured: places are counted as if it stood still" in " ".join(text.split())
    assert not [line for line in proof_read(text).lines if line.problems]


def test_eyes_sit_on_the_face() -> None:
    """Eyes are mirrored, on the fabric, and look forward; the count between them is whole."""
    toy = solved("seal")
    left, right, nose = beads(toy)
    half_a_stitch = 2.1  # an edge held on a body whose stitches are not mirrored turns the face a little
    assert_allclose(left.middle * [-1, 1, 1], right.middle, atol=half_a_stitch)
    assert left.middle[0] > 0 > left.outward[1]
    assert abs(nose.middle[0]) < 1.0
    eyes = toy_dict(toy)["eyes"]
    one, other = sorted(eyes[0]["stitches"])
    assert eyes[0]["between"] == other - one - 1


def test_materials_by_colour() -> None:
    """Yarn is summed by colour over all copies, with balls, and eyes are counted."""
    told = takes(solved("puffin"))
    assert set(told.colours) == {"white", "black", "orange"}
    assert sum(stitches for stitches, _, _ in told.colours.values()) == told.stitches
    assert told.hard == {("eyes", 7.0): 2}


MEETING = """[gauge]
stitches = 20
rows = 20
[parts.body.shape]
kind = "ball"
width = "80 mm"
[[parts.body.eyes]]
diameter = "9 mm"
at = { height = "42 mm", turn = 8 }
twins = true
[parts.snout]
on = "body"
at = { height = "40 mm", turn = 0 }
shape = { kind = "outline", points = [[0, 0], [14, 3], [16, 14]] }
[parts.horn]
on = "body"
at = { height = "55 mm", turn = 10 }
shape = { kind = "outline", points = [[0, 0], [12, 3], [14, 24]] }
[parts.tag]
on = "body"
at = { height = "20 mm", turn = 180 }
join = "flat"
shape = { kind = "outline", points = [[0, 0], [6, 3], [3.5, 18]] }
"""


def test_what_is_in_the_way() -> None:
    """Covered eyes, edges over each other, parts in each other and a flat edge on few stitches are told."""
    notes = toy_dict(solve_toy(read_toy(MEETING, file="t.toml", title="T", folder=SAMPLES)))["notes"]
    told = "\n".join(notes)
    assert "The eye on the body lies under the snout: raise it by" in told
    assert "The edges of the snout and the horn lie over each other" in told
    assert "The snout and the horn run into each other by" in told
    assert "too few to hold it from turning" in told


def test_no_room_is_told() -> None:
    """An edge that would go over an end is told with its line, and no form is shown."""
    text = MEETING.replace('height = "40 mm", turn = 0', 'height = "40 mm", turn = 0').replace(
        "[16, 14]", "[45, 14]"
    )
    with pytest.raises(Exception, match=r"\[parts.snout\] at, line 13: the snout has room on the body"):
        solve_toy(read_toy(text, file="t.toml", title="T", folder=SAMPLES))


def test_the_nearest_surface_is_seen() -> None:
    """Where parts hide each other, each dot shows the nearest: a red part before a blue one."""
    copies = solved("tug").copies
    hull, fender = copies[0], next(each for each in copies if each.wanted.name == "fender")
    skins = [
        Skin(each.surface.form.fabric, each.points, (name,) * each.surface.rounds)
        for each, name in ((fender, "red"), (hull, "blue"))
    ]
    palette = colours_of(["red", "blue"])
    shown = {}
    for side, turn in (("near", 0.0), ("far", 180.0)):
        picture, _ = rendered(skins, (), Camera(tilt=0.0, turn=turn), palette, mm_a_dot=1.0)
        there = picture[..., 3] > 0
        shown[side] = int((there & (picture[..., 0] > picture[..., 2])).sum())
    assert shown["near"] > 250  # most of the disc of 22 mm
    assert shown["far"] < shown["near"] / 3


def test_mesh_with_names_and_colours(tmp_path: Path) -> None:
    """GLB has a node a copy with its colour, or one for each, in metres with y up; STL holds all as one."""
    toy = solved("tug")
    toy_preview(toy, tmp_path / "tug.glb", ".glb", stretch=False)
    scene = trimesh.load(tmp_path / "tug.glb", force="scene")
    names = {name.split(": ")[0] for name in scene.graph.nodes_geometry}
    assert names == {"hull", "wheelhouse", "funnel", "fender 1", "fender 2"}
    assert {"funnel: black", "funnel: firebrick"} < set(scene.graph.nodes_geometry)
    height = toy.sizes[2]
    assert_allclose(np.ptp(scene.bounds, axis=0)[1] * 1000, height, rtol=1e-4)
    colours = {tuple(mesh.visual.material.baseColorFactor[:3]) for mesh in scene.geometry.values()}
    assert len(colours) == 5
    toy_preview(toy, tmp_path / "tug.stl", ".stl", stretch=False)
    whole = trimesh.load(tmp_path / "tug.stl")
    assert_allclose(np.ptp(whole.bounds, axis=0)[2], height, rtol=1e-4)


def test_the_turning_page(tmp_path: Path) -> None:
    """The page holds a colour for each face and the names of the parts."""
    toy = solved("tug")
    toy_preview(toy, tmp_path / "tug.html", ".html", stretch=False)
    page = (tmp_path / "tug.html").read_text(encoding="utf-8")
    assert '["wheelhouse",[' in page
    assert "@" not in page.split("<script>")[1].split("function")[0]


def test_commands(tmp_path: Path) -> None:
    """`rounds`, `preview` and `places` take a toy file; `places` refuses a part with what to do."""
    file = str(SAMPLES / "tug" / "tug.toml")
    run = CliRunner()
    found = run.invoke(main, ["rounds", file, "--terms", "UK"])
    assert found.exit_code == 0
    assert "UK terms" in found.output
    out = tmp_path / "map.png"
    found = run.invoke(main, ["places", file, "--out", str(out)])
    assert found.exit_code == 0
    assert (tmp_path / "map-hull.png").exists()
    assert (tmp_path / "map-wheelhouse.png").exists()
    assert "wheelhouse: rounds" in found.output
    found = run.invoke(main, ["places", str(SAMPLES / "buoy.toml"), "--out", str(out)])
    assert found.exit_code == 2
    assert "plumpline toy FOLDER" in found.output


NECKED = """[gauge]
stitches = 18
rows = 19
[parts.body]
shape = { kind = "outline", points = [[0, 0], [24, 4], [30, 30], [16, 56]] }
work = { finish = "open" }
[parts.head]
on = "body"
at = "top"
join = "sewn"
shape = { kind = "outline", points = [[0, 0], [20, 8], [24, 24], [16, 42]] }
work = { finish = "open" }
"""
"""A body and a head whose open edges meet (invented)."""


def test_a_toy_of_another_size() -> None:
    """A tuned toy is as high as was asked, its necks still match, and places scale with it."""
    drawn = solve_toy(read_toy(NECKED, file="t.toml", title="T", folder=SAMPLES))
    found, factor = sized(drawn, measure="height", target=1.3 * drawn.sizes[2])
    assert_allclose(found.sizes[2], 1.3 * drawn.sizes[2], rtol=0.02)
    assert factor == pytest.approx(1.3, rel=0.05)
    head = next(place for place in toy_dict(found)["places"] if place["part"] == "head")
    assert head["edge_to_edge"]
    assert abs(head["ease_in_stitches"]) < 1.5


def test_tune_command() -> None:
    """`tune` refuses what a whole toy has not."""
    file = str(SAMPLES / "puffin" / "puffin.toml")
    run = CliRunner()
    for options, told in (
        (["--girth", "30 cm"], "of a whole toy one size is asked for"),
        (["--height", "10 cm", "--by", "gauge"], "tuned by its drawing"),
    ):
        found = run.invoke(main, ["tune", file, *options])
        assert found.exit_code == 2
        assert told in found.output


def test_another_yarn(tmp_path: Path) -> None:
    """A toy in thicker yarn has fewer stitches the same sizes, and places told by round stay."""
    toy = """[gauge]
stitches = 24
rows = 26
[parts.body]
shape = { kind = "ball", width = "70 mm" }
[parts.arm]
on = "body"
at = { round = 12, stitch = 10 }
shape = { kind = "outline", points = [[0, 0], [8, 4], [9, 24]] }
work = { finish = "open" }
"""
    file, gauge = tmp_path / "toy.toml", tmp_path / "thick.toml"
    file.write_text(toy, encoding="utf-8")
    gauge.write_text("[gauge]\nstitches = 16\nrows = 17\n", encoding="utf-8")
    run = CliRunner()
    fine = json.loads(run.invoke(main, ["rounds", str(file), "--json"]).stdout)
    found = run.invoke(main, ["tune", str(file), "--gauge", str(gauge), "--json"])
    assert found.exit_code == 0, found.output
    thick = json.loads(found.stdout)
    assert thick["materials"]["stitches"] < 0.6 * fine["materials"]["stitches"]
    assert_allclose(thick["form"]["height_mm"], fine["form"]["height_mm"], atol=3)
    middles = [np.mean(each["places"][0]["points"], axis=0) for each in (fine, thick)]
    assert_allclose(middles[0], middles[1], atol=3)
    assert thick["tuned"]["gauge"] == str(gauge)
    wrong = run.invoke(main, ["tune", str(SAMPLES / "buoy.toml"), "--gauge", str(gauge)])
    assert wrong.exit_code == 2
    assert "for a whole toy" in wrong.output


def test_a_toy_file_begun(tmp_path: Path) -> None:
    """`toy` makes a file of a folder's parts that reads back, the widest part first."""
    folder = tmp_path / "gull"
    folder.mkdir()
    for name in ("gull-head", "seal-snout"):
        text = (SAMPLES / f"{name}.toml").read_text(encoding="utf-8")
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    run = CliRunner()
    found = run.invoke(main, ["toy", str(folder), "--out", str(folder / "toy.toml")])
    assert found.exit_code == 0, found.output
    toy = load_toy(folder / "toy.toml")
    assert [part.name for part in toy.parts] == ["gull-head", "seal-snout"]
    assert toy.parts[1].join == "sewn"
    assert len(solve_toy(toy).copies) == 2
    empty = run.invoke(main, ["toy", str(tmp_path), "--out", str(tmp_path / "toy.toml")])
    assert empty.exit_code == 2
    assert "part files" in empty.output


def test_a_flat_piece_laid_on() -> None:
    """A flat piece lies over what carries it, right side out, and is not seen from the other side."""
    text = MEETING[: MEETING.index("[parts.snout]")] + (
        '[parts.patch]\non = "body"\nat = { height = "40 mm", turn = 0 }\njoin = "pressed"\n'
        'shape = { kind = "flat oval", length = "36 mm", width = "22 mm" }\n'
    )
    body, patch = solve_toy(read_toy(text, file="t.toml", title="T", folder=SAMPLES)).copies
    middle = body.points.mean(axis=0)
    apart = np.linalg.norm(patch.points - middle, axis=1)
    assert_allclose(apart, 40 + 2.5, atol=1.5)  # half a row over a ball of 80 mm
    skin = Skin(patch.surface.form.fabric, patch.points, ())
    seen = [
        (rendered([skin], (), Camera(tilt=0.0, turn=turn), colours_of([]), mm_a_dot=1.0)[0][..., 3] > 0).sum()
        for turn in (-90.0, 90.0)
    ]
    assert seen[0] > 400
    assert seen[1] == 0
