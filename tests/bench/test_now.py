"""The first page: what is to be done now, each with the way to do it; an empty shop."""

import re
from typing import Any

import pytest


@pytest.fixture
def told(helper: Any) -> Any:
    """Return what tells the record about something so many days ago."""
    return helper("filling").past


def shelf(told: Any) -> None:
    """Buy a bag of garnet and a can of 190 proof."""
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.lots import add_lot

    add_lot(name="bag", kind="flakes", amount=grams(5000), grade="garnet", entry=told(100))
    add_lot(
        name="can",
        kind="alcohol",
        amount=millilitres(50_000),
        alcohol="ethanol-190",
        entry=told(100),
    )


def mix(told: Any, jar: str, days: float, flakes: str = "bag") -> None:
    """Mix a jar of 100 g."""
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.jars import Take, mix_jar

    mix_jar(
        jar=jar,
        takes=[Take("lot", flakes, grams(100)), Take("lot", "can", millilitres(400))],
        entry=told(days),
    )


def job(told: Any, name: str, days: float = 50) -> None:
    """Begin a job without a plan on a top and a rail."""
    from lacwright.shop.services.jobs import start_job

    start_job(
        job=name,
        piece_name=f"piece of {name}",
        title=f"Table {name}",
        areas_m2={"top": 0.5, "rail": 0.1},
        entry=told(days),
    )


def coat(told: Any, name: str, jar: str, days: float, part: str = "top") -> None:
    """Lay a coat with a brush."""
    from lacwright.shop.services.coats import lay_coat

    lay_coat(job=name, jar=jar, parts=[part], method="brush", used_ml=30, entry=told(days))


def drop(told: Any, jar: str, days: float, **times: Any) -> None:
    """Test a jar beside a control that is in time."""
    from lacwright.shop.services.proving import record_test
    from lacwright.shop.verdict import Times

    record_test(
        of_kind="jar",
        of=jar,
        test="drying",
        jar=Times(**times),
        control=Times(8, 80, 1000),
        temp_c=21,
        rh=0.5,
        entry=told(days),
    )


def section(html: str, name: str) -> str:
    """Return a group of the page."""
    found = re.search(rf'<section aria-labelledby="g-{name}">.*?</section>', html, re.S)
    return found[0] if found else ""


def lead(html: str) -> str:
    """Return what stands first."""
    found = re.search(r'<section class="answer".*?</section>', html, re.S)
    assert found is not None
    return found[0]


def test_an_empty_shop_asks_how_much_to_mix(client: Any) -> None:
    html = client.get("/").content.decode()
    assert "<h1>How much to mix?</h1>" in html
    assert 'action="/mix"' in html
    for name in ("volume", "cut", "grade"):
        assert f'name="{name}"' in html
    assert 'href="/shelf/add"' in html


def test_three_entries_of_the_first_page_give_amounts(client: Any) -> None:
    told = {"volume": "200 ml", "cut": "2", "grade": "amber", "alcohol": ""}
    html = client.get("/mix", told).content.decode()
    assert "Weigh" in html


def test_with_a_lot_and_nothing_to_do_it_says_so(client: Any, told: Any) -> None:
    shelf(told)
    assert "Nothing is due" in client.get("/").content.decode()


def test_a_fresh_coat_is_wet_and_an_old_one_is_ready(client: Any, told: Any) -> None:
    shelf(told)
    mix(told, "J1", 20)
    job(told, "T1")
    job(told, "T2")
    coat(told, "T1", "J1", 0.001)
    coat(told, "T2", "J1", 3)
    html = client.get("/").content.decode()
    assert "Coat 2 on top" in section(html, "wet")
    assert "T1, Table T1; wet" in section(html, "wet")
    assert 'href="/jobs/one/T1"' in section(html, "wet")
    # What comes first stands above; the rest of it in its group, each with its next action.
    assert "First coat on rail" in html
    assert 'href="/jobs/coat/T2?on=top"' in html
    assert "T2, Table T2" in lead(html) + section(html, "ready")


def test_a_failed_jar_comes_first_with_its_recall(client: Any, told: Any) -> None:
    shelf(told)
    mix(told, "J1", 20)
    job(told, "T1")
    coat(told, "T1", "J1", 3)
    drop(told, "J1", 1, seen_min=60)
    first = lead(client.get("/").content.decode())
    assert "Jar J1 failed its test" in first
    assert 'href="/jars/discard/J1"' in first
    assert 'href="/jars/recall/J1"' in first


