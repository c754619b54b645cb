"""A jar that came as a liquid: bought with a claimed cut, or of unknown make-up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any

from lacwright.figures import Refusal
from lacwright.figures.spoken import a_cut
from lacwright.shop.amounts import check_amount, in_units
from lacwright.shop.facts import ALCOHOL, FLAKES, OTHER, alcohol_of, density_of
from lacwright.shop.ledger import Amount, Move, come, grams, millilitres
from lacwright.shop.models import Jar, Lot, Movement
from lacwright.shop.queries.contents import resin_of
from lacwright.shop.services.amend import RECOMPOSE, SETTLE, Body, merged, write_body
from lacwright.shop.services.lots import new_lot
from lacwright.shop.writing import Writer
from lacwright.solution import Mix, make

STRONGEST = 12.0


@dataclass(frozen=True)
class Liquid:
    """What a label says of a bought liquid."""

    amount: Amount | None
    claimed_cut: float | None
    grade: str
    waxed: bool | None
    alcohol: str
    supplier: str
    batch: str
    bought: dt.date | None
    price: Decimal | None
    opening: bool

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data."""
        told = asdict(self)
        told["bought"] = self.bought and self.bought.isoformat()
        told["price"] = None if self.price is None else str(self.price)
        return told


def fill(w: Writer, jar: Jar, liquid: Liquid) -> Movement:
    """Write down how a jar was filled; makes the lots that came in it."""
    if liquid.price is not None and liquid.amount is None:
        raise Refusal("--price", "nobody said for how much that is", "give --amount too")
    facts = {"amount": liquid.amount, "claimed_cut": liquid.claimed_cut, "grade": liquid.grade,
             "waxed": liquid.waxed, "alcohol": liquid.alcohol,
             "opening": liquid.opening}  # fmt: skip
    body = _fill(jar, facts, liquid)
    made = write_body(w, "fill", body)
    jar.opened, jar.claimed_cut = made, liquid.claimed_cut
    jar.save()
    Lot.objects.filter(key__in=_lot_keys(jar)).update(opened=made)
    return made


def _lot_keys(jar: Jar) -> tuple[str, str, str]:
    room = 80 - len(" contents")
    stem = jar.key[:room]
    return f"{stem} resin", f"{stem} alcohol", f"{stem} contents"


def _fill(jar: Jar, facts: Mapping[str, Any], liquid: Liquid | None) -> Body:
    """Return the body of a filling; the lots in it are made where they are not there yet."""
    cut = facts["claimed_cut"]
    amount = check_amount(facts["amount"], "--amount", of="jar", unit="g")
    if amount is not None and amount["u"] == "all":
        raise Refusal("--amount", "all of what", "write e.g. 500 ml")
    if cut is not None and not 0 < cut <= STRONGEST:
        raise Refusal("--cut", f"{a_cut(cut, 6)} is on no label", "write e.g. 2")
    moves = _unknown(jar, amount, facts, liquid) if cut is None else _claimed(
        jar, amount, cut, facts, liquid
    )  # fmt: skip
    return Body({"jar": jar.key}, moves, {**facts, "amount": amount})


def _unknown(
    jar: Jar, amount: Amount | None, facts: Mapping[str, Any], liquid: Liquid | None
) -> tuple[Move, ...]:  # fmt: skip
    if facts["grade"] or facts["waxed"] is not None:
        raise Refusal(
            "--grade",
            "without a cut nobody knows how much of it is in there",
            "give --cut as the label claims it, or write the grade in --note",
        )
    if facts["alcohol"]:
        raise Refusal("--alcohol", "without a cut nobody knows how much of it is in there",
                      "give --cut as the label claims it, or write it in --note")  # fmt: skip
    lot = _lot(jar, _lot_keys(jar)[2], OTHER, amount, liquid, {})
    return (come(lot=lot.key, to=jar.place.key, amount=amount),)


