"""The walk in waves finds what following every single contact would find."""

from __future__ import annotations

import random
from typing import Any

import pytest

PLACES, STEPS = 7, 60
Moment = tuple[int, int, int]


@pytest.fixture
def flows(bench: Any) -> Any:
    """Return a maker of a record of random flows: (places, [(moment, source, to, washed)])."""
    from django.db import transaction

    from lacwright.shop.models import Event, Flow, Movement, Place

    def make(seed: int) -> tuple[list[int], list[tuple[Moment, int, int, bool]]]:
        r = random.Random(seed)
        places = [Place.objects.create(key=f"jar:{seed}-{n}", kind="jar") for n in range(PLACES)]
        waste = Place.objects.get(key="waste")
        out = []
        for n in range(STEPS):
            # Few moments: several events fall on one, and several steps on one event.
            at_us, token = r.randrange(20), f"{seed}-{n}"
            told = Movement(token=token, kind="pour", at_us=at_us, written_us=0, body={}, seal="")
            told.save()
            Event.objects.create(root=told, movement=told, at_us=at_us, kind="pour")
            for step in range(r.randrange(1, 3)):
                washed = r.random() < 0.15
                source, to = r.sample(places, 2)
                to = waste if washed or r.random() < 0.1 else to
                Flow.objects.create(event_id=told.id, at_us=at_us, step=step, source=source, to=to,
                                    washed=washed)  # fmt: skip
                if washed or to is not waste:
                    out.append(((at_us, told.id, step), source.id, to.id, washed))
        return [place.id for place in places], sorted(out)

    with transaction.atomic():
        yield make
        transaction.set_rollback(True)


def every_contact(
    starts: list[tuple[int, Moment]], edges: list[tuple[Moment, int, int, bool]]
) -> tuple[dict[tuple[int, Moment], Moment], set[Moment]]:
    """Follow every contact by itself; return the earliest before each washing, and all steps."""
    end = (2**62, 0, 0)
    first: dict[tuple[int, Moment], Moment] = {}
    followed: set[Moment] = set()
    waiting, seen = list(starts), set(starts)
    while waiting:
        place, since = waiting.pop()
        until = min((m for m, source, _, washed in edges
                     if washed and source == place and m > since), default=end)  # fmt: skip
        first[place, until] = min(since, first.get((place, until), since))
        for moment, source, to, washed in edges:
            if source == place and since < moment <= until:
                followed.add(moment)
                if not washed and (to, moment) not in seen:
                    seen.add((to, moment))
                    waiting.append((to, moment))
    return first, followed


@pytest.mark.parametrize("seed", range(12))
def test_it_finds_what_following_every_contact_finds(flows: Any, seed: int) -> None:
    from lacwright.shop.queries.spread_on import BEGINNING, reach

    places, edges = flows(seed)
    r = random.Random(seed)
    for starts in (
        [(places[0], BEGINNING)],
        [(places[1], edges[len(edges) // 2][0])],
        [(place, (r.randrange(20), -1, -1)) for place in places[2:5]],
    ):
        found = reach(starts)
        first, followed = every_contact(starts, edges)
        assert set(found.edges) == followed
        assert {(c.place, c.until): c.since for mine in found.contacts.values() for c in mine
                } == first  # fmt: skip
        assert all(found.edges[m].source == s and found.edges[m].to == t
                   for m, s, t, _ in edges if m in followed)  # fmt: skip
        for contacts in found.contacts.values():
            assert contacts == sorted(contacts, key=lambda c: c.since)
            assert all(c.edge is None or c.edge.moment == c.since for c in contacts)
