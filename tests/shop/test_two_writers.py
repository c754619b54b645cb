"""Two programs on one jar, at the same time: both are acknowledged, and the jar is right."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import Any

TIMES = 15


def test_two_writers_on_one_jar(writers: Any) -> None:
    writers.order("pour_often", name="one", times=TIMES, wait=False)
    writers.order("pour_often", name="two", times=TIMES)
    assert [writers.read(), writers.read()] == ["ended 0", "ended 0"]
    said = writers.said()
    assert said.count("done") == 2
    numbers = [int(line.split()[1]) for line in said if line.startswith("ack")]
    assert len(set(numbers)) == len(numbers) == 2 * TIMES

    from lacwright.shop import close_record, find_home, open_record

    home = open_record(find_home(writers.home))
    from lacwright.shop.audit import audit

    assert audit(home).findings == ()
    with closing(sqlite3.connect(home.database)) as record:
        sql = """SELECT SUM(ug) FROM shop_line JOIN shop_place p ON p.id = place_id
                 WHERE p.key = 'waste'"""
        assert record.execute(sql).fetchone() == (2 * TIMES * 10_000_000,)
        order = [
            token.split("-")[0]
            for (token,) in record.execute(
                "SELECT token FROM shop_movement WHERE kind = 'pour' ORDER BY id"
            )
        ]
    # Neither waited for the other to end.
    assert order not in (sorted(order), sorted(order, reverse=True))
    close_record()
