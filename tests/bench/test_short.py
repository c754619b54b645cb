"""What is short for the coming jobs: on its own page, and in a line of the first."""

import datetime as dt
import html
import re
from typing import Any

import pytest

PIECE = {
    "title": "A board", "wish": {"use": ["indoors"]}, "shop": {"ignition": [], "children": False},
    "part": [{"name": "face", "shape": "area", "wood": "beech", "area": "1 m2"}],
    "step": [{"what": "coat", "method": "brush", "times": 4}],
    "mix": [{"name": "body", "cut": 2, "lot": "G1", "alcohol": "can"}],
}  # fmt: skip


def words(answer: Any) -> str:
    told = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(told))


@pytest.fixture
def planned(client: Any) -> Any:
    """Return a client on a shop with two jobs on the same two lots, and a jar of them."""
    from lacwright.files.piece import piece_of
    from lacwright.plan import make_plan
    from lacwright.shop.clock import now_us
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.plan_link import areas_of, from_record, kept
    from lacwright.shop.services.jars import Take, mix_jar
    from lacwright.shop.services.jobs import start_job
    from lacwright.shop.services.lots import add_lot
    from lacwright.shop.writing import Entry

    add_lot(name="G1", kind="flakes", grade="garnet", amount=grams(90), entry=Entry())
    add_lot(name="can", kind="alcohol", alcohol="ethanol-190", amount=millilitres(5000),
            entry=Entry())  # fmt: skip
    record = from_record(now_us=now_us())
    piece = piece_of(PIECE, "board", record.shelf)
    plan = kept(make_plan(piece, today=dt.date(2027, 3, 2), n=20), [])
    for job in ("B-1", "B-2"):
        start_job(job=job, piece_name=f"board {job}", plan=plan, areas_m2=areas_of(piece),
                  entry=Entry())  # fmt: skip
    takes = [Take("lot", "G1", grams(20)), Take("lot", "can", millilitres(80))]
    mix_jar(jar="J1", takes=takes, entry=Entry())
    return client


def test_the_page_says_what_is_short_and_for_which_job(planned: Any) -> None:
    from lacwright.shop.queries.short import needs

    flakes = {need.lot: need for need in needs()}["G1"]
    assert flakes.left is not None
    assert flakes.left < 0
    page = planned.get("/shelf/short")
    told = words(page)
    assert "1 thing is short" in told
    assert re.search(r"G1 to be ordered Needs [\d.]+ g \([\d.]+ oz\) for B-1 , [\d.]+ g", told)
    assert "70.0 g (2.47 oz) there, 20.0 g (0.705 oz) mixed" in told
    assert 'href="/jobs/one/B-2"' in page.content.decode()
    assert re.search(r"Enough can Needs [\d.]+ ml", told)


def test_the_first_page_names_it_in_a_line(planned: Any) -> None:
    from lacwright.shop.ledger import grams
    from lacwright.shop.services.lots import add_lot, count_lot
    from lacwright.shop.writing import Entry

    page = planned.get("/")
    assert "Short: G1." in words(page)
    assert 'href="/shelf/short"' in page.content.decode()
    count_lot(name="G1", amount=grams(900), entry=Entry())
    assert "Short:" not in words(planned.get("/"))
    assert "Nothing is short" in words(planned.get("/shelf/short"))
    add_lot(name="wool", kind="other", amount=grams(5), order_below=grams(50), entry=Entry())
    assert "wool running low 5.00 g (0.176 oz) there, at least 50.0 g" in words(
        planned.get("/shelf/short")
    )


def test_what_no_job_needs_and_nobody_wants_there_is_not_listed(planned: Any) -> None:
    from lacwright.shop.ledger import grams
    from lacwright.shop.queries.short import needs
    from lacwright.shop.services.coats import lay_coat
    from lacwright.shop.services.lots import add_lot
    from lacwright.shop.writing import Entry

    lay_coat(job="B-1", jar="J1", method="brush", before_g=500, after_g=460, entry=Entry())
    add_lot(name="unneeded", kind="flakes", grade="amber", amount=grams(5), entry=Entry())
    assert [need.lot for need in needs()] == ["G1", "can"]


def test_the_line_costs_the_first_page_one_question_while_nothing_is_written(
    planned: Any, queries: Any
) -> None:
    from lacwright.bench.pages.short import short_line

    assert short_line(dt.UTC) is not None
    with queries() as asked:
        short_line(dt.UTC)
    assert len([q for q in asked if q["sql"].startswith("SELECT")]) == 1


def test_it_is_worked_out_anew_when_the_day_of_the_shop_begins(
    planned: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """23:30 and 00:30 in Vienna are one day in UTC, but two in the shop: ages tell another."""
    from lacwright.bench.pages import short
    from lacwright.shop import clock

    zone, days = clock.read_zone("Europe/Vienna"), []

    def needs() -> list[Any]:
        days.append(clock.day_of(clock.now_us(), zone))
        return []

    monkeypatch.setattr(short, "needs", needs)
    evening = clock.read_moment("2027-03-01 23:30", zone, "at")
    for hours in (0.0, 0.25, 1.0, 1.5):
        monkeypatch.setattr(clock, "now_us", lambda h=hours: evening + round(h * 3600e6))
        short.short_line(zone)
    assert days == [dt.date(2027, 3, 1), dt.date(2027, 3, 2)]


def test_in_a_fresh_shop_it_says_what_to_do_first(client: Any) -> None:
    page = words(client.get("/shelf/short"))
    assert "No open job with a plan needs anything yet" in page
    assert "Plan a piece" in page
