"""A jar or lot that failed its test is told as such on every list in which it stands."""

import html
import re
from typing import Any

import pytest

FAILED = "failed its test"


@pytest.fixture
def told(helper: Any) -> Any:
    """Return what tells the record about something so many days ago."""
    return helper("filling").past


def text_of(answer: Any) -> str:
    plain = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(plain))


def options(answer: Any) -> set[str]:
    """Return the words of all choices of a page."""
    found = re.findall(r"<option[^>]*>([^<]*)</option>", answer.content.decode())
    return {html.unescape(words) for words in found}


def fail(told: Any, of: str, *, kind: str = "jar", days: float = 1) -> None:
    """Write down a test that failed."""
    from lacwright.shop.services.proving import record_test
    from lacwright.shop.verdict import Times

    drop = {"jar": Times(seen_min=60), "control": Times(8, 80, 1000)} if kind == "jar" else {}
    more = {} if kind == "jar" else {"result": {"dissolved": False, "hours": 96.0}}
    record_test(of_kind=kind, of=of, test="drying" if kind == "jar" else "dissolve", temp_c=21,
                rh=0.5, entry=told(days), **drop, **more)  # fmt: skip


@pytest.mark.parametrize(
    ("url", "says"),
    [
        ("/jars", "J2 failed its test"),
        ("/", "J2 failed its test"),
        ("/search?q=J2", "J2 failed its test"),
        ("/jars/recall/J2", "J2 failed its test"),
        ("/shelf/went/garnet%20b/12", "J2 failed its test"),
        ("/shelf/recall/garnet%20b/12", "J2 failed its test"),
    ],
)
def test_a_list_says_it_beside_the_name(filled: Any, url: str, says: str) -> None:
    assert says in text_of(filled.get(url))


@pytest.mark.parametrize(
    ("url", "words"),
    [
        ("/jobs/coat/T-12", f"J2, {FAILED}"),
        ("/jobs/fault/T-12", f"J2, {FAILED}"),
        ("/pieces/coat/hall%20table", f"J2, {FAILED}"),
        ("/pieces/build?mixes=1", f"jar J2, {FAILED}"),
        ("/jars/pour/J1", f"jar J2, {FAILED}"),
    ],
)
def test_a_choice_says_it(filled: Any, url: str, words: str) -> None:
    if url.startswith("/pieces/build"):
        answer = filled.post("/pieces/build", {"do": "add-mix", "title": ""})
    else:
        answer = filled.get(url)
    found = options(answer)
    assert words in found
    assert not {"J2", "jar J2", "ready jar J2"} & found


def test_a_jar_that_failed_and_was_poured_away_still_says_so(filled: Any, told: Any) -> None:
    from lacwright.shop.services.jars import discard_jar

    discard_jar(jar="J2", entry=told(0.1))
    assert f"J2 discarded, {FAILED}" in text_of(filled.get("/jars?show=all&q=J2"))


def test_the_page_of_a_jar_says_it_of_a_jar_it_went_into(client: Any, told: Any) -> None:
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.jars import Take, mix_jar
    from lacwright.shop.services.lots import add_lot

    add_lot(name="bag", kind="flakes", amount=grams(900), grade="garnet", entry=told(100))
    add_lot(name="can", kind="alcohol", amount=millilitres(900), alcohol="ethanol-190",
            entry=told(100))  # fmt: skip
    takes = [Take("lot", "bag", grams(100)), Take("lot", "can", millilitres(400))]
    mix_jar(jar="J1", takes=takes, entry=told(20))
    mix_jar(jar="J5", takes=[Take("jar", "J1", grams(50))], entry=told(10))
    fail(told, "J5")
    page = text_of(client.get("/jars/one/J1"))
    assert f"J5 {FAILED}" in page
    assert f"J1 {FAILED}" not in page


def test_the_next_step_of_a_job_says_it_of_its_jar(client: Any, told: Any) -> None:
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.jars import Take, mix_jar
    from lacwright.shop.services.jobs import start_job
    from lacwright.shop.services.lots import add_lot

    add_lot(name="bag", kind="flakes", amount=grams(900), grade="garnet", entry=told(100))
    add_lot(name="can", kind="alcohol", amount=millilitres(900), alcohol="ethanol-190",
            entry=told(100))  # fmt: skip
    takes = [Take("lot", "bag", grams(100)), Take("lot", "can", millilitres(400))]
    mix_jar(jar="J1", takes=takes, entry=told(20))
    step = {"what": "coat", "lays": True, "sands": False, "parts": ["top"], "faces": [],
            "method": "brush", "wait_h": 4.0, "rest_days": 0, "rest_working_days": 0,
            "abrasive": "", "note": "", "number": 1, "mix": "body", "jar": "J1",
            "cut_lb_per_gal": 2.0, "grades": ["garnet"], "load_ml_m2": 80.0,
            "removes_um": None}  # fmt: skip
    plan = {"steps": [step], "stops": [], "cautions": [], "zones": [], "planned_coats": 1,
            "keys": {"shelf": [], "finish": None}, "figures": {}}  # fmt: skip
    start_job(job="B-1", piece_name="board", plan=plan, areas_m2={"top": 0.5}, entry=told(9))
    assert "From jar J1 ." in text_of(client.get("/jobs/one/B-1"))
    fail(told, "J1")
    assert "From jar J1 : it failed its drying test of" in text_of(client.get("/jobs/one/B-1"))


def test_a_failed_lot_is_told_in_a_search_and_among_what_is_short(client: Any, told: Any) -> None:
    from lacwright.shop.ledger import grams
    from lacwright.shop.services.lots import add_lot

    add_lot(name="old bag", kind="flakes", amount=grams(50), grade="blonde",
            order_below=grams(100), entry=told(100))  # fmt: skip
    fail(told, "old bag", kind="lot")
    assert f"old bag {FAILED}" in text_of(client.get("/search?q=old"))
    assert f"Short: old bag ({FAILED})." in text_of(client.get("/"))
    keep = client.get("/mix?volume=200+ml&cut=2&grade=blonde&alcohol=")
    choices = options(keep)
    assert f"old bag (blonde), {FAILED}" in choices
    assert "old bag" not in choices


def test_a_failed_jar_is_to_be_discarded_however_long_nobody_touched_it(
    client: Any, told: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.queries import now
    from lacwright.shop.services.jars import Take, mix_jar
    from lacwright.shop.services.lots import add_lot

    monkeypatch.setattr(now, "JARS", 1)
    monkeypatch.setattr(now, "LOTS", 1)
    for name in ("bag", "newer"):
        add_lot(name=name, kind="flakes", amount=grams(900), grade="garnet", entry=told(100))
    add_lot(name="can", kind="alcohol", amount=millilitres(900), alcohol="ethanol-190",
            entry=told(100))  # fmt: skip
    takes = [Take("lot", "newer", grams(20)), Take("lot", "can", millilitres(80))]
    mix_jar(jar="J1", takes=takes, entry=told(20))
    fail(told, "J1", days=15)
    fail(told, "bag", kind="lot", days=15)
    mix_jar(jar="J6", takes=takes, entry=told(1))
    page = text_of(client.get("/"))
    assert "Jar J1 failed its test" in page
    assert "Take lot bag off the shelf" in page
