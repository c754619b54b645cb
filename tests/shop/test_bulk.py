"""A big load ends where typing would have ended."""

from __future__ import annotations

import random
from collections import defaultdict
from typing import Any

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home
from lacwright.shop.ledger import (
    AIR,
    ALL,
    UNACCOUNTED,
    WASTE,
    Move,
    clear,
    come,
    dry,
    found,
    grams,
    lay,
    millilitres,
    take,
)

LOTS = ("flakes one", "flakes two", "spirit", "methylated")
JARS = ("jar:a", "jar:b", "jar:c")
PADS = ("applicator:p", "applicator:q")
DAY = 86_400_000_000


def furnish() -> None:
    from lacwright.shop.models import Jar, Lot, Place

    for key in LOTS:
        kind = "flakes" if key.startswith("flakes") else "alcohol"
        parts = {"ethanol": 0.92, "water": 0.08} if key == "spirit" else None
        Lot.objects.create(
            key=key,
            kind=kind,
            unit="g",
            parts=parts,
            place=Place.objects.create(key=f"store:{key}", kind="store"),
        )
    for key in JARS:
        place = Place.objects.create(key=key, kind="jar")
        Jar.objects.create(key=place.key[4:], place=place)
    for key in (*PADS, "piece:x", "piece:y"):
        Place.objects.create(key=key, kind=key.partition(":")[0])


def some_moves(r: random.Random) -> tuple[Move, ...]:
    amount = r.choice([grams(3), grams(100 / 3), millilitres(33.3), millilitres(5), None])
    said = amount or grams(1)
    one, other = r.sample(JARS, 2)
    lot = r.choice(LOTS)
    pad = r.choice([None, *PADS])
    piece = r.choice(["piece:x", "piece:y"])
    return r.choice([
        (come(lot=lot, to=f"store:{lot}", amount=amount),),
        tuple(take(source=f"store:{k}", to=one, amount=said) for k in r.sample(LOTS, 2)),
        (take(source=one, to=other, amount=r.choice([amount, ALL])),),
        (dry(source=one, amount=said),),
        (found(place=one, amount=said, gone=r.choice([AIR, WASTE, UNACCOUNTED])),),
        (lay(source=one, through=pad, on=piece, amount=amount, lost_ppm=50_000), dry(
            source=one, amount=grams(0.1))),
        (lay(source=one, through=pad, on=piece, amount=said, left_ug=r.choice([None, 90_000])),),
        (clear(place=r.choice([one, *PADS, piece])),),
    ])  # fmt: skip


def type_in(seed: int, entries: int) -> None:
    """Write observations in any order of time; correct some, take some back, bring some back."""
    from lacwright.shop.models import Movement
    from lacwright.shop.writing import Entry, Writer, write

    r = random.Random(seed)
    roots: list[int] = []

    def do(w: Writer) -> dict[str, Any]:
        what = r.random()
        old = Movement.objects.get(id=r.choice(roots)) if roots and what < 0.3 else None
        if old is not None and what < 0.1 and not old.event.void:
            w.movement("void", replaces=old)
        else:
            jar = {"jar": r.choice("abc")}
            made = w.movement("x", refs=jar, moves=some_moves(r), replaces=old)
            if old is None:
                roots.append(made.id)
        return {}

    for n in range(entries):
        entry = Entry(at_us=r.randrange(1, 60) * DAY, token=f"{seed}.{n}", now_us=100 * DAY)
        write("x", {"n": n}, entry, do)


def what_follows() -> dict[str, Any]:
    """Return lines about events, flows, balances, the index and the seals."""
    from lacwright.shop.models import Balance, Event, Flow, Line, Movement

    lines: dict[tuple[int, str, str], int] = defaultdict(int)
    for about, place, lot, ug in Line.objects.values_list("about", "place__key", "lot__key", "ug"):
        lines[about, place, lot] += ug
    return {
        "lines": {k: ug for k, ug in lines.items() if ug},
        "flows": sorted(Flow.objects.values_list(
            "event", "at_us", "step", "source__key", "to__key", "washed")),
        "come": sorted(Flow.objects.exclude(lot=None).values_list("event", "step", "lot__key")),
        "balances": sorted(Balance.objects.values_list("place__key", "lot__key", "ug")),
        "events": sorted(Event.objects.values_list(
            "root", "movement", "at_us", "kind", "void", "jar__key")),
        "movements": list(Movement.objects.order_by("id").values_list("id", "seal")),
    }  # fmt: skip


