"""Correction, undo and late arrival by one mechanism: work out anew what follows, post differences.

A movement that is new, that stands in for another, or that lies in the past changes what stood in
some places from then on. Everything later that took from one of these places is derived again, in
the order of time, until nothing differs any more; the differences are posted under the new
movement, `about` the event they amend. What was posted before is never touched.
"""

from __future__ import annotations

import bisect
import contextlib
import heapq
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextvars import ContextVar
from typing import Any

from django.db import connection

from lacwright.shop.asked import chunks, rows, things
from lacwright.shop.facts import AllFacts
from lacwright.shop.ledger import Derived, derive, lots_of, places_of
from lacwright.shop.ledger.moves import OUTSIDE
from lacwright.shop.models import (
    Applicator,
    Customer,
    Event,
    Jar,
    Job,
    Lot,
    Movement,
    Piece,
)

VOID = "void"
READ_AHEAD = 200
"""Observations whose bodies are read in one query."""

Key = tuple[int, int]
"""The order of events: when it was done, then which was first written down."""

Lines = Mapping[tuple[str, str], int]
Edge = tuple[str, str, str | None, bool]
Counted = dict[tuple[str, str], int]

REFS: dict[str, Any] = {"job": Job, "piece": Piece, "jar": Jar, "lot": Lot,
                        "applicator": Applicator, "customer": Customer}  # fmt: skip


def replay(movement: Movement, *, rederive: Iterable[int] = ()) -> int:
    """Bring lines and indexes up to date with a movement that was just written.

    Parameters
    ----------
    movement : Movement
        The new version of its observation.
    rederive : iterable of int
        Roots of other observations that rest on something that changed.

    Returns
    -------
    int
        Events whose lines changed.
    """
    work = _Replay(movement, tuple(rederive))
    return work.index_alone() if _POSTPONED.get() else work.run()


@contextlib.contextmanager
def postponed() -> Iterator[None]:
    """Keep the index of events alone up to date: a big load derives everything at its end."""
    token = _POSTPONED.set(True)
    try:
        yield
    finally:
        _POSTPONED.reset(token)


_POSTPONED: ContextVar[bool] = ContextVar("postponed", default=False)


class _Names:
    """Numbers of places and lots by name, and back, looked up as they are met."""

    def __init__(self) -> None:
        self._place: dict[str, int] = {}
        self._place_key: dict[int, str] = {}
        self._lot: dict[str, int] = {}
        self._lot_key: dict[int, str] = {}
        self.lots: dict[str, Lot] = {}
        self.facts = AllFacts(self._lot_row)

    def places(self, keys: Iterable[str]) -> None:
        self._read_places("key", set(keys) - self._place.keys())

    def place_numbers(self, numbers: Iterable[int]) -> None:
        self._read_places("id", set(numbers) - self._place_key.keys())

    def _read_places(self, column: str, new: Collection[Any]) -> None:
        if not new:
            return
        with connection.cursor() as cursor:
            cursor.execute(_PLACES.format(column, _marks(new)), list(new))
            for number, key in cursor.fetchall():
                self._place[key], self._place_key[number] = number, key

    def lot_rows(self, *, keys: Iterable[str] = (), numbers: Iterable[int] = ()) -> None:
        keys, numbers = set(keys) - self.lots.keys(), set(numbers) - self._lot_key.keys()
        if not keys and not numbers:
            return
        column, wanted = ("key", keys) if keys else ("id", numbers)
        for lot in things(Lot, f"WHERE t.{column} IN ({{}})", wanted):
            self.lots[lot.key] = lot
            self._lot[lot.key], self._lot_key[lot.id] = lot.id, lot.key

    def _lot_row(self, key: str) -> Lot:
        self.lot_rows(keys=[key])
        return self.lots[key]

    def place(self, key: str) -> int:
        if key not in self._place:
            self.places([key])
        return self._place[key]

    def place_key(self, number: int) -> str:
        if number not in self._place_key:
            self.place_numbers([number])
        return self._place_key[number]

    def lot(self, key: str) -> int:
        if key not in self._lot:
            self.lot_rows(keys=[key])
        return self._lot[key]

    def lot_key(self, number: int) -> str:
        if number not in self._lot_key:
            self.lot_rows(numbers=[number])
        return self._lot_key[number]


