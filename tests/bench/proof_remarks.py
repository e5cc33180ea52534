"""Clean pages with remarks put in at random: python -m tests.bench.proof_remarks [-v] [SEED].

Behind a round, before its count, or on a line between: nothing may be accused, and every count stays.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter

from solver.notation.proof import proof_read
from tests.notation.corpus import Page, pages

BEHIND = (
    " (see photo 3)",
    " - photo 12",
    " [picture 4]",
    " Place a marker here.",
    " (you will have a small cup now)",
    " – start stuffing",
    ". Stuff firmly as you go.",
    " (work loosely!)",
    " Do not close yet.",
    " (image 7 and 8)",
    " It should now look like a small bowl.",
    " *do not forget to count",
    " - change to white in the last stitch",
    " Cut yarn.",
    " (check: 5 cm wide)",
    " Remove the marker and place it again.",
    " , turn the work right side out",
    " - here you put in the eyes, 8 mm",
    " (this is the widest round)",
    " Now it begins to curl.",
    " <3",
    " :)",
    " Leave the loop on the hook.",
    " ✓",
    " - that's the head done!",
    " (the hole will be closed later)",
    " (6 increases in all)",
    " - 6 more stitches than before",
    " Your piece measures 4 cm across.",
    " (3 rounds done)",
    " Mark the 3rd and 9th stitch for the arms.",
    " (count your stitches: there are enough)",
    " - the increases sit at the back",
    " Insert one eye into stitch 4 and one into stitch 9.",
    " (if you have one stitch too many, check round 2)",
    " We will come back to the free loops later.",
    " (repeat for the second one)",
    " - do this 2 more times for the other legs",
)
BETWEEN = (
    "Photo 5 shows how it looks after round 3.",
    "Stuff the piece lightly before you go on.",
    "Tip: count your stitches!",
    "Insert the eyes between rounds 3 and 4, 5 stitches apart.",
    "Change to grey.",
    "(If you use 6 mm eyes, put them in now.)",
    "You now have a small cup of about 4 cm.",
    "Continue in a spiral without joining.",
    "***",
    "--- page 3 of 12 ---",
    "The next rounds are worked in the back loops.",
    "© 2024 the harbour, page 4",
    "Take a break, drink a cup of tea.",
    "Don't forget to move your marker up each round.",
    "It takes about 20 minutes to get this far.",
    "The eyes go between rounds 4 and 5, about 6 sc apart.",
    "There should be 3 stitches left between the eyes.",
    "Sew the nose over 2 rounds and 4 stitches.",
    "You can use an invisible decrease from here on.",
    "Check: 4 rounds = 2 cm.",
    "If your hook is 3 mm, it will be about 7 cm wide.",
    "Each arm is sewn to 3 stitches of round 4.",
    "Now the decreases begin.",
    "Work in the back loops only in the next round.",
    "From here on work in rows of 6 stitches if you want it flat.",
)
#: Remarks that are spoken in a bracket before the count.
INSIDE = (
    " (one by one)",
    " (loosely)",
    " (take care not to miss the first stitch)",
    " (use the marker)",
    " (easy part)",
    " (see step 4)",
    " (6 increases)",
    " (one increase after every stitch)",
    " (as before)",
)
_COUNT = re.compile(r"\s*[(\[{]=?\s?\d+[^()\[\]{}]{0,14}[)\]}]\s*$")


def spoilt(page: Page, rng: random.Random) -> str:
    """Return a page with a remark to about every second line with a round."""
    out = []
    for number, line in enumerate(page.text.split("\n"), start=1):
        if number not in page.truth or rng.random() < 0.5:
            out.append(line)
            continue
        kind = rng.randrange(3)
        count = _COUNT.search(line)
        if kind == 0 and count:
            out.append(line + rng.choice(BEHIND))
        elif kind == 1 and count:
            out.append(line[: count.start()] + rng.choice(INSIDE) + line[count.start() :])
        else:
            out += [line, rng.choice(BETWEEN)]
    return "\n".join(out)


def main() -> None:
    """Measure over the clean pages in English."""
    rng = random.Random(next((int(word) for word in sys.argv[1:] if word.isdigit()), 1))
    tally: Counter[str] = Counter()
    for page in [one for one in pages() if one.clean and one.language == "en"]:
        wanted = [made for _, truth in sorted(page.truth.items()) for made in truth.made]
        text = spoilt(page, rng)
        proof = proof_read(text)
        made = [line.made for line in proof.lines if line.made is not None]
        accused = [line for line in proof.lines if line.problems]
        tally.update(pages=1, lines=len(wanted), accused=len(accused), pages_right=made == wanted)
        if "-v" in sys.argv and (accused or made != wanted):
            print(f"[{page.notation}] {made} for {wanted}")
            for line in accused:
                print(f"    {line.line}: {line.text[:110]}  {[one.message[:90] for one in line.problems]}")
    print(dict(tally), f"accused {tally['accused'] / tally['lines']:.4f}")


if __name__ == "__main__":
    main()
