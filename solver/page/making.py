"""Jobs that make something new: a drawing of another size, an outline of a picture, a file to keep."""

from __future__ import annotations

import base64
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from solver.errors import InputError, PlumplineError, Problem
from solver.page.drafts import points_of
from solver.page.jobs import Draft, part_of, solved_or_written, solved_part, with_any_shape
from solver.page.resized import scaled_tables
from solver.units import to_mm

if TYPE_CHECKING:
    from solver.solving.solved import Solved
    from solver.tracing.trace import Trace

MOST_TRIED = 5
"""Drawings that are tried for a size."""

HIT = 0.002
"""Relative misfit at which a size is hit."""

# ---- a finished size ---------------------------------------------------------------------------------------


def sized(*, draft: Draft, measure: str, target: str) -> dict[str, Any]:
    """Return a draft whose drawing is scaled so that the stuffed part comes out at a size.

    What is scaled is what will be saved: every trial is solved as the file would be.

    Parameters
    ----------
    draft : dict
    measure : str
        One of the measures of its kind.
    target : str
        A length as people write it; of a volume millilitres.
    """
    from solver.tuning.scale import bar, check_target, scaled_to, wall_added

    part = part_of(draft)
    aim = to_mm(target) if measure != "volume" else to_mm(target.lower().replace("ml", "").strip())
    check_target(part, measure, aim)
    wall, power = wall_added(part, measure), 1 / 3 if measure == "volume" else 1.0
    first = scaled_to(part, measure=measure, target=aim)
    factor, best = first.part.half_width / part.half_width, None
    for _ in range(MOST_TRIED):
        tables = scaled_tables(draft["tables"], factor)
        try:
            got = float(getattr(solved_part({**draft, "tables": tables}).got, measure))
        except PlumplineError:
            if best is None:
                raise
            break
        if best is None or abs(got / aim - 1) < abs(best[0] / aim - 1):
            best = (got, tables)
        if abs(got / aim - 1) <= HIT:
            break
        factor *= ((aim - wall) / max(got - wall, 1e-6)) ** power
    assert best is not None
    got, tables = best
    missed = abs(got - aim) > bar(part, measure, aim)
    return {"ok": True, "tables": tables, "points": points_of(tables), "got": got, "missed": missed}


# ---- pictures traced ---------------------------------------------------------------------------------------


