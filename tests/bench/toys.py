"""How long a large toy takes to solve and place, and to draw: `python -m tests.bench.toys`.

The bar: 12 parts and 6,000 stitches solved and placed in 4 s on two cores, drawn in 6 s more, set as a
sheet in 3 s.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from solver.cli.toysheet import sheet_of_solved
from solver.cli.toyview import toy_preview
from solver.sheet.model import Copy
from solver.sheet.printed import as_pdf
from solver.toy.data import toy_dict
from solver.toy.solved import solve_toy
from solver.toy.toyfile import read_toy

_LIMB = 'shape = { kind = "outline", points = [[0, 0], [12, 3], [15, 14], [14, 40], [11, 60]] }'
_SPOTS = [(30, 50), (30, 130), (55, 70), (75, 90), (60, 150), (95, 60)]
_EARS = [(52, 60), (40, 120)]


def text() -> str:
    """Return a toy of 12 copies: body, head, and ten limbs and ears, about 6,000 stitches."""
    lines = [
        '[gauge]\nstitches = 24\nrows = 26\nover = "10 cm"\n[stuffing]\nfirmness = "firm"',
        '[parts.body]\nshape = { kind = "ball", width = "115 mm" }',
        '[parts.head]\non = "body"\nat = "top"',
        'shape = { kind = "outline", points = [[0, 0], [28, 5], [40, 30], [36, 56], [22, 68]] }',
    ]
    for number, (height, turn) in enumerate(_SPOTS[:3]):
        join = 'join = "flat"\n' if number % 2 else ""
        lines.append(
            f'[parts.limb{number}]\non = "body"\nat = {{ height = {height}, turn = {turn} }}\n'
            f"twins = true\n{join}{_LIMB}"
        )
    for number, (height, turn) in enumerate(_EARS):
        lines.append(
            f'[parts.ear{number}]\non = "head"\nat = {{ height = {height}, turn = {turn} }}\ntwins = true\n'
            'join = "flat"\nshape = { kind = "outline", points = [[0, 0], [10, 4], [10, 18]] }'
        )
    return "\n".join(lines)


def main() -> None:
    """Print the times."""
    begin, cpu = time.perf_counter(), time.process_time()
    toy = solve_toy(read_toy(text(), file="toy.toml", title="Toy", folder=Path()))
    toy_dict(toy)
    stitches = sum(sum(copy.solved.piece.counts) for copy in toy.copies)
    print(f"{len(toy.copies)} parts, {stitches:,} stitches", toy.loose)
    print(
        f"solved and placed: {time.perf_counter() - begin:.1f} s ({time.process_time() - cpu:.1f} s of work)"
    )
    begin, cpu = time.perf_counter(), time.process_time()
    made = as_pdf(sheet_of_solved(toy, Copy(), folder=Path(), forms=False))
    print(
        f"sheet as PDF, {len(made) // 1000} kB: {time.perf_counter() - begin:.1f} s "
        f"({time.process_time() - cpu:.1f} s of work)"
    )
    begin, cpu = time.perf_counter(), time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        toy_preview(toy, Path(folder) / "toy.png", ".png", stretch=False)
    print(f"drawn: {time.perf_counter() - begin:.1f} s ({time.process_time() - cpu:.1f} s of work)")


if __name__ == "__main__":
    main()
