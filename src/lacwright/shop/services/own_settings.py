"""Own figures that the maker sets himself: they go before what his coats say."""

from __future__ import annotations

from typing import Any

from lacwright.figures import Figure, Refusal
from lacwright.files.own import example, own_keys, read_own
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
    found = read_figures(name, value)

    def do(w: Writer) -> dict[str, Any]:
        for key, figure in found.items():
            set_setting(w, OWN + key, {"value": figure.number(), "unit": figure.unit,
                                       "said": str(value)})  # fmt: skip
        return {"own_figures": [{"name": key, "value": figure.number(), "unit": figure.unit}
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
        raise _placed(wrong[0], name, value)
    found = {key: figure for key, figure in hand.own.items() if isinstance(figure, Figure)}
    if not found:
        raise Refusal("NAME", f"'{name}' is not kept in the record",
                      "write it into the piece file or a hand file")  # fmt: skip
    return found


def _placed(refusal: Refusal, name: str, value: str | float | bool) -> Refusal:
    """Return a refusal at NAME or VALUE; of a number that cannot be, with what it may be."""
    if "is called" in refusal.what:
        return refusal.at("NAME")
    text = str(value).strip().lower()
    key = next((k for k in own_keys() if k.name.partition("<")[0] in (name, _family(name))), None)
    if key is None or not (text.startswith("-") or text.lstrip("+") in _ENDLESS):
        return refusal.at("VALUE")
    what = f"'{value}' is below zero" if text.startswith("-") and text.lstrip("-") not in _ENDLESS \
        else f"'{value}' is no number"  # fmt: skip
    return Refusal("VALUE", what, f"write {_RANGE.get(key.kind, 'zero or more')}, "
                   f"e.g. {_ONE.get(key.kind) or example(key)}")  # fmt: skip


def _family(name: str) -> str:
    """Return "spread." of "spread.brush"."""
    return f"{name.partition('.')[0]}."


_ONE = {"spreads": '"85 ml/m2"'}
"""Of a figure that a hand file may give coat by coat: one is kept in the record."""
_ENDLESS = ("nan", "inf", "infinity")
_RANGE = {"share": "0 to 100 %"} | dict.fromkeys(
    ("ratio", "cut", "spreads", "density", "constant"), "more than zero"
)  # fmt: skip
"""What a figure of a kind may be, where nothing at all is too little or there is a most."""
