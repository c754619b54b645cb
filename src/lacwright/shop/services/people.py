"""Customers: who a piece belongs to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.shop import names
from lacwright.shop.models import Customer
from lacwright.shop.services.amend import RECOMPOSE, Body, merged, write_body
from lacwright.shop.services.describing import describe
from lacwright.shop.writing import Answer, Entry, Writer, write

FIELDS = ("contact", "note")


def add_customer(*, name: str, contact: str = "", note: str = "", entry: Entry) -> Answer:
    """Write down a customer.

    Parameters
    ----------
    name : str
        What the record calls them from now on.
    contact, note : str
        Free text.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a name that is taken or cannot be one.
    """
    request = {"name": name, "contact": contact, "note": note}

    def do(w: Writer) -> dict[str, Any]:
        key = names.new(Customer, name, "NAME")
        row = Customer.objects.create(key=key, contact=contact.strip(), note=note.strip())
        row.opened = write_body(w, "open", Body({"customer": key}, facts={"table": "customer"}))
        row.save()
        return {"customer": key}

    return write("add_customer", request, entry, do)


def describe_customer(*, name: str, changes: Mapping[str, str], entry: Entry) -> Answer:
    """Change contact or note of a customer.

    Parameters
    ----------
    name : str
        The customer.
    changes : mapping
        contact, note.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown customer or field, or if nothing changes.
    """

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Customer, name, "NAME")
        for field in changes:
            if field not in FIELDS:
                raise Refusal(field, "it is not part of the description of a customer",
                              nearest(field, FIELDS))  # fmt: skip
        describe(w, "customer", row, {k: v.strip() for k, v in changes.items()})
        return {"customer": row.key}

    return write("describe_customer", {"name": name, "changes": dict(changes)}, entry, do)


def _reopen(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
    """Of something that was opened only the time can be corrected; the rest is described."""
    return Body(body["refs"], facts=merged(body, changes, ()))


RECOMPOSE["open"] = _reopen
