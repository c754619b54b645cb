"""Names of things in the record: reading a new one, finding one that is there."""

from __future__ import annotations

import re
import unicodedata
from typing import TypeVar

from django.db import connection

from lacwright.figures import Refusal, nearest
from lacwright.shop.asked import rows, things
from lacwright.shop.models import (
    KEY,
    Applicator,
    Customer,
    Described,
    Jar,
    Job,
    Lot,
    Movement,
    Piece,
    Place,
)

D = TypeVar("D", bound=Described)

WORDS: dict[type[Described], str] = {
    Lot: "lot", Jar: "jar", Applicator: "pad or brush", Piece: "piece", Job: "job",
    Customer: "customer",
}  # fmt: skip
PLACES: dict[type[Described], str] = {
    Lot: "store", Jar: "jar", Applicator: "applicator", Piece: "piece",
}  # fmt: skip
"""What the place of a thing is called: "jar:J7", "store:garnet-b12"."""


def read_name(text: str, where: str) -> str:
    """Return a name for something new, tidied.

    Raises
    ------
    Refusal
        For an empty or over-long name, or one with a colon or a control character.
    """
    plain = unicodedata.normalize("NFC", text)
    spaced = "".join(" " if unicodedata.category(c) == "Zs" else c for c in plain)
    name = re.sub(r" +", " ", spaced).strip(" ")
    mend = "write a short one, such as J7 or garnet-b12"
    if not name:
        raise Refusal(where, "the name is empty", mend)
    if len(name) > KEY:
        raise Refusal(where, f"the name has {len(name)} characters, {KEY} are the most", mend)
    if any(unicodedata.category(c)[0] == "C" or c in "\u2028\u2029" for c in name):
        raise Refusal(where, f"'{name}' holds a line break or another control character", mend)
    if ":" in name or "," in name:
        raise Refusal(where, f"'{name}' holds a colon or a comma", mend)
    return name


def find(table: type[D], name: str, where: str) -> D:
    """Return a thing of the record by its name.

    Raises
    ------
    Refusal
        If there is none, with the nearest; or if the movement that made it was taken back.
    """
    word = WORDS[table]
    key = unicodedata.normalize("NFC", name).strip()
    found = named(table, key)
    if found is None:
        names = list(table._default_manager.values_list("key", flat=True))
        raise Refusal(where, f"there is no {word} '{name}' in the record",
                      nearest(name, names) if names else f"there is no {word} yet")  # fmt: skip
    if is_gone(found):
        raise Refusal(where, f"{word} '{name}' was taken back",
                      f"undo that, or make a {word} of another name")  # fmt: skip
    return found


def named(table: type[D], key: str) -> D | None:
    """Return a thing by its name, taken back or not, with its place; None if there is none."""
    found = next(iter(things(table, "WHERE t.key IN ({})", [key])), None)
    if found is not None and table in PLACES:
        found.place = place_of(table, found.place_id, key)  # type: ignore[attr-defined]
    return found


def is_gone(thing: Described) -> bool:
    """Return whether the movement that made a thing was taken back."""
    return thing.opened_id is not None and any(rows(_GONE, [thing.opened_id]))


def new(table: type[D], name: str, where: str) -> str:
    """Return the tidied name of something new.

    Raises
    ------
    Refusal
        If the name is taken or cannot be one.
    """
    key = read_name(name, where)
    there = _alike(table, key)
    if there is not None:
        differs = "" if there == key else ", which differs by capital letters alone"
        raise Refusal(where, f"there is a {WORDS[table]} '{there}' already{differs}",
                      "use another; names are kept for ever")  # fmt: skip
    return key


def _alike(table: type[Described], key: str) -> str | None:
    """Return the name that is there already and is the same but for capital letters."""
    keys = table._default_manager.values_list("key", flat=True)
    same = keys.filter(key__iexact=key).first()
    if same is not None or key.isascii():
        return same
    # A database may fold the case of plain letters alone.
    return next((there for there in keys if there.casefold() == key.casefold()), None)


def place_key(table: type[Described], key: str) -> str:
    """Return the name of the place of a thing."""
    return f"{PLACES[table]}:{key}"


def place_of(table: type[Described], number: int, key: str) -> Place:
    """Return the place of a thing that is there; its name tells it, asking would bring the same."""
    told = [number, place_key(table, key), PLACES[table]]
    return Place.from_db(connection.alias, ["id", "key", "kind"], told)


def new_place(table: type[Described], key: str) -> Place:
    """Make the place of a new thing."""
    return Place.objects.create(key=place_key(table, key), kind=PLACES[table])


_GONE = "SELECT 1 FROM shop_event WHERE root_id IN ({}) AND void"


def movement_of(number: int, where: str) -> Movement:
    """Return a movement by its number.

    Raises
    ------
    Refusal
        If there is none.
    """
    found = Movement.objects.filter(id=number).first()
    if found is None:
        raise Refusal(where, f"there is no movement {number}",
                      "'lacwright record log' lists them")  # fmt: skip
    return found
