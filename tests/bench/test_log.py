"""The log, taking back, putting right; search; photos and papers."""

from __future__ import annotations

import io
import re
from typing import Any
from urllib.parse import quote

import pytest


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def newest(kind: str) -> Any:
    from lacwright.shop.models import Movement

    return Movement.objects.filter(kind=kind).latest("id")


def test_the_log_has_every_movement_page_by_page(filled: Any) -> None:
    from lacwright.shop.models import Movement

    numbers: list[int] = []
    url = "/log"
    while url:
        text = text_of(filled.get(url))
        numbers += [int(n) for n in re.findall(r'href="/log/one/(\d+)"', text)]
        older = re.search(r'href="(\?[^"]*)" rel="next"', text)
        url = "/log" + older[1].replace("&amp;", "&") if older else ""
    assert numbers == sorted(Movement.objects.values_list("id", flat=True), reverse=True)


def test_the_log_is_filtered_by_name_kind_and_day(filled: Any, helper: Any) -> None:
    shop = helper("filling")
    text = text_of(filled.get("/log", {"q": shop.BAD, "kind": "test"}))
    assert text.count("/log/one/") == 1
    assert "failed" in text
    assert f'href="/jars/one/{shop.BAD}"' in text
    assert "Nothing of that kind" in text_of(filled.get("/log", {"until": "2001-01-01"}))
    assert "has the name nobody" in text_of(filled.get("/log", {"q": "nobody"}))
    assert (
        filled.get("/log", {"kind": "rubbish", "since": "soon", "before": "x"}).status_code == 200
    )


def test_undo_takes_back_and_the_same_button_brings_back(filled: Any, helper: Any) -> None:
    from lacwright.shop.models import Event

    coat = newest("coat")
    back = "/jobs/one/" + quote(helper("filling").BARE_JOB)
    done = filled.post(f"/log/undo/{coat.id}", {"token": "a", "back": back})
    assert (done.status_code, done.headers["location"]) == (303, back)
    assert Event.objects.get(root=coat).void
    shown = text_of(filled.get("/log"))
    assert "Taken back:" in shown
    void = newest("void")
    assert f'action="/log/undo/{void.id}"' in shown
    filled.post(f"/log/undo/{void.id}", {"token": "b"})
    assert not Event.objects.get(root=coat).void
    for _ in range(2):  # the same request again changes nothing
        filled.post(f"/log/undo/{void.id}", {"token": "b"})
    assert not Event.objects.get(root=coat).void


def test_undo_asks_on_a_page_of_its_own(filled: Any) -> None:
    text = text_of(filled.get(f"/log/undo/{newest('coat').id}"))
    assert "Take this back?" in text
    assert '<form method="post"' in text
    void = newest("void")
    assert "Bring this back?" in text_of(filled.get(f"/log/undo/{void.id}"))


def test_what_is_used_since_cannot_be_taken_back(filled: Any, helper: Any) -> None:
    from lacwright.shop.models import Event, Jar

    jar = Jar.objects.get(key=helper("filling").GOOD)
    answer = filled.post(f"/log/undo/{jar.opened_id}", {"token": "a", "back": "/jars/one/J1"})
    assert answer.status_code == 422
    assert "is used since" in text_of(answer)
    assert not Event.objects.get(root=jar.opened_id).void


@pytest.mark.parametrize("back", ["http://evil.example/", "//evil.example", "\\\\evil.example",
                                  "javascript:alert(1)", "/\\evil.example"])  # fmt: skip
def test_nobody_is_sent_elsewhere(back: str, filled: Any) -> None:
    answer = filled.post(f"/log/undo/{newest('coat').id}", {"token": "a", "back": back})
    assert answer.headers["location"].startswith("/log/one/")


def test_after_the_maker_of_a_thing_is_taken_back_its_page_is_not_the_next(client: Any) -> None:
    from lacwright.shop.models import Jar
    from lacwright.shop.services.jars import fill_jar
    from lacwright.shop.writing import Entry

    fill_jar(jar="K1", amount=None, note="", entry=Entry())
    number = Jar.objects.get(key="K1").opened_id
    answer = client.post(f"/log/undo/{number}", {"token": "a", "back": "/jars/one/K1"})
    assert answer.headers["location"] == "/jars"