class _Story:
    """What a place holds, event by event, read forward in time.

    Parameters
    ----------
    held : dict of lot to int
        What it held at the beginning.
    changes : dict of Key to dict
        What every event from then on did to it.
    """

    def __init__(self, held: dict[str, int], changes: dict[Key, dict[str, int]]) -> None:
        self.held = held
        self._changes = changes
        self._keys = sorted(changes)
        self._next = 0

    def go_to(self, key: Key) -> None:
        """Read all events before `key`."""
        while self._next < len(self._keys) and self._keys[self._next] < key:
            for lot, ug in self._changes[self._keys[self._next]].items():
                count(self.held, lot, ug)
            self._next += 1

    def tell(self, key: Key, changes: dict[str, int]) -> None:
        """Replace what an event did to the place; the event is not read yet."""
        if key not in self._changes:
            self._keys.insert(bisect.bisect_left(self._keys, key), key)
        self._changes[key] = changes


class _Replay:
    def __init__(self, movement: Movement, rederive: tuple[int, ...]) -> None:
        self.movement, self.rederive = movement, rederive
        self.root = movement.root_id or movement.id
        self.names = _Names()
        self.stories: dict[str, _Story] = {}
        # What was worked out anew, by place, for stories that are opened later.
        self.told: dict[str, dict[Key, dict[str, int]]] = defaultdict(dict)
        self.was: dict[str, dict[Key, dict[str, int]]] = defaultdict(dict)
        # By how much a place holds more now, and how much more ever came into it (which tells the
        # proportions of one that the book has as empty); and in how many lots that is not zero.
        self.delta: Counted = defaultdict(int)
        self.uneven: dict[str, int] = defaultdict(int)
        self.came: Counted = defaultdict(int)
        self.came_uneven: dict[str, int] = defaultdict(int)
        self.heap: list[Key] = []
        self.waiting: set[Key] = set()
        self.forced: set[Key] = set()
        # From which of the places that are followed an event took: it rests on nothing else that
        # can differ, so that its body is read only if one of them does.
        self.sources: dict[Key, set[str]] = defaultdict(set)
        self.followed: set[str] = set()
        self.posts: dict[int, dict[tuple[str, str], int]] = {}
        self.bodies: dict[int, Mapping[str, Any]] = {}

    def run(self) -> int:
        old = self._old()
        was = None if old is None or old.void else (old.at_us, self.root)
        now = None if self.movement.kind == VOID else (self.movement.at_us, self.root)
        # The index keeps the old version until all is worked out: it says where its lines stood.
        for key in {was, now} - {None}:
            self._push(key, forced=True)  # type: ignore[arg-type]
        for some in chunks(tuple(self.rederive)):
            for at_us, root in rows(_AGAIN, some):
                if root != self.root:
                    self._push((at_us, root), forced=True)
        edges = Derived().edges
        while self.heap:
            key = heapq.heappop(self.heap)
            if key[1] != self.root:
                self._work(key)
                continue
            # Taken back where it stood, worked out where it stands now.
            before = self._old_lines(self.root) if key == was else {}
            new = self._derive(self.movement.body, key) if key == now else Derived()
            edges = new.edges or edges
            self._change(key, before, new.lines)
        self._post()
        self._index(old, edges)
        return len(self.posts)

    def index_alone(self) -> int:
        """Leave lines and flows for later; see `postponed`."""
        self._index(self._old(), [])
        return 0

    def _old(self) -> Event | None:
        """Return the index as the version before left it."""
        if self.movement.root_id is None:
            return None
        return Event.objects.filter(root_id=self.root).first()

    # --- one event --------------------------------------------------------------------------

    def _work(self, key: Key) -> None:
        """Work out a later event anew if what it rests on differs."""
        if not self._may_differ(key):
            return
        body = self._body(key[1])
        poured = {m["from"] for m in body["moves"] if "from" in m}
        if (
            key in self.forced
            or any(self.uneven[place] for place in self.sources[key])
            or any(self.came_uneven[place] for place in poured)
        ):
            self._change(key, self._old_lines(key[1]), self._derive(body, key).lines)

    def _may_differ(self, key: Key) -> bool:
        return key in self.forced or any(
            self.uneven[place] or self.came_uneven[place] for place in self.sources[key]
        )

    def _change(self, key: Key, old: Lines, new: Lines) -> None:
        """Take over what an event does now in place of what it did."""
        change = {k: new.get(k, 0) - old.get(k, 0) for k in {*old, *new}}
        change = {k: ug for k, ug in change.items() if ug}
        if not change:
            return
        self._tell(key, old, new)
        post = self.posts.setdefault(key[1], {})
        touched = set()
        for (place, lot), ug in change.items():
            post[place, lot] = post.get((place, lot), 0) + ug
            if place not in OUTSIDE:
                now, was = new.get((place, lot), 0), old.get((place, lot), 0)
                _add(self.delta, self.uneven, place, lot, ug)
                if not place.startswith("store:"):  # of one lot there are no proportions
                    _add(self.came, self.came_uneven, place, lot, max(now, 0) - max(was, 0))
                touched.add(place)
        self._follow(touched - self.followed, key)

    def _follow(self, places: set[str], key: Key) -> None:
        """Queue everything that took from some places after `key`."""
        if not places:
            return
        self.followed |= places
        numbers = [self.names.place(place) for place in places]
        with connection.cursor() as cursor:
            cursor.execute(_LATER.format(_marks(numbers)), [*numbers, key[0]])
            later = cursor.fetchall()
        for at_us, root, place in later:
            if (at_us, root) > key and root != self.root:
                self.sources[at_us, root].add(self.names.place_key(place))
                self._push((at_us, root))

    def _push(self, key: Key, *, forced: bool = False) -> None:
        if forced:
            self.forced.add(key)
        if key not in self.waiting:
            self.waiting.add(key)
            heapq.heappush(self.heap, key)

    def _derive(self, body: Mapping[str, Any], key: Key) -> Derived:
        moves = body["moves"]
        if not moves:
            return Derived()
        self.names.places(places_of(moves))
        self.names.lot_rows(keys=lots_of(moves))
        return derive(moves, held=lambda p: self._held(p, key), came=lambda p: self._came(p, key),
                      facts=self.names.facts)  # fmt: skip

    def _tell(self, key: Key, old: Lines, new: Lines) -> None:
        by_place: dict[str, dict[str, int]] = defaultdict(dict)
        was: dict[str, dict[str, int]] = defaultdict(dict)
        for (place, lot), ug in old.items():
            was[place][lot] = ug
            by_place[place] = {}
        for (place, lot), ug in new.items():
            by_place[place][lot] = ug
        for place, changes in by_place.items():
            if place in OUTSIDE:
                continue
            self.told[place][key] = changes
            self.was[place][key] = was.get(place, {})
            if place in self.stories:
                self.stories[place].tell(key, changes)

    # --- reading ----------------------------------------------------------------------------

    def _held(self, place: str, key: Key) -> dict[str, int]:
        """Return what a place held just before `key`."""
        story = self.stories.get(place)
        if story is None:
            # What it holds now, less all that happened since: the past may be long.
            held = self._rows(_BALANCE, [self.names.place(place)]).get((0, 0), {})
            changes = self._rows(_SINCE, [self.names.place(place), key[0]])
            for change in changes.values():
                for lot, ug in change.items():
                    count(held, lot, -ug)
            told = {k: c for k, c in self.told[place].items() if k[0] >= key[0]}
            for k, change in self.told[place].items():
                if k not in told:
                    self._catch_up(held, place, k, change)
            story = self.stories[place] = _Story(held, {**changes, **told})
        story.go_to(key)
        return story.held

    def _catch_up(
        self, held: dict[str, int], place: str, key: Key, change: dict[str, int]
    ) -> None:  # fmt: skip
        """Bring what a place held up to date with an earlier event that was worked out anew."""
        for lot, ug in change.items():
            count(held, lot, ug)
        for lot, ug in self.was[place].get(key, {}).items():
            count(held, lot, -ug)

    def _came(self, place: str, key: Key) -> dict[str, int]:
        """Return all that came into a place before `key`."""
        changes = self._rows(_SINCE, [self.names.place(place), -(2**62)])
        changes.update(self.told[place])
        came: dict[str, int] = {}
        for other, change in changes.items():
            for lot, ug in change.items() if other < key else ():
                count(came, lot, max(ug, 0))
        return came

    def _rows(self, sql: str, values: list[Any]) -> dict[Key, dict[str, int]]:
        with connection.cursor() as cursor:
            cursor.execute(sql, values)
            rows = cursor.fetchall()
        self.names.lot_rows(numbers={row[2] for row in rows})
        out: dict[Key, dict[str, int]] = defaultdict(dict)
        for at_us, root, lot, ug in rows:
            count(out[at_us, root], self.names.lot_key(lot), int(ug))
        return dict(out)

    def _old_lines(self, root: int) -> dict[tuple[str, str], int]:
        with connection.cursor() as cursor:
            cursor.execute(_LINES, [root])
            rows = cursor.fetchall()
        self.names.place_numbers({row[0] for row in rows})
        self.names.lot_rows(numbers={row[1] for row in rows})
        return {(self.names.place_key(p), self.names.lot_key(lot)): int(ug) for p, lot, ug in rows}

    def _body(self, root: int) -> Mapping[str, Any]:
        if root not in self.bodies:
            # With those that are likely to be asked for next: a query each would take longest.
            near = [key[1] for key in self.heap[:READ_AHEAD]
                    if key[1] not in self.bodies and self._may_differ(key)]  # fmt: skip
            rows = Event.objects.filter(root_id__in=[root, *near])
            self.bodies.update(rows.values_list("root_id", "movement__body"))
        return self.bodies.pop(root)

    # --- writing ----------------------------------------------------------------------------

    def _post(self) -> None:
        lines, balance = [], defaultdict[tuple[int, int], int](int)
        for root, post in self.posts.items():
            for (place, lot), ug in sorted(post.items()):
                if ug:
                    where = (self.names.place(place), self.names.lot(lot))
                    lines.append((self.movement.id, root, *where, ug))
                    balance[where] += ug
        changed = [(*where, ug) for where, ug in balance.items() if ug]
        with connection.cursor() as cursor:
            cursor.executemany(ADD_LINE, lines)
            cursor.executemany(_ADD, changed)
            places = sorted({place for place, _, _ in changed})
            if places:
                cursor.execute(_TIDY.format(_marks(places)), places)

    def _index(self, old: Event | None, edges: list[Edge]) -> None:
        movement = self.movement
        if movement.kind == VOID:
            assert old is not None  # only what counts can be taken back
            old.movement, old.void = movement, True
            old.save()
            old.flows.all().delete()
            return
        event = index_of(movement)
        event.save(force_insert=old is None)
        if old is not None:
            old.flows.all().delete()
        names = self.names
        with connection.cursor() as cursor:
            cursor.executemany(ADD_FLOW, [
                (event.root_id, event.at_us, n, names.place(source), names.place(to),
                 names.lot(lot) if lot else None, washed)
                for n, (source, to, lot, washed) in enumerate(edges)
            ])  # fmt: skip


