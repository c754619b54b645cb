"""An audit finds whatever was changed behind the program's back, and a rebuild mends indexes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from lacwright.shop import Home


@pytest.fixture
def sql(filled: Home) -> Iterator[Any]:
    """Return what changes a row behind the program's back, in a filled shop."""
    from django.db import connection

    def run(text: str) -> None:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA foreign_keys=OFF")
            cursor.execute("PRAGMA ignore_check_constraints=ON")
            cursor.execute(text)
            assert cursor.rowcount != 0
            cursor.execute("PRAGMA foreign_keys=ON")

    return run


def codes(home: Home) -> list[str]:
    from lacwright.shop.audit import audit

    return [finding.code for finding in audit(home).findings]


@pytest.mark.parametrize(
    ("change", "found"),
    [
        ("UPDATE shop_movement SET author = 'C' WHERE id = 7", ["seal"]),
        ("UPDATE shop_movement SET at_us = at_us + 1 WHERE id = 7", ["seal", "event"]),
        ("UPDATE shop_movement SET body = replace(body, '\"n\":800', '\"n\":801') WHERE id = 2",
         ["seal"]),
        ("UPDATE shop_movement SET body = '{' WHERE id = 12", ["seal", "body", "line", "flow"]),
        ("UPDATE shop_movement SET body = '{\"refs\":{},\"moves\":[{}]}' WHERE id = 14",
         ["seal", "body", "line", "event", "flow"]),
        ("UPDATE shop_movement SET root_id = 3 WHERE id = 36", None),
        ("DELETE FROM shop_movement WHERE kind = 'note'", ["reference", "seal", "event"]),
        ("DELETE FROM shop_line WHERE id = 5", ["sum", "below-zero", "line", "balance"]),
        ("UPDATE shop_line SET ug = ug + 1 WHERE id = 5", ["sum", "line", "balance"]),
        ("UPDATE shop_line SET about_id = 3 WHERE id = 5", ["sum", "line"]),
        ("INSERT INTO shop_line (movement_id, about_id, place_id, lot_id, ug) "
         "SELECT movement_id, about_id, place_id, lot_id, 0 FROM shop_line WHERE id = 5", []),
        ("UPDATE shop_balance SET ug = ug - 1 WHERE id = 3", ["balance"]),
        ("DELETE FROM shop_balance WHERE id = 3", ["balance"]),
        ("UPDATE shop_event SET kind = 'x' WHERE root_id = 7", ["event"]),
        ("UPDATE shop_event SET jar_id = NULL WHERE kind = 'weigh'", ["event"]),
        ("UPDATE shop_event SET jar_id = 1 WHERE void", ["event"]),
        ("UPDATE shop_event SET void = 0 WHERE void", None),
        ("DELETE FROM shop_event WHERE kind = 'note'", ["event"]),
        ("UPDATE shop_flow SET washed = NOT washed WHERE id = 9", ["flow"]),
        ("UPDATE shop_flow SET at_us = at_us + 1 WHERE id = 9", ["flow"]),
        ("DELETE FROM shop_flow WHERE id = 9", ["flow"]),
        ("UPDATE shop_place SET key = 'jar:J9' WHERE key = 'jar:J2'", None),
        ("UPDATE shop_jar SET key = 'J9' WHERE key = 'J2'", None),
        ("UPDATE shop_lot SET density_g_ml = 0.9 WHERE key = 'spirit'", ["line"]),
        ("UPDATE shop_lot SET kind = 'other' WHERE key = 'spirit'", ["line"]),
        ("UPDATE shop_request SET movement_id = 1 WHERE movement_id = 9", ["request"]),
        ("DELETE FROM shop_file", ["name"]),
    ],
)  # fmt: skip
def test_what_was_changed_is_found(
    filled: Home, sql: Any, change: str, found: list[str] | None
) -> None:
    assert codes(filled) == []
    sql(change)
    if found is None:
        assert codes(filled) != []
    else:
        assert codes(filled) == found


def test_a_finding_says_what_where_and_how_to_mend(filled: Home, sql: Any) -> None:
    from lacwright.shop.audit import audit

    sql(
        "UPDATE shop_balance SET ug = 5 WHERE place_id = "
        "(SELECT id FROM shop_place WHERE key = 'store:garnet new')"
    )
    (finding,) = audit(filled).findings
    assert str(finding) == (
        "balance: balances are not the sums of the lines (store:garnet new, garnet new: 5 in place "
        "of 940000000 ug); run 'lacwright record rebuild'.")  # fmt: skip
    assert (finding.count, len(finding.where)) == (1, 1)


