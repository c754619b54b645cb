"""The recipe for a wished colour: every blend and every number of coats is tried.

Loads add and there are few grades, so the whole of it is computed; nothing can be missed between
two steps of a search, and the runners-up are known as well.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from lacwright.colour.cie import Array
from lacwright.colour.grade import GradeColour
from lacwright.colour.look import bare_lab, lab_under
from lacwright.colour.spaces import chroma, hue_deg
from lacwright.colour.wish import Lab, Wish
from lacwright.colour.wood import Bare
from lacwright.figures import Refusal
from lacwright.trade import table

ONLY = "not reachable: shellac only darkens and warms"
MOST_COATS, MOST_GRADES = 60, 16


@dataclass(frozen=True)
class Recipe:
    """A blend and so many coats of it.

    Parameters
    ----------
    blend : dict of str to float
        Shares of the grades, largest first; they sum to 1.
    coats : int
        To be laid.
    loads_g_m2 : dict of str to float
        Dry lac that they add, by grade.
    lab : tuple of three floats
    de00 : float
        From the wish.
    coat_more, coat_less : float
        The same with a coat more, a coat less.
    blend_off : float
        The same, at worst, with one step of the blend (5 %) in another of its grades.
    full, share, part_de00 : int, float, float
        Nearest with a last coat at part strength: full coats, the share of this mix in clear mix
        in the last one (0: none is laid), its distance.
    in_stock : bool or None
        Whether all its grades are there; None where nobody said what is.
    """

    blend: dict[str, float]
    coats: int
    loads_g_m2: dict[str, float]
    lab: Lab
    de00: float
    coat_more: float
    coat_less: float
    blend_off: float
    full: int
    share: float
    part_de00: float
    in_stock: bool | None


@dataclass(frozen=True)
class Choice:
    """What can be had.

    Parameters
    ----------
    recipes : tuple of Recipe
        The nearest first; of equally near ones the one with fewest grades.
    reachable : bool
        Whether the nearest is near enough.
    why : str
        The sentence that says so, "" where it is reachable.
    present : tuple of three floats
        The piece as it is: bare, or with what lies on it.
    present_de00 : float
        From the wish.
    sealed : tuple of three floats
        The same wood under a clear film.
    cases : int
        How many were tried.
    searched : str
        Which, in words.
    """

    recipes: tuple[Recipe, ...]
    reachable: bool
    why: str
    present: Lab
    present_de00: float
    sealed: Lab
    cases: int
    searched: str

    @property
    def there_already(self) -> bool:
        """Whether no coat brings it nearer than it is."""
        near = self.recipes[0].part_de00 + constant("tie")
        return self.present_de00 <= min(near, constant("reach"))


@dataclass(frozen=True)
class Asked:
    """What every film of a search shares; see `choose`."""

    bare: Bare
    grades: tuple[GradeColour, ...]  # those that may be laid, then those that lie there
    base: Array  # g/m2 of each that lies there
    coat: float
    wish: Wish
    wax: float | None

    def lab(self, blends: Array, coats: Array) -> Array:
        """Return colours of blends (..., laid grades) after coats (...)."""
        laid = np.zeros((*np.broadcast_shapes(blends.shape[:-1], coats.shape), len(self.grades)))
        laid[..., : blends.shape[-1]] = blends * coats[..., None] * self.coat
        return lab_under(bare=self.bare, grades=self.grades, loads_g_m2=self.base + laid,
                         viewing=self.wish.viewing, wax_share=self.wax)  # fmt: skip

    def off(self, blends: Array, coats: Array) -> Array:
        """Return distances; no coat on bare wood is the bare wood and no sealed one."""
        off = self.wish.distance(self.lab(blends, coats))
        if self.base.any():
            return off
        bare = float(self.wish.distance(bare_lab(self.bare, self.wish.viewing)))
        return np.where(coats > 0, off, bare)


def constant(key: str) -> float:
    """Return a constant of the choice."""
    return table("colour_choice")[key].number("value")


def blends_of(grades: int, steps: int, most: int | None = None) -> Array:
    """Return every blend of so many grades in so many steps, of at most so many at once.

    Parameters
    ----------
    grades : int
    steps : int
        Parts of a whole: 20 for 5 %.
    most : int, optional
        Grades in one blend; all by default.

    Returns
    -------
    array, shape (blends, grades)
        Shares that sum to 1.

    Examples
    --------
    >>> len(blends_of(4, 20)), len(blends_of(3, 20))
    (1771, 231)
    """
    return _blends(grades, steps, grades if most is None else min(most, grades))


@cache
def _blends(grades: int, steps: int, most: int) -> Array:
    found = []
    for k in range(1, most + 1):
        # Cuts between parts: k grades, each with at least one part.
        cuts = np.array(list(combinations(range(1, steps), k - 1)), dtype=float)
        ends = np.hstack([np.zeros((len(cuts), 1)), cuts, np.full((len(cuts), 1), steps)])
        parts = np.diff(ends, axis=1) / steps
        for which in combinations(range(grades), k):
            block = np.zeros((len(parts), grades))
            block[:, which] = parts
            found.append(block)
    out: Array = np.concatenate(found)
    out.flags.writeable = False
    return out


def choose(
    *, bare: Bare, grades: Sequence[GradeColour], wish: Wish, coat_g_m2: float,
    coats_most: int | None = None, on: Sequence[tuple[GradeColour, float]] = (),
    stock: frozenset[str] | None = None, wax_share: float | None = None,
) -> Choice:  # fmt: skip
    """Recipes for a wished colour.

    Parameters
    ----------
    bare : Bare
        The wood.
    grades : sequence of GradeColour
        What may be laid, 1 to 16. Of up to 4 every blend at 5 % is tried; of more those of two,
        then every blend of the four that come nearest.
    wish : Wish
        Its viewing is that of all colours here.
    coat_g_m2 : float
        Dry lac that one coat leaves [g/m2, above 0].
    coats_most : int, optional
        Most coats that are tried [1 to 60]; 12 by default.
    on : sequence of (GradeColour, float)
        What lies on the piece already [g/m2].
    stock : frozenset of str, optional
        Names of grades that are there.
    wax_share : float, optional
        See `lab_under`.

    Raises
    ------
    Refusal
        At "grade", "load", "coats" or "on".
    """
    most = int(constant("coats.most")) if coats_most is None else coats_most
    _check(grades, coat_g_m2, most, on)
    asked = _asked(bare, grades, wish, coat_g_m2, on, wax_share)
    blends, coats, lab, off, cases = search(asked, len(grades), most)
    names = [g.name for g in grades]
    order = _picked(blends, coats, off, [stock is None or n in stock for n in names])
    recipes = tuple(_recipe(asked, blends[i], int(coats[i]), lab[i], off[i], names, stock)
                    for i in order)  # fmt: skip
    sealed = lab_under(bare=bare, grades=[], loads_g_m2=np.zeros(0), viewing=wish.viewing)
    now = (
        asked.lab(blends[:1], np.zeros(1))[0] if asked.base.any() else bare_lab(bare, wish.viewing)
    )
    best = float(off.min())
    reachable = best <= constant("reach")
    return Choice(
        recipes, reachable, "" if reachable else _why(wish, lab, off, now, sealed),
        _three(now), float(wish.distance(now)), _three(sealed), cases,
        _searched(len(grades), most),
    )  # fmt: skip


def search(
    asked: Asked, laid: int, most: int
) -> tuple[Array, NDArray[np.int64], Array, Array, int]:
    """Return every case that was tried at last: blends, coats, colours, distances; how many."""
    steps, whole = round(1 / constant("step")), int(constant("grades.whole"))
    cases = 0
    which = range(laid)
    if laid > whole:
        blends, coats, _, off = _all(asked, blends_of(laid, steps, 2), most)
        cases = len(off)
        seen: list[int] = []
        for i in np.argsort(off, kind="stable"):
            seen += [g for g in np.flatnonzero(blends[i]).tolist() if g not in seen]
            if len(seen) >= whole:
                break
        which = sorted(seen[:whole])  # type: ignore[assignment]
    small = blends_of(len(which), steps)
    blends = np.zeros((len(small), laid))
    blends[:, list(which)] = small
    blends, coats, lab, off = _all(asked, blends, most)
    return blends, coats, lab, off, cases + len(off)


def _all(asked: Asked, blends: Array, most: int) -> tuple[Array, NDArray[np.int64], Array, Array]:
    number = np.arange(1, most + 1)
    lab = asked.lab(blends[None, :, :], np.broadcast_to(number[:, None], (most, len(blends))))
    every = np.broadcast_to(blends, (most, *blends.shape)).reshape(-1, blends.shape[1])
    flat = lab.reshape(-1, 3)
    return every, np.repeat(number, len(blends)), flat, asked.wish.distance(flat)


def _asked(
    bare: Bare, grades: Sequence[GradeColour], wish: Wish, coat_g_m2: float,
    on: Sequence[tuple[GradeColour, float]], wax_share: float | None,
) -> Asked:  # fmt: skip
    every = list(grades)
    base: list[float] = [0.0] * len(every)
    for grade, load in on:
        at = next((i for i, g in enumerate(every) if g.name == grade.name), None)
        if at is None:
            every.append(grade)
            base.append(load)
        else:
            base[at] += load
    return Asked(bare, tuple(every), np.array(base), coat_g_m2, wish, wax_share)


def _check(
    grades: Sequence[GradeColour], coat_g_m2: float, most: int,
    on: Sequence[tuple[GradeColour, float]],
) -> None:  # fmt: skip
    if not 1 <= len(grades) <= MOST_GRADES:
        raise Refusal("grade", f"{len(grades)} grades to choose from",
                      f"name 1 to {MOST_GRADES}")  # fmt: skip
    if len({g.name for g in grades}) < len(grades):
        raise Refusal("grade", "a grade is named twice", "name each once")
    if not (math.isfinite(coat_g_m2) and coat_g_m2 > 0):
        raise Refusal("load", "a coat of nothing", "write e.g. 3.5 g/m2")
    if not 1 <= most <= MOST_COATS:
        raise Refusal("coats", f"{most} coats at most", f"write 1 to {MOST_COATS}")
    if any(not (math.isfinite(load) and load >= 0) for _, load in on):
        raise Refusal("on", "a load below zero", "write e.g. amber 7 g/m2")


def _picked(
    blends: Array, coats: NDArray[np.int64], off: Array, there: Sequence[bool]
) -> list[int]:
    """Return the cases to tell, in order: no neighbours, of equals the simplest."""
    tie, near = constant("tie"), constant("neighbour.share") + 1e-9
    close, shown = constant("neighbour.coats"), int(constant("shown"))
    many = (blends > 0).sum(axis=1)
    lacking = ((blends > 0) & ~np.array(there)).any(axis=1)
    left = np.ones(len(off), dtype=bool)
    out: list[int] = []
    while left.any() and len(out) < shown:
        rest = np.flatnonzero(left)
        if off[rest].min() > off.min() + constant("reach"):
            break  # another colour altogether
        even = rest[off[rest] <= off[rest].min() + tie]
        one = int(even[np.lexsort((off[even], coats[even], lacking[even], many[even]))[0]])
        out.append(one)
        alike = (np.abs(blends - blends[one]).max(axis=1) <= near) & (
            np.abs(coats - coats[one]) <= close
        )
        left &= ~alike
    return out


def _recipe(
    asked: Asked, blend: Array, coats: int, lab: Array, off: float, names: Sequence[str],
    stock: frozenset[str] | None,
) -> Recipe:  # fmt: skip
    used = [int(i) for i in np.argsort(-blend, kind="stable") if blend[i] > 0]
    around = asked.off(blend[None], np.array([coats + 1, coats - 1], dtype=float))
    step = constant("step")
    moved = []
    for i in used:
        for j in used:
            if i != j:
                other = blend.copy()
                other[i] -= step
                other[j] += step
                moved.append(other)
    worst = float(off)
    if moved:
        worst = float(asked.off(np.array(moved), np.full(len(moved), float(coats))).max())
    parts = round(1 / step)
    # From one coat fewer to one more, in parts of a coat.
    some = np.arange((coats - 1) * parts, (coats + 1) * parts + 1) / parts
    some = some[some > 0]
    by_part = asked.off(blend[None], some)
    best = int(by_part.argmin())
    if by_part[best] > float(off) - constant("tie"):
        best = int(np.flatnonzero(some == coats)[0])  # a part of a coat is not worth its jar
    full, share = divmod(round(float(some[best]) * parts), parts)
    shares = {names[i]: float(blend[i]) for i in used}
    return Recipe(
        shares, coats, {n: s * coats * asked.coat for n, s in shares.items()}, _three(lab),
        float(off), float(around[0]), float(around[1]), worst, full, share / parts,
        float(by_part[best]), None if stock is None else all(n in stock for n in shares),
    )  # fmt: skip


def _why(wish: Wish, lab: Array, off: Array, now: Array, sealed: Array) -> str:
    """Return the sentence about a wish that cannot be had."""
    near = lab[int(off.argmin())]
    wished = wish.nearest(near)
    pale, deep = min(float(now[0]), float(sealed[0])), float(lab[:, 0].min())
    turn = float((hue_deg(wished) - hue_deg(near) + 180) % 360 - 180)
    rich = float(chroma(wished) - chroma(near))
    said = []
    if wished[0] > pale + 1:
        said.append(f"lighter than this wood under a clear film (L* {wished[0]:.0f} against "
                    f"{pale:.0f})")  # fmt: skip
    elif wished[0] < deep - 1:
        said.append(f"darker than the most coats that were tried (L* {wished[0]:.0f} against "
                    f"{deep:.0f})")  # fmt: skip
    if abs(rich) > 2:
        said.append(f"{'stronger in colour' if rich > 0 else 'duller'} than these grades make this "
                    "wood there")  # fmt: skip
    if abs(turn) > 5 and min(chroma(wished), chroma(near)) > 5:
        said.append(f"{'redder' if turn < 0 else 'yellower'} than they make it")
    if not said:
        return ONLY
    *first, last = said
    return f"{ONLY}; it is {', '.join(first) + ' and ' if first else ''}{last}"


def _searched(grades: int, most: int) -> str:
    whole = int(constant("grades.whole"))
    share = f"{100 * constant('step'):.0f} %"
    if grades <= whole:
        return f"every blend of {grades} at {share}, 1 to {most} coats"
    return (f"every blend of two of {grades} grades at {share}, then every blend of the {whole} "
            f"that come nearest, 1 to {most} coats")  # fmt: skip


def _three(lab: Array) -> Lab:
    light, red, yellow = (float(v) for v in lab)
    return light, red, yellow