def _claimed(
    jar: Jar, amount: Amount | None, cut: float, facts: Mapping[str, Any], liquid: Liquid | None
) -> tuple[Move, ...]:  # fmt: skip
    resin_key, alcohol_key, _ = _lot_keys(jar)
    flakes = _lot(jar, resin_key, FLAKES, None, liquid,
                  {"grade": facts["grade"], "waxed": facts["waxed"]})  # fmt: skip
    spirit = _lot(jar, alcohol_key, ALCOHOL, None, liquid, {"alcohol": facts["alcohol"]})
    if amount is None:
        return tuple(come(lot=lot.key, to=jar.place.key, amount=None) for lot in (flakes, spirit))
    mix = _mix(flakes, spirit, amount, cut)
    resin_g, alcohol_ml = float(mix.total_resin_g), float(mix.alcohol_ml)
    wet = millilitres(alcohol_ml) if amount["u"] == "ul" else grams(float(mix.alcohol_g))
    if liquid is not None and liquid.price is not None:
        # The price is for the liquid; with the resin it goes wherever the liquid goes.
        all_u = round(resin_g * 1e6)
        Lot.objects.filter(id=flakes.id).update(price=liquid.price, price_for_u=all_u)
        Lot.objects.filter(id=spirit.id).update(
            price=Decimal(0), price_for_u=in_units(wet, density_of(spirit)))  # fmt: skip
    return (come(lot=flakes.key, to=jar.place.key, amount=grams(resin_g)),
            come(lot=spirit.key, to=jar.place.key, amount=wet))  # fmt: skip


def _mix(flakes: Lot, spirit: Lot, amount: Amount, cut: float) -> Mix:
    resin, alcohol = resin_of(flakes), alcohol_of(spirit)
    if amount["u"] == "ul":
        return make(cut_lb_per_gal=cut, resin=resin, alcohol=alcohol,
                    solution_ml=amount["n"] / 1e3)  # fmt: skip
    litre = make(cut_lb_per_gal=cut, resin=resin, alcohol=alcohol, alcohol_ml=1000.0)
    return litre.scaled(amount["n"] / 1e6 / litre.solution_g)


def _lot(
    jar: Jar, key: str, kind: str, amount: Amount | None, liquid: Liquid | None,
    described: dict[str, Any],
) -> Lot:  # fmt: skip
    kept = Lot.objects.filter(key=key, opened=jar.opened).first() if jar.opened else None
    if kept is not None:
        return kept
    if liquid is not None:
        described = {**described, "supplier": liquid.supplier, "batch": liquid.batch,
                     "bought": liquid.bought}  # fmt: skip
    elif described.get("waxed") is None:
        described = {name: value for name, value in described.items() if name != "waxed"}
    lot = new_lot(name=key, kind=kind, unit="g", amount=None, described=described)
    if jar.opened is not None:
        lot.opened = jar.opened
        lot.save()
    if kind == OTHER and liquid is not None and liquid.price is not None and amount is not None:
        lot.price, lot.price_for_u = liquid.price, in_units(amount, density_of(lot))
        lot.save()
    return lot


def _again(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
    jar = Jar.objects.select_related("place", "opened").get(key=body["refs"]["jar"])
    allowed = ("amount", "claimed_cut", "grade", "waxed", "alcohol", "opening")
    facts = merged(body, changes, allowed)
    for name in ("grade", "waxed", "alcohol"):
        if name in changes and body["claimed_cut"] is not None:
            raise Refusal(name, "it is part of the description of the lots in the jar",
                          f"change it there: 'lot change \"{_lot_keys(jar)[0]}\"'")  # fmt: skip
    return _fill(jar, facts, None)


def _settle(root: Movement, body: Body | None) -> tuple[int, ...]:
    if body is not None:
        Jar.objects.filter(opened=root).update(claimed_cut=body.facts["claimed_cut"])
    return ()


RECOMPOSE["fill"] = _again
SETTLE["fill"] = _settle