def _add(delta: Counted, uneven: dict[str, int], place: str, lot: str, ug: int) -> None:
    was = delta[place, lot]
    delta[place, lot] = was + ug
    uneven[place] += bool(was + ug) - bool(was)


def index_of(movement: Movement) -> Event:
    """Return the row of the index of events for a movement that is not a void."""
    refs = [(word, movement.body["refs"][word]) for word in REFS if word in movement.body["refs"]]
    found: dict[str, int] = {}
    if refs:
        sql = " UNION ALL ".join(_REF.format(word, REFS[word]._meta.db_table) for word, _ in refs)
        with connection.cursor() as cursor:
            cursor.execute(sql, [key for _, key in refs])
            found = {f"{word}_id": number for word, number in cursor.fetchall()}
        missing = [key for word, key in refs if f"{word}_id" not in found]
        if missing:
            raise LookupError(f"the record has no {', '.join(missing)}")  # a fault of the program
    return Event(root_id=movement.root_id or movement.id, movement=movement,
                 at_us=movement.at_us, kind=movement.kind, void=False, **found)  # fmt: skip


def count(to: dict[str, int], lot: str, ug: int) -> None:
    """Add to the amount of a lot; nothing is kept of what has become nothing."""
    now = to.get(lot, 0) + ug
    if now:
        to[lot] = now
    else:
        to.pop(lot, None)