def in_a_trial(make: Any) -> dict[str, Any]:
    """Return what follows from what `make` writes, and leave the record as it was."""
    from django.db import transaction

    with transaction.atomic():
        make()
        told = what_follows()
        transaction.set_rollback(True)
    return told


@pytest.mark.parametrize("seed", range(6))
def test_a_load_ends_where_typing_ends(shop: Home, seed: int) -> None:
    from lacwright.shop.bulk import loading

    furnish()

    def load() -> None:
        with loading():
            type_in(seed, 40)

    typed, loaded = in_a_trial(lambda: type_in(seed, 40)), in_a_trial(load)
    assert len(typed["lines"]) > 30
    assert typed == loaded


def test_a_load_of_ready_observations_ends_where_typing_ends(shop: Home) -> None:
    from lacwright.shop.bulk import Observation, load
    from lacwright.shop.models import Movement
    from lacwright.shop.seals import ROWS, broken
    from lacwright.shop.writing import Entry, Writer, write

    furnish()
    r = random.Random(7)
    told = [Observation(r.randrange(1, 60) * DAY, "x", {"jar": r.choice("abc")}, some_moves(r),
                        {"note": f"no {n}"}) for n in range(60)]  # fmt: skip

    def type_them() -> None:
        for item in told:

            def do(w: Writer, item: Observation = item) -> dict[str, Any]:
                w.movement(item.kind, refs=item.refs, moves=tuple(item.moves), facts=item.facts)
                return {}

            write("x", {}, Entry(at_us=item.at_us, now_us=100 * DAY), do)

    def load_them() -> None:
        from django.db import connection

        numbers = load(told, written_us=100 * DAY, author="me")
        assert numbers == list(Movement.objects.order_by("id").values_list("id", flat=True))
        assert {m.body["note"] for m in Movement.objects.all()} == {f"no {n}" for n in range(60)}
        with connection.cursor() as cursor:
            cursor.execute(ROWS)
            assert list(broken(cursor.fetchall())) == []

    typed, loaded = in_a_trial(type_them), in_a_trial(load_them)
    for told_apart in ("lines", "flows", "come", "balances", "events"):
        assert typed[told_apart] == loaded[told_apart]


def test_typing_goes_on_after_a_load(shop: Home) -> None:
    from lacwright.shop.bulk import Observation, load, loading

    furnish()

    def both() -> None:
        with loading():
            type_in(1, 25)
        type_in(2, 15)

    def typed() -> None:
        type_in(1, 25)
        type_in(2, 15)

    assert in_a_trial(both) == in_a_trial(typed)

    load([Observation(DAY, "x", {}, some_moves(random.Random(3)))], written_us=100 * DAY)
    type_in(4, 3)  # the numbers go on behind those of the load


def test_a_record_with_entries_is_left_alone(shop: Home) -> None:
    from lacwright.shop.bulk import Observation, load, loading

    furnish()
    type_in(1, 10)
    before = what_follows()
    with pytest.raises(Refusal, match="moved in it already"), loading():
        raise AssertionError("not reached")
    with pytest.raises(Refusal, match="moved in it already"):
        load([Observation(DAY, "x", {})], written_us=DAY)
    assert what_follows() == before


def test_a_load_that_breaks_off_leaves_nothing(shop: Home) -> None:
    from lacwright.shop.bulk import loading
    from lacwright.shop.models import Movement, Request

    furnish()

    def break_off() -> None:
        with loading():
            type_in(1, 10)
            raise KeyError("torn")

    with pytest.raises(KeyError):
        break_off()
    assert not Movement.objects.exists()
    assert not Request.objects.exists()
    type_in(1, 10)  # typing works out at once again
    assert what_follows()["lines"]
