"""First rounds along a chain, with one mistake: python -m tests.bench.proof_ovals [EVERY] [-v].

Every form that makers write, in words drawn from all those that were met, and the ovals of our own writer in
every language. Right ones must pass; on a chain one or two too long or short the right one must be offered; a
side that lacks a stitch, and an end with one stitch less or more than its count asks for, must be told.
The forms and their words are those of two surveys of makers' pages: common practice, no source.
"""

from __future__ import annotations

import random
import re
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from solver.notation.proof import ProofLine, proof_read
from solver.notation.words import available, words
from solver.notation.writer import write_rounds
from solver.rounds import Begin, Finish
from solver.rounds.along_chain import END_STITCHES, oval_piece

CHAINS = (4, 5, 6, 7, 8, 9, 11, 13, 18, 24)

WORDS: dict[str, list[str]] = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))


class Oval(NamedTuple):
    """A first round with its chain: what it makes, what is wrong with it, the mend, and the words drawn."""

    text: str
    made: int
    wrong: str  # "" for none, "chain", "side", "end"
    fix: str
    words: tuple[str, ...]


class _Told(NamedTuple):
    first: int
    far: int
    there: int
    back: int
    again: int


#: First, far end, again; stitches of the side back beyond those of the side there (to the end of the chain).
FORMS = {
    "a": (1, 3, 2, 0), "b": (2, 3, 0, 1), "b3": (3, 3, 0, 0), "c": (2, 4, 2, 0), "d": (1, 3, 3, 1),
    "a1": (2, 3, 1, 0), "c5": (2, 5, 3, 0),
}  # fmt: skip


def drawn(rng: random.Random) -> Iterator[Oval]:
    """Yield a first round in words drawn at random, right and with every mistake."""
    form = rng.choice(list(FORMS))
    first, far, again, more = FORMS[form]
    n = rng.choice(CHAINS)
    say = _Sayings(rng)
    whole = _Told(first, far, n - 3, n - 3 + more, again)
    made = first + far + (n - 3) + (n - 3 + more) + again
    chain_word = say.chain
    if "nine" in chain_word:
        n, whole, made = 9, _Told(first, far, 6, 6 + more, again), first + far + 12 + more + again

    def oval(told: _Told, chain: int, count: int, wrong: str, fix: str = "") -> Oval:
        lead = chain_word.replace("nine", _NUMBERS.get(chain, str(chain))).format(n=chain)
        text = lead + say.body(told) + say.count.format(c=count)
        return Oval(text, sum(told), wrong, fix, (form, *say.all))

    yield oval(whole, n, made, "")
    for off in (-2, -1, 1, 2):
        if n + off > 1:
            yield oval(whole, n + off, made, "chain", f"chain {n + off} -> chain {n}")
    if n > 4:
        for there, back in ((-1, 0), (0, -1)):
            short = whole._replace(there=n - 3 + there, back=n - 3 + more + back)
            yield oval(short, n, made - 1, "side")
            yield oval(short, n, made, "side")
    for off in (-1, 1):
        yield oval(whole._replace(far=far + off), n, made, "end")
    if again:
        for off in (-1, 1):
            if again + off:
                yield oval(whole._replace(again=again + off), n, made, "end")


_NUMBERS = {7: "seven", 8: "eight", 9: "nine", 10: "ten", 11: "eleven"}


class _Sayings:
    """The words drawn for one round."""

    def __init__(self, rng: random.Random) -> None:
        drawn = {slot: rng.choice(said) for slot, said in WORDS.items()}
        self.chain, self.first, self.side = drawn["chain"], drawn["first"], drawn["side"]
        self.back = self.side if rng.random() < 0.7 else rng.choice(WORDS["side"])
        self.far, self.turn, self.again = drawn["far"], drawn["turn"], drawn["again"]
        self.count = drawn["count"] + ("" if drawn["count"].endswith(".") else drawn["last"])
        self.one, self.two, self.three = drawn["one"], drawn["two"], drawn["three"]
        self.all = (*drawn.values(), self.back)

    def stitch(self, k: int) -> str:
        """Name some stitches in one."""
        return {1: self.one, 2: self.two, 3: self.three}.get(k, f"{k} sc")

    def body(self, told: _Told) -> str:
        """Put a round together."""
        begun = self.stitch(told.first)
        if re.search(r"^(?:start|begin|from|2nd|sk)|: \{s|; \{s", self.first) and told.first > 1:
            # "starting in the 2nd ch: 3 sc" may be three chains
            begun = {2: "inc", 3: "inc3"}[told.first]
        there = [self.first.format(s=begun)]
        if told.there:
            there.append(self.side.format(n=told.there))
        there.append(self.far.format(k=told.far))
        back = [self.back.format(n=told.back)] if told.back else []
        if told.again:
            plain = self.again.format(k=told.again)
            back.append(
                self.two if told.again == 2 and "first" in self.again and self.two == "inc" else plain
            )
        return ", ".join(there) + (self.turn + ", ".join(back) if back else "")


