"""Which things of the record have a name; whether a piece is a panel."""

from __future__ import annotations

from collections.abc import Iterable

from lacwright.shop.models import Applicator, Customer, Described, Jar, Job, Lot, Piece

TABLES: dict[str, type[Described]] = {
    "jar": Jar, "lot": Lot, "job": Job, "piece": Piece, "applicator": Applicator,
    "customer": Customer,
}  # fmt: skip


def named(name: str) -> list[tuple[str, Described]]:
    """Return everything of exactly this name, with the word for what it is."""
    found = ((word, t._default_manager.filter(key=name).first()) for word, t in TABLES.items())
    return [(word, thing) for word, thing in found if thing is not None]


def panels_among(names: Iterable[str]) -> set[str]:
    """Return which of some pieces are panels."""
    rows = Piece.objects.filter(key__in=list(names), kind="panel")
    return set(rows.values_list("key", flat=True))
