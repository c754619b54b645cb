"""The recipe file of `mix match`: what a mix should be, and what is on the shelf for it."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from lacwright.figures import Refusal, Refusals, nearest
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut, read_weight
from lacwright.files.toml import load_toml
from lacwright.solution import (
    NOT_STATED,
    UNKNOWN_LOT,
    Alcohol,
    Mix,
    Recipe,
    Resin,
    Source,
    dye_density_g_ml,
    read_alcohol,
    resin_named,
    suits,
)
from lacwright.solution.num import meant

WHOLE = 0.002  # "33.3 %" three times is a whole
DYE = u.Kind(
    "share of dye", "1",
    {**u.SHARE.units, "ml/l": 1e-3, "fl oz/gal": 1 / 128, "fl oz/qt": 1 / 32}, "1 %, 10 ml/l",
    bare=True,
)  # fmt: skip
"""Dye to alcohol by volume, in the words of the piece file too."""


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class ResinLine(_Strict):
    """Flakes of a recipe or in a jar.

    Parameters
    ----------
    grade : str
        A grade ("garnet", "dewaxed amber"), or
    lot : str
        the bag itself.
    wax : str, optional
        waxed or dewaxed.
    share : str or float
        Of all the resin by weight: "60 %" or 0.6.
    """

    grade: str = ""
    lot: str = ""
    wax: str | None = None
    share: str | float = 1.0


class AlcoholLine(_Strict):
    """An alcohol of a recipe or in a jar: a name or composition, and its share by volume."""

    name: str
    share: str | float = 1.0


class RecipeTable(_Strict):
    """The table [recipe].

    Parameters
    ----------
    cut : str or float
        Wished cut: "2-lb", "240 g/l".
    make : str
        Volume of mix that is wanted: "600 ml".
    resin : list of ResinLine
        Flakes; empty = any.
    alcohol : list of AlcoholLine
        Alcohols; empty = the only one of the shelf.
    dye : str or float
        Liquid dye concentrate to alcohol by volume: "1 %", "10 ml/l".
    any_alcohol : bool
        Whether another alcohol in a jar counts as the first of the recipe.
    """

    cut: str | float
    make: str
    resin: list[ResinLine] = Field(default_factory=list)
    alcohol: list[AlcoholLine] = Field(default_factory=list)
    dye: str | float = 0.0
    any_alcohol: bool = False


class FlakesOnShelf(_Strict):
    """A table [[flakes]]: a bag, its grade and its weight."""

    lot: str
    have: str
    grade: str = ""
    wax: str | None = None


class JarOnShelf(_Strict):
    """A table [[jar]]: a jar of mix.

    Parameters
    ----------
    name, have, cut
        Its label, volume and cut.
    resin, alcohol, dye
        What is in it, as in [recipe].
    tested : bool
        Whether a test passed that still counts.
    use_all : bool
        Whether all of it goes in: the rest in the pot.
    """

    name: str
    have: str
    cut: str | float
    resin: list[ResinLine] = Field(default_factory=list)
    alcohol: list[AlcoholLine] = Field(default_factory=list)
    dye: str | float = 0.0
    tested: bool = False
    use_all: bool = False


class AlcoholOnShelf(_Strict):
    """A table [[alcohol]]: a can, what is in it, and how much."""

    name: str
    have: str
    composition: str | None = None


class DyeOnShelf(_Strict):
    """A table [[dye]]: liquid concentrate."""

    name: str
    have: str


class RecipeFile(_Strict):
    """The whole file."""

    recipe: RecipeTable
    flakes: list[FlakesOnShelf] = Field(default_factory=list)
    jar: list[JarOnShelf] = Field(default_factory=list)
    alcohol: list[AlcoholOnShelf] = Field(default_factory=list)
    dye: list[DyeOnShelf] = Field(default_factory=list)


class Wish:
    """A recipe file read into the model.

    Attributes
    ----------
    recipe : Recipe
        What is wanted.
    solution_ml : float
        How much of it [ml].
    sources : tuple of Source
        The shelf.
    any_alcohol : bool
        Whether another alcohol counts.
    alcohol_taken : str
        The alcohol of the shelf that was taken because the recipe names none, "" otherwise.
    """

    def __init__(
        self, recipe: Recipe, solution_ml: float, sources: tuple[Source, ...], any_alcohol: bool,
        alcohol_taken: str = "",
    ) -> None:  # fmt: skip
        self.recipe = recipe
        self.solution_ml = solution_ml
        self.sources = sources
        self.any_alcohol = any_alcohol
        self.alcohol_taken = alcohol_taken


def read_recipe_file(
    path: str | Path, *, density_g_ml: float | None = None, temp_c: float = 20.0
) -> Wish:
    """Read a recipe file.

    Parameters
    ----------
    path : path
        A TOML file.
    density_g_ml : float, optional
        Density of resin in solution [g/ml].
    temp_c : float
        Temperature of the volumes [C].

    Raises
    ------
    Refusal
        For a file that cannot be read, unknown keys (with the nearest), or quantities that
        cannot be read; all faults of the form at once.
    """
    path, data = Path(path), load_toml(path)
    try:
        parsed = RecipeFile.model_validate(data)
    except ValidationError as error:
        raise Refusals(_refusal(path.name, e) for e in error.errors()) from None
    return _wish(parsed, path.name, density_g_ml, temp_c)


def _wish(parsed: RecipeFile, name: str, density: float | None, temp_c: float) -> Wish:
    wanted = parsed.recipe
    where = f"{name}: recipe"
    bags = {f.lot: f for f in parsed.flakes}
    cans = {
        a.name: _can(a.name, a.composition, f"{name}: alcohol {a.name}") for a in parsed.alcohol
    }

    def resins(lines: list[ResinLine], place: str) -> dict[Resin, float]:
        if not lines:
            return {resin_named(density_g_ml=density): 1.0}
        out: dict[Resin, float] = {}
        for n, line in enumerate(lines, start=1):
            spot = f"{place}.resin[{n}]"
            bag = bags.get(line.lot)
            if line.lot and bag is None and not line.grade:
                raise Refusal(spot, f"'{line.lot}' is no lot of [[flakes]] and has no grade",
                              "name its grade, or list the bag")  # fmt: skip
            grade = line.grade or (bag.grade if bag else "")
            wax = line.wax or (bag.wax if bag else None)
            resin = resin_named(grade, lot=line.lot, wax=wax, density_g_ml=density, where=spot)
            if resin in out:
                raise Refusal(spot, f"{line.lot or grade or 'the same lac'} stands there twice",
                              "add the two shares up")  # fmt: skip
            out[resin] = _share(line.share, spot)
        _whole(out.values(), f"{place}.resin")
        return out

    def alcohols(lines: list[AlcoholLine], place: str) -> dict[Alcohol, float]:
        if not lines:
            return {NOT_STATED: 1.0}
        out: dict[Alcohol, float] = {}
        for line in lines:
            spot = f"{place}.alcohol"
            alcohol = cans.get(line.name) or read_alcohol(line.name, where=spot)
            if alcohol in out:
                raise Refusal(spot, f"{line.name} stands there twice", "add the two shares up")
            out[alcohol] = _share(line.share, spot)
        _whole(out.values(), f"{place}.alcohol")
        return out

    spirits = alcohols(wanted.alcohol, where)
    taken = ""
    if not wanted.alcohol:
        in_jars = [
            a for jar in parsed.jar for a in alcohols(jar.alcohol, f"{name}: jar {jar.name}")
        ]
        found = _only_one([*cans.values(), *in_jars], where)
        if found is not None:
            spirits, taken = {found: 1.0}, found.lot
    recipe = Recipe(
        _cut(wanted.cut, where), resins(wanted.resin, where), spirits,
        _share(wanted.dye, f"{where}.dye", DYE), temp_c,
    )  # fmt: skip
    sources = []
    for bag in parsed.flakes:
        spot = f"{name}: flakes {bag.lot}"
        resin = resin_named(bag.grade, lot=bag.lot, wax=bag.wax, density_g_ml=density, where=spot)
        where = f"{spot}.have"
        grams = meant(read_weight(bag.have, where, "weigh the bag and write e.g. 200 g"), where)
        sources.append(Source(bag.lot, "flakes", Mix({resin: grams}, {}, temp_c=temp_c)))
    for jar in parsed.jar:
        spot = f"{name}: jar {jar.name}"
        held = Recipe(_cut(jar.cut, spot), resins(jar.resin, spot), alcohols(jar.alcohol, spot),
                      _share(jar.dye, f"{spot}.dye", DYE), temp_c)  # fmt: skip
        volume = _volume(jar.have, f"{spot}.have")
        if volume > 0:
            sources.append(Source(jar.name, "jar", held.make(volume), jar.tested, jar.use_all))
    for can in parsed.alcohol:
        ml = _volume(can.have, f"{name}: alcohol {can.name}.have")
        content = Mix({}, {}, temp_c=temp_c).with_alcohol(cans[can.name], ml=ml)
        sources.append(Source(can.name, "alcohol", content))
    for dye in parsed.dye:
        ml = _volume(dye.have, f"{name}: dye {dye.name}.have")
        content = Mix({}, {}, ml * dye_density_g_ml(), temp_c=temp_c)
        sources.append(Source(dye.name, "dye", content))
    volume = _volume(wanted.make, f"{where}.make")
    if volume <= 0:
        raise Refusal(f"{where}.make", "nothing is to be made", 'write e.g. "600 ml"')
    # Where nobody named an alcohol and the shelf holds one, a jar of which nothing is said has it.
    return Wish(recipe, volume, tuple(sources), wanted.any_alcohol or bool(taken), taken)


def _can(can: str, composition: str | None, where: str) -> Alcohol:
    """Return the alcohol of a can; without a composition its name must be one of the table."""
    try:
        plain = read_alcohol(composition or can, where=where)
    except Refusal as refusal:
        if composition:
            raise
        raise Refusal(refusal.where, refusal.what,
                      'add composition = "ethanol 95, water 5" or "unknown"') from None  # fmt: skip
    verdict, why = suits(plain)
    if verdict == "no":
        raise Refusal(where, f"it does not suit shellac: {why}", "leave it out")
    return Alcohol(can, plain.parts)


def _only_one(shelf: list[Alcohol], where: str) -> Alcohol | None:
    """Return the only alcohol of a shelf, None where none is named there."""
    kinds: list[Alcohol] = []
    for alcohol in shelf:
        same = any(a.lot == alcohol.lot or (a.parts and a.parts == alcohol.parts) for a in kinds)
        # A can of unknown composition and a jar of "unknown" may well be the same.
        vague = alcohol.lot == UNKNOWN_LOT and any(a.parts is None for a in kinds)
        if alcohol != NOT_STATED and not same and not vague:
            kinds.append(alcohol)
    if len(kinds) > 1:
        names = ", ".join(a.lot for a in kinds)
        raise Refusal(f"{where}.alcohol", f"it is missing, and the shelf holds several: {names}",
                      f'write e.g. alcohol = [{{ name = "{kinds[0].lot}" }}]')  # fmt: skip
    return kinds[0] if kinds else None


def _whole(shares: Iterable[float], where: str) -> None:
    total = sum(shares)
    if abs(total - 1) > WHOLE:
        raise Refusal(where, f"the shares sum to {total:.3g}, not to 1",
                      "give each a share of the whole, such as '60 %' and '40 %'")  # fmt: skip


def _volume(text: str, where: str) -> float:
    return meant(read(text, u.VOLUME, where), where)


def _cut(value: str | float, where: str) -> float:
    cut = meant(read_cut(value, f"{where}.cut"), f"{where}.cut")
    if cut <= 0:
        raise Refusal(f"{where}.cut", "a cut of zero is alcohol", 'write e.g. "2-lb"')
    return cut


def _share(value: str | float, where: str, kind: u.Kind = u.SHARE) -> float:
    share = meant(read(value, kind, where), where)
    if share > 1:
        raise Refusal(where, f"a share of {share:g} is more than all", "write e.g. 0.6 or '60 %'")
    return share


def _refusal(name: str, error: Any) -> Refusal:
    path = [str(p) for p in error["loc"]]
    where = f"{name}: {'.'.join(path)}"
    if error["type"] == "extra_forbidden":
        known = _keys_at(path[:-1])
        return Refusal(where, f"'{path[-1]}' is not a key here", nearest(path[-1], known))
    if error["type"] == "missing":
        return Refusal(where, "it is missing", f"add {path[-1]} = ...")
    return Refusal(where, str(error["msg"]).lower(), "write it as text in quotes, or a number")


def _keys_at(path: list[str]) -> list[str]:
    """Return the keys that are right at a place of the file."""
    model: Any = RecipeFile
    for step in path:
        field = model.model_fields.get(step) if hasattr(model, "model_fields") else None
        if field is None:
            continue  # the number of a row
        kind = field.annotation
        model = getattr(kind, "__args__", (kind,))[0]
    return list(model.model_fields)
