"""A page of the list of pieces, in a fixed number of queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from lacwright.shop.models import Event, Job, Piece
from lacwright.shop.queries.progress import COAT


@dataclass(frozen=True)
class PieceLine:
    """A piece or panel in a list.

    Parameters
    ----------
    key, title, wood : str
        Its name, what it is, of which wood.
    customer : str or None
        Whose it is.
    area_m2 : float or None
        Finished area, None where it is not known.
    coats : int
        Coats and sessions on it.
    jobs : tuple of str
        Its jobs, the newest first.
    """

    key: str
    title: str
    wood: str
    customer: str | None
    area_m2: float | None
    coats: int
    jobs: tuple[str, ...]


def piece_page(
    *, kind: str = "piece", words: str = "", first: int = 0, length: int = 30
) -> tuple[list[PieceLine], int]:
    """Return some pieces or panels, the newest first, and how many there are.

    Parameters
    ----------
    kind : str
        "piece" or "panel".
    words : str
        What name, title, wood or customer must hold, word by word.
    first, length : int
        Which of them.
    """
    rows = _rows(kind, words)
    total = rows.count()
    found = list(rows.select_related("customer").order_by("-id")[first : first + length])
    ids = [row.id for row in found]
    # Asked for by piece alone: with the kind the database would walk all coats there are.
    kinds = Event.objects.filter(piece__in=ids, void=False).values_list("piece", "kind")
    coats = Counter(piece for piece, kind_of in kinds if kind_of == COAT)
    jobs: dict[int, list[str]] = defaultdict(list)
    for piece, key in (
        Job.objects.filter(piece__in=ids, opened__event__void=False)
        .order_by("-id")
        .values_list("piece", "key")
    ):
        jobs[piece].append(key)
    return [
        PieceLine(row.key, row.title, row.wood,
                  None if row.customer is None else row.customer.key,
                  sum(row.areas_m2.values()) if row.areas_m2 else None, coats[row.id],
                  tuple(jobs[row.id]))
        for row in found
    ], total  # fmt: skip


def _rows(kind: str, words: str) -> QuerySet[Piece]:
    rows = Piece.objects.filter(kind=kind, opened__event__void=False)
    for word in words.split():
        rows = rows.filter(
            Q(key__icontains=word) | Q(title__icontains=word) | Q(wood__icontains=word)
            | Q(customer__key__icontains=word)
        )  # fmt: skip
    return rows
