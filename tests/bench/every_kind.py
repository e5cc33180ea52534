"""Part files of every kind, drawn by lot: round, oval, bent, feet, bellies, flat, in colours. Invented."""

from __future__ import annotations

import random

from tests.bench.random_parts import oval_part, round_part

COLOURS = ("red", "white", "sea green", "dark grey", "mint", "navy", "coral", "off-white", "sand", "sky blue")


def _gauge(chance: random.Random) -> str:
    stitches = chance.uniform(14, 30)
    return f"[gauge]\nstitches = {stitches:.2f}\nrows = {stitches * chance.uniform(0.92, 1.12):.2f}\n"


def bent(chance: random.Random) -> str:
    """Return a limb with one bend or two."""
    radius = chance.uniform(14, 24)
    bends, at = [], chance.uniform(1.6, 2.2) * radius
    for _ in range(chance.randint(1, 2)):
        degrees = chance.choice([8, 12, 20, 30, 45, 60, -30, -10])
        over = abs(degrees) * 3.15 / 180 * radius / chance.uniform(0.6, 1.1)
        bends.append(f"{{ at = {at + over / 2:.1f}, angle = {degrees}, over = {over:.1f} }}")
        at += over + chance.uniform(1.2, 2) * radius
    length = at + chance.uniform(0.6, 2) * radius
    top = f"[{radius:.1f}, {length:.1f}]"
    if chance.random() < 0.3:
        top = f"[{radius:.1f}, {length:.1f}], [{0.7 * radius:.1f}, {length + 0.7 * radius:.1f}], "
        top += f"[0, {length + radius:.1f}]"
    return (
        f'{_gauge(chance)}[shape]\nkind = "bent"\n'
        f"points = [[0, 0], [{0.7 * radius:.1f}, {0.28 * radius:.1f}], "
        f"[{radius:.1f}, {radius:.1f}], {top}]\nbends = [{', '.join(bends)}]\n"
    )


def foot(chance: random.Random) -> str:
    """Return a foot with its leg, from a ring or along a chain."""
    ankle = chance.uniform(18, 28)
    across = ankle * chance.uniform(1.1, 1.35)
    return (
        f'{_gauge(chance)}[shape]\nkind = "foot"\n'
        f"length = {across * 0.5 + ankle * chance.uniform(1.3, 1.6):.1f}\n"
        f"width = {across:.1f}\nheight = {across * chance.uniform(0.88, 1.0):.1f}\nankle = {ankle:.1f}\n"
        f"leg = {chance.uniform(20, 60):.1f}\n"
        + chance.choice(["", "", '[work]\nstart = "chain"\nchain = 5\n'])
    )


def belly(chance: random.Random) -> str:
    """Return a belly by its front and its back."""
    r = chance.uniform(24, 40)
    out, high = r * chance.uniform(1.1, 1.35), chance.uniform(2.2, 2.8) * r
    at = chance.uniform(0.3, 0.45) * high
    return (
        f'{_gauge(chance)}[shape]\nkind = "belly"\nfront = [[0, 0], [{0.75 * out:.1f}, {0.08 * high:.1f}], '
        f"[{out:.1f}, {at:.1f}], [{0.75 * r:.1f}, {0.8 * high:.1f}], [0, {high:.1f}]]\n"
        f"back = [[0, 0], [{0.75 * r:.1f}, {0.08 * high:.1f}], [{0.95 * r:.1f}, {at:.1f}], "
        f"[{0.72 * r:.1f}, {0.8 * high:.1f}], [0, {high:.1f}]]\n"
    )


def rows(chance: random.Random) -> str:
    """Return a piece worked flat in rows."""
    high = chance.uniform(30, 110)
    heights = sorted(chance.uniform(0.15, 0.85) * high for _ in range(chance.randint(1, 3)))
    widths = [chance.uniform(10, 34) for _ in heights]
    middle = ", ".join(f"[{r:.1f}, {z:.1f}]" for r, z in zip(widths, heights, strict=True))
    ends = chance.uniform(8, 24), chance.uniform(3, 20)
    work = chance.choice(["", "", '[work]\nfinish = "seamed"\n'])
    return (
        f'{_gauge(chance)}[shape]\nkind = "flat"\nworked = "rows"\n'
        f"points = [[{ends[0]:.1f}, 0], {middle}, [{ends[1]:.1f}, {high:.1f}]]\n{work}"
    )


