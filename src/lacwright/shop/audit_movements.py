"""The movements: their seals, their versions, what is described, the index of events."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

from lacwright.shop import seals
from lacwright.shop.findings import Ask, Collector
from lacwright.shop.names import PLACES
from lacwright.shop.replay import REFS, VOID


@dataclass(slots=True)
class Version:
    """The version of an observation that counts.

    Parameters
    ----------
    last : int
        Number of the last movement.
    said : int
        Number of the last movement that is not a void.
    kind : str
        Of that.
    at_us : int
        When that was done.
    """

    last: int
    said: int
    kind: str
    at_us: int

    @property
    def void(self) -> bool:
        """Whether it was taken back."""
        return self.last != self.said


def check_movements(ask: Ask, found: Collector) -> dict[int, Version]:
    """Check seals, versions and requests; return the version of every observation that counts."""
    before = ""
    versions: dict[int, Version] = {}
    for number, *told, body, seal in ask(seals.ROWS):
        try:
            fits = seals.fits(told, body, before, seal)
        except (ValueError, TypeError, AttributeError, RecursionError):
            fits = False
        if not fits:
            found.add("seal", f"movement {number}")
        before = seal
        kind, at_us, root = told[1], told[2], told[6]
        was = None if root is None else versions.get(root)
        if root is None and kind != VOID:
            versions[number] = Version(number, number, kind, at_us)
        elif was is None:
            found.add("version", f"movement {number}")
        elif kind == VOID:
            was.last = number
        else:
            versions[root] = Version(number, number, kind, at_us)
    for (token,) in ask(_REQUESTS):
        found.add("request", f"token {token}")
    return versions


def check_index(ask: Ask, found: Collector, versions: dict[int, Version]) -> None:
    """Check the index of events against the movements, but for what they refer to.

    `audit_events` checks that, of all that were not taken back.
    """
    index = {row[0]: row for row in ask(_EVENTS)}
    voids = {}
    for root, version in versions.items():
        row = index.pop(root, None)
        right = (version.last, version.at_us, version.kind, version.void)
        if row is None or (*row[1:4], bool(row[4])) != right:
            found.add("event", f"movement {root}")
        elif version.void:
            voids[root] = version
    for root in index:
        found.add("event", f"movement {root}, which is no first version")
    if not voids:
        return
    refs = Refs(ask, found)
    for root, *kept in ask(_VOID_REFS):
        if root in voids:
            (text,) = ask(f"SELECT body FROM shop_movement WHERE id = {voids[root].said}")[0]
            refs.check(root, json.loads(text)["refs"], tuple(kept))


def check_things(ask: Ask, found: Collector) -> None:
    """Check that everything described has its own place."""
    for word, table in REFS.items():
        for key, place, kind in ask(_PLACES.format(word)) if table in PLACES else ():
            if (place, kind) != (f"{PLACES[table]}:{key}", PLACES[table]):
                found.add("place", f"{word} {key} is at '{place}'")


class Refs:
    """What events refer to: the names in their bodies against the numbers in the index."""

    def __init__(self, ask: Ask, found: Collector) -> None:
        self._found = found
        self._numbers = {word: dict(ask(f"SELECT key, id FROM shop_{word}")) for word in REFS}
        self._names = {word: {number: key for key, number in numbers.items()}
                       for word, numbers in self._numbers.items()}  # fmt: skip
        self._seen: dict[tuple[int | None, ...], dict[str, str]] = {}

    def check(self, root: int, refs: Mapping[str, str], kept: tuple[int | None, ...]) -> None:
        """Check an event: the names in its body, the numbers in its `REF_COLUMNS`."""
        named = self._seen.get(kept)
        if named is None:
            pairs = zip(self._names.items(), kept, strict=True)
            named = self._seen[kept] = {word: names.get(number, "") for (word, names), number
                                        in pairs if number is not None}  # fmt: skip
        if refs == named:
            return
        right = {word: name for word, name in refs.items() if word in REFS}
        missing = [f"{word} '{name}'" for word, name in right.items()
                   if name not in self._numbers[word]]  # fmt: skip
        if missing:
            self._found.add("name", f"movement {root} names {', '.join(missing)}")
        elif right != named:
            self._found.add("event", f"movement {root}")


REF_COLUMNS = ", ".join(f"e.{word}_id" for word in REFS)

_EVENTS = "SELECT root_id, movement_id, at_us, kind, void FROM shop_event"

_VOID_REFS = f"SELECT e.root_id, {REF_COLUMNS} FROM shop_event e WHERE e.void"

_REQUESTS = """
SELECT r.token FROM shop_request r JOIN shop_movement m ON m.id = r.movement_id
WHERE m.token <> r.token
"""

_PLACES = """
SELECT t.key, p.key, p.kind FROM shop_{0} t JOIN shop_place p ON p.id = t.place_id
"""
