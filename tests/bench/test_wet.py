"""The wet coat now: what comes when, on a job's page, on the first page; whether it whitened."""

import re
from html import unescape
from typing import Any
from urllib.parse import quote
from uuid import uuid4

import pytest

JOB, PIECE = "table job", "wet table"


def text(response: Any) -> str:
    """Return the page as a person reads it, in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def at(verb: str, room: str = "jobs", name: str = JOB) -> str:
    """Return an address."""
    return f"/{room}/{verb}/{quote(name)}"


@pytest.fixture
def wet(client: Any, helper: Any) -> Any:
    """Return a client of a shop with two coats on a job, the last half an hour old."""
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.coats import lay_coat
    from lacwright.shop.services.jars import Take, mix_jar
    from lacwright.shop.services.jobs import start_job
    from lacwright.shop.services.lots import add_lot
    from lacwright.shop.services.pieces import add_piece
    from lacwright.shop.services.readings import add_reading

    past = helper("filling").past
    add_lot(name="bag", kind="flakes", amount=grams(1000), grade="garnet", entry=past(9))
    add_lot(name="can", kind="alcohol", amount=millilitres(5000), alcohol="ethanol-190",
            entry=past(9))  # fmt: skip
    mix_jar(jar="J", takes=[Take("lot", "bag", grams(120)), Take("lot", "can", millilitres(500))],
            entry=past(8))  # fmt: skip
    add_piece(name=PIECE, wood="walnut", areas_m2={"top": 0.5}, entry=past(7))
    start_job(job=JOB, piece_name=PIECE, entry=past(7))
    half_an_hour = 0.5 / 24
    for days in (3, half_an_hour):
        lay_coat(job=JOB, jar="J", parts=("top",), method="brush", used_ml=45, entry=past(days))
    add_reading(temp_c=20, rh=0.45, entry=past(half_an_hour))
    return client


def test_the_wet_coat_says_what_it_does_and_what_comes_when(wet: Any) -> None:
    answer = wet.get(at("wet"))
    page = text(answer)
    (coat,) = answer.context["page"].coats
    assert coat.head == "Coat on top, brush"
    assert coat.age == "30 min"
    assert [s.words for s in coat.stages] == ["Touch-dry", "Print-free", "Next coat", "Sandable"]
    assert coat.stages[0].past
    assert coat.next == coat.stages[1]
    assert re.search(r"Touch-dry Print-free about (today|tomorrow) \d\d:\d\d ?, between ", page)
    assert "film only, air not estimated" in page
    assert "20.0 °C, 45 %" in page
    assert "never a wet brush in that air" in page
    assert "no flame, glowing heater, hot-air gun or lamp" in page


def test_a_time_whose_late_end_lies_beyond_the_week_says_so(shop: Any) -> None:
    import datetime as dt

    from lacwright.bench.pages.wet import _stage
    from lacwright.shop.queries.wet_now import Moment

    hour_us = 3_600_000_000
    now = 1_804_000_000_000_000  # Wed 2 Mar 2027, 21:46:40 UTC
    late = Moment(now + 30 * hour_us, now + 3 * hour_us, now + 168 * hour_us, open_ended=True)
    stage = _stage("sandable", late, dt.UTC, now)
    assert stage.span.startswith("from ")
    assert stage.span.endswith(" to beyond 7 days")
    near = Moment(now + 30 * hour_us, now + 3 * hour_us, now + 60 * hour_us)
    assert _stage("sandable", near, dt.UTC, now).span.startswith("between ")


def test_in_damp_air_it_says_what_to_do(wet: Any) -> None:
    answer = wet.get(at("wet"), {"temp": "20 C", "rh": "85 %"})
    (coat,) = answer.context["page"].coats
    assert coat.warning.startswith("It whitens in that air")
    assert "then a damp pad or a mist of slow alcohol" in coat.warning
    assert [s.at for s in coat.stages][1:] == [None, None, None]
    assert "withheld" in coat.stages[1].why


def test_the_curve_has_an_address_of_its_own(wet: Any) -> None:
    answer = wet.get(at("wet-drawn/0"))
    assert answer["Content-Type"].startswith("image/svg+xml")
    assert "The film falls to" in answer.content.decode()
    assert wet.get(at("wet-drawn/7")).status_code == 404
    assert wet.get(at("wet-drawn/0", "pieces", PIECE)).status_code == 200


def test_without_a_reading_it_asks_for_the_air(wet: Any, helper: Any) -> None:
    from lacwright.shop.models import Movement
    from lacwright.shop.services.amend import undo

    reading = Movement.objects.get(kind="reading")
    undo(movement=reading.pk, entry=helper("filling").past(0))
    answer = wet.get(at("wet"))
    assert "The model says nothing of it: temperature and humidity were not read" in text(answer)
    assert answer.context["asks_air"]
    answer = wet.get(at("wet"), {"temp": "20 C", "rh": "45 %"})
    assert answer.context["page"].coats[0].stages
    answer = wet.get(at("wet"), {"temp": "warm", "rh": "45 %"})
    assert answer.status_code == 422
    assert answer.context["form"]["temp"].value() == "warm"


def test_the_job_leads_to_it_and_asks_the_model_for_nothing(wet: Any, queries: Any) -> None:
    page = wet.get(at("one")).content.decode()
    assert f'href="{at("wet")}"' in page
    assert f'hx-get="{at("wet")}" hx-trigger="load"' in page
    assert f"/hours?for=job:{quote(JOB)}" in page


def test_the_first_page_tells_the_time_of_the_model_once_it_is_known(wet: Any, helper: Any) -> None:
    before = text(wet.get("/"))
    assert "What is it doing now?" in before
    assert "by the model" not in before
    wet.get(at("wet"))
    assert re.search(r"by the model, of the film alone, (today|tomorrow) \d\d:\d\d, between",
                     text(wet.get("/")))  # fmt: skip
    from lacwright.shop.services.events import note

    note(job=JOB, text="anything", entry=helper("filling").past(0))
    assert "by the model" not in text(wet.get("/")), "the record has changed"


def test_it_whitened_or_stayed_clear_is_kept_as_a_bound(wet: Any) -> None:
    from lacwright.shop.queries.own_figures import own_figures

    (coat,) = wet.get(at("wet")).context["page"].coats
    url = at("whitened", "pieces", PIECE) + f"?coat={coat.movement}"
    answer = wet.post(url, {"token": uuid4().hex})
    assert answer.status_code == 422
    assert answer.context["form"].errors["whitened"]
    damp = {"whitened": "yes", "temp": "20 C", "rh": "75 %"}
    answer = wet.post(url, {"token": uuid4().hex, **damp})
    assert answer.status_code == 303, text(answer)
    page = text(wet.get(answer["Location"]))
    assert "water tolerance below" in page
    assert "A coat whitened" in page
    line = own_figures(only=["drying.water_tolerance"])["drying.water_tolerance"]
    assert line.n == 1
    answer = wet.post(url, {"token": uuid4().hex, "whitened": "no"})
    assert "water tolerance" in text(wet.get(answer["Location"]))


def test_a_piece_on_which_nothing_is_wet_says_so(wet: Any, helper: Any) -> None:
    from lacwright.shop.services.pieces import add_piece

    add_piece(name="bare", wood="oak", entry=helper("filling").past(1))
    page = text(wet.get(at("wet", "pieces", "bare")))
    assert "No coat of the last seven days lies on it." in page
