"""Readings of air and board, page by page, by place or job."""

from __future__ import annotations

from django.db.models import Q

from lacwright.shop.models import Event
from lacwright.shop.queries.readings import KIND, Reading


def reading_page(*, text: str = "", first: int = 0, many: int = 30) -> tuple[list[Reading], int]:
    """Return some readings, the newest first, and how many there are.

    Parameters
    ----------
    text : str
        Place or job whose name holds this.
    first, many : int
        How many are passed over, how many come.
    """
    rows = Event.objects.filter(kind=KIND, void=False)
    if text:
        rows = rows.filter(Q(movement__body__where__icontains=text) | Q(job__key__icontains=text))
    found = rows.order_by("-at_us", "-root").values_list(
        "root_id", "at_us", "movement__body", "job__key"
    )
    out = [
        Reading(root, at_us, body["temp_c"], body["rh"], body["board_mc"], body["board_temp_c"],
                body["where"], job)
        for root, at_us, body, job in found[first : first + many]
    ]  # fmt: skip
    return out, rows.count()
