"""Customers in a list, and what is theirs."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Q

from lacwright.shop.models import Customer, Job, Piece


@dataclass(frozen=True)
class Theirs:
    """A customer, and how many pieces are theirs."""

    name: str
    contact: str
    note: str
    pieces: int


def customers() -> list[Theirs]:
    """Return every customer by name, in one query."""
    rows = Customer.objects.exclude(opened__event__void=True).annotate(
        n=Count("pieces", filter=~Q(pieces__opened__event__void=True))
    )
    return [Theirs(*row) for row in rows.order_by("key").values_list("key", "contact", "note", "n")]


def theirs(customer: Customer) -> tuple[list[Piece], list[Job]]:
    """Return the pieces of a customer and the jobs on them, the newest first."""
    pieces = Piece.objects.filter(customer=customer).exclude(opened__event__void=True)
    jobs = Job.objects.filter(piece__customer=customer).exclude(opened__event__void=True)
    return list(pieces.order_by("-id")), list(jobs.order_by("-id"))
