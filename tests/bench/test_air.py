"""The air on the pages: a room by hand, a plan's air, a class, a change, the label of a jar."""

import html
import re
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
ROOM = '\n[room]\nvolume = "60 m3"\nair_changes = 2\njurisdiction = "uk"\npilot_off = true\n'
TYPED = {"coats": "250 ml at 0 min\n250 ml at 60 min over 10 min", "cut": "2",
         "alcohol": "ethanol-190", "volume": "30 m3", "air": "0.5"}  # fmt: skip


def words(answer: Any) -> str:
    told = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(told))


def asked(client: Any, **more: str) -> Any:
    typed = {name: text for name, text in {**TYPED, **more}.items() if text}
    return client.get(f"/air?{urlencode(typed)}")


def draft(client: Any, name: str = "table", room: str = ROOM) -> str:
    text = (EXAMPLES / f"{name}.toml").read_text("utf-8") + room
    answer = client.post("/pieces/text", {"text": text, "do": "plan"})
    assert answer.status_code == 303, words(answer)
    return str(answer.headers["Location"])


def test_the_page_says_what_the_command_says_stops_first(client: Any, capsys: Any) -> None:
    from lacwright.cli.main import run

    answer = asked(client)
    page = words(answer)
    run(["room", "--volume", "30 m3", "--air-changes", "0.5", "--alcohol", "ethanol-190", "--cut",
         "2", "--coat", "250 ml at 0 min", "--coat", "250 ml at 60 min over 10 min"])  # fmt: skip
    told = capsys.readouterr().out.splitlines()
    stops = [line.removeprefix("STOP: ") for line in told if line.startswith("STOP: ")]
    assert len(stops) == 4
    places = [page.index(stop) for stop in stops]
    assert places == sorted(places)
    assert page.index(told[0].removeprefix("Do not start yet. ")) > places[-1]
    assert "Above a wet surface, over an open dish and in a jar" in page
    # Two figures at most, as the model is good for no more.
    assert "5500 ppm (1800 to 6600)" in page


def test_the_drawing_has_an_address_of_its_own_and_stands_in_words(client: Any) -> None:
    page = asked(client).content.decode()
    url = html.unescape(re.search(r'<img src="([^"]+)"', page)[1])  # type: ignore[index]
    chart = client.get(url)
    assert chart.headers["Content-Type"].startswith("image/svg+xml")
    assert b"<desc" in chart.content
    assert "rises to 40 times the 8-hour limits, near the work to 41 times" in page
    again = client.get(url, headers={"If-None-Match": chart.headers["ETag"]})
    assert again.status_code == 304
    assert client.get("/air/drawn?volume=60+m3").status_code == 404


def test_at_its_best_no_stop_is_triggered(client: Any) -> None:
    page = words(asked(client, coats="20 ml", volume="80 m3", air="windows", jurisdiction="uk",
                       pilot_off="on", alone="on"))  # fmt: skip
    assert "No stop triggered by this estimate." in page
    assert "STOP" not in page
    assert "no permission and no proof" in page


@pytest.mark.parametrize(
    ("more", "field", "told"),
    [
        ({"volume": "much"}, "volume", "much"),
        ({"air": "windy"}, "air", "windy"),
        ({"coats": "lots"}, "coats", "lots"),
        ({"coats": "20 ml over 0 min"}, "coats", "takes no time"),
        ({"alcohol": ""}, "alcohol", "nothing is assumed"),
        ({"cut": ""}, "cut", "not said"),
        ({"limit": "ethanol"}, "limit", "is not a limit"),
        ({"factor": "0.5"}, "factor", "1"),
        ({"emission": "while-laying"}, "coats", "how long the laying takes"),
    ],
)
def test_what_cannot_be_worked_with_is_said_at_its_field(
    client: Any, more: dict[str, str], field: str, told: str
) -> None:
    answer = asked(client, **more)
    assert answer.status_code == 422
    assert told in " ".join(answer.context["form"].errors[field])
    assert "--" not in re.sub(r"<!--|-->", "", words(answer))


def test_a_known_flow_of_air_counts_over_the_volume(client: Any) -> None:
    by_flow, by_number = (words(asked(client, air=air)) for air in ("60 m3/h", "2"))
    assert re.search(r"Over 8 hours .*? times the limits", by_flow)[0] in by_number  # type: ignore[index]
    assert "60 m³/h of clean air change the air 2 times an hour" in by_flow


def test_an_address_may_fill_in_the_form(client: Any) -> None:
    answer = client.get("/air?coats=20+ml&cut=2")
    assert answer.status_code == 200
    assert answer.context["form"]["coats"].value() == "20 ml"
    assert "Estimate the air" in words(answer)


def test_a_plan_shows_its_air_with_stops_and_the_smallest_change(client: Any) -> None:
    url = draft(client)
    page = words(client.get(url))
    assert "STOP The upper end of the estimate, 1.2 times the limits" in page
    assert "first of all ethanol 1000 ppm over 8 hours (uk, remembered, undated)" in page
    assert "A room of 96 m³ with as many air changes, or outdoors" in page
    assert "air is not estimated" not in page
    chart = client.get(url.replace("draft", "air"))
    assert b"on the worst day" in chart.content