def traced(
    *, picture: bytes, name: str, draft: Draft, height: str, start: str = "", finish: str = ""
) -> dict[str, Any]:
    """Return the outline in a picture, a drawing or a model, and the check picture of it."""
    from solver.tracing.files import KINDS, Choice, kind_of, trace_file
    from solver.tracing.trace import Wanted

    ending = Path(name).suffix.lower()
    if ending not in (known for endings in KINDS.values() for known in endings):
        kind_of(Path(f"picture{ending[:20]}"))
    gauge = part_of(with_any_shape(draft)).gauge
    wanted = Wanted(
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        height=to_mm(height) if height.strip() else None,
        open_first=start == "open",
        open_last=finish == "open",
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"picture{ending}"
        path.write_bytes(picture)
        try:
            found = trace_file(path, wanted, Choice(), kind=kind_of(path))
        except InputError as error:
            raise InputError(*(_nameless(one) for one in error.problems)) from error
        return _traced_told(found, Path(folder), draft, stitch_width=gauge.stitch_width, ends=(start, finish))


def _nameless(one: Problem) -> Problem:
    """Return a problem without the place where a picture was kept while it was read."""
    return Problem(one.rule, one.got, one.remedy)


def _traced_told(
    found: Trace, folder: Path, draft: Draft, *, stitch_width: float, ends: tuple[str, str]
) -> dict[str, Any]:
    from viz.figure import save_figure
    from viz.trace import draw_trace

    sides = found.sides(stitch_width=stitch_width)
    shape: dict[str, Any] = {"kind": "outline", "points": [list(point) for point in found.points]}
    if sides is not None:
        straight = sides if isinstance(sides, float) else [list(pair) for pair in sides]
        shape |= {"section": "oval", "straight": straight}
    start, finish = ends
    usual = ("ring", "cinched") if sides is None else ("chain", "seamed")
    work = {
        **{k: v for k, v in draft["tables"].get("work", {}).items() if k not in ("ring", "chain")},
        "start": start or usual[0],
        "finish": finish or usual[1],
    }
    tables = {**draft["tables"], "shape": shape, "work": work}
    save_figure(draw_trace(found.seen).figure, folder / "check.png", dpi=90)
    return {
        "ok": True,
        "tables": tables,
        "points": points_of(tables),
        "notes": list(found.notes),
        "picture": base64.b64encode((folder / "check.png").read_bytes()).decode(),
    }


# ---- files to keep -----------------------------------------------------------------------------------------

KEPT_AS = {
    "stuffed": (".png", ".svg", ".pdf"),
    "over": (".png", ".svg", ".pdf"),
    "mesh": (".stl", ".obj", ".ply", ".glb"),
    "turning": (".html",),
    "rounds": (".txt",),
}
"""What a part can be kept as, with its endings."""


SHEETS = (".pdf", ".html", ".txt")


def kept(*, draft: Draft, what: str, ending: str, options: dict[str, Any]) -> dict[str, Any]:
    """Return a file of a solved part or a whole toy.

    Parameters
    ----------
    draft : dict
    what, ending : str
        One of `KEPT_AS`.
    options : dict
        `written`, `language`, `spelled` and `stretch`, as the page has them.
    """
    if "parts" in draft["tables"]:
        from solver.page.sheets import of_toy

        return {"ok": True, "content": of_toy(draft, what, ending, options), "ending": ending}
    if what == "sheet" and ending in SHEETS:
        from solver.page.sheets import sheet_of

        return {"ok": True, "content": sheet_of(draft, ending, options), "ending": ending}
    if ending not in KEPT_AS.get(what, ()):
        known = ", ".join(KEPT_AS.get(what, ("nothing",)))
        raise InputError(Problem(f"this is kept as {known}", got=ending))
    solved = solved_or_written(draft, str(options.get("written", "")))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"kept{ending}"
        _MAKERS[what](solved, path, options)
        return {"ok": True, "content": path.read_bytes(), "ending": ending, "title": solved.part.title}


def _stuffed(solved: Solved, path: Path, options: dict[str, Any]) -> None:
    from viz.camera import Camera
    from viz.figure import save_figure
    from viz.stuffed import draw_stuffed

    form = solved.standing
    stretch = form.as_drawn if options.get("stretch") and not form.is_folded else None
    camera = Camera(tilt=80.0) if solved.form.is_flat else None
    told: dict[str, Any] = {"stretch": stretch, "camera": camera, "colours": solved.shades}
    axes = draw_stuffed(form.fabric, form.points, title=solved.part.title, **told)
    save_figure(axes.figure, path)


def _over(solved: Solved, path: Path, options: dict[str, Any]) -> None:
    from solver.wanted.outline import Outline
    from viz.comparison import draw_comparison
    from viz.figure import save_figure
    from viz.oval_comparison import draw_oval_comparison

    names = solved.kind.measures
    sizes = [(name, getattr(solved.wanted, name), getattr(solved.got, name)) for name in names]
    title = solved.part.title
    if solved.deviation:
        drawn = Outline(solved.kind.drawing(solved.part))
        made = "folded flat" if solved.form.is_folded else "stuffed"
        words: dict[str, Any] = {"title": title, "made": made, "from_top": solved.part.stands_on_finish}
        axes = draw_comparison(drawn, solved.form.outline, solved.deviation, sizes, **words)
        save_figure(axes.figure, path)
        return
    save_figure(draw_oval_comparison(solved.views, [], sizes, title=title)[0].figure, path)


def _mesh(solved: Solved, path: Path, options: dict[str, Any]) -> None:
    from solver.files.meshfile import write_mesh, write_solids
    from viz.meshes import solids_of

    form = solved.standing
    if len({name for own in solved.colours for name in own}) > 1:
        write_solids(path, solids_of(form.fabric, form.points, solved.shades, name=solved.part.title))
        return
    fabric = form.fabric
    write_mesh(path, form.points, triangles=fabric.triangles, quads=fabric.quads)


def _turning(solved: Solved, path: Path, options: dict[str, Any]) -> None:
    from solver.files.turntable import write_turntable
    from solver.rounds import Start
    from viz.meshes import turning

    form = solved.standing
    counts = form.piece.counts
    word = "rows" if form.piece.start is Start.ROWS else "rounds"
    write_turntable(
        path,
        **turning(form, solved.shades),
        title=solved.part.title,
        words=f"{sum(counts):,} stitches in {len(counts)} {word}.",
    )


def _rounds(solved: Solved, path: Path, options: dict[str, Any]) -> None:
    from solver.page.told import solved_told

    told = solved_told(
        solved, language=str(options.get("language", "")), spelled=bool(options.get("spelled"))
    )
    blocks = [("", [line["text"] for line in told["lines"]])]
    blocks += [("Materials", told["materials"]), ("How to read it", told["reading"])]
    blocks += [("Notes", told["data"]["notes"]), ("Cautions", told["data"]["cautions"])]
    lines = [solved.part.title]
    for heading, items in blocks:
        if items:
            lines += ["", *([heading] if heading else []), *(f"- {it}" if heading else it for it in items)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


_MAKERS = {"stuffed": _stuffed, "over": _over, "mesh": _mesh, "turning": _turning, "rounds": _rounds}
