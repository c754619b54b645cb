"""Customers and what is theirs."""

from __future__ import annotations

from typing import Any

from lacwright.shop.models import Customer, Piece


def customer_lines() -> list[dict[str, Any]]:
    """Return every customer with their pieces, by name, in two queries."""
    theirs: dict[int, list[str]] = {}
    pieces = Piece.objects.filter(customer__isnull=False, opened__event__void=False)
    for customer, key in pieces.order_by("key").values_list("customer", "key"):
        assert customer is not None
        theirs.setdefault(customer, []).append(key)
    rows = Customer.objects.filter(opened__event__void=False).order_by("key")
    return [
        {"customer": row.key, "contact": row.contact, "note": row.note,
         "pieces": theirs.get(row.id, [])}
        for row in rows
    ]  # fmt: skip
