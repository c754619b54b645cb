"""Jars: mixing with amounts worked out, what is in one, tests and the recall, pads and brushes."""

import re
from html import unescape
from typing import Any
from urllib.parse import quote
from uuid import uuid4

import pytest

G_PER_L_PER_CUT = 119.826
"""A pound in a US gallon, by definition (453.59237 g in 3.785411784 l)."""
STEP_G = 0.05
"""The amount is told to 0.1 g."""


@pytest.fixture
def told(helper: Any) -> Any:
    """Return what tells the record about something so many days ago."""
    return helper("filling").past


@pytest.fixture
def names(helper: Any) -> Any:
    """Return the names of the filled shop."""
    return helper("filling")


def at(verb: str, name: str) -> str:
    """Return the address of a jar."""
    return f"/jars/{verb}/{quote(name)}"


def send(client: Any, url: str, **told: Any) -> Any:
    """Send a form with a token of its own."""
    return client.post(url, {"token": uuid4().hex, **told})


def text(response: Any) -> str:
    """Return the page as a person reads it, in one line."""
    html = re.sub(r"<(script|style).*?</\1>", "", response.content.decode(), flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def said(client: Any, response: Any) -> str:
    """Return the page that a form leads to."""
    assert response.status_code == 303, text(response)
    return text(client.get(response["Location"]))


def contents(jar: str) -> Any:
    """Return what the record has in a jar."""
    from lacwright.shop.queries.contents import contents

    return contents(f"jar:{jar}")


def movements() -> int:
    """Return how many movements there are."""
    from lacwright.shop.models import Movement

    return Movement.objects.count()


def last_body() -> dict[str, Any]:
    """Return what the last movement says."""
    from lacwright.shop.models import Movement

    body: dict[str, Any] = Movement.objects.latest("id").body
    return body


def wish(**more: str) -> dict[str, str]:
    """Return what is typed for a mix."""
    return {"flakes": "garnet b/12", "cut": "2", "amount": "1 l", "of": "alcohol",
            "alcohol": "can 7", "second": "", "share": "", **more}  # fmt: skip


# --- the list -----------------------------------------------------------------------------------


def test_an_empty_shop_says_what_to_do_first(client: Any) -> None:
    page = client.get("/jars")
    assert "No jar stands there yet" in text(page)
    assert 'href="/jars/mix"' in page.content.decode()


def test_the_list_marks_what_failed_and_leaves_out_what_was_washed_out(
    filled: Any, names: Any, told: Any
) -> None:
    from lacwright.shop.services.jars import discard_jar

    html = filled.get("/jars").content.decode()
    assert re.search(rf">{names.BAD}</a> <b class=\"mark shut\">failed its test<", html)
    discard_jar(jar=names.OLD, entry=told(1))
    assert names.OLD not in text(filled.get("/jars"))
    assert names.OLD in text(filled.get("/jars?show=all"))
    washed = text(filled.get("/jars?show=washed+out"))
    assert names.OLD in washed
    assert names.GOOD not in washed


def test_the_list_is_filtered_by_name_purpose_and_what_is_inside(filled: Any, names: Any) -> None:
    assert names.GOOD in text(filled.get("/jars?q=body"))
    by_grade = text(filled.get("/jars?q=garnet"))
    assert names.BLEND in by_grade
    assert f" {names.BOUGHT} " not in by_grade
    assert "No jar like that" in text(filled.get("/jars?q=nowhere"))


def test_the_list_pages_with_as_many_queries_for_many_rows(
    client: Any, told: Any, queries: Any
) -> None:
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.jars import Take, mix_jar
    from lacwright.shop.services.lots import add_lot

    add_lot(name="bag", kind="flakes", amount=grams(5000), grade="garnet", entry=told(90))
    add_lot(name="can", kind="alcohol", amount=millilitres(50_000), entry=told(90))
    counts = []
    for start, end in ((0, 4), (4, 34)):
        for n in range(start, end):
            takes = [Take("lot", "bag", grams(10)), Take("lot", "can", millilitres(40))]
            mix_jar(jar=f"J{n}", takes=takes, entry=told(50))
        client.get("/jars")
        with queries() as asked:
            page = client.get("/jars?q=J")
        counts.append(len(asked))
    assert counts[0] == counts[1]
    assert "1 to 30 of 34" in text(page)
    assert "?q=J&page=2" in unescape(page.content.decode())
    assert "J0" in text(client.get("/jars?q=J&page=2"))


# --- mixing -------------------------------------------------------------------------------------


def test_amounts_of_a_cut_are_pounds_on_a_gallon_of_alcohol(filled: Any) -> None:
    page = filled.get("/jars/mix", wish())
    weighed = re.search(r"Weigh\s+([\d.]+) g of garnet b/12 into ([\d.]+) ml", text(page))
    assert weighed is not None
    assert float(weighed[1]) == pytest.approx(2 * G_PER_L_PER_CUT, abs=STEP_G)
    assert float(weighed[2]) == 1000
    assert "240 g on a litre of alcohol" in text(page)
    assert "Flammable liquid" in text(page)  # the cautions stand beside the amounts


def test_two_grades_share_the_resin(filled: Any) -> None:
    told = wish(second="blonde-3", share="25 %")
    page = text(filled.get("/jars/mix", told))
    weighed = re.search(r"([\d.]+) g of garnet b/12 and ([\d.]+) g of blonde-3", page)
    assert weighed is not None
    first, second = float(weighed[1]), float(weighed[2])
    assert second / (first + second) == pytest.approx(0.25, abs=0.001)


def test_what_is_not_on_the_shelf_is_said(filled: Any) -> None:
    page = text(filled.get("/jars/mix", wish(flakes="blonde-3")))
    assert "The book has 120 g" in page


def test_what_was_really_taken_is_written_down(filled: Any) -> None:
    url = "/jars/mix?" + "&".join(f"{k}={quote(v)}" for k, v in wish().items())
    answer = send(filled, url, jar="J7", take_0="236 g", take_1="1 l", purpose="tops",
                  tare="310 g", mouth="62 mm", note="", ago="", at="")  # fmt: skip
    page = said(filled, answer)
    assert answer["Location"] == "/jars/one/J7"
    assert "Jar J7 is written down" in page
    assert "Undo" in page
    inside = contents("J7")
    assert inside.by_lot_ug["garnet b/12"] == 236_000_000
    assert float(inside.mix.alcohol_ml) == pytest.approx(1000)


def test_the_same_token_counts_once(filled: Any) -> None:
    url = "/jars/mix?" + "&".join(f"{k}={quote(v)}" for k, v in wish().items())
    told = {"token": uuid4().hex, "jar": "J7", "take_0": "236 g", "take_1": "1 l"}
    before = movements()
    assert filled.post(url, told).status_code == 303
    assert filled.post(url, told).status_code == 303
    assert movements() == before + 1


def test_a_refusal_stands_at_its_field_and_keeps_what_was_typed(filled: Any, names: Any) -> None:
    url = "/jars/mix?" + "&".join(f"{k}={quote(v)}" for k, v in wish().items())
    before = movements()
    answer = send(filled, url, jar=names.GOOD, take_0="1 cup", take_1="1 l", purpose="tops")
    assert answer.status_code == 422
    html = answer.content.decode()
    assert 'value="1 cup"' in html
    assert 'value="tops"' in html
    assert "weigh them" in text(answer).lower()
    answer = send(filled, url, jar=names.GOOD, take_0="236 g", take_1="1 l")
    assert answer.status_code == 422
    assert f"There is a jar '{names.GOOD}' already" in text(answer)
    assert movements() == before


def test_odd_input_of_the_wish_is_questioned(filled: Any) -> None:
    page = text(filled.get("/jars/mix", wish(cut="240")))
    assert "thicker than anything that pours" in page
    assert "Weigh " not in page
    live = filled.get("/jars/mix", wish(cut="240"), headers={"HX-Request": "true"})
    part = live.content.decode().partition('id="amounts"')[2]
    assert "Cut: " in part  # what is swapped in says what is wrong
    assert "has no unit" in text(filled.get("/jars/mix", wish(amount="500")))


def test_nothing_is_offered_that_failed_its_test(filled: Any, names: Any, told: Any) -> None:
    from lacwright.shop.services.proving import record_test

    record_test(of_kind="lot", of=names.LOT, test="dissolve",
                result={"hours": 60.0, "dissolved": False}, entry=told(1))  # fmt: skip
    html = filled.get("/jars/mix").content.decode()
    assert f'value="{names.LOT}"' not in html
    assert 'value="blonde-3"' in html
    assert f'value="jar {names.BAD}"' not in filled.get(at("add", names.GOOD)).content.decode()


def test_a_bought_mix_stays_claimed_and_without_a_cut_unknown(filled: Any) -> None:
    answer = send(filled, "/jars/fill", jar="tin", amount="500 ml", cut="3", grade="amber",
                  alcohol="", opening="on")  # fmt: skip
    assert "as its label claims" in said(filled, answer)
    answer = send(filled, "/jars/fill", jar="odd", amount="200 ml", cut="")
    assert "make-up" in said(filled, answer)
    assert contents("odd").no_cut is not None


# --- one jar ------------------------------------------------------------------------------------


def test_one_shows_make_up_with_shares(filled: Any, names: Any) -> None:
    page = text(filled.get(at("one", names.BLEND)))
    assert "garnet" in page
    assert "100%" in page
    assert "can 7" in page
    # Its resin was 30 g and what 90 g of the other jar held: the record says how much.
    grams = contents(names.BLEND).mix.total_resin_g
    assert f"{float(grams):.1f} g" in page


def test_a_jar_with_something_of_a_failed_one_in_it_says_so(filled: Any, names: Any) -> None:
    page = text(filled.get(at("one", names.BLEND)))
    assert f"This jar holds something of jar '{names.BAD}', which failed its drying test" in page
    assert "jar recall" not in page  # that is a command; here it is a link
    html = filled.get(at("one", names.BLEND)).content.decode()
    assert f'href="{at("recall", names.BAD)}"' in html
    assert "which failed" not in text(filled.get(at("one", names.GOOD)))


def test_a_jar_that_passed_on_its_own_is_not_asked_for_a_test(
    filled: Any, names: Any, told: Any
) -> None:
    from lacwright.shop.services.proving import record_test
    from lacwright.shop.verdict import Times

    record_test(of_kind="jar", of=names.BLEND, test="drying", jar=Times(10, 90, 1200),
                control=Times(10, 90, 1200), entry=told(1))  # fmt: skip
    page = text(filled.get(at("one", names.BLEND)))
    assert "this jar itself passed its test" in page
    assert "test it beside a drop" not in page


def test_a_jar_of_flakes_that_failed_says_so(filled: Any, names: Any, told: Any) -> None:
    from lacwright.shop.services.proving import record_test

    record_test(of_kind="lot", of=names.LOT, test="dissolve",
                result={"hours": 60.0, "dissolved": False}, entry=told(1))  # fmt: skip
    page = text(filled.get(at("one", names.GOOD)))
    assert f"This jar holds something of lot '{names.LOT}', which failed its" in page
    assert f'href="/shelf/recall/{quote(names.LOT)}"' in filled.get(
        at("one", names.GOOD)).content.decode()  # fmt: skip


def test_a_failed_jar_is_stopped_on_its_page(filled: Any, names: Any) -> None:
    html = filled.get(at("one", names.BAD)).content.decode()
    assert "STOP" in html
    assert f'href="{at("recall", names.BAD)}"' in html
    assert f'href="{at("pour", names.BAD)}"' not in html


def test_an_unknown_jar_is_a_page_with_the_nearest(filled: Any) -> None:
    answer = filled.get("/jars/one/J99")
    assert answer.status_code == 404
    assert "There is no jar 'J99' in the record. " in text(answer)


# --- tests and the recall -----------------------------------------------------------------------


def test_a_failed_test_leads_to_the_recall_at_once(filled: Any, names: Any) -> None:
    answer = send(filled, at("test", names.GOOD), seen="45 min", control_tack_free="10 min",
                  control_nail="90 min", temp="21 C", rh="45 %")  # fmt: skip
    assert answer["Location"] == at("recall", names.GOOD)
    page = said(filled, answer)
    assert f"Drying test of jar {names.GOOD}: failed" in page
    assert "still tacky" in page
    for carried in (names.PIECE, names.BRUSH, "coats laid before that are not listed"):
        assert carried in page
    assert names.PANEL in text(filled.get(at("recall", names.GOOD) + "?everything=on"))
    assert "no drain, no closed bin" in page


def test_a_passed_test_leads_back_to_the_jar(filled: Any, names: Any) -> None:
    answer = send(
        filled,
        at("test", names.GOOD),
        tack_free="12 min",
        nail="1.5 h",
        powder="20 h",
        control_tack_free="10 min",
        control_nail="1 h",
        control_powder="18 h",
    )
    assert answer["Location"] == at("one", names.GOOD)
    assert "passed" in said(filled, answer)


def test_a_test_goes_on_where_it_was_left(filled: Any, names: Any) -> None:
    answer = send(filled, at("test", names.GOOD), tack_free="12 min", seen="20 min")
    assert "running" in said(filled, answer)
    page = text(filled.get(at("test", names.GOOD)))
    assert "A test is running" in page
    assert "tack-free 12 min" in page
    answer = send(filled, at("test", names.GOOD), nail="90 min", powder="20 h")
    assert "passed" in said(filled, answer)


def test_times_that_cannot_be_are_refused_at_the_drop_they_are_of(filled: Any, names: Any) -> None:
    answer = send(filled, at("test", names.GOOD), tack_free="12 min", control_tack_free="2 h",
                  control_nail="1 h")  # fmt: skip
    assert answer.status_code == 422
    html = answer.content.decode()
    assert re.search(r'id="id_control_nail_error">\s*60 min lies before an earlier stage', html)
    assert 'value="12 min"' in html
    nothing = send(filled, at("test", names.GOOD), temp="21 C")
    assert "Nothing is said of the drop of the jar" in text(nothing)


def test_a_dried_sample_tells_the_cut_beside_the_book(filled: Any, names: Any) -> None:
    answer = send(filled, at("sample", names.GOOD), sample="5 g", dry="1.1 g")
    page = said(filled, answer)
    assert "The dried sample says a" in page
    book = re.search(r"The book has a ([\d.]+)-lb cut", page)
    assert book is not None
    cut = float(contents(names.GOOD).mix.cut_lb_per_gal)
    assert float(book[1]) == pytest.approx(cut, rel=0.005)  # it is told to three digits


def test_a_drop_of_water_on_a_young_film_says_nothing(filled: Any, names: Any) -> None:
    answer = send(filled, at("spot", names.GOOD), hours="2 h", white="yes", film_days="2 days")
    assert "not judged" in said(filled, answer)


def test_the_recall_can_start_elsewhere(filled: Any, names: Any) -> None:
    import datetime as dt

    whole = text(filled.get(at("recall", names.GOOD) + "?everything=on"))
    since = (dt.datetime.now() - dt.timedelta(days=10)).strftime("%Y-%m-%dT%H:%M")
    later = text(filled.get(at("recall", names.GOOD) + f"?since={since}"))
    count = re.compile(r"(\d+) coats on")
    assert count.search(whole) is not None
    assert count.search(later) is not None
    assert int(count.search(later)[1]) < int(count.search(whole)[1])  # type: ignore[index]
    assert "laid before that" in later


# --- what happens to a jar ----------------------------------------------------------------------


def test_looking_at_forms_writes_nothing(filled: Any, names: Any) -> None:
    before = movements()
    for verb in ("cut", "add", "pour", "weigh", "change", "test", "spot", "sample", "discard"):
        assert filled.get(at(verb, names.GOOD)).status_code == 200
    assert movements() == before


def test_pouring_into_a_jar_a_pad_the_waste_and_a_clean_jar(filled: Any, names: Any) -> None:
    url = at("pour", names.GOOD)
    assert "Poured" in said(filled, send(filled, url, amount="50 ml", to=f"jar {names.OLD}"))
    assert "pad 1" in said(filled, send(filled, url, amount="5 ml", to=f"applicator {names.PAD}"))
    assert "the waste" in said(filled, send(filled, url, amount="5 ml", to="waste"))
    answer = send(filled, url, amount="all", to="new", to_new="clean 1")
    assert answer["Location"] == "/jars/one/clean%201"
    assert contents(names.GOOD).empty
    refused = send(filled, at("pour", names.OLD), amount="5 ml", to="new", to_new=names.GOOD)
    assert refused.status_code == 422
    assert "already" in text(refused)


def test_a_jar_is_brought_to_a_cut(filled: Any, names: Any) -> None:
    url = at("cut", names.GOOD) + "?cut=1&lot=" + quote(names.SPIRIT)
    page = text(filled.get(url))
    added = re.search(r"Add ([\d.]+) ml of can 7", page)
    assert added is not None
    held = contents(names.GOOD).mix
    needed = float(held.total_resin_g) / G_PER_L_PER_CUT * 1000 - float(held.alcohol_ml)
    assert float(added[1]) == pytest.approx(needed, abs=0.5)
    assert "1.00-lb cut" in said(filled, send(filled, url))
    assert float(contents(names.GOOD).mix.cut_lb_per_gal) == pytest.approx(1.0, abs=1e-4)


def test_the_wrong_lot_for_a_cut_is_refused_with_the_right_kind(filled: Any, names: Any) -> None:
    page = text(filled.get(at("cut", names.GOOD) + "?cut=3&lot=" + quote(names.SPIRIT)))
    assert "it needs flakes" in page
    assert "--with" not in page


def test_adding_from_lots_jars_and_what_nobody_named(filled: Any, names: Any) -> None:
    url = at("add", names.GOOD)
    before = contents(names.GOOD).total_g
    said(filled, send(filled, url, source=f"lot {names.SPIRIT}", amount="100 ml", why="thin"))
    said(filled, send(filled, url, source=f"jar {names.OLD}", amount="20 g", why="top-up"))
    said(filled, send(filled, url, source="grade garnet", amount="5 g", why="strengthen"))
    assert contents(names.GOOD).total_g > before + 20
    refused = send(filled, url, source=f"lot {names.LOT}", amount="100 ml", why="")
    assert refused.status_code == 422
    assert "--amount" not in text(refused)


def test_what_goes_into_a_failed_jar_needs_a_reason(filled: Any, names: Any) -> None:
    url = at("add", names.BAD)
    page = text(filled.get(url))
    assert "STOP" in page
    assert "Why it went in all the same" in page
    adding = {"source": f"lot {names.SPIRIT}", "amount": "20 ml", "why": "thin"}
    before = movements()
    refused = send(filled, url, **adding)
    assert refused.status_code == 422
    assert 'value="20 ml"' in refused.content.decode()  # what was typed is kept
    assert movements() == before
    assert "Written down" in said(filled, send(filled, url, **adding, in_spite="seen too late"))
    assert last_body()["in_spite"] == "seen too late"


def test_a_failed_jar_is_brought_to_a_cut_with_a_reason_only(filled: Any, names: Any) -> None:
    url = at("cut", names.BAD) + "?cut=1&lot=" + quote(names.SPIRIT)
    assert "Why it went in all the same" in text(filled.get(url))
    assert send(filled, url).status_code == 422
    said(filled, send(filled, url, in_spite="for a panel that shows the fault"))
    assert last_body()["in_spite"] == "for a panel that shows the fault"


def test_pouring_into_a_failed_jar_asks_why_once_it_is_refused(filled: Any, names: Any) -> None:
    url = at("pour", names.GOOD)
    html = filled.get(url).content.decode()
    assert f'value="jar {names.BAD}"' in html.partition('<optgroup label="Shut">')[2]
    assert "all the same" not in html
    refused = send(filled, url, amount="20 ml", to=f"jar {names.BAD}")
    assert refused.status_code == 422
    page = text(refused)
    assert "do not cure it" in page
    assert 'under "Why it went in all the same"' in page
    assert "--in-spite" not in page
    answer = send(filled, url, amount="20 ml", to=f"jar {names.BAD}", in_spite="by mistake")
    assert "Poured" in said(filled, answer)
    assert last_body()["in_spite"] == "by mistake"


def test_what_went_in_before_the_test_needs_no_reason(filled: Any, names: Any) -> None:
    page = send(filled, at("add", names.BAD), source=f"lot {names.SPIRIT}", amount="1 ml",
                why="", ago="200 h")  # fmt: skip
    assert page.status_code == 303, text(page)


def test_the_scale_goes_before_the_book(filled: Any, names: Any) -> None:
    net = contents(names.GOOD).total_g
    answer = send(filled, at("weigh", names.GOOD), gross=f"{310 + net - 20:.2f} g", gone="air")
    page = said(filled, answer)
    assert "20.0 g" in page
    assert "taken as evaporated" in page
    assert "bring it back" in page
    assert contents(names.GOOD).total_g == pytest.approx(net - 20, abs=0.01)
    light = send(filled, at("weigh", names.GOOD), gross="100 g", gone="air")
    assert light.status_code == 422
    assert "less than the empty jar" in text(light)


def test_a_jar_without_a_tare_is_weighed_without_the_jar(filled: Any, names: Any) -> None:
    html = filled.get(at("weigh", names.OLD)).content.decode()
    assert 'name="gross"' not in html
    assert said(filled, send(filled, at("weigh", names.OLD), net="200 g", gone="waste"))


def test_what_is_known_of_a_jar_is_changed(filled: Any, names: Any) -> None:
    answer = send(filled, at("change", names.OLD), purpose="legs", tare="12 oz", mouth="60 mm",
                  note="")  # fmt: skip
    page = said(filled, answer)
    assert "legs" in page
    assert "340 g (12.0 oz)" in page
    assert send(filled, at("change", names.OLD), purpose="legs", tare="12 oz",
                mouth="60 mm").status_code == 422  # fmt: skip


def test_discarding_asks_on_a_page_of_its_own(filled: Any, names: Any) -> None:
    page = text(filled.get(at("discard", names.BAD)))
    assert "no drain, no closed bin" in page
    answer = send(filled, at("discard", names.BAD), reason="it stayed soft")
    assert "poured away" in said(filled, answer)
    again = send(filled, at("discard", names.BAD))
    assert again.status_code == 422
    assert "washed out" in text(again)


def test_what_was_done_can_be_taken_back(filled: Any, names: Any) -> None:
    page = filled.get(send(filled, at("discard", names.BAD))["Location"]).content.decode()
    undo = re.search(r'action="(/log/undo/\d+)"', page)
    assert undo is not None
    send(filled, undo[1], back="/jars")
    assert names.BAD in text(filled.get("/jars"))


def test_something_done_earlier_is_written_down_with_its_hour(filled: Any, names: Any) -> None:
    from lacwright.shop.models import Movement

    send(filled, at("pour", names.GOOD), amount="5 ml", to="waste", ago="2 days")
    last = Movement.objects.order_by("-id")[0]
    assert last.written_us - last.at_us == pytest.approx(2 * 86_400e6, rel=1e-6)


# --- pads and brushes ---------------------------------------------------------------------------


def test_pads_are_listed_added_and_washed_out(filled: Any, names: Any) -> None:
    page = filled.get("/pads")
    assert f"{names.BRUSH} is washed out" in text(page)
    assert "of garnet b/12" in text(page)
    assert "clean" in said(filled, send(filled, "/pads/new", name="pad 9", kind="pad"))
    assert send(filled, "/pads/new", name="pad 9", kind="pad").status_code == 422
    washed = said(filled, send(filled, f"/pads/wash/{quote(names.BRUSH)}"))
    assert f"{names.BRUSH} is washed out, " in washed
    assert names.BRUSH not in text(filled.get(at("recall", names.GOOD))).partition(
        "Pads and brushes")[2]  # fmt: skip
    assert "None like that" in text(filled.get("/pads?q=nowhere"))


def test_queries_for_pads_do_not_grow(client: Any, told: Any, queries: Any) -> None:
    from lacwright.shop.services.applicators import add_applicator

    counts = []
    for start, end in ((0, 2), (2, 20)):
        for n in range(start, end):
            add_applicator(name=f"pad {n}", kind="pad", entry=told(1))
        client.get("/pads")
        with queries() as asked:
            client.get("/pads")
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_a_long_recall_comes_in_pages_and_on_one_to_print(
    filled: Any, names: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = filled.get(at("recall", names.BAD)).content.decode()
    carried = re.findall(r'<section class="carries"><h3><a href="([^"]+)"', whole)
    assert len(carried) > 1
    assert "on one page" not in whole
    monkeypatch.setattr("lacwright.bench.paging.LENGTH", 1)
    first = filled.get(at("recall", names.BAD)).content.decode()
    shown = re.findall(r'<section class="carries"><h3><a href="([^"]+)"', first)
    assert shown == carried[:1]
    assert f"All {len(carried)} pieces and panels on one page" in first
    assert "coats on" in text(filled.get(at("recall", names.BAD)))  # the answer counts all
    second = filled.get(at("recall", names.BAD) + "?page=2").content.decode()
    assert f'<h3><a href="{carried[1]}"' in second
    assert filled.get(at("recall", names.BAD) + "?all=yes").content.decode().count(
        '<section class="carries">') == len(carried)  # fmt: skip