def test_a_jar_that_was_washed_out_is_no_longer_to_be_discarded(client: Any, told: Any) -> None:
    from lacwright.shop.services.jars import discard_jar

    shelf(told)
    mix(told, "J1", 20)
    drop(told, "J1", 1, seen_min=60)
    discard_jar(jar="J1", entry=told(0.5))
    html = re.sub(r"<[^>]*>", " ", client.get("/").content.decode())  # a token may spell anything
    assert "J1" not in html


def test_old_jars_and_old_flakes_are_to_be_tested(client: Any, told: Any) -> None:
    from lacwright.shop.ledger import grams
    from lacwright.shop.services.lots import add_lot

    shelf(told)
    add_lot(name="white", kind="flakes", amount=grams(500), grade="bleached", entry=told(900))
    mix(told, "J old", 600)
    mix(told, "J young", 2)
    html = client.get("/").content.decode()
    due = lead(html) + section(html, "tests")
    assert "Test jar J old on glass" in due
    assert 'href="/jars/test/J%20old"' in due
    assert "Test lot white in fresh alcohol" in due
    assert 'href="/shelf/test/white"' in due
    assert "J young" not in html


def test_a_running_test_says_when_to_look(client: Any, told: Any) -> None:
    shelf(told)
    mix(told, "J1", 20)
    drop(told, "J1", 0.001, tack_free_min=10, seen_min=20)
    html = client.get("/").content.decode()
    assert "Look at the drops of jar J1 again" in section(html, "looks")
    assert "Look at the drops" not in lead(html)


def test_a_rest_of_the_plan_ends_with_the_next_step(filled: Any) -> None:
    html = filled.get("/").content.decode()
    assert "T-12" in html
    assert "T-9" not in html  # closed


def test_a_planned_course_that_is_done_is_handed_over(client: Any, told: Any) -> None:
    from lacwright.shop.services.coats import lay_coat
    from lacwright.shop.services.jobs import start_job

    shelf(told)
    mix(told, "J1", 45)
    step = {
        "what": "coat",
        "lays": True,
        "sands": False,
        "parts": ["top"],
        "faces": [],
        "method": "brush",
        "wait_h": 4.0,
        "rest_days": 0,
        "rest_working_days": 0,
        "abrasive": "",
        "note": "",
        "number": 1,
        "mix": "body",
        "jar": "J1",
        "cut_lb_per_gal": 2.0,
        "grades": ["garnet"],
        "load_ml_m2": 80.0,
        "removes_um": None,
    }
    rest = {**step, "what": "rest", "lays": False, "method": None, "number": None, "mix": None,
            "jar": None, "cut_lb_per_gal": None, "load_ml_m2": None, "rest_days": 10,
            "wait_h": 0.0}  # fmt: skip
    plan = {
        "steps": [step, rest, {**step, "number": 2}],
        "stops": [],
        "cautions": [],
        "zones": [],
        "planned_coats": 2,
        "keys": {"shelf": []},
    }
    for name, days in (("T1", (5,)), ("T2", (40, 20))):
        start_job(job=name, piece_name=name, plan=plan, areas_m2={"top": 0.5}, entry=told(50))
        for ago in days:
            lay_coat(job=name, jar="J1", parts=["top"], method="brush", used_ml=30, entry=told(ago))
    html = client.get("/").content.decode()
    assert "Coat 2 (body, 2-lb) on top" in section(html, "wet")
    assert "rests; until" in section(html, "wet")
    assert "Hand T2 over, or close it" in lead(html) + section(html, "over")
    lay_coat(job="T1", jar="J1", parts=["top"], method="brush", used_ml=30, entry=told(4))
    assert "rests" not in client.get("/").content.decode()


def test_queries_do_not_grow_with_jobs_and_jars(client: Any, told: Any, queries: Any) -> None:
    def fill(start: int, end: int) -> None:
        for n in range(start, end):
            mix(told, f"J{n}", 30)
            job(told, f"T{n}")
            coat(told, f"T{n}", f"J{n}", 2)
            drop(told, f"J{n}", 1, tack_free_min=10, nail_min=90, powder_min=1200)

    shelf(told)
    fill(0, 3)
    client.get("/")
    with queries() as few:
        client.get("/")
    fill(3, 12)
    client.get("/")
    with queries() as many:
        client.get("/")
    assert len(many) == len(few)
