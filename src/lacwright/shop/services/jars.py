"""Jars: mixing, filling, pouring, adding, weighing, washing out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.shop import names
from lacwright.shop.facts import ALCOHOL
from lacwright.shop.ledger import AIR, WASTE, Amount
from lacwright.shop.models import Jar, Lot, Movement
from lacwright.shop.services import jar_bodies as bodies
from lacwright.shop.services.amend import write_body
from lacwright.shop.services.amount_remarks import beyond_the_book, large, of_takes
from lacwright.shop.services.describing import describe
from lacwright.shop.services.jar_answers import added, after, lost
from lacwright.shop.services.jar_bodies import GRADE, JAR, LOT, SPIRIT
from lacwright.shop.services.jar_sums import to_cut_amount
from lacwright.shop.services.lot_remarks import early_lots, short
from lacwright.shop.services.lots import short_text
from lacwright.shop.writing import Answer, Entry, Writer, write

__all__ = [
    "Take", "LOT", "JAR", "GRADE", "SPIRIT",
    "mix_jar", "fill_jar", "pour", "add_to_jar", "correct_jar", "weigh_jar", "discard_jar",
    "describe_jar",
]  # fmt: skip


@dataclass(frozen=True)
class Take:
    """Something that goes into a jar.

    Parameters
    ----------
    kind : str
        "lot", "jar", or "grade" and "alcohol" where nobody said which lot.
    name : str
        Of the lot, the jar, the grade, the alcohol.
    amount : Amount or None
        By weight or volume, ALL for all of a jar, None = not said.
    """

    kind: str
    name: str
    amount: Amount | None

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {"kind": self.kind, "name": self.name, "amount": self.amount}


def mix_jar(
    *, jar: str, takes: Sequence[Take], wished_cut: float | None = None,
    wished_ml: float | None = None, purpose: str = "", tare_g: float | None = None,
    mouth_mm: float | None = None, note: str = "", entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a mix that was made from lots and jars.

    Parameters
    ----------
    jar : str
        What the new filling is called.
    takes : sequence of Take
        What went in; flakes by weight.
    wished_cut, wished_ml : float, optional
        What was asked for [lb/gal], [ml].
    purpose, note : str
        In his own words.
    tare_g, mouth_mm : float, optional
        Of the jar: its weight without the mix, the width of its mouth.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a name that is taken, an unknown lot, a volume of flakes, a jar or lot that failed
        its test.
    """
    request = {
        "jar": jar, "takes": [t.as_json() for t in takes], "wished_cut": wished_cut,
        "wished_ml": wished_ml, "purpose": purpose, "tare_g": tare_g, "mouth_mm": mouth_mm,
        "note": note,
    }  # fmt: skip

    def do(w: Writer) -> dict[str, Any]:
        row = _new_jar(jar, purpose, tare_g, mouth_mm, note)
        facts = {"wished_cut": wished_cut, "wished_ml": wished_ml, "takes": request["takes"]}
        body = bodies.mix(row, facts, at_us=w.at_us)
        row.opened = write_body(w, "mix", body)
        row.save()
        return _with_remarks(after(row, w, takes=body.facts["takes"]), row, row.opened)

    return write("mix_jar", request, entry, do)