def flat_oval(chance: random.Random) -> str:
    """Return a flat oval."""
    width = chance.uniform(30, 80)
    length = width * chance.uniform(1.2, 2.2)
    return f'{_gauge(chance)}[shape]\nkind = "flat oval"\nlength = {length:.1f}\nwidth = {width:.1f}\n'


def folded(chance: random.Random) -> str:
    """Return a part folded flat, round or oval."""
    if chance.random() < 0.3:
        width = chance.uniform(30, 60)
        shape = f'kind = "oval"\nlength = {width * chance.uniform(1.2, 2):.1f}\nwidth = {width:.1f}\n'
        return f'{_gauge(chance)}[stuffing]\nfirmness = "none"\n[shape]\n{shape}height = {width:.1f}\n'
    r = chance.uniform(14, 40)
    high = r * chance.uniform(1.5, 3.5)
    points = f"[[0, 0], [{0.7 * r:.1f}, {0.25 * high:.1f}], [{r:.1f}, {0.6 * high:.1f}], "
    points += f"[{0.8 * r:.1f}, {high:.1f}]]"
    work = '[work]\nfinish = "open"\n'
    return (
        f'{_gauge(chance)}[stuffing]\nfirmness = "none"\n[shape]\nkind = "outline"\npoints = {points}\n{work}'
    )


def tube(chance: random.Random) -> str:
    """Return a tube or a cut shape: open at one end or at both."""
    r = chance.uniform(12, 60)
    high = r * chance.uniform(1, 4)
    if chance.random() < 0.5:
        shape = (
            f'kind = "outline"\npoints = [[{r:.1f}, 0], [{r * chance.uniform(0.6, 1.4):.1f}, {high:.1f}]]\n'
        )
        work = '[work]\nstart = "open"\nfinish = "open"\n'
    else:
        cut = f'cut = "{chance.randint(45, 90)} %"\n'
        shape, work = f'kind = "ball"\nwidth = {2 * r:.1f}\n{cut}', '[work]\nfinish = "open"\n'
    return f"{_gauge(chance)}[shape]\n{shape}{work}"


KINDS = {
    "round": round_part, "oval": oval_part, "bent": bent, "foot": foot, "belly": belly, "rows": rows,
    "flat oval": flat_oval, "folded": folded, "tube": tube,
}  # fmt: skip
"""What draws a part file of each kind."""


def colours(chance: random.Random, kind: str) -> str:
    """Return a table of colours: bands by rounds, patches where the kind has them."""
    main, other, third = chance.sample(COLOURS, 3)
    text = f'[colours]\nmain = "{main}"\n'
    if kind in ("rows", "flat oval", "folded") or chance.random() < 0.5:
        first = chance.randint(1, 6)
        return text + f'bands = [{{ colour = "{other}", rounds = "{first}-{first + 2}" }}]\n'
    text += (
        f'[[colours.patches]]\nshape = "ellipse"\ncolour = "{other}"\nwidth = {chance.uniform(18, 34):.1f}\n'
    )
    text += f"height = {chance.uniform(14, 30):.1f}\n"
    if chance.random() < 0.5:
        text += f'[[colours.patches]]\nshape = "stripe"\ncolour = "{third}"\n'
        text += f"width = {chance.uniform(8, 20):.1f}\n"
        text += f"at = {{ turn = {chance.randint(-180, 180)} }}\n"
    return text


def any_part(chance: random.Random, kind: str) -> str:
    """Return a part file of a kind, with what else may stand in `[work]`, and perhaps in colours."""
    text = KINDS[kind](chance)
    if "[work]" not in text:
        text += "[work]\n"
    text += chance.choice(["", "", 'rounds = "exact"\n'])
    if kind in ("round", "tube", "folded"):
        text += chance.choice(["", "", 'increases = "stacked"\n'])
        text += chance.choice(["", "", "", "multiple = 2\n", f"multiple = {3 if kind == 'folded' else 6}\n"])
    if kind != "rows":
        text += chance.choice(["", "", "joined = true\n"])
    return text + (colours(chance, kind) if chance.random() < 0.4 else "")