def test_time_and_words_are_put_right(filled: Any) -> None:
    from lacwright.shop.models import Event

    event = Event.objects.filter(kind="fault", void=False).latest("at_us")
    url = f"/log/correct/{event.root_id}"
    form = filled.get(url).context["form"]
    told = {"at": form.initial["at"], "words": form.initial["words"], "token": "a"}
    unchanged = filled.post(url, told)
    assert unchanged.status_code == 422
    assert "Nothing is otherwise" in text_of(unchanged)
    done = filled.post(url, {**told, "at": "2026-01-05T10:30", "words": "seen by lamp light",
                             "reason": "wrong evening", "token": "b"})  # fmt: skip
    assert done.status_code == 303
    event.refresh_from_db()
    assert event.at_us == 1_767_609_000_000_000  # 2026-01-05 10:30 UTC
    assert event.movement.body["text"] == "seen by lamp light"
    assert event.movement.reason == "wrong evening"
    page = text_of(filled.get(f"/log/one/{event.root_id}"))
    assert "put right" in page
    assert "no longer counts" in page
    assert "wrong evening" in page
    future = filled.post(url, {**told, "at": "2999-01-01T10:30", "token": "c"})
    assert future.status_code == 422


def test_a_movement_that_is_not_there(client: Any) -> None:
    for path in ("/log/one/99", "/log/undo/99", "/log/correct/99"):
        assert client.get(path).status_code == 404


# --- search ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "found"),
    [("J1", "/jars/one/J1"), ("body coats", "/jars/one/J1"), ("garnet B-12", "/shelf/"),
     ("smells fresh", "/shelf/"), ("walnut holt", "/pieces/one/hall%20table"),
     ("holt", "/settings/customers/of/Maren%20Holt"), ("third door", "/settings/customers/of/"),
     ("T-13", "/jobs/one/T-13%20/%20rim"), ("badger", "/pads"), ("é1", "/panels/"),
     ("HAZE corner", "/log/one/"), ("damp evening", "/log/one/"), ("420", "/settings"),
     ("better note", "/log/one/"), ("rim", "/log/one/")],
)  # fmt: skip
def test_one_box_finds_it(words: str, found: str, filled: Any) -> None:
    assert f'href="{found}' in text_of(filled.get("/search", {"q": words}))


def test_what_was_taken_back_and_what_nobody_said_is_not_found(filled: Any) -> None:
    for words in ("slip of the pen", "not-said", "%", "_", "\\"):
        answer = filled.get("/search", {"q": words})
        assert "Nothing was found" in text_of(answer), words
    assert "Nothing was found" not in text_of(filled.get("/search", {"q": "<b>"}))
    assert filled.get("/search", {"q": "é" * 500 + "'\"%;--"}).status_code == 200


def test_a_thing_of_exactly_this_name_comes_first(filled: Any) -> None:
    from lacwright.shop.services.jars import fill_jar
    from lacwright.shop.writing import Entry

    for name in ("J11", "J1 old"):
        fill_jar(jar=name, amount=None, note="J1", entry=Entry())
    text = text_of(filled.get("/search", {"q": "J1"}))
    found = re.findall(r'href="/jars/one/([^"]*)"', text)
    assert found[0] == "J1"
    assert {"J11", "J1%20old"} < set(found)


def test_notes_of_many_coats_are_looked_through_on_demand(
    filled: Any, monkeypatch: pytest.MonkeyPatch, helper: Any
) -> None:
    from lacwright.shop.queries import search
    from lacwright.shop.services.coats import lay_coat

    shop = helper("filling")
    lay_coat(job=shop.BARE_JOB, jar=shop.GOOD, method="brush", note="first light",
             entry=shop.past(29.5))  # fmt: skip
    assert "/log/one/" in text_of(filled.get("/search", {"q": "first light"}))
    monkeypatch.setattr(search, "LATEST_COATS", 3)
    # In another order: what was found is kept as long as nothing is written down.
    text = text_of(filled.get("/search", {"q": "light first"}))
    assert "/log/one/" not in text
    assert "the last 3 were looked through" in text
    deeper = re.search(r'href="(\?[^"]*all=1)"', text)
    assert deeper is not None
    assert "/log/one/" in text_of(filled.get("/search" + deeper[1].replace("&amp;", "&")))


