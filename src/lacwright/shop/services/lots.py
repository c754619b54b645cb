"""Lots: what was bought, what is known of it, what was counted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping
from decimal import Decimal
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.shop import clock, names
from lacwright.shop.amounts import PIECES, check_amount, in_units
from lacwright.shop.facts import ABRASIVE, ALCOHOL, FLAKES, KINDS, OTHER, density_of
from lacwright.shop.ledger import AIR, UNACCOUNTED, WASTE, Amount, come, found
from lacwright.shop.models import KEY, Line, Lot
from lacwright.shop.queries import shelf
from lacwright.shop.queries.preferences import zone
from lacwright.shop.queries.suiting import suits_lac
from lacwright.shop.services.amend import CHECK, RECOMPOSE, Body, merged, write_body
from lacwright.shop.services.describing import describe
from lacwright.shop.services.lot_remarks import taken_before
from lacwright.shop.writing import Answer, Entry, Writer, write
from lacwright.solution import Resin, read_alcohol, read_grade
from lacwright.trade import table

GONE = (UNACCOUNTED, WASTE, AIR)
"""Where what is missing at a count or a weighing went."""
MOST_PRICE = Decimal(10**9)


def add_lot(
    *, name: str, kind: str, amount: Amount | None, unit: str = "g", grade: str = "",
    waxed: bool | None = None, bleached: bool | None = None, alcohol: str = "",
    density_g_ml: float | None = None, supplier: str = "", batch: str = "",
    bought: dt.date | None = None, price: Decimal | None = None, price_for: Amount | None = None,
    order_below: Amount | None = None, note: str = "", opening: bool = False, entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a lot that came, or that was there when the record began.

    Parameters
    ----------
    name : str
        What it is called from now on.
    kind : str
        "flakes", "alcohol", "dye", "wax", "abrasive" or "other".
    amount : Amount or None
        How much came; None = not said.
    unit : str
        "g", or "pc" for what is counted.
    grade : str
        Of flakes: "garnet", "dewaxed blonde"; of an abrasive: its system and number.
    waxed, bleached : bool, optional
        Of flakes, as said.
    alcohol : str
        Of an alcohol: a name or a composition, as `solution.read_alcohol` reads it; "" = not
        known.
    density_g_ml : float, optional
        As weighed.
    supplier, batch, note : str
        As on the label.
    bought : date, optional
        Day of buying.
    price, price_for : Decimal, Amount
        What `price_for` costs; without it, the amount that came.
    order_below : Amount, optional
        What should be there at least.
    opening : bool
        Whether it was there already when the record began.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a name that is taken, a wrong kind, an amount or a description that cannot be.
    """
    request = {
        "name": name, "kind": kind, "amount": amount, "unit": unit, "grade": grade,
        "waxed": waxed, "bleached": bleached, "alcohol": alcohol, "density_g_ml": density_g_ml,
        "supplier": supplier, "batch": batch, "bought": bought and bought.isoformat(),
        "price": None if price is None else str(price), "price_for": price_for,
        "order_below": order_below, "note": note, "opening": opening,
    }  # fmt: skip

    def do(w: Writer) -> dict[str, Any]:
        _refuse_to_come(bought, w.written_us)
        lot = write_lot(
            w, name=name, kind=kind, unit=unit, amount=amount, opening=opening, described={
                "grade": grade, "waxed": waxed, "bleached": bleached, "alcohol": alcohol,
                "density_g_ml": density_g_ml, "supplier": supplier, "batch": batch,
                "bought": bought, "price": price, "price_for": price_for,
                "order_below": order_below, "note": note,
            },
        )  # fmt: skip
        return {"lot": shelf.lot_line(lot, at_us=w.written_us).as_json(), "says": _says(lot)}

    return write("add_lot", request, entry, do)


def describe_lot(*, name: str, changes: Mapping[str, Any], entry: Entry) -> Answer:
    """Change what is known of a lot; all that rests on it is worked out anew.

    Parameters
    ----------
    name : str
        The lot.
    changes : mapping
        Any of: grade, waxed, bleached, alcohol, density_g_ml, supplier, batch, bought, price,
        price_for, order_below, note.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown lot, an unknown field, or if nothing changes.
    """

    def do(w: Writer) -> dict[str, Any]:
        lot = names.find(Lot, name, "lot")
        for field in changes:
            if field not in _FIELDS:
                raise Refusal(field, "it is not part of the description of a lot",
                              nearest(field, _FIELDS))  # fmt: skip
        _refuse_to_come(changes.get("bought"), w.written_us)
        fields = _described(lot, changes, came=None)
        made = describe(w, "lot", lot, fields)
        return {"lot": shelf.lot_line(lot, at_us=w.written_us).as_json(),
                "was": made.body["was"], "now": made.body["now"], "says": _says(lot)}  # fmt: skip

    return write("describe_lot", {"name": name, "changes": plain(changes)}, entry, do)


