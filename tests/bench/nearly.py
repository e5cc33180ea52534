"""Files nearly as they should be, by every command: `python -m tests.bench.nearly [number] [seed] [kinds]`.

Told are tracebacks, more than 15 s of a core, files left by what ends with 2, words that no maker should see,
and pages of ours that don't read back.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import re
import shutil
import signal
import sys
import tempfile
import time
import tomllib
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from importlib import import_module
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from tests.faults import nearly, seeds

MOST_SECONDS = 15.0
TOLD = os.environ.get("NEARLY_TOLD", "")
"""A file that refusals are added to, to be read by a person."""
ROOT = Path(__file__).parents[2]

NONSENSE = re.compile(
    r"\b(nan|NaN|inf|Infinity|None|Traceback|numpy|array\(|dtype|object at 0x|ValueError|TypeError)\b"
    r"|\bNoneType\b|-\d[\d.]* (mm|cm|ml|g|m)\b(?! of)|<class|\[\]|\(\)|\{\}|\bTrue\b|\bFalse\b|e[+-]\d\d\b"
)
"""What no message and no page has in it."""

ALLOWED = re.compile(r"between -?\d|-\d[\d.]* mm (to|and)|\(got .*?\)|: -?\d|more -|by -\d|worked flat")


class TooLongError(BaseException):
    """A command that takes longer than it may; no net for faults catches it."""


@contextlib.contextmanager
def limited(seconds: float) -> Iterator[None]:
    """End what takes longer than so many seconds of the processor."""

    def end(*_: object) -> None:
        raise TooLongError

    signal.signal(signal.SIGPROF, end)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def run(words: list[str]) -> tuple[Result | None, str]:
    """Return how a command ended, and a fault where it did not end as it should."""
    from solver.cli import main

    begun = time.process_time()
    try:
        with limited(MOST_SECONDS + 5):
            result = CliRunner().invoke(main, words)
    except TooLongError:
        frames = [f for f in traceback.extract_tb(sys.exc_info()[2]) if "/solver/" in f.filename]
        return None, f"over {MOST_SECONDS + 5:.0f} s in {frames[-1].name if frames else '?'}"
    if result.exception and not isinstance(result.exception, SystemExit):
        frames = [f for f in traceback.extract_tb(result.exception.__traceback__) if "/solver/" in f.filename]
        where = f"{Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else "?"
        return result, f"traceback {type(result.exception).__name__}: {str(result.exception)[:120]} {where}"
    if time.process_time() - begun > MOST_SECONDS:
        return result, f"{time.process_time() - begun:.0f} s"
    return result, ""


def fault(words: list[str], folder: Path, *, before: set[str]) -> tuple[Result | None, str]:
    """Return how a command ended, and what is wrong with it or with what it told; empty for nothing."""
    result, told = run(words)
    if told or result is None:
        return result, told
    left = {path.name for path in folder.iterdir()} - before
    if result.exit_code not in ((0, 1, 2) if words[0] == "proof" else (0, 2)):
        return result, f"exit {result.exit_code}"
    if result.exit_code == 2:
        if left:
            return result, f"left {sorted(left)}"
        if not result.stderr.strip():
            return result, "nothing told"
        if len(result.stderr) > 3000:
            return result, f"a message of {len(result.stderr)} letters"
    if any(name.startswith(".") for name in left):
        return result, f"half-written {sorted(left)}"
    if TOLD and result.exit_code == 2:
        with open(TOLD, "a", encoding="utf-8") as log:
            log.write(f"{' '.join(words)}: {result.stderr.strip()}\n")
    for name in left:
        if not (folder / name).stat().st_size:
            return result, f"an empty {name}"
    for data, text in (("--json" in words, result.stdout), (False, result.stderr)):
        if data and text:
            if result.exit_code == 0 and (told := _data_fault(text)):
                return result, told
            continue
        for line in text.splitlines():
            found = NONSENSE.search(line)
            if found and not ALLOWED.search(line):
                return result, f"says {found[0]!r}: {line[:160]}"
    return result, ""


def _data_fault(text: str) -> str:
    bad: list[str] = []
    data = json.loads(text, parse_constant=bad.append)
    if bad:
        return f"data with {bad[0]}"
    for one in data if isinstance(data, list) else [data]:
        for part in one.get("parts", [one]) if isinstance(one, dict) else []:
            if not isinstance(part, dict):
                continue
            for key, value in (part.get("form") or {}).items():
                if key.endswith(("_mm", "_ml")) and isinstance(value, int | float) and not value >= 0:
                    return f"form.{key} is {value}"
            for x, _y in (part.get("form") or {}).get("outline", []):
                if x < -1e-6:
                    return f"a radius of {x}"
            for each in part.get("rounds") or []:
                if isinstance(each, dict) and each.get("count", 9) < 1:
                    return f"a round of {each['count']}"
    return ""


PART_COMMANDS: tuple[tuple[list[str], int], ...] = (
    (["rounds"], 6),
    (["rounds", "--json"], 4),
    (["rounds", "--full"], 3),
    (["rounds", "--spelled", "--terms", "UK"], 2),
    (["rounds", "--out", "out.txt"], 1),
    (["preview", "--out", "out.png"], 1),
    (["preview", "--out", "out.html"], 2),
    (["preview", "--out", "out.glb", "--stretch"], 2),
    (["preview", "--out", "out.svg", "--increases", "stacked"], 1),
    (["compare", "--out", "out.svg"], 3),
    (["sheet", "--out", "out.txt"], 2),
    (["sheet", "--out", "out.html", "--spelled"], 1),
    (["sheet", "--out", "out.pdf", "--language", "de"], 1),
    (["sheet", "--out", "out.txt", "--sizes", "S=5 cm, L=8 cm"], 1),
    (["chart", "--out", "out.svg"], 2),
    (["chart", "--out", "out.svg", "--rows", "--left"], 1),
    (["tune", "--height", "52 mm"], 2),
    (["tune", "--length", "95 mm", "--json"], 1),
    (["tune", "--volume", "60 ml"], 1),
    (["tune", "--girth", "15 cm", "--by", "gauge"], 1),
    (["tune", "--width", "44 mm", "--by", "firmness"], 1),
    (["tune", "--table", "4 cm, 6 cm"], 1),
    (["sweep", "--gauge-from", "10", "--gauge-to", "13", "--steps", "2", "--jobs", "1"], 1),
)

TOY_COMMANDS: tuple[tuple[list[str], int], ...] = (
    (["rounds"], 4),
    (["rounds", "--json"], 4),
    (["rounds", "--full", "--spelled"], 1),
    (["preview", "--out", "out.png"], 1),
    (["preview", "--out", "out.glb"], 2),
    (["preview", "--out", "out.html"], 1),
    (["places", "--tables"], 3),
    (["places", "--out", "out.svg"], 2),
    (["sheet", "--out", "out.txt"], 2),
    (["sheet", "--out", "out.pdf"], 1),
    (["tune", "--height", "11 cm"], 2),
    (["tune", "--table", "9 cm, 12 cm"], 1),
    (["compare", "--out", "out.svg"], 1),
)


def _picked(commands: tuple[tuple[list[str], int], ...], chance: random.Random) -> list[str]:
    return list(chance.choices([words for words, _ in commands], [many for _, many in commands])[0])


def read_back(folder: Path, text: str, words: list[str]) -> str:
    """Return what is wrong with a page of ours, read by `proof`; empty for nothing."""
    (folder / "page.txt").write_text(text, encoding="utf-8")
    result, told = run(["proof", str(folder / "page.txt"), "--json"])
    (folder / "page.txt").unlink()
    if told or result is None:
        return f"proof: {told}"
    if result.exit_code == 0:
        return ""
    if result.exit_code == 2:
        return f"proof can't read it: {result.stderr[:200]}"
    lines = json.loads(result.stdout)["lines"]
    return next((f"proof: {p['message'][:160]} | {x['text'][:90]}" for x in lines for p in x["problems"]), "")


def part_case(chance: random.Random, i: int, folder: Path) -> tuple[str, str, bool]:
    """Try a part file; return what was tried, its fault, and whether it was accepted."""
    files = nearly.PARTS | {k: v for k, v in seeds.PARTS.items() if k not in nearly.PARTS}
    return _tried(files, PART_COMMANDS, chance, i, folder, lambda words: not {"--json", "--out"} & set(words))


def toy_case(chance: random.Random, i: int, folder: Path) -> tuple[str, str, bool]:
    """Try a toy file."""
    return _tried(nearly.TOYS, TOY_COMMANDS, chance, i, folder, lambda words: len(words) == 2)


def _tried(
    whole: Mapping[str, bytes],
    commands: tuple[tuple[list[str], int], ...],
    chance: random.Random,
    i: int,
    folder: Path,
    is_page: Callable[[list[str]], bool],
) -> tuple[str, str, bool]:
    """Try a file nearly as it should be; a page of rounds that comes of it is read back."""
    files = sorted(whole.items())
    name, content = files[i % len(files)]
    (folder / name).write_bytes(nearly.nearly(content, chance))
    words = _picked(commands, chance)
    words = [words[0], name, *words[1:]]
    result, told = fault(words, folder, before={name})
    fine = result is not None and result.exit_code == 0
    if fine and not told and words[0] == "rounds" and is_page(words):
        told = read_back(folder, result.stdout, words)  # type: ignore[union-attr]
    return " ".join(words), told, fine


def drawing_case(chance: random.Random, i: int, folder: Path) -> tuple[str, str, bool]:
    """Try a toy's drawing, and the toy that comes of it; or a part's drawing."""
    if i % 3 == 2:
        files = sorted(seeds.drawings().items())
        name, content = files[i // 3 % len(files)]
        (folder / name).write_bytes(nearly.nearly_drawing(content, chance))
        more = chance.choice([[], ["--limb"], ["--drawn", "half"], ["--first", "top"], ["--finish", "open"]])
        words = ["trace", name, "--height", chance.choice(["6 cm", "30 mm", "140 mm"]), "--stitches", "14"]
        words += [*more, "--out", "out.toml"]
    else:
        files = sorted(nearly.TOY_DRAWINGS.items())
        name, content = files[i % len(files)]
        (folder / name).write_bytes(nearly.nearly_drawing(content, chance))
        words = ["toy", name, "--height", chance.choice(["14 cm", "9 cm", "22 cm"]), "--stitches", "12"]
        words += ["--out", "out.toml"]
    result, told = fault(words, folder, before={name})
    fine = result is not None and result.exit_code == 0
    if fine and not told:
        before = {path.name for path in folder.iterdir()}
        after = (
            ["rounds", "out.toml"]
            if chance.random() < 0.6 or words[0] == "trace"
            else ["compare", "out.toml"]
        )
        second, told = fault(after, folder, before=before)
        words += ["; ", *after]
        if not told and second is not None and second.exit_code == 2:
            told = f"what was written is refused: {second.stderr[:200]}"
    return " ".join(words), told, fine


PAGE_JOBS = (
    *("jobs.first", "jobs.solve", "jobs.form", "jobs.as_points", "jobs.looked_at", "jobs.saved"),
    *("making.sized", "making.kept"),
)
"""What the page's workers do with a part as it is drawn."""