def _marks(values: Collection[Any]) -> str:
    return ", ".join(["%s"] * len(values))


ADD_LINE = """
INSERT INTO shop_line (movement_id, about_id, place_id, lot_id, ug) VALUES (%s, %s, %s, %s, %s)
"""

ADD_FLOW = """
INSERT INTO shop_flow (event_id, at_us, step, source_id, to_id, lot_id, washed)
VALUES (%s, %s, %s, %s, %s, %s, %s)
"""

_AGAIN = "SELECT at_us, root_id FROM shop_event WHERE root_id IN ({}) AND NOT void"

_REF = "SELECT '{0}', id FROM {1} WHERE key = %s"
_PLACES = "SELECT id, key FROM shop_place WHERE {} IN ({})"

_SINCE = """
SELECT e.at_us, e.root_id, l.lot_id, l.ug
FROM shop_line l JOIN shop_event e ON e.root_id = l.about_id
WHERE l.place_id = %s AND e.at_us >= %s
"""

_BALANCE = "SELECT 0, 0, lot_id, ug FROM shop_balance WHERE place_id = %s"

_LATER = """
SELECT DISTINCT at_us, event_id, source_id FROM shop_flow WHERE source_id IN ({}) AND at_us >= %s
"""

_ADD = """
INSERT INTO shop_balance (place_id, lot_id, ug) VALUES (%s, %s, %s)
ON CONFLICT (place_id, lot_id) DO UPDATE SET ug = shop_balance.ug + excluded.ug
"""

_TIDY = "DELETE FROM shop_balance WHERE ug = 0 AND place_id IN ({})"

_LINES = """
SELECT place_id, lot_id, SUM(ug) FROM shop_line WHERE about_id = %s
GROUP BY place_id, lot_id HAVING SUM(ug) <> 0
"""
