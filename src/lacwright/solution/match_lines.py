"""The lines of a recipe, what of a mix counts for each, and how a mix differs from a recipe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lacwright.figures import central
from lacwright.solution.alcohol import NOT_STATED, UNKNOWN_LOT, Alcohol
from lacwright.solution.mix import Mix
from lacwright.solution.recipe import Recipe
from lacwright.solution.resin import Resin

SHOWS = 0.005  # a difference that a brush can tell


@dataclass(frozen=True, eq=False)
class Line:
    """A line of the recipe: what counts for it and how much is wished.

    Parameters
    ----------
    name, kind, unit : str
        What it is, "flakes", "alcohol" or "dye", and its unit.
    full : float
        What the recipe asks of it.
    wished : float
        What is left of that beside strange lac or alcohol which must go in.
    resin, alcohol
        What it is, where it is one of them.
    open : bool
        Whether any alcohol counts for it.
    """

    name: str
    kind: str
    unit: str
    full: float
    wished: float
    resin: Resin | None = None
    alcohol: Alcohol | None = None
    open: bool = False


def lines_of(
    recipe: Recipe, target: Mix, any_alcohol: bool, strange: Mix | None = None
) -> list[Line]:
    """Return the lines of a recipe for an amount of it.

    Parameters
    ----------
    recipe : Recipe
        For the temperature of its volumes.
    target : Mix
        The recipe at the wished amount.
    any_alcohol : bool
        Whether any alcohol counts for its first.
    strange : Mix, optional
        Lac and alcohol that go in and are of no line: they take the place of all lines of their
        kind in proportion, so that the cut can hold.
    """
    left_resin = left_alcohol = 1.0
    if strange is not None:
        left_resin = _left(central(target.total_resin_g), central(strange.total_resin_g))
        left_alcohol = _left(central(target.alcohol_ml), central(strange.alcohol_ml))
    lines = []
    for resin, grams in target.resin_g.items():
        full = central(grams)
        name = resin.lot or resin.grade or "flakes"
        lines.append(Line(name, "flakes", "g", full, full * left_resin, resin=resin))
    for n, (alcohol, grams) in enumerate(target.solvent_g.items()):
        full = central(grams / alcohol.density_g_ml(recipe.temp_c))
        lines.append(Line(alcohol.lot, "alcohol", "ml", full, full * left_alcohol,
                          alcohol=alcohol, open=any_alcohol and n == 0))  # fmt: skip
    if central(target.dye_g) > 0:
        full = central(target.dye_ml)
        lines.append(Line("dye", "dye", "ml", full, full))
    return lines


def counts(line: Line, content: Mix, lines: Sequence[Line]) -> float:
    """Return how much of a content counts for a line, in its unit."""
    if line.kind == "flakes":
        return sum(
            central(g) for r, g in content.resin_g.items() if _line_of_resin(r, lines) is line
        )
    if line.kind == "alcohol":
        return sum(
            central(g / a.density_g_ml(content.temp_c))
            for a, g in content.solvent_g.items()
            if _line_of_alcohol(a, lines) is line
        )
    return central(content.dye_ml)


def strange_part(content: Mix, lines: Sequence[Line]) -> Mix:
    """Return what of a content counts for no line."""
    dyed = any(line.kind == "dye" for line in lines)
    return Mix(
        {r: g for r, g in content.resin_g.items() if _line_of_resin(r, lines) is None},
        {a: g for a, g in content.solvent_g.items() if _line_of_alcohol(a, lines) is None},
        0.0 if dyed else content.dye_g, temp_c=content.temp_c,
    )  # fmt: skip


def why_strange(content: Mix, lines: Sequence[Line]) -> str | None:
    """Return why a content cannot serve, None if it can."""
    other = strange_part(content, lines)
    for resin in other.resin_g:
        return f"{resin.grade or resin.lot or 'its flakes'} is not in the recipe"
    for alcohol in other.solvent_g:
        if alcohol == NOT_STATED:
            return "its alcohol is not stated: name it, or set any_alcohol = true"
        return f"its alcohol ({alcohol.lot}) is not in the recipe"
    if central(other.dye_g) > 0:
        return "there is no dye in the recipe"
    return None


def differs(
    mix: Mix, recipe: Recipe, *, any_alcohol: bool = False, step: float = SHOWS
) -> list[str]:
    """Return in words how a mix differs from a recipe; empty where it does not.

    Parameters
    ----------
    mix, recipe
        What is compared.
    any_alcohol : bool
        Whether any alcohol counts for the recipe's first.
    step : float
        Difference from which it is told [1].
    """
    words = []
    cut, wished = central(mix.cut_lb_per_gal), central(recipe.cut_lb_per_gal)
    if abs(cut / wished - 1) > step:
        have, want = _apart(cut, wished, [".3g", ".4g", ".5g"])
        words.append(f"{have}-lb instead of {want}-lb")
    target = recipe.make(alcohol_ml=1000.0)
    lines = lines_of(recipe, target, any_alcohol)
    other = strange_part(mix, lines)
    totals = {"flakes": central(mix.total_resin_g), "alcohol": central(mix.alcohol_ml)}
    asked = {"flakes": central(target.total_resin_g), "alcohol": central(target.alcohol_ml)}
    of = {"flakes": "the resin", "alcohol": "the alcohol"}
    shares = [
        (line.name, line.kind, counts(line, mix, lines) / totals[line.kind],
         line.full / asked[line.kind])
        for line in lines
        if line.kind in totals and totals[line.kind] > 0
    ]  # fmt: skip
    shares += [(r.grade or r.lot or "other flakes", "flakes", central(g) / totals["flakes"], 0.0)
               for r, g in other.resin_g.items() if central(g) > 0]  # fmt: skip
    shares += [(a.lot, "alcohol", central(g / a.density_g_ml(mix.temp_c)) / totals["alcohol"], 0.0)
               for a, g in other.solvent_g.items() if central(g) > 0]  # fmt: skip
    for name, kind, have_share, want_share in shares:
        if abs(have_share - want_share) > step:
            have, want = _apart(have_share, want_share, [".0%", ".1%", ".2%"])
            words.append(f"{name} {have} of {of[kind]} instead of {want}")
    dye, dye_wished = central(mix.dye_ml / mix.alcohol_ml), central(recipe.dye_share)
    if abs(dye - dye_wished) > step * max(dye_wished, 0.01):
        words.append(f"dye {dye:.2%} of the alcohol instead of {dye_wished:.2%}")
    return words


def resin_shares(mix: Mix) -> dict[str, float]:
    """Return the share of each grade (or lot, where no grade is known) in the resin [1]."""
    total = central(mix.total_resin_g)
    out: dict[str, float] = {}
    for resin, grams in mix.resin_g.items():
        name = resin.grade or resin.lot or "flakes"
        out[name] = out.get(name, 0.0) + central(grams) / total if total > 0 else 0.0
    return out


def _left(full: float, taken: float) -> float:
    return max(1.0 - taken / full, 0.0)


def _apart(have: float, want: float, forms: Sequence[str]) -> tuple[str, str]:
    """Return two numbers in the first form that tells them apart."""
    for form in forms:
        pair = format(have, form), format(want, form)
        if pair[0] != pair[1]:
            break
    return pair


def _line_of_resin(resin: Resin, lines: Sequence[Line]) -> Line | None:
    for line in lines:
        wished = line.resin
        if wished is None:
            continue
        if wished.lot:
            if wished.lot == resin.lot:
                return line
        elif wished.grade in ("", resin.grade) and (
            not wished.wax_stated or wished.waxed == resin.waxed
        ):
            return line
    return None


def _line_of_alcohol(alcohol: Alcohol, lines: Sequence[Line]) -> Line | None:
    for line in lines:
        wished = line.alcohol
        if wished is None:
            continue
        if wished.lot == alcohol.lot or (wished.parts and wished.parts == alcohol.parts):
            return line
        # Whoever asks for "unknown" is served by any can of which nothing is known.
        if wished.lot == UNKNOWN_LOT and alcohol.parts is None and alcohol != NOT_STATED:
            return line
    return next((line for line in lines if line.open), None)