def page_case(chance: random.Random, i: int, folder: Path) -> tuple[str, str, bool]:
    """Try a part or a toy as the page sends it to its workers."""
    from solver.page import jobs

    is_toy = i % 4 == 3
    files = sorted((nearly.TOYS if is_toy else nearly.PARTS).items())
    name, content = files[i // 4 % len(files)] if is_toy else files[i % len(files)]
    content = nearly.nearly(content, chance)
    draft = {"tables": tomllib.loads(content.decode()), "base": "", "name": name, "folder": str(folder)}
    job = chance.choice(("toys.solve", "toys.saved") if is_toy else PAGE_JOBS)
    more: dict[str, Any] = {}
    if job == "making.sized":
        more = {"measure": chance.choice(("height", "width", "length", "volume")), "target": "60 mm"}
    if job == "making.kept":
        what, ending = chance.choice((("stuffed", ".png"), ("mesh", ".glb"), ("turning", ".html")))
        more = {"what": what, "ending": ending, "options": {}}
    (folder / name).write_bytes(content)
    (folder / "job.json").write_text(json.dumps({"job": job, **more}), encoding="utf-8")
    told: dict[str, Any] = {}
    text, begun = io.StringIO(), time.process_time()
    try:
        with limited(MOST_SECONDS + 5), contextlib.redirect_stderr(text):
            module, _, which = job.partition(".")
            work = getattr(import_module(f"solver.page.{module}"), which)
            told = jobs.told(work, {"draft": draft, **more})
    except TooLongError:
        return f"{job} {name}", f"over {MOST_SECONDS + 5:.0f} s", False
    if "Traceback" in text.getvalue():
        last = [line.strip() for line in text.getvalue().strip().splitlines()]
        return f"{job} {name}", f"traceback {' | '.join(last[-3:])[-250:]}", False
    if time.process_time() - begun > MOST_SECONDS:
        return f"{job} {name}", f"{time.process_time() - begun:.0f} s", False
    told.pop("content", None)
    try:
        json.dumps(told, allow_nan=False)
    except ValueError as error:
        return f"{job} {name}", f"no JSON: {error}", True
    said = " ".join(each["text"] for each in told.get("problems", []))
    found = NONSENSE.search(said)
    wrong = f"says {found[0]!r}: {said[:200]}" if found and not ALLOWED.search(said) else ""
    return f"{job} {name}", wrong, bool(told.get("ok"))


_CASES: dict[str, Callable[[random.Random, int, Path], tuple[str, str, bool]]] = {
    "parts": part_case,
    "toys": toy_case,
    "drawings": drawing_case,
    "page": page_case,
}


def main() -> None:
    """Try so many of each kind, and print what is wrong."""
    number, seed = ([int(word) for word in sys.argv[1:3]] + [300, 1][len(sys.argv) - 1 :])[:2]
    keep = Path(os.environ.get("NEARLY_KEEP", tempfile.gettempdir())) / "nearly"
    for kind in sys.argv[3:] or list(_CASES):
        wrong: Counter[str] = Counter()
        fine, slowest, home = 0, 0.0, Path.cwd()
        for i in range(number):
            with tempfile.TemporaryDirectory() as work:
                os.chdir(work)
                begun = time.process_time()
                tried, told, accepted = _CASES[kind](random.Random(f"{seed} {kind} {i}"), i, Path(work))
                took = time.process_time() - begun
                slowest, fine = max(slowest, took), fine + accepted
                if told:
                    short = re.sub(r"\d+(\.\d+)?", "9", told)[:60]
                    wrong[short] += 1
                    if wrong[short] <= 3:
                        place = keep / f"{kind}-{seed}-{i}"
                        shutil.rmtree(place, ignore_errors=True)
                        shutil.copytree(work, place)
                        print(f"{place}: {tried}: {told}", flush=True)
                os.chdir(home)
        print(
            f"{kind}: {number} tried, {fine} accepted, {sum(wrong.values())} wrong, slowest {slowest:.1f} s"
        )


if __name__ == "__main__":
    main()
