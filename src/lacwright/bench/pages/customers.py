"""Customers and what is theirs."""

from __future__ import annotations

from dataclasses import dataclass

from lacwright.bench.pages.where import Link, link
from lacwright.shop import names
from lacwright.shop.models import Customer
from lacwright.shop.queries.customers import Theirs, customers, theirs


@dataclass(frozen=True)
class CustomerPage:
    """One customer."""

    name: str
    contact: str
    note: str
    pieces: tuple[tuple[Link, str], ...]
    jobs: tuple[tuple[Link, str], ...]


def lines(text: str) -> list[Theirs]:
    """Return the customers whose name, contact or note holds all words of a text."""
    words = text.lower().split()
    return [one for one in customers()
            if all(w in f"{one.name} {one.contact} {one.note}".lower() for w in words)]  # fmt: skip


def customer_page(name: str) -> CustomerPage:
    """Return a customer with pieces and jobs.

    Raises
    ------
    Refusal
        If there is none of that name.
    """
    row = names.find(Customer, name, "customer")
    pieces, jobs = theirs(row)
    return CustomerPage(
        row.key, row.contact, row.note,
        tuple((link(p.kind, p.key), p.title) for p in pieces),
        tuple((link("job", j.key), j.title) for j in jobs),
    )  # fmt: skip
