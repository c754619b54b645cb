"""The plan: the action first, amounts, days, film; one thing changed; a plan becomes a job."""

import html
import re
from pathlib import Path
from typing import Any

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"


def words(answer: Any) -> str:
    told = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(told))


def draft(client: Any, name: str = "table", text: str | None = None) -> str:
    """Return the address of the plan of an example."""
    told = (EXAMPLES / f"{name}.toml").read_text("utf-8") if text is None else text
    answer = client.post("/pieces/text", {"text": told, "do": "plan"})
    assert answer.status_code == 303, words(answer)
    return str(answer.headers["Location"])


def test_the_sentence_and_the_amounts_are_those_of_the_command(client: Any, capsys: Any) -> None:
    from lacwright.cli.main import run

    answer = client.get(draft(client))
    page = words(answer)
    run(["plan", str(EXAMPLES / "table.toml"), "--no-record"])
    told = capsys.readouterr().out
    assert told.splitlines()[0] in page
    grams, ml = re.search(r"([\d.]+) g blonde, winter into (\d+) ml", told).groups()  # type: ignore[union-attr]
    assert f"weigh {grams} g blonde, winter into {ml} ml" in page
    heads = re.findall(r"<h2>(\w+)</h2>", answer.content.decode())
    assert heads[:7] == ["Mix", "Days", "Coats", "Film", "Air", "Shelf", "Quote"]
    assert "Before alcohol is opened" in page


def test_charts_have_their_own_address_and_say_it_in_words(client: Any) -> None:
    page = client.get(draft(client)).content.decode()
    found = re.findall(r'<img src="([^"]+)"', page)
    assert len(found) == 2  # the days, and one film: all parts are alike
    for url in found:
        chart = client.get(url.replace("&amp;", "&"))
        assert chart.headers["Content-Type"].startswith("image/svg+xml")
        assert "no-cache" in chart.headers["Cache-Control"]
        assert b"<desc" in chart.content
        assert b"script" not in chart.content


def test_one_thing_is_changed_and_what_moves_is_shown(client: Any) -> None:
    url = draft(client)
    page = client.get(f"{url}?change=wish.film_left&to=60+um")
    rows = {m.what: (m.before, m.after) for m in page.context["moved"]}
    assert rows["Coats and sessions"] == ("5", "6")
    assert rows["body: flakes"] == ("114.7 g", "137.3 g")
    assert "Before alcohol" not in rows
    taken = client.post(url.replace("draft", "change"), {"change": "wish.film_left", "to": "60 um"})
    again = words(client.get(taken.headers["Location"]))
    assert "Lay 6 coats by brush" in again
    assert "The change is in the plan now" in again


@pytest.mark.parametrize(
    ("change", "to", "told"),
    [
        ("wish.start", "2027-03-08", "start Mon 8 Mar 2027"),
        ("part.all.method", "pad", "by pad"),
        ("mix.0.cut", "1.5-lb cut", "1.5-lb cut"),
        ("wish.use", "drinks", "Shellac alone is unsuited"),
        ("wish.by", "2027-03-05", "Not by Fri 5 Mar 2027"),
        ("wish.by", "", "done Sun 14 Mar 2027"),
    ],
)
def test_many_things_can_be_changed(client: Any, change: str, to: str, told: str) -> None:
    answer = client.get(draft(client), {"change": change, "to": to})
    assert answer.status_code == 200
    assert answer.context["moved"]
    assert told in words(answer)


@pytest.mark.parametrize(
    ("change", "to", "told"),
    [
        ("wish.film_left", "lots", "lots"),
        ("wish.start", "soon", "soon"),
        ("part.0.method", "rolled", "rolled"),
        ("wish.by", "2027-01-01", "before the start"),
    ],
)
def test_a_change_that_cannot_be_is_said_at_its_field(
    client: Any, change: str, to: str, told: str
) -> None:
    answer = client.get(draft(client), {"change": change, "to": to})
    assert answer.status_code == 200
    assert told in " ".join(answer.context["form"].errors["to"])
    assert answer.context["moved"] is None


def test_a_plan_becomes_a_job(client: Any) -> None:
    from lacwright.shop.models import Job

    start = draft(client).replace("draft", "start")
    assert "Lay 5 coats by brush" in words(client.get(start))
    answer = client.post(start, {"token": "s", "job": "T-1", "piece": "side table"})
    page = words(client.get(answer.headers["Location"]))
    assert "Job T-1 on side table begins: 5 coats planned" in page
    assert "Coat 1 (body, 2-lb) on top, shelf, rails, legs" in page
    job = Job.objects.get(key="T-1")
    assert job.piece_file == (EXAMPLES / "table.toml").read_text("utf-8")
    assert round(job.piece.areas_m2["top"], 4) == 0.5096
    assert "Lay 5 coats by brush" in words(client.get("/plan/job/T-1"))
    assert "Lay 5 coats by brush" in words(client.get("/plan/of/side%20table"))


def test_a_plan_with_a_stop_begins_only_with_a_reason(client: Any) -> None:
    text = (EXAMPLES / "table.toml").read_text("utf-8")
    text = text.replace("ignition = []", 'ignition = ["stove"]')
    start = draft(client, text=text).replace("draft", "start")
    assert "STOP" in words(client.get(start))
    sent = {"token": "s", "job": "T-1", "piece": "side table"}
    refused = client.post(start, sent)
    assert refused.status_code == 422
    assert "stove" in " ".join(refused.context["form"].errors["in_spite"])
    assert "--" not in words(refused).replace("<!--", "")
    answer = client.post(start, {**sent, "in_spite": "the stove is out until May"})
    assert "Reason: the stove is out until May" in words(client.get(answer.headers["Location"]))


def test_the_record_goes_into_the_plan(filled: Any, helper: Any) -> None:
    lot = helper("filling").LOT
    text = (EXAMPLES / "table.toml").read_text("utf-8")
    text = text.replace('lot = "blonde, winter"', f'lot = "{lot}"').replace(
        'alcohol = "drum 3"', f'alcohol = "{helper("filling").SPIRIT}"'
    )
    page = words(filled.get(draft(filled, text=text)))
    assert f"From your log: {lot}" in page or f"{lot}, can 7 from your stock" in page


def test_a_class_pack(client: Any) -> None:
    page = words(client.get(draft(client, "class")))
    assert "for a class of 7 at work" in page
    assert "ml a head" in page
    assert "materials and items for each student" in page
    assert "Start the job" not in page


def test_what_cannot_be_planned_says_why_and_where_to_mend_it(client: Any) -> None:
    from lacwright.bench import drafts

    text = (EXAMPLES / "table.toml").read_text("utf-8").replace('cut = "2-lb cut"', "")
    sha = drafts.keep(text)
    answer = client.get(f"/plan/draft/{sha}")
    assert answer.status_code == 422
    assert "[[mix]] 1, cut" in words(answer)
    assert "Mend it in the form" in words(answer)
    assert client.get(f"/plan/days/{sha}").status_code == 404
    assert client.get(f"/plan/draft/{'0' * 64}").status_code == 404


def test_a_plan_is_made_once_for_all_its_pictures(client: Any, monkeypatch: Any) -> None:
    from lacwright.bench import plans

    url = draft(client)
    client.get(url)
    monkeypatch.setattr(plans, "make_plan", None)
    assert client.get(url).status_code == 200
    assert client.get(url.replace("draft", "days")).status_code == 200
    assert client.get(url.replace("draft", "film") + "/top").status_code == 200
