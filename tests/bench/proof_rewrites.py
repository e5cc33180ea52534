"""Every clean page of the corpus written anew: python -m tests.bench.proof_rewrites [-v].

In its own words, in UK and US terms, and spelled out: the new page must be clean and hold the same stitches,
loops and remarks. Told besides: lines that stay as their author wrote them, and why.
"""

from __future__ import annotations

import re
import sys
from collections import Counter

from solver.notation.proof import proof_read
from solver.notation.rewrite import rewritten
from tests.notation.corpus import Page, pages
from tests.notation.test_rewrite import _loops, _work

STYLES: dict[str, dict[str, object]] = {
    "own words": {},
    "US": {"terms": "US"},
    "UK": {"terms": "UK"},
    "spelled": {"spelled": True},
}
_FOREIGN = re.compile(r"^\[[^\]]+\] ", re.MULTILINE)


def differences(page: Page, style: str, reasons: Counter[str]) -> list[str]:
    """Return what is lost of a page in a style."""
    before = proof_read(page.text)
    new = rewritten(page.text, **STYLES[style])  # type: ignore[arg-type]
    after = proof_read(new.text)
    reasons.update(changed=len(new.changed))
    reasons.update(why for _, why in new.kept)
    wrong = []
    if not after.clean:
        wrong.append(f"told: {[one.message for line in after.lines for one in line.problems]}")
    if _work(after) != _work(before):
        wrong.append("other stitches")
    if _loops(after) != _loops(before):
        wrong.append("other loops")
    taken = {line.line + i for line in before.lines for i in range(line.text.count("\n") + 1)}
    flowing = " ".join(_FOREIGN.sub("", new.text).split())
    if style == "own words":
        lost = [
            line
            for number, line in enumerate(page.text.splitlines(), start=1)
            if number not in taken and " ".join(line.split()) not in flowing
        ]
        wrong += [f"lost: {line}" for line in lost]
    return wrong


def main() -> None:
    """Measure over the corpus."""
    for style in STYLES:
        reasons: Counter[str] = Counter()
        wrong = done = 0
        for page in pages():
            if not page.clean or (style in ("US", "UK") and page.language != "en"):
                continue
            done += 1
            told = differences(page, style, reasons)
            wrong += bool(told)
            if told:
                print(f"{style} [{page.notation}] {told}")
        print(f"{style}: {done} pages, {wrong} not the same")
        if "-v" in sys.argv:
            for why, often in reasons.most_common():
                print(f"    {often:5} {why}")


if __name__ == "__main__":
    main()
