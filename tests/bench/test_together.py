"""What one press wrote down is taken back in one press, all or none."""

import html
import re
from typing import Any
from urllib.parse import quote

TYPED = {"volume": "200 ml", "cut": "1.5", "grade": "garnet", "alcohol": "", "what": "box",
         "size": "300x200x120 mm", "coats": "2", "method": "brush", "start": "19:00"}  # fmt: skip
KEEP = {"token": "k", "jar": "J1", "flakes": "", "spirit": "", "piece": "box 1"}


def words(answer: Any) -> str:
    told = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(told))


def undo_of(page: Any) -> str:
    """Return where the button of the sentence at the head of a page sends."""
    found = re.search(r'class="said".*?action="([^"]+)"', page.content.decode(), re.S)
    assert found is not None, words(page)
    return found[1]


def counting() -> dict[str, int]:
    from lacwright.shop.models import Event

    kinds = Event.objects.filter(void=False).values_list("kind", flat=True)
    return {kind: list(kinds).count(kind) for kind in set(kinds)}


def kept(client: Any) -> Any:
    from urllib.parse import urlencode

    answer = client.post(f"/mix?{urlencode(TYPED)}", KEEP)
    assert answer.status_code == 303, answer.content
    return client.get(answer.headers["Location"])


def test_undo_after_keeping_takes_jar_piece_and_job_back(client: Any) -> None:
    page = kept(client)
    assert counting() == {"mix": 1, "open": 1, "start": 1}
    answer = client.post(undo_of(page), {"token": "u", "back": "/jobs/one/box%201"})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/jobs")
    assert counting() == {}
    assert "Taken back" in words(client.get("/jobs"))
    assert client.get("/jars/one/J1").status_code == 404
    assert client.get("/pieces/one/box%201").status_code == 404


def test_a_double_press_takes_it_back_once(client: Any) -> None:
    from lacwright.shop.models import Movement

    address = undo_of(kept(client))
    client.post(address, {"token": "u"})
    before = Movement.objects.count()
    assert client.post(address, {"token": "u"}).status_code == 303
    assert Movement.objects.count() == before


def test_nothing_is_taken_back_if_one_of_them_is_used(client: Any) -> None:
    from lacwright.shop.services.jars import weigh_jar
    from lacwright.shop.writing import Entry

    address = undo_of(kept(client))
    jar = weigh_jar(jar="J1", net_g=150.0, entry=Entry())
    before = counting()
    answer = client.post(address, {"token": "u"})
    assert answer.status_code == 422
    assert f"movement {jar.movement}" in words(answer)
    assert counting() == before


def test_it_says_what_it_takes_back_before_that_is_pressed(client: Any) -> None:
    page = words(client.get(undo_of(kept(client))))
    assert "Take all of this back?" in page
    assert "J1" in page
    assert page.count("box 1") >= 2
    assert client.get("/log/undo-all/nothing-like-it").status_code == 404


def test_what_was_taken_back_already_is_passed_over(client: Any) -> None:
    from lacwright.shop.models import Event
    from lacwright.shop.services.amend import undo
    from lacwright.shop.writing import Entry

    address = undo_of(kept(client))
    undo(movement=Event.objects.get(kind="start").root_id, entry=Entry())
    assert client.post(address, {"token": "u"}).status_code == 303
    assert counting() == {}


def test_a_new_piece_from_the_form_is_taken_back_with_its_file(client: Any) -> None:
    shown = client.get("/pieces/build").context["page"]
    part = shown.parts[0]
    data = {f.html_name: f.value() or "" for f in part}
    data |= {part["name"].html_name: "top", part["shape"].html_name: "panel",
             part["size"].html_name: "600x400x20 mm"}  # fmt: skip
    answer = client.post(
        "/pieces/build",
        {
            "parts": "1",
            "title": "Shelf",
            "do": "keep",
            **data,
            "token": "p",
            "piece": "shelf 1",
            "customer": "",
        },
    )
    assert answer.status_code == 303, words(answer)
    page = client.get(answer.headers["Location"])
    assert counting() == {"open": 1, "attach": 1}
    answer = client.post(undo_of(page), {"token": "u", "back": "/pieces/one/shelf%201"})
    assert answer.headers["Location"] == "/pieces"
    assert counting() == {}


