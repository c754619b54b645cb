"""Usable hours: a table of air is read in, looked at, judged for a coat, changed in one thing."""

import datetime as dt
import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

DAYS = 3
BY_HAND = {"coats": "hand", "method": "brush", "wet": "100 um", "cut": "2",
           "alcohol": "ethanol-190", "wood": "maple", "thickness": "20 mm"}  # fmt: skip


def forecast(days: int = DAYS, damp_rh: int = 90) -> str:
    """Return hours at 20 C: a damp day first, then dry ones."""
    begin = dt.datetime(2036, 3, 1)
    rows = (f"{begin + dt.timedelta(hours=n):%Y-%m-%d %H:%M},20,{damp_rh if n < 24 else 40}"
            for n in range(24 * days))  # fmt: skip
    return "\n".join(["time,temp C,rh %", *rows])


def text(response: Any) -> str:
    """Return the page as a person reads it, in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def read_in(client: Any, table: str, **more: str) -> str:
    """Read a table in and return where it is looked at."""
    answer = client.post("/hours", {"text": table, "zone": "UTC", **more})
    assert answer.status_code == 303, text(answer)
    return str(answer["Location"])


@pytest.fixture
def usable(client: Any) -> Callable[..., Any]:
    """Return what asks which hours of the forecast are usable."""
    sha = read_in(client, forecast()).rpartition("/")[2]

    def ask(**more: str) -> Any:
        return client.get(f"/hours/usable/{sha}?{urlencode({**BY_HAND, **more})}")

    return ask


def test_what_was_read_is_shown_with_all_that_is_odd(client: Any) -> None:
    lines = forecast(1).splitlines()
    odd = [lines[0], *lines[2:5], lines[1], lines[5], lines[5], *lines[9:]]
    page = text(client.get(read_in(client, "\n".join(odd))))
    assert "21 hours, Sat 1 Mar 0:00 to Sat 1 Mar 23:00" in page
    assert "20.0 to 20.0 °C (68 to 68 °F), 90 to 90 %" in page
    assert "not in the order of their times (1 place): sorted" in page
    assert "the same time and air once more; counted once" in page
    assert "Nothing between Sat 1 Mar 04:00 and Sat 1 Mar 08:00" in page


def test_a_table_that_cannot_be_read_says_why_and_stays(client: Any) -> None:
    wrong = "time,temp C,rh %\n2036-03-01 08:00,warm,60\n2036-03-01 09:00,20,160"
    answer = client.post("/hours", {"text": wrong, "zone": "UTC"})
    page = text(answer)
    assert answer.status_code == 422
    assert "line 2" in page
    assert "line 3" in page
    assert answer.context["form"]["text"].value() == wrong
    answer = client.post("/hours", {"text": forecast(), "zone": "Nowhere/Here"})
    assert answer.status_code == 422
    assert "zone" in answer.context["form"].errors
    assert client.post("/hours", {"text": " "}).status_code == 422


def test_a_file_with_foreign_headings_is_read_by_the_headings_that_are_named(client: Any) -> None:
    from django.core.files.uploadedfile import SimpleUploadedFile

    table = forecast(1).replace("time,temp C,rh %", "wann;draussen [C];nass [%]").replace(",", ";")

    def send(**more: str) -> Any:
        file = SimpleUploadedFile("fühler 1.csv", table.encode("utf-16"))
        return client.post("/hours", {"file": file, "zone": "UTC", **more})

    answer = send()
    assert answer.status_code == 422
    assert "fühler 1.csv" in text(answer)
    answer = send(time="wann", temp="draussen", rh="nass")
    assert answer.status_code == 303, text(answer)
    assert "24 hours" in text(client.get(answer["Location"]))
    assert "fühler 1.csv" in text(client.get("/hours"))


def test_the_answer_stands_first_and_speaks_of_the_film_only(usable: Callable[..., Any]) -> None:
    answer = usable()
    page = text(answer)
    assert answer.status_code == 200
    assert "Lay it from Sun 2 Mar 0:00 to Mon 3 Mar 23:00 Go: film only, air not estimated." in page
    days = answer.context["page"].days
    assert [d.says for d in days] == ["change", "go 0:00 to 23:00", "go 0:00 to 23:00"]
    assert [d.opened for d in days] == [False, True, False]
    assert {r.verdict for r in days[1].rows} == {"go"}
    assert all(r.slow == "go" for r in days[1].rows)
    damp = days[0].rows[0]
    assert damp.reason
    assert damp.changes[-1] == "Wait until Sun 2 Mar 0:00."
    assert not any("methanol" in change for row in days[0].rows for change in row.changes)
    for word in ("safe", "OK"):
        assert not re.search(rf"\b{word}\b", page.replace("safety", ""))


def test_every_warm_says_how_and_a_slow_alcohol_comes_with_its_cautions(client: Any) -> None:
    sha = read_in(client, forecast(2, damp_rh=65)).rpartition("/")[2]
    page = client.get(f"/hours/usable/{sha}?{urlencode(BY_HAND)}").context["page"]
    warm = [c for d in page.days for r in d.rows for c in r.changes if c.startswith("Warm")]
    assert warm
    for words in warm:
        assert "room and board" in words
        assert "before alcohol is opened" in words
        assert "no flame, glowing heater, hot-air gun or lamp" in words
    told = {c.code for c in page.cautions}
    assert {"slow-alcohol-eyes", "slow-alcohol-limits"} <= told


def test_the_volume_of_the_room_tells_how_much_water_to_take_out(
    usable: Callable[..., Any],
) -> None:
    assert "kg of water out of the air of this room" in text(usable(volume="60 m3"))
    assert "kg of water" not in text(usable())


def test_an_own_rule_takes_the_place_of_the_model_and_is_shown_as_his(
    usable: Callable[..., Any],
) -> None:
    page = text(usable(margin="2 K", chill="3 K"))
    assert "Your own rule takes the model's place: film 3 K (5.4 °F) below the room" in page
    assert "dew point at least 2 K (3.6 °F) below the film" in page
    assert "Go by your own rule: film only, air not estimated." in page
    answer = usable(chill="90 K")
    assert answer.status_code == 422
    assert "chill" in answer.context["form"].errors
    assert answer.context["form"]["chill"].value() == "90 K"
    answer = usable(chill_slow="90 K")
    assert "chill_slow" in answer.context["form"].errors


def test_an_own_chill_in_f_is_a_difference_and_stays_typed(usable: Callable[..., Any]) -> None:
    answer = usable(margin="3.6 F", chill="9 F", chill_slow="8°F")
    page = text(answer)
    told = "film 5 K (9 °F) below the room, 4.4 K (8 °F) with slow alcohol"
    assert f"{told}, dew point at least 2 K (3.6 °F) below the film" in page
    assert answer.context["form"]["chill"].value() == "9 F"
    row = answer.context["page"].days[0].rows[0]
    assert row.chill == "5.0"
    assert "at least 2 K is asked" in row.reason
    wrong = usable(chill="cold")
    assert "write e.g. 2, '2 k' or '3.6 f'" in text(wrong).lower()


def test_a_wood_that_is_none_is_refused_in_plain_words_with_the_nearest(
    usable: Callable[..., Any],
) -> None:
    answer = usable(wood="mapel")
    assert answer.status_code == 422
    told = answer.context["form"].errors["wood"]
    assert told == ["'mapel' is none of them. Did you mean 'maple'?"]


def test_an_own_chill_alone_needs_neither_coat_nor_model(
    client: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lacwright import drying

    monkeypatch.setattr(drying, "compiled", lambda: False)
    sha = read_in(client, forecast()).rpartition("/")[2]
    page = text(client.get(f"/hours/usable/{sha}?coats=hand&chill=4+K"))
    assert "Lay it from Sun 2 Mar 0:00" in page
    assert client.get(f"/hours/drawn/{sha}?coats=hand&chill=4+K").status_code == 200


def test_a_slow_chill_alone_comes_with_eyes_and_limits_too(client: Any) -> None:
    sha = read_in(client, forecast()).rpartition("/")[2]
    for more in ("", "&composition=unknown"):
        answer = client.get(f"/hours/usable/{sha}?coats=hand&chill=8+K&chill_slow=4+K{more}")
        told = {c.code for c in answer.context["page"].cautions}
        assert {"slow-alcohol-eyes", "slow-alcohol-limits"} <= told


def test_the_doubled_hour_of_autumn_is_one_run_with_both_readings(client: Any) -> None:
    rows = ("01:00+02:00", "02:00+02:00", "02:00+01:00", "03:00+01:00")
    table = "\n".join(["time,temp C,rh %", *(f"2037-10-25T{t},20,40" for t in rows)])
    sha = read_in(client, table, zone="Europe/Berlin").rpartition("/")[2]
    page = text(client.get(f"/hours/usable/{sha}?coats=hand&chill=4+K"))
    assert "Lay it on Sun 25 Oct from 1:00 to 3:00" in page
    assert "2:00 (first)" in page
    assert "2:00 (second)" in page


def test_an_unknown_alcohol_is_refused_in_the_models_words_and_stays_typed(
    usable: Callable[..., Any],
) -> None:
    answer = usable(alcohol="", composition="unknown")
    form = answer.context["form"]
    assert answer.status_code == 422
    assert "how it dries hangs on what it is" in text(answer)
    assert form["composition"].value() == "unknown"
    assert form["wet"].value() == "100 um"
    assert usable(alcohol="").context["form"].errors["alcohol"]


def test_a_room_that_is_warmed_has_the_water_of_outdoors(usable: Callable[..., Any]) -> None:
    page = usable(heated="26 C")
    row = page.context["page"].days[0].rows[0]
    assert row.room == "26.0 °C, 63 %"  # 90 % at 20 C: 0.9 * 2339 Pa / 3363 Pa
    assert "the room is 26 °C or as warm as outdoors" in text(page)


def test_hours_are_shown_from_a_day_on_and_a_long_table_goes_on(client: Any) -> None:
    sha = read_in(client, forecast(20)).rpartition("/")[2]
    query = urlencode(BY_HAND)
    answer = client.get(f"/hours/usable/{sha}?{query}")
    page = answer.context["page"]
    assert len(page.days) == 14
    assert page.more == dt.date(2036, 3, 15)
    assert "first=2036-03-15" in answer.content.decode()
    later = client.get(f"/hours/usable/{sha}?{query}&first=2036-03-15").context["page"]
    assert later.days[0].words == "Sat 15 Mar"
    assert later.more is None
    answer = client.get(f"/hours/usable/{sha}?{query}&first=2037-03-15")
    assert answer.status_code == 422
    assert "first" in answer.context["form"].errors


def test_a_table_of_today_begins_with_this_hour(client: Any) -> None:
    now = dt.datetime.now(dt.UTC).replace(minute=0, second=0, microsecond=0)
    rows = [f"{now + dt.timedelta(hours=n):%Y-%m-%d %H:%M}Z,20,40" for n in range(-30, 30)]
    sha = read_in(client, "\n".join(["time,temp C,rh %", *rows])).rpartition("/")[2]
    page = client.get(f"/hours/usable/{sha}?{urlencode(BY_HAND)}").context["page"]
    assert page.days[0].rows[0].at == f"{now.hour}:00"
    assert sum(len(d.rows) for d in page.days) == 30


def test_the_coats_of_a_job_are_judged_and_those_without_a_model_are_named(
    filled: Any, helper: Any
) -> None:
    names = helper("filling")
    sha = read_in(filled, forecast(1)).rpartition("/")[2]
    page = filled.get(f"/jobs/one/{names.JOB}")
    assert f"/hours?for=job:{names.JOB}" in page.content.decode()
    answer = filled.get(f"/hours/usable/{sha}", {"for": f"job:{names.JOB}"})
    assert answer.context["form"]["coats"].value() == f"job:{names.JOB}"
    answer = filled.get(f"/hours/usable/{sha}", {"coats": f"job:{names.JOB}"})
    shown = answer.context["page"]
    assert answer.status_code == 200
    assert shown.coats
    assert len(set(shown.coats)) == len(shown.coats)
    for name, why in shown.silent:
        assert f"Not judged: {name}: {why}." in text(answer)


def test_the_coats_that_lie_on_a_job_without_a_plan_are_judged(filled: Any, helper: Any) -> None:
    names = helper("filling")
    sha = read_in(filled, forecast(1)).rpartition("/")[2]
    answer = filled.get(f"/hours/usable/{sha}", {"coats": f"job:{names.BARE_JOB}"})
    assert answer.status_code == 200, text(answer)
    assert "one more coat like the last on each part" in text(answer)
    answer = filled.get(f"/hours/usable/{sha}", {"coats": "job:nowhere"})
    assert answer.status_code == 422


def test_the_picture_shows_hours_and_is_sent_once(client: Any) -> None:
    sha = read_in(client, forecast()).rpartition("/")[2]
    url = f"/hours/drawn/{sha}?{urlencode(BY_HAND)}"
    answer = client.get(url)
    told = answer.content.decode()
    assert answer["Content-Type"].startswith("image/svg+xml")
    assert "Go: Sun 0:00 to Mon 23:00." in told
    assert "film minimum" in told
    assert client.get(url, headers={"If-None-Match": answer["ETag"]}).status_code == 304
    assert client.get(f"/hours/drawn/{sha}?coats=hand").status_code == 404
    assert client.get(f"/hours/drawn/{64 * '0'}?{urlencode(BY_HAND)}").status_code == 404
    assert client.get(f"/hours/usable/{64 * '0'}").status_code == 404


def test_one_answer_is_worked_out_once(usable: Callable[..., Any], queries: Any) -> None:
    """The page, its picture and the page again ask the model once, whatever the table's length."""
    from lacwright.bench import hours

    hours._made.cache_clear()
    usable()
    usable()
    assert hours._made.cache_info().misses == 1
    usable(wet="90 um")
    assert hours._made.cache_info().misses == 2


