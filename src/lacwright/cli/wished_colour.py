"""`lacwright wished-colour`: the blend and the coats that come nearest to a wished colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli import colour_options as common
from lacwright.cli.dry_common import hand_option
from lacwright.cli.plan_made import record_options, what_record_has
from lacwright.cli.show import AREA, SHARE, brief, counted, emit, json_option
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.colour import Bare, Choice, GradeColour, Look, Recipe, Viewing, Wish
    from lacwright.figures import Figure
    from lacwright.shop.plan_link import FromRecord

SCHEMA = "lacwright.wished-colour/1"
SIGNED = ("Lay it on a panel of the same wood first. If it is not what was agreed, have the change "
          "signed, with its price, before it is laid.")  # fmt: skip
SHOWN = 0.05
"""Distances below it are told as none."""
TYPED, SHELF, ON_FILE = "as you named them", "what the record has on the shelf", "all on file"


@dataclass(frozen=True)
class Shelf:
    """What may be laid.

    Parameters
    ----------
    grades : list of GradeColour
    source : str
        `TYPED`, `SHELF` or `ON_FILE`.
    stock : frozenset of str or None
        Names of grades that are there; None without a record.
    prices : dict of str to float
        Price of a gram of flakes, by grade.
    dewaxed : frozenset of str
        Names of grades of which the shelf has nothing but dewaxed lots.
    """

    grades: list[GradeColour]
    source: str
    stock: frozenset[str] | None
    prices: dict[str, float]
    dewaxed: frozenset[str] = frozenset()

    def as_lies(self, grade: GradeColour) -> GradeColour:
        """Return a grade with the wax of its lots: none where they are known as dewaxed."""
        return grade.with_wax(0) if grade.name in self.dewaxed else grade


@dataclass(frozen=True)
class Answer:
    """All that is told."""

    wish: Wish
    choice: Choice
    seen: Look
    board: Bare
    viewing: Viewing
    shelf: Shelf
    on: list[tuple[GradeColour, float]]
    coat: Figure
    usual: str | None
    area_m2: float | None
    notes: list[str]
    of_record: tuple[str, ...] = ()

    @property
    def nearest(self) -> Recipe:
        """The first recipe."""
        return self.choice.recipes[0]


@click.command("wished-colour")
@common.wood_options
@click.option("--target", metavar="L,a,b", help="Wished colour: '45, 18, 30', or a patch of a "
              "corrected photo, '#8a5a34'.")  # fmt: skip
@click.option("--word", help="In place of it a word: pale, warm, honey, amber, red-brown, dark, "
              "...")  # fmt: skip
@click.option("--grade", "names", multiple=True, help="Grade that may be used; once for each "
              "[the record's shelf, else all on file].")  # fmt: skip
@click.option("--on", "laid", multiple=True, metavar="LOAD",
              help="What lies on the piece: 'amber 7 g/m2'; once for each grade.")  # fmt: skip
@common.coat_options
@click.option("--coats-max", type=click.IntRange(1, 60), help="Most coats that are tried [12].")
@click.option("--wax", "wax_share", type=SHARE, help="Wax in the film: '4 %', 0 where it was "
              "decanted [what each grade usually holds].")  # fmt: skip
@click.option("--area", "area_m2", type=AREA, help="Of the piece, for flakes and their price.")
@click.option("--flakes-price", "prices", multiple=True, metavar="PRICE",
              help="'garnet 38 per kg', or '40 per kg' for all.")  # fmt: skip
@common.viewing_options
@hand_option
@record_options
@json_option
def wished_colour(
    wood: str | None, bare: str | None, target: str | None, word: str | None,
    names: tuple[str, ...], laid: tuple[str, ...], load_g_m2: float | None, method: str | None,
    cut: float | None, coats_max: int | None, wax_share: float | None, area_m2: float | None,
    prices: tuple[str, ...], illuminant: str | None, observer: str | None, geometry: str | None,
    hand_file: str | None, home: str | None, no_record: bool, as_json: bool,
) -> None:  # fmt: skip
    """Blends and coats that come nearest to a wished colour on a wood.

    Every blend at 5 % and every number of coats is tried. Where a record exists, its shelf and its
    own figures are used.

    Example: lacwright wished-colour --wood cherry --target "45,18,30"
    """
    from lacwright.colour import choose, look

    if (target is None) == (word is None):
        raise Refusal("--target", "the wish is told by a colour or by a word",
                      "give --target '45, 18, 30' or --word warm")  # fmt: skip
    link = what_record_has(home, no_record=no_record, day=None)
    mine = common.taken(hand_file, link)
    own = mine.own
    viewing, assumed = common.stated_viewing(illuminant, observer, geometry)
    board = common.stated_wood(wood, bare, viewing, own)
    coat, usual = common.stated_coat(load_g_m2, method, cut, mine)
    wish = _wish(target, word, board, viewing)
    shelf = _shelf(names, own, link, prices)
    on = _on(laid, own)
    notes = [f"assumed: {one}" for one in assumed]
    if wax_share is None and shelf.dewaxed:
        shelf = replace(shelf, grades=[shelf.as_lies(g) for g in shelf.grades])
        on = [(shelf.as_lies(grade), load) for grade, load in on]
        notes += _wax_notes(shelf, on)
    try:
        choice = choose(bare=board, grades=shelf.grades, wish=wish, coat_g_m2=coat.number(),
                        coats_most=coats_max, on=on, stock=shelf.stock,
                        wax_share=wax_share)  # fmt: skip
    except Refusal as refusal:
        raise refusal.at(f"--{refusal.where}") from None
    every = {g.name: g for g in [*shelf.grades, *(g for g, _ in on)]}
    seen = look(
        bare=board, grades=list(every.values()), viewing=viewing, wax_share=wax_share,
        loads_g_m2=[_load(name, choice.recipes[0], on) for name in every],
        load_ln_sd=common.load_ln_sd(coat),
    )  # fmt: skip
    of_record = mine.used(every, common.wood_name(wood), measured=bare is not None,
                          viewing=viewing)  # fmt: skip
    _tell(Answer(wish, choice, seen, board, viewing, shelf, on, coat, usual, area_m2, notes,
                 of_record), as_json=as_json)  # fmt: skip


def _wax_notes(shelf: Shelf, on: Sequence[tuple[GradeColour, float]]) -> list[str]:
    """Return what is said of grades whose lots are dewaxed."""
    used = [g.name for g in (*shelf.grades, *(g for g, _ in on)) if g.name in shelf.dewaxed]
    return [f"{name}: no wax, as its lots on the shelf are dewaxed" for name in dict.fromkeys(used)]


def _wish(target: str | None, word: str | None, board: Bare, viewing: Viewing) -> Wish:
    import numpy as np

    from lacwright.colour import lab_under, wish_of_lab, wish_of_word
    from lacwright.files.colour_words import read_target

    if target is not None:
        return wish_of_lab(read_target(target, viewing, "--target"), viewing, "--target")
    assert word is not None
    sealed = lab_under(bare=board, grades=[], loads_g_m2=np.zeros(0), viewing=viewing)
    return wish_of_word(word, sealed, viewing, "--word")


def _shelf(
    names: Sequence[str], own: common.Own, link: FromRecord | str, prices: Sequence[str]
) -> Shelf:
    from lacwright.colour import MOST_GRADES
    from lacwright.files.colour_words import read_price
    from lacwright.trade import table

    stock, cost, dewaxed = None, {}, frozenset[str]()
    if not isinstance(link, str):
        there = [lot for lot in link.shelf if lot.kind in ("flakes", "jar") and lot.grade
                 and lot.some_left and lot.passed is not False]  # fmt: skip
        known = {lot.name: grade for lot in there if (grade := _known(lot.grade or "", own))}
        stock = frozenset(grade.name for grade in known.values())
        maybe = {known[one.name].name for one in there
                 if one.name in known and one.waxed is not False}  # fmt: skip
        dewaxed = frozenset(g.name for g in known.values() if g.haze_per_g_m2 > 0) - maybe
        for lot in there:
            if lot.name in known and lot.kind == "flakes" and lot.price and lot.price_for:
                cost[known[lot.name].name] = lot.price / lot.price_for
    if names:
        grades, source = common.find_grades(names, own), TYPED
    elif stock:
        grades, source = common.find_grades(sorted(stock), own), SHELF
    else:
        on_file = [row.key for row in table("colour_grades")]
        grades, source = common.find_grades(on_file, own), ON_FILE
    if len(grades) > MOST_GRADES:
        raise Refusal("--grade", f"{len(grades)} grades to choose from",
                      f"name the {MOST_GRADES} that matter")  # fmt: skip
    for text in prices:
        name, per_g = read_price(text, "--flakes-price")
        of = common.find_grades([name], own, "--flakes-price") if name else grades
        cost |= {grade.name: per_g for grade in of}
    return Shelf(grades, source, stock, cost, dewaxed)


def _known(name: str, own: common.Own) -> GradeColour | None:
    """Return the colour of a grade on the shelf, None of one whose colour is not on file."""
    try:
        return common.find_grades([name], own)[0]
    except Refusal:
        return None


def _on(laid: Sequence[str], own: common.Own) -> list[tuple[GradeColour, float]]:
    from lacwright.files.colour_words import read_laid

    out = []
    for text in laid:
        name, load = read_laid(text, "--on")
        out.append((common.find_grades([name], own, "--on")[0], load))
    return out


def _load(name: str, recipe: Recipe, on: Sequence[tuple[GradeColour, float]]) -> float:
    return recipe.loads_g_m2.get(name, 0.0) + sum(load for g, load in on if g.name == name)


def _tell(told: Answer, *, as_json: bool) -> None:
    choice, seen, region = told.choice, told.seen, told.wish.region
    best = told.nearest
    keys: dict[str, Any] = {
        "wood": told.board.name, "viewing": told.viewing.as_json(), "wish": told.wish.words,
        "wish_lab": list(told.wish.lab),
        "region": None if region is None else {
            "lightness": list(region.lightness), "chroma": list(region.chroma),
            "turn_deg": list(region.turn), "about_hue_deg": region.hue_deg,
            "mark": str(told.wish.mark), "source": told.wish.source,
        },
        "reachable": choice.reachable, "says": _says(told),
        "lab": list(best.lab), "de00": best.de00, "srgb": list(seen.srgb), "hex": seen.hex,
        "de00_band": list(seen.de00_band), "basis": seen.basis, "words": seen.words,
        "recipes": [_recipe(recipe, told) for recipe in choice.recipes],
        "there_already": choice.there_already,
        "present_lab": list(choice.present), "present_de00": choice.present_de00,
        "sealed_lab": list(choice.sealed),
        "on_g_m2": {grade.name: load for grade, load in told.on},
        "load_per_coat_g_m2": told.coat.number(), "method": told.usual,
        "grades_tried": [g.name for g in told.shelf.grades], "grades_from": told.shelf.source,
        "searched": choice.searched, "cases": choice.cases, "from_record": list(told.of_record),
        "notes": [*told.notes, SIGNED],
    }  # fmt: skip
    missing = {}
    if region is None:
        missing["region"] = "a colour was given and no word"
    if told.usual is None:
        missing["method"] = "a load was given"
    emit(schema=SCHEMA, keys=keys, missing=missing, cautions=seen.cautions,
         figures={"load_per_coat_g_m2": told.coat, **seen.figures()}, as_json=as_json,
         lines=_lines(told))  # fmt: skip


def _recipe(recipe: Recipe, told: Answer) -> dict[str, Any]:
    from lacwright.colour import colour_words, hex_of_lab, srgb_of_lab

    cost, missing = _cost(recipe, told), {}
    if recipe.in_stock is None:
        missing["in_stock"] = "no record says what is on the shelf"
    if cost is None:
        missing["flakes_price_per_m2"] = "cannot estimate without a price of its flakes"
    if cost is None or told.area_m2 is None:
        missing["flakes_price"] = "cannot estimate without a price of its flakes and the area"
    return {
        "blend": recipe.blend, "coats": recipe.coats, "load_g_m2": recipe.loads_g_m2,
        "lab": list(recipe.lab),
        "srgb": [float(v) for v in srgb_of_lab(recipe.lab, told.viewing)],
        "hex": hex_of_lab(recipe.lab, told.viewing), "words": colour_words(recipe.lab),
        "de00": recipe.de00, "coat_more_de00": recipe.coat_more,
        "coat_less_de00": recipe.coat_less, "blend_off_de00": recipe.blend_off,
        "last_coat": {"full_coats": recipe.full, "dark_share": recipe.share,
                      "de00": recipe.part_de00},
        "in_stock": recipe.in_stock,
        "flakes_price_per_m2": cost,
        "flakes_price": None if cost is None or told.area_m2 is None else cost * told.area_m2,
        **({"missing": missing} if missing else {}),
    }  # fmt: skip


def _cost(recipe: Recipe, told: Answer) -> float | None:
    """Return what the flakes on one square metre cost, nothing lost."""
    if any(name not in told.shelf.prices for name in recipe.blend):
        return None
    return sum(load * told.shelf.prices[name] for name, load in recipe.loads_g_m2.items())


def _says(told: Answer) -> str:
    from lacwright.colour import colour_words

    best, choice = told.nearest, told.choice
    laid = f"{counted(best.coats, 'coat')} of {_blend(best)}"
    goal = told.wish.words if told.wish.region else "the wished colour"
    within = told.wish.region is not None and best.de00 < SHOWN
    off = f"inside what {goal} stands for" if within else f"{best.de00:.1f} dE00 from {goal}"
    looks = f"{colour_words(best.lab)}, {off}"
    if choice.there_already:
        return (f"Lay none: the piece as it is lies {choice.present_de00:.1f} dE00 from "
                f"{goal}.")  # fmt: skip
    if choice.reachable:
        return f"Lay {laid}: {looks}."
    nearest = f"Nearest: {laid}, {looks}."
    if choice.present_de00 < best.de00:
        nearest = (f"Nearest is the piece as it is, {choice.present_de00:.1f} dE00 off; with lac "
                   f"on it, {laid}: {looks}.")  # fmt: skip
    return f"{choice.why[0].upper()}{choice.why[1:]}. {nearest}"


def _blend(recipe: Recipe) -> str:
    from lacwright.files.colour_words import blend_words

    return blend_words(recipe.blend)


def _lines(told: Answer) -> list[str]:
    choice, seen, wish = told.choice, told.seen, told.wish
    lines = [_says(told), f"Sure      {common.sure_words(seen.claim, seen.de00_band)}"]
    for n, recipe in enumerate(choice.recipes, 1):
        lines += _recipe_lines(n, recipe, told)
    about = f"L*, a*, b* {common.lab_words(wish.lab)}"
    if wish.region is not None:
        about = f"{wish.source} ({wish.mark}); in its middle {about}"
    on = ", ".join(f"{brief(load)} g/m2 of {g.name}" for g, load in told.on)
    lines += [
        f"Wish      {wish.words}: {about}" if wish.region else f"Wish      {about}",
        f"Piece     {told.board.name}, {'with ' + on if on else 'bare'}: L*, a*, b* "
        f"{common.lab_words(choice.present)}, {choice.present_de00:.1f} dE00 off; under a clear "
        f"film {common.lab_words(choice.sealed)}",
        f"Coats     {common.coat_words(told.coat, told.usual)}",
        f"Tried     {choice.searched}, {choice.cases} cases; grades: {told.shelf.source}",
        f"Seen      {told.viewing.words()}",
        *common.record_note(told.of_record),
        *(f"Note      {note}" for note in told.notes),
        SIGNED,
    ]  # fmt: skip
    return lines


def _recipe_lines(n: int, recipe: Recipe, told: Answer) -> list[str]:
    from lacwright.colour import colour_words

    stock = "; not all of it on the shelf" if recipe.in_stock is False else ""
    slips = [f"{recipe.coat_less:.1f} with a coat less", f"{recipe.coat_more:.1f} with a coat more"]
    if len(recipe.blend) > 1:
        slips.append(f"up to {recipe.blend_off:.1f} with 5 % of the blend wrong")
    lines = [
        f"Recipe {n}  {counted(recipe.coats, 'coat')} of {_blend(recipe)}: "
        f"{colour_words(recipe.lab)}, {recipe.de00:.1f} dE00 off{stock}",
        f"          off by {', '.join(slips)}; {_weights(recipe)}; "
        f"L*, a*, b* {common.lab_words(recipe.lab)}",
    ]
    if recipe.share and told.choice.reachable:
        full = f"{counted(recipe.full, 'coat')}, then " if recipe.full else ""
        lines.append(f"          nearer yet, {recipe.part_de00:.1f}: {full}one of "
                     f"{100 * recipe.share:.0f} % of this mix in clear mix")  # fmt: skip
    if (cost := _cost(recipe, told)) is not None:
        area = told.area_m2
        whole = "" if area is None else f", {cost * area:.2f} on {brief(area)} m2"
        lines.append(f"          flakes {cost:.2f} on each m2{whole}, nothing lost; hours come on "
                     "top")  # fmt: skip
    return lines


def _weights(recipe: Recipe) -> str:
    return " and ".join(f"{brief(v)} g/m2 of {n}" for n, v in recipe.loads_g_m2.items())