def fill_jar(
    *, jar: str, amount: Amount | None, claimed_cut: float | None = None, grade: str = "",
    waxed: bool | None = None, alcohol: str = "", supplier: str = "", batch: str = "",
    bought: dt.date | None = None, price: Decimal | None = None, purpose: str = "",
    tare_g: float | None = None, mouth_mm: float | None = None, note: str = "",
    opening: bool = False, entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a bought liquid, or a jar that was there of which nobody knows the make-up.

    Parameters
    ----------
    jar : str
        What it is called.
    amount : Amount or None
        How much is in it; None = not said.
    claimed_cut : float, optional
        The cut on its label [lb/gal]; it stays visible as claimed. Without one its make-up is
        not known.
    grade, waxed, alcohol
        As its label says, "" where it does not.
    supplier, batch, bought, price
        Of the liquid; the price is for all of it.
    purpose, tare_g, mouth_mm, note
        Of the jar.
    opening : bool
        Whether it was there already when the record began.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a name that is taken, a cut or a grade that cannot be.
    """
    from lacwright.shop.services.fills import Liquid, fill

    liquid = Liquid(amount, claimed_cut, grade, waxed, alcohol, supplier, batch, bought, price,
                    opening)  # fmt: skip
    request = {"jar": jar, **liquid.as_json(), "purpose": purpose, "tare_g": tare_g,
               "mouth_mm": mouth_mm, "note": note}  # fmt: skip

    def do(w: Writer) -> dict[str, Any]:
        row = _new_jar(jar, purpose, tare_g, mouth_mm, note)
        fill(w, row, liquid)
        told = after(row, w)
        return {**told, "says": [*told["says"], *large([amount])]}

    return write("fill_jar", request, entry, do)


def pour(
    *, jar: str, to_kind: str, to_name: str = "", amount: Amount | None, in_spite: str = "",
    entry: Entry,
) -> Answer:  # fmt: skip
    """Write down that something of a jar went into another, a pad or brush, or the waste.

    Parameters
    ----------
    jar : str
        From where.
    to_kind : str
        "jar", "applicator" or "waste".
    to_name : str
        Which jar, pad or brush.
    amount : Amount or None
        By weight or volume, ALL, or None = not said.
    in_spite : str
        Why it went into a jar that had failed its test.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown jar, or one that failed its test and is not poured away; for one poured
        into that failed its test.
    """

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Jar, jar, "jar")
        facts = {"to_kind": to_kind, "to_name": to_name, "amount": amount,
                 "in_spite": in_spite.strip()}  # fmt: skip
        body = bodies.pour(row, facts, at_us=w.at_us)
        made = write_body(w, "pour", body)
        told, lacking = after(row, w), short(made)
        poured = added(made, body.facts["to"])
        odd = [*large([amount]),
               *beyond_the_book(poured["g"], sum(lacking.values()), f"jar {row.key}")]  # fmt: skip
        return {**told, "to": body.facts["to"], "poured": poured, "short": lacking,
                "says": [*told["says"], *odd]}  # fmt: skip

    request = {"jar": jar, "to_kind": to_kind, "to_name": to_name, "amount": amount,
               "in_spite": in_spite}  # fmt: skip
    return write("pour", request, entry, do)


def add_to_jar(
    *, jar: str, takes: Sequence[Take], why: str = "", in_spite: str = "", entry: Entry
) -> Answer:  # fmt: skip
    """Write down that something was added to a jar.

    Parameters
    ----------
    jar : str
        The jar.
    takes : sequence of Take
        What went in; flakes by weight.
    why : str
        "thin", "strengthen", "correct", "top-up", "give-back" or "".
    in_spite : str
        Why it went in though the jar had failed its test.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        As for `mix_jar`; for a jar that was washed out, or failed its test.
    """
    said = [t.as_json() for t in takes]

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Jar, jar, "jar")
        body = bodies.add(
            row,
            {"takes": said, "why": why, "to_cut": None, "in_spite": in_spite.strip()},
            at_us=w.at_us,
        )
        made = write_body(w, "add", body)
        return _with_remarks(after(row, w, takes=body.facts["takes"]), row, made)

    return write("add_to_jar", {"jar": jar, "takes": said, "why": why, "in_spite": in_spite},
                 entry, do)  # fmt: skip


def correct_jar(
    *, jar: str, to_cut: float, lot: str, in_spite: str = "", entry: Entry
) -> Answer:  # fmt: skip
    """Bring what is left in a jar to a cut with alcohol or flakes of a lot; write that down.

    Coats that were laid before are not touched.

    Parameters
    ----------
    jar : str
        The jar.
    to_cut : float
        The cut it should have [lb/gal].
    lot : str
        What is added: alcohol where the jar is too strong, flakes where it is too thin.
    in_spite : str
        Why it went in though the jar had failed its test.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        If its make-up is not known, the lot is of the wrong kind, or it has the cut already.
    """

    def do(w: Writer) -> dict[str, Any]:
        row, added_lot = names.find(Jar, jar, "jar"), names.find(Lot, lot, "lot")
        amount, change = to_cut_amount(row, to_cut=to_cut, lot=added_lot, at_us=w.at_us)
        why = "thin" if added_lot.kind == ALCOHOL else "strengthen"
        takes = [Take(LOT, added_lot.key, amount).as_json()]
        body = bodies.add(
            row,
            {"takes": takes, "why": "correct", "to_cut": to_cut, "in_spite": in_spite.strip()},
            at_us=w.at_us,
        )
        made = write_body(w, "add", body)
        told = {**after(row, w, takes=body.facts["takes"]), "how": why, **change}
        return _with_remarks(told, row, made)

    return write("correct_jar", {"jar": jar, "to_cut": to_cut, "lot": lot, "in_spite": in_spite},
                 entry, do)  # fmt: skip


def weigh_jar(
    *, jar: str, net_g: float | None = None, gross_g: float | None = None, gone: str = AIR,
    entry: Entry,
) -> Answer:  # fmt: skip
    """Write down what a jar weighs; the scale goes before the book.

    Parameters
    ----------
    jar : str
        The jar.
    net_g, gross_g : float
        Exactly one of them: the mix alone, or with the jar, whose tare must then be known [g].
    gone : str
        Where what is missing went: "air" (it stood open: solvent alone), "waste", "unaccounted".
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a weight below the tare, or a tare that is not known.
    """

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Jar, jar, "jar")
        bodies.not_washed_out(row, w.at_us)
        made = write_body(w, "weigh", bodies.weigh(row, {"net_g": net_g, "gross_g": gross_g,
                                                   "gone": gone}))  # fmt: skip
        return {**after(row, w), **lost(row, made, gone)}

    request = {"jar": jar, "net_g": net_g, "gross_g": gross_g, "gone": gone}
    return write("weigh_jar", request, entry, do)


def discard_jar(*, jar: str, entry: Entry) -> Answer:
    """Write down that a jar was emptied into the waste and washed out.

    Raises
    ------
    Refusal
        For an unknown jar, or one that was washed out already.
    """

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Jar, jar, "jar")
        bodies.not_washed_out(row, w.at_us)
        made = write_body(w, "discard", bodies.discard(row, {}))
        return {**after(row, w), "thrown_away": added(made, WASTE)}

    return write("discard_jar", {"jar": jar}, entry, do)


def describe_jar(*, jar: str, changes: Mapping[str, Any], entry: Entry) -> Answer:
    """Change what is known of a jar: purpose, tare_g, mouth_mm, note.

    Raises
    ------
    Refusal
        For an unknown jar or field, or if nothing changes.
    """

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Jar, jar, "jar")
        fields = ("purpose", "tare_g", "mouth_mm", "note")
        for name in changes:
            if name not in fields:
                raise Refusal(name, "it is not part of the description of a jar",
                              nearest(name, fields))  # fmt: skip
        _check_size(changes.get("tare_g"), changes.get("mouth_mm"))
        short_text(str(changes.get("purpose") or ""), "--purpose")
        made = describe(w, "jar", row, changes)
        return {**after(row, w), "was": made.body["was"], "now": made.body["now"]}

    return write("describe_jar", {"jar": jar, "changes": dict(changes)}, entry, do)


def _with_remarks(told: dict[str, Any], jar: Jar, made: Movement) -> dict[str, Any]:
    """Return an answer with what is odd about the lots that were taken of, and how much of them."""
    lacking = short(made)
    odd = of_takes(told["takes"], added(made, jar.place.key)["lots"], lacking)
    return {**told, "short": lacking, "says": [*told["says"], *odd, *early_lots(made)]}


def _new_jar(
    name: str, purpose: str, tare_g: float | None, mouth_mm: float | None, note: str
) -> Jar:  # fmt: skip
    key = names.new(Jar, name, "jar")
    _check_size(tare_g, mouth_mm)
    row = Jar(key=key, purpose=short_text(purpose, "--purpose"), tare_g=tare_g,
              mouth_mm=mouth_mm, note=note)  # fmt: skip
    row.place = names.new_place(Jar, key)
    row.save()
    return row


def _check_size(tare_g: float | None, mouth_mm: float | None) -> None:
    if tare_g is not None and not 0 < tare_g < 1e6:
        raise Refusal("--tare", f"{tare_g:g} g is no jar", "weigh it empty and write e.g. 210 g")
    if mouth_mm is not None and not 0 < mouth_mm < 2000:
        raise Refusal("--mouth", f"{mouth_mm:g} mm is no mouth of a jar", "write e.g. 60 mm")
