"""Recipes for a wished colour as their page shows them: the nearest first."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from numpy.typing import ArrayLike

from lacwright.bench.charts.draw import joined
from lacwright.bench.colours import Lac
from lacwright.bench.pages.look import lab_text
from lacwright.bench.wishes import Made
from lacwright.colour import Recipe, colour_words, difference_words, hex_of_lab
from lacwright.colour.choose import constant
from lacwright.figures import Figure
from lacwright.figures.spoken import counted

MOST_IN_FORM = 3
"""So many grades of a blend the page of a look can be asked for."""


@dataclass(frozen=True)
class RecipeRow:
    """One recipe.

    Parameters
    ----------
    called, words : str
        Coats and blend; its colour, and how it stands against the wish.
    off, lab : str
        Distance and colour in numbers.
    swatch : str
        Query of its picture.
    sensitive : tuple of str
        What a coat or a share more or less does.
    part : str
        A last coat at part strength, where that is nearer.
    loads : str
    short : bool
        Whether not all of it is on the shelf.
    see : str
        Query of the page of its steps, "" where it cannot be asked there.
    """

    called: str
    words: str
    off: str
    lab: str
    swatch: str
    sensitive: tuple[str, ...]
    part: str
    loads: str
    short: bool
    see: str


@dataclass(frozen=True)
class WishShown:
    """The answer."""

    big: str
    answer: str
    reachable: bool
    wish: str
    of: str
    recipes: tuple[RecipeRow, ...]
    present: str
    sure: str
    near: str
    far: str
    basis: str
    marked: str
    coat: Figure
    usual: bool
    searched: str
    viewing: str
    not_claimed: tuple[str, ...]


def wish_shown(made: Made) -> WishShown:
    """Return recipes as their page shows them."""
    choice, wish, look = made.choice, made.wish, made.look
    best = choice.recipes[0]
    nearest = f"{called(best)}: {met(made, best)}"
    near, far = look.de00_band
    if choice.there_already:
        big, answer = "It is that colour already", "No further coat brings it nearer."
    elif choice.reachable:
        big, answer = called(best), f"{met(made, best).capitalize()}."
    else:
        why = choice.why.partition(":")[2].strip() or choice.why
        big = "Not reachable"
        answer = f"{why[:1].upper()}{why[1:]}. The nearest is {nearest}."
    return WishShown(
        big, answer, choice.reachable, _wish(made), made.asked.wood.called,
        tuple(_row(made, recipe) for recipe in choice.recipes),
        f"{'with what lies on it' if made.asked.on else 'bare'}, {colour_words(choice.present)}, "
        f"{choice.present_de00:.1f} away from the wish",
        look.claim.words, f"{near:.2g}", f"{far:.2g}", look.basis, str(look.mark), made.coat,
        made.asked.coat.load_g_m2 is None, choice.searched, wish.viewing.words(),
        tuple(one.text for one in look.cautions),
    )  # fmt: skip


def called(recipe: Recipe) -> str:
    """Return what a recipe is called: "5 coats of 70 % amber with 30 % garnet"."""
    return f"{counted(recipe.coats, 'coat')} of {Lac(tuple(recipe.blend.items())).called}"


def met(made: Made, recipe: Recipe) -> str:
    """Return how near a recipe comes, in words."""
    if made.wish.region is not None and recipe.de00 <= constant("tie"):
        return f"within what {made.wish.words} stands for here"
    if recipe.de00 <= constant("reach"):
        return f"counts as met, {recipe.de00:.1f} off; one face of wood varies by about 2 itself"
    wished = made.wish.nearest(recipe.lab)
    return f"{difference_words(recipe.lab, wished, 'the wish')}, {recipe.de00:.1f} off"


def _wish(made: Made) -> str:
    wish = made.wish
    if wish.region is None:
        return f"{colour_words(wish.lab)}, L*, a*, b* {lab_text(wish.lab)}"
    return f"{wish.words}, on {made.asked.wood.called} about {colour_words(wish.lab)} ({wish.mark})"


def _row(made: Made, recipe: Recipe) -> RecipeRow:
    wished = made.wish.nearest(recipe.lab)
    view = made.wish.viewing
    fields: dict[str, ArrayLike] = {
        "bare": made.choice.present, "so": recipe.lab, "wished": wished,
    }  # fmt: skip
    sensitive = [f"{recipe.coat_less:.1f} off with a coat less",
                 f"{recipe.coat_more:.1f} with a coat more"]  # fmt: skip
    if len(recipe.blend) > 1:
        sensitive.append(f"up to {recipe.blend_off:.1f} with 5 % of the blend in another grade")
    part = ""
    if recipe.share and recipe.part_de00 < recipe.de00 - constant("tie"):
        full = f"{counted(recipe.full, 'coat')}, then " if recipe.full else ""
        part = (f"{full}one coat of {100 * recipe.share:.0f} % of this mix in clear mix: "
                f"{recipe.part_de00:.1f} off")  # fmt: skip
    return RecipeRow(
        called(recipe), colour_words(recipe.lab), met(made, recipe), lab_text(recipe.lab),
        urlencode({name: hex_of_lab(lab, view)[1:] for name, lab in fields.items()}),
        tuple(sensitive), part, _loads(recipe), recipe.in_stock is False,
        _see(made, recipe),
    )  # fmt: skip


def _loads(recipe: Recipe) -> str:
    return joined(f"{load:.3g} g/m2 of {name}" for name, load in recipe.loads_g_m2.items())


def _see(made: Made, recipe: Recipe) -> str:
    """Return what the page of a look is asked for to show the steps of a recipe."""
    if len(recipe.blend) > MOST_IN_FORM or made.asked.on:
        return ""
    wood, (first, *others) = made.asked.wood, list(recipe.blend.items())
    told = {"wood": wood.name, "grade": first[0], "coats": str(recipe.coats),
            "load": f"{made.coat.number():.3g} g/m2"}  # fmt: skip
    for name, (grade, share) in zip(("second", "third"), others, strict=False):
        told |= {name: grade, f"{name}_share": f"{100 * share:.3g} %"}
    if wood.lab is not None:
        told |= {"lab": lab_text(wood.lab), "light": wood.viewing.illuminant,
                 "observer": str(wood.viewing.observer),
                 "geometry": wood.viewing.geometry}  # fmt: skip
    return urlencode({name: value for name, value in told.items() if value})
