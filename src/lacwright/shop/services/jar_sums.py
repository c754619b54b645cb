"""How much to take for a wish: the model on one side, lots of the record on the other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from lacwright.figures import Refusal, nearest
from lacwright.figures import units as u
from lacwright.figures.quantities import read
from lacwright.figures.spoken import a_cut
from lacwright.shop import names
from lacwright.shop.facts import ALCOHOL, FLAKES, alcohol_of
from lacwright.shop.ledger import Amount, grams, millilitres
from lacwright.shop.models import Jar, Lot
from lacwright.shop.queries.contents import contents, resin_of
from lacwright.solution import Alcohol, Recipe, Resin, adjust, read_alcohol, resin_named
from lacwright.solution.num import meant

if TYPE_CHECKING:
    from lacwright.shop.services.jars import Take

DUST = 0.01
"""Of a gram or a millilitre: no scale at the bench shows it."""


def takes_for(
    *, cut: float, flakes: Sequence[tuple[str, float]], alcohol: str,
    solution_ml: float | None = None, resin_g: float | None = None,
    alcohol_ml: float | None = None,
) -> list[Take]:  # fmt: skip
    """Return what to take of which lot for a mix of a cut.

    Parameters
    ----------
    cut : float
        Wished cut [lb/gal].
    flakes : sequence of (name, share)
        Lots, or grades where nobody says which lot, with their shares of the resin.
    alcohol : str
        A lot of alcohol, or the name or composition of one; "" = nobody said.
    solution_ml, resin_g, alcohol_ml : float
        Exactly one of them: volume of the mix, weight of the flakes, volume of the alcohol.

    Returns
    -------
    list of Take
        Flakes by weight, then the alcohol by volume.

    Raises
    ------
    Refusal
        For an unknown lot or grade, or a mix that cannot be.
    """
    from lacwright.shop.services.jars import Take

    for where, value in (("--cut", cut), ("--solution", solution_ml), ("--resin", resin_g),
                         ("--alcohol-volume", alcohol_ml)):  # fmt: skip
        if value is not None and not meant(value, where) > 0:
            raise Refusal(where, "a mix of nothing", "give an amount above zero")
    if not flakes:
        raise Refusal("--flakes", "a mix needs flakes", "name a lot, or a grade such as garnet")
    found = [(*_flakes(name), share) for name, share in flakes]
    spirit_kind, spirit_name, spirit = _spirit(alcohol)
    recipe = Recipe(cut, {resin: share for _, _, resin, share in found}, {spirit: 1.0})
    mix = recipe.make(solution_ml, alcohol_ml=alcohol_ml, resin_g=resin_g)
    takes = [Take(kind, name, grams(float(mix.resin_g[resin]))) for kind, name, resin, _ in found]
    return [*takes, Take(spirit_kind, spirit_name, millilitres(float(mix.alcohol_ml)))]


def to_cut_amount(
    jar: Jar, *, to_cut: float, lot: Lot, at_us: int | None = None
) -> tuple[Amount, dict[str, Any]]:  # fmt: skip
    """Return how much of a lot brings what is in a jar to a cut, with the numbers of the change.

    Parameters
    ----------
    jar : Jar
        The jar.
    to_cut : float
        Wished cut [lb/gal].
    lot : Lot
        Flakes or alcohol.
    at_us : int, optional
        When; what was in it then counts.

    Raises
    ------
    Refusal
        If the make-up of the jar is not known, the lot is of the wrong kind, or nothing is needed.
    """
    inside = contents(jar.place.key, at_us=at_us)
    why = inside.no_cut
    if why is not None:
        raise Refusal("jar", f"'{jar.key}': {why}", "weigh or test what is in it first")
    if lot.kind not in (FLAKES, ALCOHOL):
        raise Refusal("--with", f"lot '{lot.key}' is {lot.kind}", "name flakes or alcohol")
    mix = inside.mix
    now = float(mix.cut_lb_per_gal)
    spirit = alcohol_of(lot) if lot.kind == ALCOHOL else Alcohol("", None)
    change = adjust(mix=mix, to_cut=to_cut, alcohol=spirit,
                    resin=resin_of(lot) if lot.kind == FLAKES else None)  # fmt: skip
    flakes_g, alcohol_ml = float(change.add_resin_g), float(change.add_alcohol_ml)
    if flakes_g <= DUST and alcohol_ml <= DUST:
        raise Refusal("--to", f"jar '{jar.key}' has that cut already ({now:.3g}-lb)",
                      "nothing is to be added")  # fmt: skip
    if (flakes_g > DUST) != (lot.kind == FLAKES):
        wanted = "flakes" if flakes_g > DUST else "alcohol"
        raise Refusal("--with", f"jar '{jar.key}' is {a_cut(now)}: for {a_cut(to_cut)} "
                      f"it needs {wanted}, and lot '{lot.key}' is {lot.kind}",
                      f"name a lot of {wanted}")  # fmt: skip
    amount = grams(flakes_g) if lot.kind == FLAKES else millilitres(alcohol_ml)
    return amount, {"cut_before": now, "left_before_ml": float(mix.solution_ml),
                    "add_resin_g": flakes_g, "add_alcohol_ml": alcohol_ml}  # fmt: skip


def read_take(text: str, where: str) -> Take:
    """Read "garnet-b12: 60 g", "jar J3: 100 ml", "ethanol-190: 250 ml", "garnet-b12" (not said).

    A name is that of a lot or a jar; else a grade or an alcohol of which nobody says which lot.

    Raises
    ------
    Refusal
        For a name that is none of these or two of them, or an amount that cannot be.
    """
    from lacwright.shop.amounts import read_amount
    from lacwright.shop.services.jars import Take

    name, colon, said = text.rpartition(":")
    name, said = (name.strip(), said.strip()) if colon else (text.strip(), "")
    place = f'{where} "{text}"'
    if not name:
        raise Refusal(place, "no lot, jar, grade or alcohol is named",
                      'write e.g. "garnet-b12: 60 g"')  # fmt: skip
    if colon and not said:
        raise Refusal(place, "no amount stands after the colon",
                      'write e.g. "can-3: 60 g", or the name alone if nobody knows')  # fmt: skip
    kind, key = _meant(name, place)
    of, unit = {"grade": FLAKES, "alcohol": ALCOHOL, "jar": "jar"}.get(kind, ""), "g"
    if kind == "lot":
        lot = names.find(Lot, key, place)
        of, unit = lot.kind, lot.unit
    return Take(kind, key, read_amount(said, place, of=of, unit=unit) if said else None)


def read_share(text: str, where: str) -> tuple[str, float]:
    """Read "garnet-b12" or "garnet-b12: 40 %" for what a lot gives of the resin.

    Raises
    ------
    Refusal
        For a share that is none.
    """
    name, colon, said = text.rpartition(":")
    if not (name if colon else text).strip():
        raise Refusal(f'{where} "{text}"', "no lot and no grade is named", "write e.g. garnet-b12")
    if not colon:
        return text.strip(), 1.0
    share = read(said, u.SHARE, f'{where} "{text}"')
    if not 0 < share <= 1:
        raise Refusal(f'{where} "{text}"', "a share lies between 0 and 1", "write e.g. 40 %")
    return name.strip(), share


def _meant(name: str, where: str) -> tuple[str, str]:
    """Return whether a name is a lot, a jar, a grade or an alcohol, and the name."""
    first, _, rest = name.partition(" ")
    if first.lower() in ("lot", "jar") and rest:
        return first.lower(), rest.strip()
    lot, jar = (table.objects.filter(key=name).exists() for table in (Lot, Jar))
    if lot and jar:
        raise Refusal(where, f"there is a lot '{name}' and a jar '{name}'",
                      f"write 'lot {name}' or 'jar {name}'")  # fmt: skip
    if lot or jar:
        return "lot" if lot else "jar", name
    for kind, reads in (("grade", resin_named), ("alcohol", read_alcohol)):
        try:
            reads(name, where=where)
        except Refusal:
            continue
        return kind, name
    known = [*Lot.objects.filter(said=True).values_list("key", flat=True),
             *Jar.objects.values_list("key", flat=True)]  # fmt: skip
    raise Refusal(
        where,
        f"'{name}' is neither a lot nor a jar, a grade nor an alcohol",
        nearest(name, known) if known else "write down the lot first, or name a grade",
    )


def _flakes(name: str) -> tuple[str, str, Resin]:
    lot = Lot.objects.filter(key=name.strip()).first()
    if lot is not None:
        lot = names.find(Lot, name, "--flakes")
        if lot.kind != FLAKES:
            raise Refusal("--flakes", f"lot '{lot.key}' is {lot.kind}", "name a lot of flakes")
        return "lot", lot.key, resin_of(lot)
    try:
        return "grade", name, resin_named(name, where="--flakes")
    except Refusal as refusal:
        raise _neither(name, FLAKES, "--flakes", refusal) from None


def _spirit(name: str) -> tuple[str, str, Alcohol]:
    lot = Lot.objects.filter(key=name.strip()).first() if name.strip() else None
    if lot is not None:
        lot = names.find(Lot, name, "--alcohol")
        if lot.kind != ALCOHOL:
            raise Refusal("--alcohol", f"lot '{lot.key}' is {lot.kind}", "name a lot of alcohol")
        return "lot", lot.key, alcohol_of(lot)
    if not name.strip():
        return "alcohol", "", Alcohol("", None)
    try:
        return "alcohol", name, read_alcohol(name, where="--alcohol")
    except Refusal as refusal:
        raise _neither(name, ALCOHOL, "--alcohol", refusal) from None


def _neither(name: str, kind: str, where: str, refusal: Refusal) -> Refusal:
    known = list(Lot.objects.filter(kind=kind, said=True).values_list("key", flat=True))
    close = nearest(name, known) if known else ""
    if close.startswith("did you mean"):
        return Refusal(where, f"there is no lot '{name}' in the record", close)
    return Refusal(where, f"'{name}' is neither a lot of the record nor a name that is known",
                   refusal.mend)  # fmt: skip
