"""Settings of the shop that a person changes: its time zone, its currency."""

from __future__ import annotations

from typing import Any

from lacwright.figures import Refusal
from lacwright.shop import clock
from lacwright.shop.services.describing import set_setting
from lacwright.shop.writing import Answer, Entry, Writer, write

LONGEST_CURRENCY = 8


def set_zone(*, name: str, entry: Entry) -> Answer:
    """Change the time zone in which the shop tells its hours; what was recorded stays as it is.

    Parameters
    ----------
    name : str
        Such as "Europe/Vienna".
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown zone, or if nothing changes.
    """

    def do(w: Writer) -> dict[str, Any]:
        clock.read_zone(name.strip(), "--zone")
        set_setting(w, "zone", name.strip())
        return {"zone": name.strip()}

    return write("set_zone", {"name": name}, entry, do)


def set_currency(*, text: str, entry: Entry) -> Answer:
    """Change how prices are written, "" for no currency; amounts stay as they are.

    Parameters
    ----------
    text : str
        Such as "EUR".
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a text that is no currency, or if nothing changes.
    """

    def do(w: Writer) -> dict[str, Any]:
        found = text.strip()
        if len(found) > LONGEST_CURRENCY or any(c.isdigit() or not c.isprintable() for c in found):
            raise Refusal("--currency", f"'{text}' is no currency", "write e.g. EUR")
        set_setting(w, "currency", found)
        return {"currency": found}

    return write("set_currency", {"text": text}, entry, do)