def count_lot(
    *, name: str, amount: Amount, gone: str = UNACCOUNTED, entry: Entry
) -> Answer:  # fmt: skip
    """Write down what of a lot is really there; the difference is booked.

    Parameters
    ----------
    name : str
        The lot.
    amount : Amount
        What is there.
    gone : str
        Where what is missing went: "unaccounted", "waste" or "air".
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown lot or an amount in the wrong unit.
    """

    def do(w: Writer) -> dict[str, Any]:
        lot = names.find(Lot, name, "lot")
        made = write_body(w, "count", _count(lot, {"amount": amount, "gone": gone}))
        changed = sum(Line.objects.filter(about=made, place=lot.place).values_list("ug", flat=True))
        line = shelf.lot_line(lot, at_us=w.written_us).as_json()
        return {"lot": line, "difference": changed / 1e6, "unit": lot.unit}

    return write("count_lot", {"name": name, "amount": amount, "gone": gone}, entry, do)


def write_lot(
    w: Writer, *, name: str, kind: str, unit: str, amount: Amount | None, opening: bool,
    described: Mapping[str, Any],
) -> Lot:  # fmt: skip
    """Make a lot and write down how it came, inside a request."""
    lot = new_lot(name=name, kind=kind, unit=unit, amount=amount, described=described)
    said = {"kind": kind, "grade": described["grade"], "alcohol": described["alcohol"]}
    body = _receive(lot, {"amount": amount, "opening": opening, "said": said})
    lot.opened = write_body(w, "receive", body)
    lot.save()
    return lot


def new_lot(
    *, name: str, kind: str, unit: str, amount: Amount | None, described: Mapping[str, Any]
) -> Lot:  # fmt: skip
    """Make the row and the store of a lot, inside a request that then writes down how it came."""
    key = names.new(Lot, name, "lot")
    if kind not in KINDS:
        raise Refusal("--kind", f"'{kind}' is not a kind of lot", nearest(kind, KINDS))
    if unit not in ("g", PIECES):
        raise Refusal("--unit", f"'{unit}' is not how a lot is kept", "write g or pc")
    lot = Lot(key=key, kind=kind, unit=unit)
    check_amount(amount, "--amount", of=kind, unit=unit)
    for field, value in _described(lot, described, came=amount).items():
        setattr(lot, field, value)
    lot.place = names.new_place(Lot, key)
    lot.save()
    return lot


def faults_of(
    *, name: str, kind: str, unit: str, amount: Amount | None, described: Mapping[str, Any],
    now_us: int, but: Collection[str] = (),
) -> list[Refusal]:  # fmt: skip
    """Return all that is wrong with a new lot, where `new_lot` tells the first of it alone.

    Parameters
    ----------
    name, kind, unit, amount, described
        As for `new_lot`.
    now_us : int
        When it is written down: nothing was bought later.
    but : collection of str
        What could not be read, and is told already: "name", "kind", "amount", or fields of
        `described`; what rests on it is not judged.
    """
    found: list[Refusal] = []

    def judge(how: Callable[[], Any], *needs: str) -> None:
        if any(need in but for need in needs):
            return
        try:
            how()
        except Refusal as refusal:
            if all(str(refusal) != str(other) for other in found):
                found.append(refusal)

    judge(lambda: names.new(Lot, name, "lot"), "name")
    lot = Lot(key=name, kind=kind, unit=unit)
    judge(lambda: check_amount(amount, "--amount", of=kind, unit=unit), "kind", "amount")
    for group in (("grade", "waxed"), ("waxed",), ("bleached",), ("alcohol",), ("supplier",),
                  ("batch",), ("price_for",), ("price", "price_for"), ("order_below",),
                  ("density_g_ml",)):  # fmt: skip
        some = {field: described[field] for field in group}
        needs = ("kind", *(("amount",) if "price" in group else ()))
        judge(lambda some=some: _described(lot, some, came=amount),  # type: ignore[misc]
              *needs, *group)  # fmt: skip
    judge(lambda: _check_price(described["price"]), "price")
    judge(lambda: _refuse_to_come(described["bought"], now_us), "bought")
    return found


