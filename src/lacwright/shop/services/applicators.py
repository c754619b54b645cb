"""Pads and brushes: what goes through one can carry on until it is washed out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.shop import names
from lacwright.shop.ledger import WASTE, clear
from lacwright.shop.models import Applicator
from lacwright.shop.queries.carriers import applicator_line
from lacwright.shop.services.amend import RECOMPOSE, Body, merged, write_body
from lacwright.shop.services.jar_answers import added
from lacwright.shop.writing import Answer, Entry, Writer, write

KINDS = ("pad", "brush", "rag", "gun", "other")


def add_applicator(*, name: str, kind: str, note: str = "", entry: Entry) -> Answer:
    """Write down a pad or brush, clean as it is.

    Parameters
    ----------
    name : str
        What it is called.
    kind : str
        "pad", "brush", "rag", "gun" or "other".
    note : str
        In his own words.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a name that is taken or an unknown kind.
    """

    def do(w: Writer) -> dict[str, Any]:
        if kind not in KINDS:
            raise Refusal("--kind", f"'{kind}' is neither pad nor brush", nearest(kind, KINDS))
        key = names.new(Applicator, name, "name")
        row = Applicator(key=key, kind=kind, note=note)
        row.place = names.new_place(Applicator, key)
        row.save()
        row.opened = write_body(w, "open", Body({"applicator": key}, (), {"kind": kind}))
        row.save()
        return {"applicator": applicator_line(row).as_json()}

    return write("add_applicator", {"name": name, "kind": kind, "note": note}, entry, do)


def wash_applicator(*, name: str, entry: Entry) -> Answer:
    """Write down that a pad or brush was washed out: from then on it carries nothing on.

    Raises
    ------
    Refusal
        For an unknown one.
    """

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Applicator, name, "name")
        made = write_body(w, "wash", _wash(row))
        return {"applicator": applicator_line(row).as_json(), "washed_out": added(made, WASTE)}

    return write("wash_applicator", {"name": name}, entry, do)


def _wash(row: Applicator) -> Body:
    return Body({"applicator": row.key}, (clear(place=row.place.key),))


def _wash_again(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
    merged(body, changes, ())
    return _wash(Applicator.objects.select_related("place").get(key=body["refs"]["applicator"]))


RECOMPOSE["wash"] = _wash_again
