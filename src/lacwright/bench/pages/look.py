"""What it will look like, as its page shows it: words first, then the steps, then how sure."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from lacwright.bench.colours import MOST_COATS, Made
from lacwright.colour import find_bare, find_grade_colour
from lacwright.figures import Figure, Refusal
from lacwright.figures.spoken import counted
from lacwright.plan import Plan
from lacwright.shop.plan_link import wood_of
from lacwright.trade import table


@dataclass(frozen=True)
class StepRow:
    """One field of a strip in words."""

    called: str
    words: str
    lab: str


@dataclass(frozen=True)
class Strip:
    """One row of the strip."""

    called: str
    steps: tuple[StepRow, ...]


@dataclass(frozen=True)
class LookShown:
    """The answer.

    Parameters
    ----------
    big, of : str
        The colour in words, and what it is of.
    sure : str
        What may be said of it.
    near, far : str
        Half of all cases lie within the first, most within the second [dE00].
    basis, marked : str
        What it rests on, and how well that is known.
    coat : Figure
        Dry lac of one coat [g/m2].
    usual : bool
        Whether that is the usual coat, not one that was weighed.
    figures : tuple of (str, Figure)
        L*, a*, b*.
    viewing : str
        Under which light, for whom.
    strips : tuple of Strip
    not_claimed : tuple of str
    """

    big: str
    of: str
    sure: str
    near: str
    far: str
    basis: str
    marked: str
    coat: Figure
    usual: bool
    figures: tuple[tuple[str, Figure], ...]
    viewing: str
    strips: tuple[Strip, ...]
    not_claimed: tuple[str, ...]


def look_shown(made: Made) -> LookShown:
    """Return a look as its page shows it."""
    look, asked = made.look, made.asked
    near, far = look.de00_band
    words = {"lightness": "L*, how light", "red": "a*, how red", "yellow": "b*, how yellow"}
    return LookShown(
        look.words[:1].upper() + look.words[1:],
        f"{counted(asked.coats, 'coat')} of {asked.lac.called} on {asked.wood.called}",
        look.claim.words, f"{near:.2g}", f"{far:.2g}", look.basis, str(look.mark), made.coat,
        asked.coat.load_g_m2 is None,
        tuple((words[name], figure) for name, figure in look.figures().items()),
        look.viewing.words(),
        tuple(Strip(lac.called, tuple(StepRow(s.called, s.words, lab_text(s.lab)) for s in steps))
              for lac, steps in made.rows),
        tuple(one.text for one in look.cautions),
    )  # fmt: skip


def lab_text(lab: tuple[float, float, float]) -> str:
    """Return a colour as it is written: "69.6, 9.3, 42.3"."""
    return ", ".join(f"{value:.1f}" for value in lab)


def of_wood(wood: str) -> str:
    """Return what the page of a look is asked for a wood of the record: "" of one not on file."""
    known = table("colour_woods")
    try:
        key = find_bare(wood).name.replace(" ", "-") if wood else ""
    except Refusal:
        key = ""
    return urlencode({"wood": key}) if key in known else ""


def of_plan(plan: Plan) -> str:
    """Return what the page of a look is asked for the first part of a plan: its film left.

    "" where wood or grade is not said, or has no colour on file.
    """
    wood = of_wood(wood_of(plan.piece))
    mine = [c for c in plan.coats if c.part == plan.coats[0].part]
    films: dict[str, float] = {}
    for one in mine:
        grade = one.laying.mix.grade or ""
        films[grade] = films.get(grade, 0.0) + one.film.number()
    if not wood or not films:
        return ""
    main = max(films, key=lambda grade: films[grade])
    try:
        grade = find_grade_colour(main).name
    except Refusal:
        return ""
    left = plan.figures.get(f"film.{mine[0].part}.flat_left")
    film_um = sum(films.values()) if left is None or not left.value else left.number()
    load = film_um * mine[0].laying.liquid.resin_density.number() / len(mine)
    if not 1 <= len(mine) <= MOST_COATS or load <= 0:
        return ""
    told = {"grade": grade, "coats": str(len(mine)), "load": f"{load:.3g} g/m2"}
    return f"{wood}&{urlencode(told)}"
