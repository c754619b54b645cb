"""Whether something can have been done when it is said to have been: a jar has a first and a last.

Nothing is in a jar before it was mixed or filled, nor after it was washed out. What would be taken
from it then has no make-up, and would be on no list of a recall.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.db.models import Q

from lacwright.figures import Refusal
from lacwright.shop import clock
from lacwright.shop.asked import rows, things
from lacwright.shop.ledger import Move, places_of
from lacwright.shop.models import Event, Flow, Jar
from lacwright.shop.names import place_key
from lacwright.shop.queries.preferences import zone

Key = tuple[int, int]
DISCARD, TEST = "discard", "test"
_LAST = 2**62
_MADE = {"mix": "mixed", "fill": "filled"}


def refuse_out_of_time(
    *, kind: str, refs: Mapping[str, str], moves: Iterable[Move], at_us: int, root: int | None
) -> None:
    """Refuse what cannot have been done at its moment.

    Parameters
    ----------
    kind : str
        Of the observation.
    refs, moves
        Of its body.
    at_us : int
        When it was done.
    root : int or None
        The first version of the observation, None if it is new.

    Raises
    ------
    Refusal
        If a jar was not made yet, or was washed out; if it is used before the moment at which it
        is said to have been made, or after the one at which it is said to have been washed out.
    """
    jars = {p for p in places_of(moves) if p.startswith("jar:")}
    if kind == TEST and "jar" in refs:
        jars.add(place_key(Jar, refs["jar"]))
    me = (at_us, root or _LAST)
    for jar in things(Jar, _NAMED, jars):
        if jar.opened_id is not None and jar.opened_id != root:
            _refuse_before(jar, me)
            _refuse_washed_out(jar, me, root)
        elif root is not None:
            _refuse_used(jar, me, root, before=True)
        if kind == DISCARD:
            _refuse_used(jar, me, root, before=False)


def _refuse_before(jar: Jar, me: Key) -> None:
    for at_us, root, kind in rows(_BEGAN, [jar.opened_id]):
        if (at_us, root) < me:
            return
        there = zone()
        raise Refusal(
            "--at", f"jar '{jar.key}' was {_MADE.get(kind, 'made')} only at "
            f"{clock.plain(at_us, there)} (movement {root}), and this is dated "
            f"{clock.plain(me[0], there)}",
            f"check the jar and both times; if it was there before, put that right first: 'record "
            f"amend {root} --at ...'",
        )  # fmt: skip


def _refuse_washed_out(jar: Jar, me: Key, root: int | None) -> None:
    for at_us, number in rows(_WASHED_OUT, [jar.pk]):
        if number != root and (at_us, number) < me:
            raise Refusal("jar", f"jar '{jar.key}' was washed out by movement {number}",
                          "a new filling is a jar of another name; or take that back")  # fmt: skip


def _refuse_used(jar: Jar, me: Key, root: int | None, *, before: bool) -> None:
    """Refuse to move the beginning or the end of a jar over something that was done with it."""
    span = Q(at_us__lte=me[0]) if before else Q(at_us__gte=me[0])
    uses = {
        (at_us, event)
        for place in (Q(source=jar.place_id), Q(to=jar.place_id))
        for at_us, event in Flow.objects.filter(place, span).values_list("at_us", "event")
        if event != root
    }  # fmt: skip
    if before:
        tests = Event.objects.filter(span, jar=jar, kind=TEST, void=False)
        uses |= {(at_us, number) for at_us, number in tests.values_list("at_us", "root_id")}
    wrong = sorted(use for use in uses if (use < me if before else use > me))
    if not wrong:
        return
    at_us, number = wrong[0]
    kind = Event.objects.values_list("kind", flat=True).get(root=number)
    more = f" and {len(wrong) - 1} more" if len(wrong) > 1 else ""
    when = f"{'before' if before else 'after'} {clock.plain(me[0], zone())}"
    raise Refusal(
        "--at", f"jar '{jar.key}' was used {when}: {kind} (movement {number}) at "
        f"{clock.plain(at_us, zone())}{more}",
        "check both times, or put those right first with 'record amend'",
    )  # fmt: skip


_NAMED = "JOIN shop_place p ON p.id = t.place_id WHERE p.key IN ({}) ORDER BY t.id"

_BEGAN = "SELECT at_us, root_id, kind FROM shop_event WHERE root_id IN ({}) AND NOT void"

_WASHED_OUT = """
SELECT at_us, root_id FROM shop_event WHERE jar_id IN ({}) AND kind = 'discard' AND NOT void
ORDER BY root_id
"""
assert f"'{DISCARD}'" in _WASHED_OUT