SIZES = {"phone": (390, 844), "laptop": (1280, 800)}


@pytest.fixture(params=SIZES)
def page(
    request: pytest.FixtureRequest, window: Callable[..., Any], serving: Callable[[Path], Any],
    empty_folder: Path,
) -> Any:  # fmt: skip
    """Return a window before a fresh shop."""
    more = {"has_touch": True, "is_mobile": True} if request.param == "phone" else {}
    page = window(SIZES[request.param], **more).page
    page.goto(serving(empty_folder).url + "/hours")
    return page


def test_from_a_forecast_to_usable_hours_and_one_thing_changed(page: Any, tmp_path: Path) -> None:
    from playwright.sync_api import expect

    file = tmp_path / "week.csv"
    file.write_text(forecast(), encoding="utf-8")
    main = page.locator("main")
    main.get_by_label("File").set_input_files(file)
    main.get_by_role("button", name="Look at it").click()
    expect(main).to_contain_text("72 hours")
    main.get_by_role("link", name="for which coat").click()
    main.get_by_label("How it is laid").select_option("brush")
    main.get_by_label("Alcohol").first.select_option("ethanol-190")
    main.get_by_role("button", name="Which hours are usable?").click()
    expect(page.get_by_text("Lay it from Sun 2 Mar 0:00")).to_be_in_viewport()
    drawn = page.locator("figure img")
    drawn.scroll_into_view_if_needed()
    page.wait_for_function("() => document.querySelector('figure img').naturalWidth > 0")
    page.locator("details.more", has_text="Sat 1 Mar").locator("summary").first.click()
    reason = page.locator("table.hours details summary").first
    reason.click()
    expect(main.get_by_text("Wait until Sun 2 Mar 0:00.").first).to_be_visible()
    main.get_by_role("link", name="Change one thing").click()
    page.locator("details.more > summary", has_text="Your own rule").click()
    main.get_by_label("Own margin").fill("2 K")
    main.get_by_role("button", name="See what moves").click()
    expect(main).to_contain_text("Your own rule takes the model's place")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
