"""Own figures that the maker sets himself: they go before what his coats say."""

from __future__ import annotations

from typing import Any

from lacwright.figures import Figure, Refusal
from lacwright.files.own import read_own
from lacwright.shop.models import Setting
from lacwright.shop.queries.preferences import OWN
from lacwright.shop.services.describing import set_setting
from lacwright.shop.writing import Answer, Entry, Writer, write


def set_own(*, name: str, value: str | float | bool, entry: Entry) -> Answer:
    """Set an own figure.

    Parameters
    ----------
    name : str
        As in the [hand] table of a piece file: "spread.brush", "wait.pad".
    value : str, float or bool
        As it is written there: "85 ml/m2", 2, true.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a name that nobody reads, or a value that is none.
    """

    def do(w: Writer) -> dict[str, Any]:
        found = read_figures(name, value)
        for key, figure in found.items():
            set_setting(w, OWN + key, {"value": figure.number(), "unit": figure.unit,
                                       "said": str(value)})  # fmt: skip
        return {"figures": [{"name": key, "value": figure.number(), "unit": figure.unit}
                            for key, figure in found.items()]}  # fmt: skip

    return write("set_own", {"name": name, "value": value}, entry, do)


def unset_own(*, name: str, entry: Entry) -> Answer:
    """Take an own figure that was set away: what the coats say, or the usual one, holds again.

    Raises
    ------
    Refusal
        If it was not set.
    """

    def do(w: Writer) -> dict[str, Any]:
        if not Setting.objects.filter(key=OWN + name).exists():
            raise Refusal("NAME", f"you did not set '{name}'", "'lacwright own-figures' lists them")
        set_setting(w, OWN + name, None)
        return {"name": name}

    return write("unset_own", {"name": name}, entry, do)


def read_figures(name: str, value: str | float | bool) -> dict[str, Figure]:
    """Return the figures that a name and a value mean.

    Raises
    ------
    Refusal
        As `set_own`.
    """
    hand, wrong = read_own({name: value}, "record")
    if wrong:
        at = "NAME" if "is called" in wrong[0].what else "VALUE"
        raise wrong[0].at(at)
    found = {key: figure for key, figure in hand.own.items() if isinstance(figure, Figure)}
    if not found:
        raise Refusal("NAME", f"'{name}' is not kept in the record",
                      "write it into the piece file or a hand file")  # fmt: skip
    return found
