"""What an own figure is called where people read it: in words of the trade, not by its key."""

from __future__ import annotations

import re
from functools import cache

from lacwright.drying.hand import ROWS
from lacwright.files.own import OwnKey, own_keys
from lacwright.shop.queries.own_seen import (
    DEPOSIT,
    EVAPORATION,
    FILM,
    HOURS,
    LEFT_IN,
    LOST,
    SPREAD,
)
from lacwright.trade import table

LEARNED_WORDS = {
    SPREAD: "mix that leaves the jar for each m2 and coat, from the second coat on",
    LOST: "share of the resin taken that stays in pad or brush",
    LEFT_IN: "mix that a new pad or brush keeps",
    DEPOSIT: "resin that lies on each m2 after one coat, at the cuts you used",
    FILM: "dry film of one coat on sealed wood, at the cuts you used",
    HOURS: "working time for each m2 and coat",
    EVAPORATION: "alcohol lost from an open jar, for each m2 of its mouth",
}
"""What coats teach, by family."""


def called(name: str) -> str:
    """Return what a figure is in a few words: "mix that a new pad or brush keeps (wipe)".

    Parameters
    ----------
    name : str
        As the tables call it, such as "spread.brush"; one that they do not have comes back as it
        is.
    """
    name, coat = _without_coat(name)
    family, _, of = name.partition(".")
    if name in table("practice"):
        words, of = table("practice")[name].text("words"), ""
    elif name in LEARNED_WORDS or (family in LEARNED_WORDS and of in table("methods")):
        words = LEARNED_WORDS[name if name in LEARNED_WORDS else family]
    elif name in keys_by_name():
        words, of = keys_by_name()[name].words, inserted(name)
    else:
        return name
    told = re.split("[,;:]" if name in ROWS else "[,;]", words)[0]
    more = ", ".join(filter(None, (of.replace("-", " "), coat)))
    return f"{told} ({more})" if more else told


def is_share(name: str) -> bool:
    """Return whether a figure is a share, which is read in percent."""
    name, _ = _without_coat(name)
    key = keys_by_name().get(name)
    return name.partition(".")[0] == LOST if key is None else key.kind == "share"


@cache
def keys_by_name() -> dict[str, OwnKey]:
    """Return every name that can be set, the words of <...> put in, with its row."""
    return {name: key for key in own_keys() for name in key.filled()}


@cache
def all_words() -> dict[str, str]:
    """Return every name that can be set, in words."""
    out = {}
    for name, key in keys_by_name().items():
        of, words = inserted(name).replace("-", " "), key.words.partition(";")[0]
        out[name] = f"{words} ({of})" if of else words
    return out


def inserted(name: str) -> str:
    """Return what stands for <...> in a name: "brush" of "spread.brush"; "" where nothing does."""
    return keys_by_name()[name].inserted(name)


def _without_coat(name: str) -> tuple[str, str]:
    """Return a name without the number of a coat, and the coat: "spread.brush.2" is of coat 2."""
    found = re.fullmatch(r"(.+)\.(\d+)", name)
    return (name, "") if found is None else (found[1], f"coat {found[2]}")
