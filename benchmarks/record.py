"""The record of a big shop and of one a tenth of it: what an answer costs, and how that grows.

    .venv/bin/python benchmarks/record.py [--small]

Side by side with what one would otherwise run. With --small a hundredth of it, so that it does not
rot. No test asserts a time; the goals are printed beside the figures.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sqlite3
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from timing import median

JARS, JOBS, COATS = 5_000, 2_000, 50_000
LIMIT_S = 20.0
"""When a rival is stopped that does not come to an end."""


@dataclass(frozen=True)
class Took:
    """Seconds, and what was found, to be sure that both did the same work."""

    seconds: float
    found: str = ""
    ended: bool = True


def main() -> None:
    """Measure both shops and print a line for each question."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--small", action="store_true", help="a hundredth, so that it does not rot")
    share = 0.01 if parser.parse_args().small else 1.0
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ.pop("LACWRIGHT_HASTY", None)
    with tempfile.TemporaryDirectory() as folder:
        tenth = measure(Path(folder) / "tenth", share / 10)
        whole = measure(Path(folder) / "whole", share)
    print(f"\n{'':<46}{'tenth':>10}{'whole':>10}  grows")
    for question, (goal, rival) in QUESTIONS.items():
        print(row(question, tenth[question], whole[question], goal))
        if rival:
            shown = "  " + rival.removeprefix(f"{question}, ")
            print(row(shown, tenth[rival], whole[rival], ""))
    told = {question: took.found for question, took in whole.items() if took.found}
    for question, found in told.items():
        print(f"{question}: {found}")


QUESTIONS = {
    "recall through three blends": (
        "goal below 50 ms",
        "recall through three blends, one recursive query",
    ),
    "recall of a jug, through a pad never washed": (
        "",
        "recall of a jug, through a pad never washed, one recursive query",
    ),
    "recall of a bag of flakes": ("", "recall of a bag of flakes, one recursive query"),
    "what is in a jar": ("", "from the whole book"),
    "correct a mix of two years ago": ("", "the whole book derived anew"),
    "audit of everything": ("goal below 5 s", "PRAGMA integrity_check alone"),
    "backup, verified": ("", "the backup call of SQLite, not verified"),
}
"""Each with its goal and what one would otherwise run."""


def measure(folder: Path, share: float) -> dict[str, Took]:
    """Fill a shop of this size and ask everything of it."""
    from lacwright.shop import close_record, find_home, open_record

    home = open_record(find_home(folder))
    try:
        from big_shop import fill

        begin = time.perf_counter()
        shop = fill(jars=max(round(JARS * share), 45), jobs=max(round(JOBS * share), 4),
                    coats=max(round(COATS * share), 100))  # fmt: skip
        took = time.perf_counter() - begin
        size = home.database.stat().st_size / 1e6
        print(f"{shop.words()}; loaded in {took:.1f} s, {size:.0f} MB on disk", flush=True)
        out: dict[str, Took] = {}
        out |= recalls(shop.bad_jar, shop.jug)
        out |= make_up(shop.bad_jar)
        out |= correction(shop.old_mix)
        out |= audits(home.database)
        out |= backups(home.database)
        return out
    finally:
        close_record()
        shutil.rmtree(folder, ignore_errors=True)


def recalls(jar: str, jug: str) -> dict[str, Took]:
    """Which pieces carry this jar, or a bag of flakes: the record, and one recursive query."""
    from lacwright.shop.models import Event, Jar, Lot
    from lacwright.shop.queries.carry import recall, recall_lot

    out: dict[str, Took] = {}
    row, big = Jar.objects.get(key=jar), Jar.objects.get(key=jug)
    flakes = Lot.objects.get(key=Event.objects.select_related("movement").get(
        root=row.opened_id).movement.body["takes"][0]["lot"])  # fmt: skip
    for asked, thing, ask in (
        ("recall through three blends", row, recall),
        ("recall of a jug, through a pad never washed", big, recall),
        ("recall of a bag of flakes", flakes, recall_lot),
    ):  # fmt: skip
        found = ask(thing)
        words = f"{len(found.coats)} coats on {len(found.pieces)} pieces, {len(found.jars)} jars"
        out[asked] = Took(median(lambda ask=ask, thing=thing: ask(thing)), words)
        begin_us = Event.objects.get(root=thing.opened_id).at_us
        plain = rival(_PLAIN_RECALL, (thing.place_id, begin_us))
        assert not plain.ended or plain.found == str(len(found.pieces)), (words, plain)
        out[f"{asked}, one recursive query"] = plain
    return out


