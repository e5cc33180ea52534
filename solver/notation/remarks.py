"""Remarks in a line, told from its instructions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from collections.abc import Sequence as Seq
from itertools import pairwise

from solver.notation.brackets import COUNTS, bracket_end, groups, repeats_next
from solver.notation.choices import readings
from solver.notation.classes import CORE, core
from solver.notation.grammar import tree
from solver.notation.instructions import TooManyError, totals
from solver.notation.token import Token, shape

#: What it costs to leave out a bracket that explains, or one that looks like an instruction.
_SPOKEN, _UNSPOKEN = 0.5, 1.8
#: What a bracket behind a label may state.
_STATING = ("count", "unit", "told", "both", "rounds", "times", "change")
#: Most such brackets of a line.
_MOST_LOOSE = 3


def _clauses(found: list[Token]) -> Iterator[list[Token]]:
    """Yield the parts of a line between separators that stand outside brackets; a separator ends its part."""
    depth = 0
    current: list[Token] = []
    ends = {group.end for group in groups(found) if group.kind in COUNTS}
    for i, token in enumerate(found):
        current.append(token)
        if token.cls in "([{":
            depth += 1
        elif token.cls in ")]}":
            depth = max(0, depth - 1)
            if i in ends and depth == 0:
                yield current
                current = []
        elif depth == 0 and token.cls in ",;.:" and not _and_between_numbers(found, i):
            yield current
            current = []
    if current:
        yield current


def _and_between_numbers(found: list[Token], at: int) -> bool:
    """Tell the "and" of "between rounds 3 and 4", which ends no clause."""
    return (
        found[at].text in ("and", "then")
        and 0 < at < len(found) - 1
        and found[at - 1].cls in "no"
        and found[at + 1].cls in "now"
    )


def _without_other_start(found: list[Token]) -> list[Token]:
    """Drop the second of two ways to begin: "6 sc in ring or ch 2, 6 sc in 2nd ch from hook"."""
    at = next((i for i, token in enumerate(found) if token.text == "or"), None)
    if at is None or not core(found[:at]) or not any(t.cls in "MH" for t in found[at:] + found[:at]):
        return found
    ends = [group.at for group in groups(found) if group.kind in COUNTS and group.at > at]
    return found[:at] + (found[ends[0] :] if ends else [])


def without_remarks(found: list[Token]) -> list[Token]:
    """Return the tokens of a line without its remarks."""
    found = _without_recipe(_without_other_start(_without_remark_brackets(_without_spoken_star(found))))
    kept: list[Token] = []
    for whole, after in pairwise([*_clauses(found), []]):
        clause = _without_aside(whole)
        classes = shape(clause)
        if kept and kept[-1].cls == "." and _CHAINS_COUNT.match(classes):
            # "The skipped 3 ch count as a dc here and throughout."
            kept += _counts_of(clause)
            continue
        if _HOW_MANY.match(classes) and core(kept):
            # "..., 6 increases in total (18)"
            kept += _counts_of(clause)
            continue
        if _ONLY_LEADS.fullmatch(classes) and re.match("q*n[sn]", shape(after)):
            # "sc through both sides, 4 sc"
            continue
        if not kept and after and _HEADED.fullmatch(classes) and core(after):
            # "Again with an increase, (3 sc, inc) x 8", "Increase round: ..."
            continue
        if kept and _is_story(clause):
            # "... = 12. Three minutes."
            kept += _counts_of(clause)
            continue
        telling = any(t.cls in "ZKC" or t.text == "aside" for t in clause)
        if kept and _BEFORE_WHAT.match(classes):
            # "..., stuff before the last 2 decs"
            kept += _counts_of(clause)
            continue
        several = classes.count("s") > 1
        if telling and not several and not CORE.search(shape([t for t in clause if t.cls not in "qC"])):
            kept += _counts_of(clause)
            continue
        if any(token.text == "remark" for token in clause) and not re.search(r"[id]|n[sc]", classes):
            kept += _counts_of(clause)
            continue
        kept += clause
    if len(kept) < len(found) and found[0].cls in "ZK" and _LOOPS_LEFT.fullmatch(shape(kept)):
        # "Sew the hole shut with the tail, 6 front loops"
        return []
    return kept


#: A shaping word that says what kind of round this is, and not to work it here.
_HEADED = re.compile(r"(?=.*[Awz])[qzAwpN]*[id][qzAwt]*[,:.-]")


def _is_story(clause: list[Token]) -> bool:
    """Tell a clause of words that nobody knows, and none for a stitch: its numbers count other things."""
    strange = [token.text for token in clause if token.cls == "z"]
    if strange and all(token.cls in "zq.,;" for token in clause) and clause[-1].cls == ".":
        # "Shiny."
        return True
    many = len(strange) > 1 or any(len(text) > _ABBREVIATED for text in strange)
    return many and not any(token.cls in _WORKISH for token in clause)


#: Classes of which a clause of instructions has one; the longest of what may be somebody's abbreviation.
_WORKISH, _ABBREVIATED = "sidtclEDGMXxraOWbPgSkUNemovV([{*T=", 5
_RECIPE = re.compile(r"s(q+ns)(?!q?p)")


def _without_recipe(found: list[Token]) -> list[Token]:
    """Drop what a stitch is made of: "1 popcorn of 4 dc"."""
    match = _RECIPE.search(shape(found))
    if match is None or not any(token.text == "of" for token in found[match.start(1) : match.end(1)]):
        return found
    return found[: match.start(1)] + found[match.end(1) :]


_BEFORE_WHAT = re.compile(r"q*[ZK][qzZKt]*B")
_LOOPS_LEFT = re.compile("[q.,;]*nb[q.,;]*")
_CHAINS_COUNT = re.compile(r"[qzkFWN]*(?:n[zkF]?[cW]|c?n?[cW]n?)[qz]*Q")
_HOW_MANY = re.compile(r"q*n[id]q*T[,.:;-]*(?:$|[(\[])")
_ONLY_LEADS = re.compile(r"[qzYZ]*sp?[qzY]*Y[qzYt]*[,:-]")


def _without_aside(clause: list[Token]) -> list[Token]:
    """Drop "- photo 12" and what else is said in passing at the end of a clause."""
    at = next((i for i, token in enumerate(clause) if token.text == "aside"), None)
    if not at or re.search(r"[sidg(\[)\]*]", shape(clause[at:])):
        return clause
    before = at - 1 if clause[at - 1].cls == "-" else at
    return clause[:before] + [token for token in clause[-1:] if token.cls in ",;.:"]


def _counts_of(clause: list[Token]) -> list[Token]:
    """Return the counts in brackets that stand in a remark, and the sign that ends it."""
    found = [
        token
        for group in groups(clause)
        if group.kind in ("count", "several", "both", "unit", "told")
        for token in clause[group.at : group.end + 1]
    ]
    if clause[-1].cls in ".;":
        found.append(clause[-1])
    return found


def _without_spoken_star(found: list[Token]) -> list[Token]:
    """Drop what a star that nothing answers leads in, where it is a story: "4 dec * You may not need ..."."""
    stars = [i for i, token in enumerate(found) if token.cls == "*"]
    if len(stars) != 1 or not core(found[: stars[0]]):
        return found
    behind = found[stars[0] + 1 :]
    words = sum(token.cls in "zqZQ" for token in behind)
    return found[: stars[0]] if behind and words > 0.5 * len(behind) else found


# ---- remarks in brackets -----------------------------------------------------------------------------------


def _without_remark_brackets(found: list[Token]) -> list[Token]:
    """Drop brackets that say nothing of stitches: "(RS)", "(optional)", "(or ch 2, ...)", "(make 2)"."""
    out: list[Token] = []
    at = 0
    while at < len(found):
        end = bracket_end(found, at)
        if end is None or found[at].cls == "<":
            out.append(found[at])
            at += 1
            continue
        inner = [token for token in found[at + 1 : end] if token.cls != "q"]
        if at == 0 and shape(found[end + 1 : end + 2]) == ":" and not _states(found[: end + 1]):
            # "Rnd 3 (one and two): ...": what the round is called.
            out += [token for token in inner if token.cls == "b"]
            at = end + 2
            continue
        if _is_remark(inner, found, at, end):
            if "b" in shape(inner):
                out += [token for token in inner if token.cls == "b"]
            elif "c" in shape(out)[-5:] and any(token.text == "counts_as" for token in inner):
                # "ch 3 (counts as a stitch)"
                out.append(next(token for token in inner if token.text == "counts_as"))
            at = end + 1
            continue
        out.append(found[at])
        at += 1
    return out


def _states(bracket: list[Token]) -> bool:
    return any(group.kind in _STATING for group in groups(bracket))


def _is_remark(inner: list[Token], found: list[Token], at: int, end: int) -> bool:
    """Tell whether a bracket says nothing of stitches to work."""
    classes = shape(inner)
    if (
        not inner
        or (inner[0].cls == "o" and inner[0].text == "or")
        or (inner[0].cls == "=" and re.search("[sidgD]", classes) and not _states(found[at : end + 1]))
        or (not re.search(r"[nX]", classes) and "w" in classes and re.search(r"[idE]", classes))
        or (not re.search(r"[idnEDGX]|s|t", classes) and "r" not in classes and "a" not in classes)
        or (re.fullmatch("E+", classes) and any(token.cls == "n" for token in found[:at]))
        or (
            re.search(r"[ZKCY]", classes)
            and not re.search(r"[id]|n[sc]|s[np]", classes)
            and classes.count("s") < 2
        )
    ):
        return True
    if _comes_to_the_same(inner, found, at):
        return True
    if repeats_next(found, end):
        return False
    spoken = shape(found[at + 1 : end])
    if re.fullmatch("[qz]*nA?w[qz]*z[qz]*", spoken):
        # "(3 rounds done)"
        return True
    if re.match("q*r[zfq]", spoken) and not re.search("[asidX*]", spoken):
        # "(repeat for the second one)"
        return True
    if re.search("[QZK]", classes) and not any(group.kind == "told" for group in groups(found[at : end + 1])):
        return "Q" in classes or bool(re.match(r"[zZYp]+:", classes))
    return bool(re.match(r"[zZY][zZYp]*:", classes)) or _says_again(classes, found, at)


#: What an increase and a decrease use and make.
_ACTS = {"inc": (1, 2), "inc3": (1, 3), "dec": (2, 1), "dec3": (3, 1)}


def _comes_to_the_same(inner: list[Token], found: list[Token], at: int) -> bool:
    """Tell a bracket that says the stitch before it in other words: "inc (2 sc in the same st) 6 times"."""
    before = next((token for token in reversed(found[:at]) if token.cls != "q"), None)
    act = _ACTS.get(before.text) if before is not None and before.cls in "id" else None
    node = tree(inner) if act is not None else None
    if node is None or len(inner) > _LONGEST_SAID:
        return False
    try:
        return any(totals(one.node) == act for one in readings(node))
    except TooManyError:
        return False


_LONGEST_SAID = 12


#: What a bracket with a word alone may say again, by the class of that word.
_AGAIN = {"s": "s", "i": "i", "d": "dg", "M": "M", "t": "tN", "c": "c", "l": "l", "g": "gd"}
_INTO_ONE = re.compile(r"[ns][sn]?[p][^,;.:()*]{0,3}[tscNm1]$")


def _says_again(classes: str, found: list[Token], at: int) -> bool:
    """Tell a bracket that explains the word before it: "single crochet (sc)", "sc2tog (one decrease)"."""
    word = re.fullmatch(r"(n)?([sidMtclg])[st]?", classes)
    if word is None:
        return False
    number = next((token.value for token in found[at + 1 :] if token.cls == "n"), 1) if word[1] else 1
    before = [token for token in found[:at] if token.cls != "q"]
    if not before or (number != 1 and word[2] != "s"):
        return False
    if before[-1].cls in _AGAIN[word[2]]:
        return number == 1
    told = shape(before)
    if word[2] == "i":
        return bool(_INTO_ONE.search(told))
    return word[2] == "d" and "g" in told[-4:]


def asides(found: Seq[Token]) -> Iterator[tuple[list[Token], float, str]]:
    """Yield a line as it stands, and without brackets that may only explain; what that costs, and is told.

    A bracket that is repeated, states a count or stands at the beginning is never left out.
    """
    line = list(found)
    yield line, 0.0, ""
    loose: list[tuple[int, int, float]] = []
    stating = {group.at for group in groups(line)}
    at = 0
    while at < len(line):
        end = bracket_end(line, at)
        if end is None:
            at += 1
            continue
        inner = line[at + 1 : end]
        if at not in stating and _begun(line[:at]) and _works(inner) and not repeats_next(line, end):
            loose.append((at, end, _SPOKEN if _is_spoken(inner) else _UNSPOKEN))
        at = end + 1
    loose += _explained(line, loose)
    if not loose or len(loose) > _MOST_LOOSE:
        return
    for cut in ([one] for one in loose) if len(loose) > 1 else ():
        yield _cut(line, cut)
    yield _cut(line, loose)


def _explained(line: list[Token], loose: list[tuple[int, int, float]]) -> Iterator[tuple[int, int, float]]:
    """Yield what says a stitch again in other words: "1 dec, that is sc 2 sts together"."""
    for at, token in enumerate(line):
        if token.text != "aside" or not at or line[at - 1].cls not in ",;:-.(" or not _begun(line[:at]):
            continue
        end = next((i for i in range(at, len(line)) if line[i].cls in ",;.:()[]{}*"), len(line))
        first = at - (line[at - 1].cls != "(")
        if _works(line[at:end]) and not any(a <= at <= b for a, b, _ in loose):
            yield first, end - 1, _SPOKEN


def _begun(before: Seq[Token]) -> bool:
    """Tell whether something is worked before a bracket, if only a number of stitches."""
    return core(before) or shape([token for token in before if token.cls != "q"]) == "n"


def _works(inner: Seq[Token]) -> bool:
    if any(token.cls == "r" for token in inner):
        # "(repeat 3 times in all)"
        return False
    return core(inner) or any(token.cls in "sidtgn" for token in inner)


def _cut(line: list[Token], loose: list[tuple[int, int, float]]) -> tuple[list[Token], float, str]:
    dropped = {i for at, end, _ in loose for i in range(at, end + 1)}
    kept = [token for i, token in enumerate(line) if i not in dropped]
    return kept, sum(cost for *_, cost in loose), "the words in brackets are a remark"


def _is_spoken(inner: Seq[Token]) -> bool:
    """Tell words that explain from an instruction."""
    classes = shape(inner)
    return classes[:1] in ("q", "z", "Q") or "Z" in classes or classes.count("z") > 1