def test_a_stock_list_is_taken_back_whole(client: Any) -> None:
    text = "name,kind,amount,grade\nA1,flakes,1 kg,garnet\nA2,flakes,500 g,blonde\n"
    answer = client.post("/shelf/list", {"text": text, "file": "list", "keep": "yes", "token": "s",
                                         "opening": "True"})  # fmt: skip
    assert answer.status_code == 303, words(answer)
    page = client.get("/shelf")
    assert "2 lots are written down" in words(page)
    client.post(undo_of(page), {"token": "u"})
    assert counting() == {}


def test_a_job_with_its_new_piece_is_taken_back_whole(client: Any) -> None:
    answer = client.post("/jobs/start", {"token": "j", "job": "T-1", "piece": "stool"})
    page = client.get(answer.headers["Location"])
    client.post(undo_of(page), {"token": "u"})
    assert counting() == {}


def test_a_request_of_several_hundred_observations_is_found_whole(shop: Any) -> None:
    from lacwright.shop.queries.written import written_by
    from lacwright.shop.readings_csv import ReadingRow
    from lacwright.shop.services.readings import import_readings
    from lacwright.shop.writing import Entry

    rows = [ReadingRow(1_700_000_000_000_000 + n * 60_000_000, 20.0, 0.5, None, None, "")
            for n in range(430)]  # fmt: skip
    first = import_readings(rows=rows, entry=Entry(token="many")).movement
    assert first is not None
    assert written_by(["many", "never sent"]) == list(range(first + 429, first - 1, -1))


def test_very_many_are_taken_back_by_a_process_of_its_own(client: Any, home: Any) -> None:
    import time

    from lacwright.bench import work

    lines = [f"2026-03-{1 + n // 24:02d} {n % 24:02d}:00,20,45" for n in range(160)]
    table = "\n".join(["time,temp C,rh %", *lines]) + "\n"
    address = client.post("/settings/air/import", {"text": table}).headers["location"]
    assert client.post(address, {"token": "t"}).status_code == 303
    page = client.get("/settings/air")
    assert "160 readings written down" in words(page)
    assert counting() == {"reading": 160}
    answer = client.post(undo_of(page), {"token": "u"})
    assert answer.headers["location"].startswith("/settings/care/run/")
    number = answer.headers["location"].rpartition("/")[2]
    deadline = time.monotonic() + 60
    while (run := work.look(home, number)) is None or run.state == work.RUNNING:
        assert time.monotonic() < deadline
        time.sleep(0.05)
    assert run.told.startswith("Taken back: 160 observations")
    assert counting() == {}
    told = words(client.get(answer.headers["location"]))
    assert "To the log" in told
    assert "Do it again" not in told
    assert client.post("/settings/care/begin", {"kind": "take-back"}).status_code == 422


def test_one_observation_keeps_its_plain_undo(filled: Any) -> None:
    answer = filled.post("/jobs/note/T-12", {"token": "n", "kind": "note", "text": "a word"})
    assert answer.status_code == 303
    assert re.fullmatch(r"/log/undo/\d+", undo_of(filled.get(answer.headers["Location"])))


def test_the_log_of_a_job_and_of_its_piece_of_the_same_name(client: Any) -> None:
    kept(client)
    job, piece = (words(client.get(f"/log?q=box+1&of={of}")) for of in ("job", "piece"))
    assert "Job box 1 began" in job or "Began" in job
    assert job != piece


def test_every_observation_is_reached_from_the_page_of_what_it_concerns(filled: Any) -> None:
    from lacwright.bench.pages.where import url_of
    from lacwright.shop.models import Event, Piece

    panels = set(Piece.objects.filter(kind="panel").values_list("key", flat=True))
    pages: dict[str, str] = {}
    missing = []
    for event in Event.objects.filter(void=False).select_related("movement"):
        refs = event.movement.body["refs"].items()
        homes = [url_of("panel" if name in panels else word, name) for word, name in refs]
        for home in homes or ["/settings/air", "/settings"]:
            pages.setdefault(home, filled.get(home).content.decode())
        ways = [f'/log/one/{event.root_id}"',
                *(f'/log?q={quote(name, "")}&amp;of={word}"' for word, name in refs)]  # fmt: skip
        if not refs:
            ways.append('/log"')  # a setting
        if not any(way in pages[home] for way in ways
                   for home in homes or ["/settings/air", "/settings"]):  # fmt: skip
            missing.append((event.kind, dict(refs)))
    assert not missing