_PLAIN_RECALL = """
WITH RECURSIVE bad(place, at_us) AS (
  SELECT ?, ?
  UNION
  SELECT f.to_id, f.at_us FROM bad b JOIN shop_flow f
    ON f.source_id = b.place AND f.at_us >= b.at_us AND NOT f.washed
  WHERE NOT EXISTS (
    SELECT 1 FROM shop_flow w WHERE w.source_id = b.place AND w.washed
      AND w.at_us >= b.at_us AND w.at_us <= f.at_us
  )
)
SELECT COUNT(DISTINCT p.id) FROM bad JOIN shop_place p ON p.id = bad.place WHERE p.kind = 'piece'
"""


def make_up(jar: str) -> dict[str, Took]:
    """What is in a jar: the record, and the whole book for it."""
    from lacwright.shop.queries.contents import contents

    place = f"jar:{jar}"
    mine = {lot: ug for lot, ug in contents(place).by_lot_ug.items() if ug}
    assert whole_book().get(place, {}) == mine
    return {"what is in a jar": Took(median(lambda: contents(place))),
            "from the whole book": Took(median(whole_book, 3))}  # fmt: skip


def whole_book() -> dict[str, dict[str, int]]:
    """Derive everything and return what every place holds."""
    from lacwright.shop.facts import AllFacts
    from lacwright.shop.models import Event, Lot
    from lacwright.shop.whole import Book, Happening

    book = Book(AllFacts({lot.key: lot for lot in Lot.objects.all()}.__getitem__))
    rows = Event.objects.filter(void=False).values_list("at_us", "root_id", "movement__body")
    events = [Happening(*found) for found in rows.iterator()]
    for event in sorted(events, key=lambda e: (e.at_us, e.root)):
        book.read(event.body)
    return book.held


def correction(movement: int) -> dict[str, Took]:
    """Put the flakes of an old mix right (and leave the record as it was)."""
    from lacwright.shop.models import Movement
    from lacwright.shop.services.amend import amend
    from lacwright.shop.writing import Entry

    body = Movement.objects.get(id=movement).body
    takes = [dict(item) for item in body["takes"]]
    takes[0]["amount"] = {"n": takes[0]["amount"]["n"] * 11 // 10, "u": "ug"}

    def correct() -> None:
        amend(movement=movement, changes={"takes": takes}, entry=Entry(dry_run=True))

    return {"correct a mix of two years ago": Took(median(correct)),
            "the whole book derived anew": Took(median(whole_book, 3))}  # fmt: skip


def audits(database: Path) -> dict[str, Took]:
    """Derive and check everything, and what SQLite itself can check."""
    from lacwright.shop.audit import audit
    from lacwright.shop.opening import opened

    found = audit(opened())
    assert not found.findings, found.findings
    return {
        "audit of everything": Took(median(lambda: audit(opened()), 3)),
        "PRAGMA integrity_check alone": rival("PRAGMA integrity_check", (), database),
    }


def backups(database: Path) -> dict[str, Took]:
    """Back up, verified by opening it, and what SQLite does with one call."""
    from lacwright.shop import find_home
    from lacwright.shop.backup import back_up

    home = find_home(database.parent.parent)
    beside = database.with_name("copy.sqlite3")

    def plain() -> None:
        with sqlite3.connect(database) as source, sqlite3.connect(beside) as copy:
            source.backup(copy)
        source.close()
        copy.close()
        beside.unlink()

    return {"backup, verified": Took(median(lambda: back_up(home, why="benchmark"), 3)),
            "the backup call of SQLite, not verified": Took(median(plain, 3))}  # fmt: skip


def rival(sql: str, values: tuple[int, ...], database: Path | None = None) -> Took:
    """Run a query as one would by hand, stopped after a while."""
    from lacwright.shop.opening import opened

    connection = sqlite3.connect(database or opened().database)
    begin = time.perf_counter()
    connection.set_progress_handler(lambda: time.perf_counter() - begin > LIMIT_S, 10_000)
    try:
        found = connection.execute(sql, values).fetchone()[0]
        return Took(time.perf_counter() - begin, str(found))
    except sqlite3.OperationalError:
        return Took(time.perf_counter() - begin, "stopped", ended=False)
    finally:
        connection.close()


def row(name: str, tenth: Took, whole: Took, goal: str) -> str:
    """Return a line of the table."""
    shown = [f"{'' if t.ended else '>'}{t.seconds * 1000:.1f} ms" for t in (tenth, whole)]
    grows = f"x {whole.seconds / tenth.seconds:.1f}"
    return f"{name:<46}{shown[0]:>10}{shown[1]:>10}  {grows:<7} {goal}".rstrip()


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parent))
    main()
