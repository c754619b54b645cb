"""The record that an earlier version has left can be opened, audited and asked."""

from __future__ import annotations

from typing import Any


def test_it_passes_the_audit(filled: Any) -> None:
    from lacwright.shop.audit import audit

    found = audit(filled)
    assert found.findings == ()
    assert found.leftovers == ()
    assert found.counts["movements"] == 40
    assert found.counts["files"] == 1


def test_it_answers_a_recall(filled: Any) -> None:
    from lacwright.shop.models import Jar
    from lacwright.shop.queries.carry import recall

    told = recall(Jar.objects.get(key="J1"), now_us=1_812_000_000_000_000)
    # J1 went into J4, J4 topped J2 up and coated the panel; the coat from J2 before is not in it.
    # The table was stripped afterwards: the panel alone still carries it.
    assert [p.name for p in told.panels] == ["panel A"]
    assert {jar.name for jar in told.jars} >= {"J1", "J2", "J4"}
    assert all(coat.at_us > 0 for coat in told.coats)
    assert told.failed is not None


def test_what_was_put_right_and_taken_back_stays_so(filled: Any) -> None:
    from lacwright.shop.models import Balance, Event, Movement

    slip = Movement.objects.get(kind="void")
    assert slip.reason == "it was another jar"
    assert Event.objects.get(root=slip.root).void
    held = dict(Balance.objects.filter(place__key="store:garnet old").values_list("lot__key", "ug"))
    assert held == {"garnet old": 700_000_000}  # as counted, whatever came and went before


def test_nothing_of_it_changes_when_it_is_opened(filled: Any, kept: Any) -> None:
    from lacwright.shop.backup import verify
    from lacwright.shop.database_file import known_migrations
    from lacwright.shop.models import Movement
    from lacwright.shop.tables import content_hash

    told = verify(kept)
    assert told.rows["shop_movement"] == Movement.objects.count()
    assert set(told.migrations) <= known_migrations()
    assert content_hash() == content_hash()