def unsaid_lot(*, kind: str, name: str, where: str) -> Lot:
    """Return the lot that stands for a grade or an alcohol of which nobody said which lot it was.

    Raises
    ------
    Refusal
        For an unknown grade or alcohol.
    """
    described = {"grade": name} if kind == FLAKES else {"alcohol": name}
    lot = Lot(kind=kind, unit="g", said=False)
    for field, value in _described(lot, described, came=None, where=where).items():
        setattr(lot, field, value)
    if kind == FLAKES:
        wax = {None: "", True: "waxed ", False: "dewaxed "}[lot.waxed]
        what = f"{wax}{lot.grade}" if lot.grade else "flakes"
    else:
        what = name.strip().replace(",", " +").replace(":", "") or "alcohol"
    key = names.read_name(f"not-said {what}", where)
    kept = Lot.objects.filter(key=key).first()
    if kept is not None:
        return kept
    lot.key = key
    lot.place = names.new_place(Lot, key)
    lot.save()
    return lot


def short_text(text: str, where: str) -> str:
    """Return a text of a label, tidied.

    Raises
    ------
    Refusal
        For one that is longer than the record has room for: nothing is cut off unseen.
    """
    text = text.strip()
    if len(text) > KEY:
        raise Refusal(where, f"it has {len(text)} characters, {KEY} are the most",
                      "write the rest as a note")  # fmt: skip
    return text