def test_without_a_room_the_plan_says_for_want_of_what(client: Any) -> None:
    url = draft(client, room="")
    page = client.get(url)
    assert "Not estimated: cannot estimate the air without the volume of the room" in words(page)
    assert "change=room.volume" in page.content.decode()
    assert client.get(url.replace("draft", "air")).status_code == 404
    bounds = words(client.get(f"{url}?change=room.volume&to=60+m3"))
    assert "one coat: 661 ppm ethanol" in bounds.replace("One coat", "one coat")
    assert "Cannot estimate the air without how often it changes" in bounds


def test_one_thing_of_the_room_is_changed(client: Any) -> None:
    url = draft(client)
    answer = client.get(f"{url}?change=room.volume&to=400+m3")
    rows = {m.what: (m.before, m.after) for m in answer.context["moved"]}
    assert "upper end" in rows["Stops"][0]
    assert rows["Stops"][1] == "none"
    lit = client.get(f"{url}?change=room.pilot_off&to=no")
    assert "pilot light" in {m.what: m.after for m in lit.context["moved"]}["Stops"]


def test_a_stop_of_the_air_is_kept_with_the_job_that_begins_in_spite(client: Any) -> None:
    from lacwright.shop.models import Job

    start = draft(client).replace("draft", "start")
    sent = {"token": "s", "job": "T-1", "piece": "side table"}
    refused = client.post(start, sent)
    assert refused.status_code == 422
    assert "times the limits" in " ".join(refused.context["form"].errors["in_spite"])
    client.post(start, {**sent, "in_spite": "outdoors, under the roof"})
    job = words(client.get("/jobs/one/T-1"))
    assert "Begun in spite of The upper end of the estimate, 1.2 times the limits" in job
    assert "Reason: outdoors, under the roof" in job
    kept = Job.objects.get(key="T-1").plan["stops"]
    assert {stop["code"] for stop in kept} == {"mixture", "short-term"}


def test_a_stop_is_kept_with_a_job_that_goes_on_in_spite(filled: Any, helper: Any) -> None:
    from lacwright.shop.models import Movement

    query = urlencode(TYPED)
    assert f"/air/keep?{query}" in html.unescape(asked(filled).content.decode())
    job = helper("filling").BARE_JOB
    url = f"/air/keep?{query}"
    assert "STOP" in words(filled.get(url))
    none = filled.post(url, {"token": "k", "job": job, "in_spite": ""})
    assert none.status_code == 422
    kept = filled.post(url, {"token": "k", "job": job, "in_spite": "all doors open"})
    assert kept.status_code == 303
    text = Movement.objects.order_by("-id")[0].body["text"]
    assert text.startswith("STOP of the air: The solvent in this job could bring the room to 21 %")
    assert text.endswith("Goes on in spite of it: all doors open")
    assert "all doors open" in words(filled.get(f"/jobs/one/{job}"))
    assert filled.get("/air/keep?volume=60+m3").status_code == 404


def test_a_class_is_estimated_for_a_session_that_was_said(client: Any) -> None:
    url = draft(client, "class", '\n[room]\nvolume = "150 m3"\nair_changes = 3\n')
    page = words(client.get(url))
    assert "Not estimated: cannot estimate the air of a class without how long" in page
    told = words(client.get(f"{url}?change=room.session&to=45+min"))
    assert "all 7 at work lay one coat of every exercise within a session of 45 minutes" in told


def test_students_cannot_answer_for_a_stop(client: Any) -> None:
    room = '\n[room]\nvolume = "150 m3"\nair_changes = 3\nsession = "45 min"\n'
    start = draft(client, "class", room).replace("draft", "start")
    assert "Why it is begun" not in words(client.get(start))
    sent = {"token": "s", "job": "C-1", "piece": "panels", "in_spite": "we know"}
    answer = client.post(start, sent)
    assert answer.status_code == 422
    assert "students cannot answer for a stop" in words(answer).lower()


def test_the_label_of_a_jar_holds_what_was_copied_and_nothing_else(
    filled: Any, helper: Any
) -> None:
    names = helper("filling")
    bare = words(filled.get(f"/jars/label/{names.GOOD}"))
    assert re.search(r"In ethanol \d\d\.\d %, water \d\.\d % by weight", bare)
    assert "copy signal word and codes from the supplier's safety data sheet" in bare
    assert "H225" not in re.sub(r"sheet: H225.*?P210", "", bare)
    page = words(filled.get(f"/jars/label/{names.GOOD}?codes=h225+P210&signal=Danger"))
    assert "H225 Highly flammable liquid and vapour" in page
    assert "Danger" in page
    wrong = filled.get(f"/jars/label/{names.GOOD}?codes=H9&signal=")
    assert wrong.status_code == 422
    assert "is no code" in " ".join(wrong.context["form"].errors["codes"])
    assert "It failed its test" in words(filled.get(f"/jars/label/{names.BAD}"))
    assert "May contain methanol" in words(filled.get(f"/jars/label/{names.UNKNOWN}"))
