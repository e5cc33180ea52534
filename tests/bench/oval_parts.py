"""How long whole oval parts take to solve. Run by hand: python -m tests.bench.oval_parts."""

import time

from tests.test_oval_fit import GAUGES, PARTS, making

from solver.search.oval_plan import fit_oval


def main() -> None:
    """Print the table."""
    for name, (wanted, how) in PARTS.items():
        for gauge in GAUGES:
            began = time.perf_counter()
            best, solved = fit_oval(wanted, making(wanted, gauge, how))
            taken = time.perf_counter() - began
            print(
                f"{name:8} {gauge[0]:.2f} mm {sum(best.piece.counts):5} st {solved:3} forms {taken:6.2f} s, "
                f"{1000 * taken / sum(best.piece.counts):.1f} s for 1,000 stitches"
            )


if __name__ == "__main__":
    main()
