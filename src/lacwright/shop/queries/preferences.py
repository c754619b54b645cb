"""Settings of the shop: its time zone, its currency, the maker's own limits."""

from __future__ import annotations

import datetime as dt
from typing import Any

from lacwright.figures import Figure, given
from lacwright.shop import clock
from lacwright.shop.asked import things
from lacwright.shop.models import Setting

OWN = "own."
"""Settings of this beginning are own figures: {"value": 0.33, "unit": "h", "said": "20 min"}."""


def zone() -> dt.tzinfo:
    """Return the time zone of the shop."""
    return clock.read_zone(str(things(Setting, _OF, ["zone"])[0].value))


def currency() -> str:
    """Return how the shop writes its prices, "" where nobody said."""
    return next((str(row.value) for row in things(Setting, _OF, ["currency"])), "")


def own_given() -> dict[str, Figure]:
    """Return the own figures that the maker gave, by name."""
    rows = Setting.objects.filter(key__startswith=OWN)
    return {row.key.removeprefix(OWN): _figure(row.value) for row in rows}


_OF = "WHERE t.key IN ({})"


def _figure(value: dict[str, Any]) -> Figure:
    return given(float(value["value"]), str(value["unit"]), "given in the record")
