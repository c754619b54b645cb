"""Panels: boards to try or show a finish on."""

import re
from html import unescape
from typing import Any
from urllib.parse import quote
from uuid import uuid4

import pytest


@pytest.fixture
def told(helper: Any) -> Any:
    """Return what tells the record about something so many days ago."""
    return helper("filling").past


@pytest.fixture
def names(helper: Any) -> Any:
    """Return the names of the filled shop."""
    return helper("filling")


def at(verb: str, name: str) -> str:
    """Return the address of a panel."""
    return f"/panels/{verb}/{quote(name)}"


def send(client: Any, url: str, **told: Any) -> Any:
    """Send a form with a token of its own."""
    return client.post(url, {"token": uuid4().hex, **told})


def text(response: Any) -> str:
    """Return the page as a person reads it, in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def said(client: Any, response: Any) -> str:
    """Return the page that a form leads to."""
    assert response.status_code == 303, text(response)
    return text(client.get(response["Location"]))


def test_a_shop_without_panels_says_what_they_are_for(client: Any) -> None:
    assert "No panel is written down yet" in text(client.get("/panels"))


def test_a_panel_is_written_down_and_found(client: Any) -> None:
    answer = send(client, "/panels/add", name="steps 1", title="three steps", wood="walnut",
                  area="1 sqft", note="keep it dark")  # fmt: skip
    page = said(client, answer)
    assert answer["Location"] == "/panels/one/steps%201"
    assert "Nothing is laid on it yet" in page
    assert "0.0929 m² (1 sq ft)" in page
    assert "steps 1" in text(client.get("/panels?q=walnut"))
    assert "No panel like that" in text(client.get("/panels?q=oak"))
    assert client.get("/panels/add").context["form"]["name"].value() == "steps 2"


def test_odd_input_is_questioned_and_kept(client: Any) -> None:
    answer = send(client, "/panels/add", name="P1", title="gloss", area="a lot")
    assert answer.status_code == 422
    assert 'value="a lot"' in answer.content.decode()
    assert "is not a" in text(answer)


def test_one_says_what_is_on_it_and_what_it_was_agreed_on_for(filled: Any, names: Any) -> None:
    page = filled.get(at("one", names.PANEL))
    assert "1 coat" in text(page).lower()
    assert names.LOT in text(page)
    html = page.content.decode()
    assert f'href="/jobs/one/{quote(names.BARE_JOB)}"' in html
    assert f'href="/pieces/coat/{quote(names.PANEL)}"' in html


def test_a_failed_jar_is_said_on_the_panel(filled: Any, names: Any) -> None:
    from lacwright.shop.services.proving import record_test
    from lacwright.shop.verdict import Times

    assert "STOP" not in text(filled.get(at("one", names.PANEL)))
    record_test(of_kind="jar", of=names.GOOD, test="drying", jar=Times(seen_min=60),
                control=Times(10, 90, 1200), entry=names.past(0))  # fmt: skip
    html = filled.get(at("one", names.PANEL)).content.decode()
    assert "STOP" in html
    assert f'href="/jars/recall/{names.GOOD}"' in html


def test_a_piece_is_no_panel(filled: Any, names: Any) -> None:
    answer = filled.get(at("one", names.PIECE))
    assert answer["Location"] == f"/pieces/one/{quote(names.PIECE)}"
    assert filled.get("/panels/one/nobody").status_code == 404


def test_what_is_known_of_a_panel_is_changed(filled: Any, names: Any) -> None:
    answer = send(filled, at("change", names.PANEL), title="gloss", wood="oak", area="0.2 m2",
                  note="")  # fmt: skip
    page = said(filled, answer)
    assert "oak" in page
    assert "0.2 m²" in page
    same = send(filled, at("change", names.PANEL), title="gloss", wood="oak", area="0.2 m2")
    assert same.status_code == 422


def test_a_drop_of_water_on_a_panel(filled: Any, names: Any) -> None:
    answer = send(filled, at("spot", names.PANEL), hours="1 h", white="yes", film_days="20 days")
    assert answer["Location"] == at("one", names.PANEL)
    assert "not judged. A white mark after 1 h" in said(filled, answer)


def test_the_list_asks_as_many_queries_for_many_rows(client: Any, told: Any, queries: Any) -> None:
    from lacwright.shop.services.pieces import add_piece

    counts = []
    for start, end in ((0, 4), (4, 34)):
        for n in range(start, end):
            add_piece(name=f"P{n}", kind="panel", wood="oak", entry=told(1))
        client.get("/panels")
        with queries() as asked:
            page = client.get("/panels")
        counts.append(len(asked))
    assert counts[0] == counts[1]
    assert "1 to 30 of 34" in text(page)


def test_a_colour_that_was_foretold_and_read_is_told_in_sentences(client: Any, told: Any) -> None:
    from lacwright.shop.services.pieces import add_piece
    from lacwright.shop.services.proving import record_test

    add_piece(name="strip 9", kind="panel", wood="maple", entry=told(9))
    panel = {"of_kind": "piece", "of": "strip 9"}
    record_test(**panel, test="colour-look", result={"film": {"amber": 7.0}}, entry=told(8))
    page = text(client.get(at("one", "strip 9")))
    assert "A look was foretold" in page
    assert "Foretold for 7 g/m2 amber: " in page
    record_test(**panel, test="colour-panel", entry=told(7), result={
        "grade": "amber", "load_per_coat": "3.5 g/m2",
        "band": [{"coats": "bare", "lab": [83.2, 3.5, 17.1]},
                 {"coats": 2, "lab": [78.0, 4.9, 26.4]}, {"coats": 4, "lab": [76.6, 5.4, 29.9]}],
    })  # fmt: skip
    page = text(client.get(at("one", "strip 9")))
    assert "The colour of its bands was read" in page
    assert "By itself it says that amber is " in page
    assert "not judged" not in page