def own(every: int) -> Iterator[Oval]:
    """Yield the ovals of our own writer, in every language, right and with every mistake."""
    seen = 0
    for code in available():
        if not words(code).written:
            continue

        for n in CHAINS:
            for end in END_STITCHES:
                for begin in Begin:
                    for spelled in (False, True) if code.startswith("en") else (False,):
                        seen += 1
                        if seen % every == 0:
                            yield from _own(code, n, end, begin, spelled=spelled)


def _own(code: str, n: int, end: int, begin: Begin, *, spelled: bool) -> Iterator[Oval]:
    def written(chain: int) -> list[str]:
        piece = oval_piece(chain, [end, 2 * end], finish=Finish.OPEN, begin=begin)
        return [line.text for line in write_rounds(piece, spelled=spelled, terms=code)]

    chain, first, *_ = written(n)
    made = 2 * end + 2 * (n - 3)
    said = (code, "spelled" if spelled else "terse", begin.value)
    yield Oval(f"{chain}\n{first}", made, "", "", said)
    for off in (-2, -1, 1, 2):
        if n + off > 2:
            yield Oval(
                f"{written(n + off)[0]}\n{first}", made, "chain", f"chain {n + off} -> chain {n}", said
            )
    sides = [
        one
        for one in re.finditer(rf"(?<!\d){n - 3}(?!\d)", first)
        if first[: one.start()].count(":") or one.start() > 8
    ]
    if n > 5 and len(sides) >= 2 and n - 3 not in (end, made):
        for one in sides[:2]:
            short = first[: one.start()] + str(n - 4) + first[one.end() :]
            yield Oval(f"{chain}\n{short}", made - 1, "side", "", said)


def judged(oval: Oval, lines: tuple[ProofLine, ...]) -> str:
    """Return what is wrong with what was told of a first round; nothing where all is well."""
    problems = [one for line in lines for one in line.problems]
    if not oval.wrong:
        made = [line.made for line in lines]
        if problems:
            return f"accused: {problems[0].message}"
        return "" if made == [oval.made] else f"made {made}, not {oval.made}"
    if not problems:
        return "passed"
    if oval.wrong == "chain":
        return "" if oval.fix in [one.fix for one in problems] else f"offers {[one.fix for one in problems]}"
    return ""


def main() -> None:
    """Tell what passes, and in which words."""
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()] or [400]
    rng = random.Random(numbers[1] if len(numbers) > 1 else 1)
    sources = {
        "drawn": [one for _ in range(numbers[0]) for one in drawn(rng)],
        "own": list(own(max(1, 4000 // numbers[0]))),
    }
    for name, ovals in sources.items():
        tally: Counter[str] = Counter()
        bad: Counter[str] = Counter()
        blame: dict[str, Counter[str]] = {}
        for oval in ovals:
            kind = oval.wrong or "right"
            tally[kind] += 1
            told = judged(oval, proof_read(oval.text).lines)
            for word in oval.words:
                here = blame.setdefault(word, Counter())
                here["all"] += 1
                here["bad"] += bool(told)
            if told:
                bad[kind] += 1
                if "-v" in sys.argv:
                    print(f"{kind}: {oval.text!r}  {oval.fix}  {told}")
        print(f"{name}: " + ", ".join(f"{kind} {bad[kind]} of {n} wrong" for kind, n in tally.items()))
        worst = sorted(blame.items(), key=lambda one: -one[1]["bad"] / one[1]["all"])[:25]
        for word, here in worst:
            if here["bad"]:
                print(f"    {here['bad']} of {here['all']}: {word!r}")


if __name__ == "__main__":
    main()