# --- photos and papers ----------------------------------------------------------------------------


def shas() -> dict[str, str]:
    from lacwright.shop.models import File

    return dict(File.objects.values_list("media", "sha256"))


def test_a_photo_is_shown_without_the_place_it_was_taken(filled: Any, helper: Any) -> None:
    from PIL import Image

    original = helper("filling").picture()
    assert b"taken on the hill" in original
    for way, side in (("show", 1600), ("small", 480)):
        answer = filled.get(f"/files/{way}/{shas()['image/png']}")
        assert answer.headers["Content-Type"] == "image/jpeg"
        assert answer.headers["Content-Disposition"] == "inline"
        assert "sandbox" in answer.headers["Content-Security-Policy"]
        assert b"hill" not in answer.content
        with Image.open(io.BytesIO(answer.content)) as shown:
            assert shown.format == "JPEG"
            assert not shown.getexif()
            assert max(shown.size) <= side
            assert shown.size == (320, 200)
        etag = answer.headers["ETag"]
        again = filled.get(f"/files/{way}/{shas()['image/png']}", headers={"if-none-match": etag})
        assert again.status_code == 304


def test_a_large_photo_becomes_smaller_and_stands_upright(filled: Any, helper: Any) -> None:
    from PIL import Image

    from lacwright.shop.services.attachments import attach
    from lacwright.shop.writing import Entry

    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    out = io.BytesIO()
    Image.new("RGB", (2000, 1000), (90, 60, 30)).save(out, "JPEG", exif=exif)
    attach(to="job", name=helper("filling").BARE_JOB, source=io.BytesIO(out.getvalue()),
           file_name="x.jpg", entry=Entry())  # fmt: skip
    answer = filled.get(f"/files/small/{shas()['image/jpeg']}")
    with Image.open(io.BytesIO(answer.content)) as shown:
        assert shown.size == (240, 480)


def test_files_are_handed_out_to_be_saved_never_to_be_run(filled: Any) -> None:
    for media, ends in (("image/png", ".png"), ("text/plain", ".txt")):
        answer = filled.get(f"/files/get/{shas()[media]}")
        assert answer.headers["Content-Type"] == "application/octet-stream"
        assert answer.headers["Content-Disposition"].startswith("attachment")
        assert f'{ends}"' in answer.headers["Content-Disposition"]
        assert "<" not in answer.headers["Content-Disposition"]
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
    paper = filled.get(f"/files/show/{shas()['text/plain']}")
    assert (paper.status_code, paper.headers["location"]) == (
        302, f"/files/get/{shas()['text/plain']}"
    )  # fmt: skip


def test_a_photo_that_cannot_be_read_is_told_plainly(filled: Any, helper: Any) -> None:
    from lacwright.shop.services.attachments import attach
    from lacwright.shop.writing import Entry

    attach(to="job", name=helper("filling").BARE_JOB, source=io.BytesIO(b"\xff\xd8\xff broken"),
           file_name="x.jpg", entry=Entry())  # fmt: skip
    answer = filled.get(f"/files/show/{shas()['image/jpeg']}")
    assert answer.status_code == 422
    assert "cannot be shown here" in text_of(answer)


def test_only_what_the_record_knows_is_handed_out(filled: Any, home: Any) -> None:
    for name in ("x", 64 * "0", "../" + shas()["image/png"]):
        assert filled.get(f"/files/get/{quote(name, safe='')}").status_code == 404
    sha = shas()["text/plain"]
    (home.files / sha[:2] / sha[2:4] / sha).unlink()
    answer = filled.get(f"/files/get/{sha}")
    assert answer.status_code == 422
    assert "missing on the disk" in text_of(answer)