def test_a_file_that_is_missing_damaged_or_left_over(filled: Home) -> None:
    from lacwright.shop.audit import audit

    (file,) = (path for path in filled.files.rglob("*") if path.is_file())
    (filled.files / ".new-1").write_bytes(b"left")
    found = audit(filled)
    assert (found.findings, found.leftovers) == ((), ("files/.new-1",))
    data = file.read_bytes()
    file.write_bytes(data[:-1] + b"x")
    assert codes(filled) == ["file-damaged"]
    file.unlink()
    assert codes(filled) == ["file-missing"]


def test_a_damaged_database_is_a_finding_not_a_crash(filled: Home) -> None:
    from django.db import connection

    connection.close()
    data = bytearray(filled.database.read_bytes())
    for page in range(20, len(data) // 4096, 3):  # not the first ones: it can still be opened
        data[page * 4096 : page * 4096 + 64] = b"\xff" * 64
    filled.database.write_bytes(data)
    assert "database" in codes(filled)


@pytest.mark.parametrize("harm", [
    "DELETE FROM shop_balance", "UPDATE shop_balance SET ug = 1", "DELETE FROM shop_flow",
    "UPDATE shop_event SET jar_id = NULL, kind = 'x', at_us = 0", "DELETE FROM shop_event",
])  # fmt: skip
def test_a_rebuild_mends_every_index_and_touches_nothing_else(
    filled: Home, sql: Any, harm: str
) -> None:
    from lacwright.shop.backup import backups
    from lacwright.shop.rebuild import rebuild
    from lacwright.shop.tables import content_hash

    truth = content_hash()
    sql(harm)
    assert codes(filled) != []
    would = rebuild(filled, dry_run=True)
    assert would.backup is None
    assert sum(would.changed.values()) > 0
    assert codes(filled) != []
    done = rebuild(filled)
    assert done.changed["event"] >= would.changed["event"]
    assert codes(filled) == []
    assert content_hash() == truth
    assert backups(filled) == [done.backup]
    assert sum(rebuild(filled, dry_run=True).changed.values()) == 0


# --- two processes --------------------------------------------------------------------------------


@pytest.fixture
def two(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Let every audit take two processes, and count those that were content with that."""
    from lacwright.shop import audit as module

    seen: list[bool] = []
    real = module._clean

    def clean(*args: Any) -> bool:
        seen.append(real(*args))
        return seen[-1]

    monkeypatch.setattr(module, "MANY", 1)
    monkeypatch.setattr(module, "may_fork", lambda: True)
    monkeypatch.setattr(module, "_clean", clean)
    return seen


def test_two_processes_agree_that_all_is_right_wherever_the_history_is_cut(
    filled: Home, two: list[bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    from lacwright.shop import audit as module

    for share in (0.0, 0.2, 0.5, 0.8, 0.99):
        monkeypatch.setattr(module, "FIRST", share)
        assert codes(filled) == []
    assert two == [True] * 5


@pytest.mark.parametrize("change", [
    "UPDATE shop_line SET ug = ug + 1 WHERE id = 5", "UPDATE shop_line SET ug = 7 WHERE id = 90",
    "UPDATE shop_movement SET author = 'C' WHERE id = 9", "DELETE FROM shop_flow WHERE id = 3",
    "UPDATE shop_flow SET step = 9 WHERE id = 20", "DELETE FROM shop_line WHERE id IN (80, 81)",
    "UPDATE shop_balance SET ug = ug - 1 WHERE id = 3", "DELETE FROM shop_balance WHERE id = 20",
    "DELETE FROM shop_event WHERE kind = 'note'",
    "UPDATE shop_event SET void = 1 WHERE kind = 'mix'",
    "UPDATE shop_lot SET density_g_ml = 0.9 WHERE key = 'spirit'", "DELETE FROM shop_file",
    "UPDATE shop_line SET movement_id = 3 WHERE id = 5",
    "UPDATE shop_request SET movement_id = 1 WHERE movement_id = 9",
    "UPDATE shop_place SET kind = 'x' WHERE key = 'jar:J2'",
])  # fmt: skip
def test_what_two_processes_find_is_told_as_by_one(
    filled: Home, sql: Any, two: list[bool], monkeypatch: pytest.MonkeyPatch, change: str
) -> None:
    from lacwright.shop import audit as module

    sql(change)
    told = module.audit(filled).findings
    assert two == [False]
    assert told
    monkeypatch.setattr(module, "may_fork", lambda: False)
    assert module.audit(filled).findings == told


def test_where_the_other_process_cannot_look_all_is_done_here(
    filled: Home, sql: Any, two: list[bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    from lacwright.shop import audit as module

    monkeypatch.setattr(module, "_look", lambda database, part, to: to.send(None))
    assert codes(filled) == []
    monkeypatch.setattr(module, "_look", lambda database, part, to: None)
    assert codes(filled) == []
    sql("UPDATE shop_balance SET ug = ug - 1 WHERE id = 3")
    assert codes(filled) == ["balance"]
    assert two == [False] * 3
