"""Own figures that the maker set, in the words in which they were typed."""

from __future__ import annotations

from lacwright.shop.models import Setting
from lacwright.shop.queries.preferences import OWN


def own_said() -> dict[str, str]:
    """Return what was typed for every figure that is set, by its name."""
    rows = Setting.objects.filter(key__startswith=OWN)
    return {row.key.removeprefix(OWN): str(row.value.get("said", "")) for row in rows}
