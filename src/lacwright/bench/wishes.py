"""A wished colour on the pages: what is asked, and the recipes, each searched for once."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from lacwright.bench.colours import Coat, Own, OwnKey, Wood, load_ln_sd, own_key, own_now
from lacwright.colour import (
    Bare,
    Choice,
    Look,
    Viewing,
    Wish,
    choose,
    grade_for,
    lab_under,
    look,
    wish_of_lab,
    wish_of_word,
)
from lacwright.figures import Figure, Refusal
from lacwright.files.colour_words import read_target

MADE = 24


@dataclass(frozen=True)
class Asked:
    """A wished colour.

    Parameters
    ----------
    wood : Wood
    target, word : str
        The wish: a colour as it was written, or a word; one of them "".
    viewing : Viewing
        How the wished colour was read.
    grades : tuple of str
        What may be laid.
    stock : tuple of str
        Which grades are there.
    coats : int
        At most.
    coat : Coat
    on : tuple of (str, float)
        What lies there already: grade and dry lac [g/m2].
    wax_share : float or None
    """

    wood: Wood
    target: str
    word: str
    viewing: Viewing
    grades: tuple[str, ...]
    stock: tuple[str, ...]
    coats: int
    coat: Coat = field(default_factory=Coat)
    on: tuple[tuple[str, float], ...] = ()
    wax_share: float | None = None


@dataclass(frozen=True, eq=False)
class Made:
    """The recipes.

    Parameters
    ----------
    asked : Asked
    bare : Bare
    wish : Wish
    choice : Choice
    coat : Figure
        Dry lac of one coat [g/m2].
    look : Look
        Of the nearest recipe, for how sure it is.
    """

    asked: Asked
    bare: Bare
    wish: Wish
    choice: Choice
    coat: Figure
    look: Look


def made_of(asked: Asked) -> Made:
    """Return the recipes for a wish.

    Raises
    ------
    Refusal
        For a wish, wood, grade or load that cannot be.
    """
    made = _made(asked, own_key(own_now()))
    if isinstance(made, Refusal):
        raise made.with_traceback(None)
    return made


@lru_cache(maxsize=MADE)
def _made(asked: Asked, key: OwnKey) -> Made | Refusal:
    try:
        return _searched(asked, key.own)
    except Refusal as refusal:
        return refusal.with_traceback(None)


def _searched(asked: Asked, own: Own) -> Made:
    bare, coat = asked.wood.bare(own), asked.coat.figure(own)
    wish = _wish(asked, bare)
    grades = [grade_for(name, own) for name in asked.grades]
    on = [(grade_for(name, own), load) for name, load in asked.on]
    choice = choose(
        bare=bare, grades=grades, wish=wish, coat_g_m2=coat.number(), coats_most=asked.coats, on=on,
        stock=frozenset(asked.stock) if asked.stock else None, wax_share=asked.wax_share,
    )  # fmt: skip
    films = {grade.name: (grade, load) for grade, load in on}
    best = choice.recipes[0].loads_g_m2
    for grade in grades:
        there = films.get(grade.name, (grade, 0.0))[1]
        if load := there + best.get(grade.name, 0.0):
            films[grade.name] = (grade, load)
    seen = look(
        bare=bare, grades=[grade for grade, _ in films.values()], viewing=wish.viewing,
        loads_g_m2=[load for _, load in films.values()], wax_share=asked.wax_share,
        load_ln_sd=load_ln_sd(coat),
    )  # fmt: skip
    return Made(asked, bare, wish, choice, coat, seen)


def _wish(asked: Asked, bare: Bare) -> Wish:
    if asked.target and asked.word:
        raise Refusal("word", "the wish is told twice", "leave colour or word empty")
    if asked.target:
        return wish_of_lab(read_target(asked.target, asked.viewing, "target"), asked.viewing)
    if not asked.word:
        raise Refusal("target", "what is wished for is not said",
                      "give a colour, choose a word, or read it off a photo")  # fmt: skip
    sealed = lab_under(bare=bare, grades=[], loads_g_m2=np.zeros(0), viewing=asked.viewing)
    return wish_of_word(asked.word, sealed, asked.viewing)