def plain(changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return changes of a description as JSON."""
    return {
        name: value.isoformat() if isinstance(value, dt.date)
        else str(value) if isinstance(value, Decimal) else value
        for name, value in changes.items()
    }  # fmt: skip


def _refuse_to_come(bought: dt.date | None, now_us: int) -> None:
    if bought is not None and bought > clock.day_of(now_us, zone()):
        raise Refusal("--bought", f"{bought} is still to come, and the age counts from it",
                      "write the day on which it was bought")  # fmt: skip


_FIELDS = ("grade", "waxed", "bleached", "alcohol", "density_g_ml", "supplier", "batch", "bought",
           "price", "price_for", "order_below", "note")  # fmt: skip


def _described(
    lot: Lot, said: Mapping[str, Any], *, came: Amount | None, where: str = ""
) -> dict[str, Any]:  # fmt: skip
    """Return the fields of the row for what was said of a lot, checked."""
    fields: dict[str, Any] = {
        name: said[name]
        for name in ("waxed", "bleached", "density_g_ml", "bought", "price") if name in said
    }  # fmt: skip
    fields |= {name: short_text(str(said[name]), f"--{name}") for name in ("supplier", "batch")
               if name in said}  # fmt: skip
    if "note" in said:
        fields["note"] = str(said["note"])
    if "grade" in said:
        fields |= _grade(lot, str(said["grade"]), said.get("waxed"), where or "--grade")
    if "alcohol" in said and str(said["alcohol"]).strip():
        if lot.kind != ALCOHOL:
            raise Refusal("--alcohol", f"a lot of {_kind_words(lot)} has no composition of alcohol",
                          "leave it out, or write --kind alcohol")  # fmt: skip
        parts = read_alcohol(str(said["alcohol"]), where=where or "--alcohol").parts
        fields["parts"] = None if parts is None else dict(parts)
    elif "alcohol" in said and lot.parts is not None:
        fields["parts"] = None
    _check_wax(lot, fields)
    _check_density(lot, fields.get("density_g_ml"))
    _check_price(fields.get("price"))
    if fields.get("price") == 0:
        fields["price"] = fields["price"].copy_abs()  # nothing has no sign
    density = density_of(_like(lot, fields))
    if said.get("price") is not None or said.get("price_for") is not None:
        fields["price_for_u"] = _price_for(lot, said, came, density)
    if said.get("order_below") is not None:
        least = check_amount(said["order_below"], "--order-below", zero=True, unit=lot.unit)
        fields["order_below_u"] = in_units(least, density)
    elif "order_below" in said and lot.order_below_u is not None:
        fields["order_below_u"] = None
    return fields


def _kind_words(lot: Lot) -> str:
    return "another kind" if lot.kind == OTHER else lot.kind


def _grade(lot: Lot, text: str, waxed: bool | None, where: str) -> dict[str, Any]:
    if not text.strip():
        return {"grade": ""}
    if lot.kind == ABRASIVE:
        return {"grade": table("abrasives").find(text, where).key}
    if lot.kind != FLAKES:
        raise Refusal(where, f"a lot of {_kind_words(lot)} has no grade",
                      "leave it out, or write it in --note")  # fmt: skip
    row, wax = read_grade(text, where=where)
    fields: dict[str, Any] = {"grade": row.key}
    if wax is not None:
        if waxed is not None and waxed != (wax == "waxed"):
            raise Refusal(where, f"'{text}' and the wax that is given contradict each other",
                          "say one of them")  # fmt: skip
        fields["waxed"] = wax == "waxed"
    return fields


def _check_wax(lot: Lot, fields: Mapping[str, Any]) -> None:
    for name in ("waxed", "bleached"):
        if fields.get(name) is not None and lot.kind != FLAKES:
            raise Refusal(f"--{name}", f"a lot of {_kind_words(lot)} is neither {name} nor not",
                          "leave it out")  # fmt: skip


def _check_density(lot: Lot, density: float | None) -> None:
    if density is None:
        return
    if lot.kind == FLAKES:
        try:
            Resin(density_g_ml=density)
        except Refusal as refusal:
            raise refusal.at("--density") from None
    odd = table("solution")["alcohol_density_odd"]
    if lot.kind == ALCOHOL and not odd.number("low") <= density <= odd.number("high"):
        raise Refusal("--density", f"{density:g} g/ml is no alcohol for shellac",
                      "weigh 100 ml and write e.g. 0.793")  # fmt: skip
    if not 0 < density < 25:
        raise Refusal("--density", f"{density:g} g/ml cannot be", "weigh it and write e.g. 0.9")


def _check_price(price: Decimal | None) -> None:
    if price is not None and not 0 <= price <= MOST_PRICE:
        raise Refusal("--price", f"{price} is not a price", "write e.g. 48.50")


def _price_for(
    lot: Lot, said: Mapping[str, Any], came: Amount | None, density: float
) -> int | None:  # fmt: skip
    amount = check_amount(said.get("price_for"), "--price-for", unit=lot.unit)
    if amount is None and said.get("price") is not None:
        if came is None and lot.price_for_u:
            return lot.price_for_u
        amount = came
    found_u = in_units(amount, density)
    if said.get("price") is not None and not found_u:
        raise Refusal("--price", "nobody said for how much that is",
                      "add e.g. --price-for '1 kg'")  # fmt: skip
    return found_u


def _like(lot: Lot, fields: Mapping[str, Any]) -> Lot:
    """Return the lot as it will be, as far as its density goes."""
    return Lot(key=lot.key, kind=lot.kind, parts=fields.get("parts", lot.parts),
               density_g_ml=fields.get("density_g_ml", lot.density_g_ml))  # fmt: skip


def _says(lot: Lot) -> list[str]:
    """Return what is worth knowing about a lot."""
    if lot.kind != ALCOHOL:
        return []
    verdict, why = suits_lac(lot)
    if verdict == "no":
        return [f"It does not suit shellac: {why}."]
    return [f"{why}."] if verdict == "weak" else []


def _receive(lot: Lot, facts: Mapping[str, Any]) -> Body:
    amount = check_amount(facts["amount"], "--amount", of=lot.kind, unit=lot.unit)
    moves = (come(lot=lot.key, to=lot.place.key, amount=amount),)
    return Body({"lot": lot.key}, moves, {**facts, "amount": amount})


def _count(lot: Lot, facts: Mapping[str, Any]) -> Body:
    amount = check_amount(facts["amount"], "--amount", zero=True, of=lot.kind, unit=lot.unit)
    if amount is None or amount["u"] == "all":
        raise Refusal("--amount", "a count needs an amount", "write e.g. 60 g")
    moves = (found(place=lot.place.key, amount=amount, gone=checked_gone(facts["gone"])),)
    return Body({"lot": lot.key}, moves, {**facts, "amount": amount})


def checked_gone(gone: str) -> str:
    """Return where what is missing went.

    Raises
    ------
    Refusal
        For anything but air, waste or unaccounted.
    """
    if gone not in GONE:
        raise Refusal("--gone", f"nothing goes to '{gone}'", nearest(gone, GONE))
    return gone


def _lot_of(body: Mapping[str, Any]) -> Lot:
    # It may be gone for now: a receipt that was taken back can be corrected and comes back.
    return Lot.objects.select_related("place").get(key=body["refs"]["lot"])


CHECK["receive"] = taken_before
RECOMPOSE["receive"] = lambda body, changes: _receive(
    _lot_of(body), merged(body, changes, ("amount", "opening"))
)
RECOMPOSE["count"] = lambda body, changes: _count(
    _lot_of(body), merged(body, changes, ("amount", "gone"))
)
