"""Jobs: what is next, a coat in a few entries, what is refused and what is remarked."""

import html
import io
import re
from typing import Any

import pytest

JOB, BARE, GOOD, BAD = "T-12", "T-13 / rim", "J1", "J2"


def of(name: str, what: str = "one") -> str:
    from django.urls import reverse

    return reverse(f"jobs-{what}", args=[name])


def text(answer: Any) -> str:
    """Return the words of a page."""
    body = re.sub(r"<(style|script).*?</\1>", "", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body)))


def said(client: Any, answer: Any) -> str:
    """Go where an answer sends, and return what is said there."""
    assert answer.status_code == 303, text(answer)
    return text(client.get(answer.headers["Location"]))


def token(client: Any, url: str) -> str:
    """Return the token of the form of a page."""
    found = re.search(r'name="token" value="(\w+)"', client.get(url).content.decode())
    assert found is not None
    return found[1]


def test_a_list_of_the_open_jobs_with_the_next_step(filled: Any) -> None:
    page = text(filled.get("/jobs"))
    assert "What work is open?" in page
    assert "Next: Scuff lightly" in page
    assert "T-9" not in page
    assert "T-9" in text(filled.get("/jobs?show=closed"))
    assert "T-13" not in text(filled.get("/jobs?q=cherry"))
    assert "Nothing is called that" in text(filled.get("/jobs?q=zzz"))


def test_an_empty_shop_is_told_what_to_do_first(client: Any) -> None:
    page = text(client.get("/jobs"))
    assert "No job is open. A job begins with a piece" in page


def test_the_next_step_stands_before_everything(filled: Any) -> None:
    page = text(filled.get(of(JOB)))
    at = page.index
    assert at("Scuff lightly and wipe off the dust") < at("What is done") < at("About it")
    assert re.search(r"It may begin now|Wait until", page)


def test_a_failed_jar_is_shown_on_the_job_it_was_laid_on(filled: Any) -> None:
    answer = filled.get(of(BARE))
    page = text(answer)
    assert f"STOP Jar {BAD} failed its drying test" in page
    assert "What carries it?" in page
    assert page.index("STOP") < page.index("What is done")


def test_a_coat_in_three_entries_with_jar_and_parts_filled_in(filled: Any) -> None:
    from lacwright.shop.models import Event

    form = filled.get(of(BARE, "coat"))
    page = form.content.decode()
    assert re.search(rf'<option value="{GOOD}" selected', page)
    assert re.search(r'value="top"[^>]*checked', page)
    sent = {"token": token(filled, of(BARE, "coat")), "jar": GOOD, "parts": ["top"],
            "before": "706.5 g", "after": "680 g", "method": "brush"}  # fmt: skip
    answer = filled.post(of(BARE, "coat"), sent)
    words = said(filled, answer)
    assert "Coat on top from jar J1 is written down: 26.5 g of mix (weighed)" in words
    assert "Undo" in words
    assert "J1 weighed 680 g after the last coat" in text(filled.get(of(BARE, "coat")))
    body = Event.objects.filter(kind="coat").latest("root").movement.body
    assert (body["before_g"], body["after_g"], body["parts"]) == (706.5, 680.0, ["top"])


def test_the_button_pressed_twice_counts_once(filled: Any) -> None:
    from lacwright.shop.models import Movement

    sent = {"token": token(filled, of(BARE, "coat")), "jar": GOOD, "before": "700 g",
            "after": "680 g", "method": "brush"}  # fmt: skip
    filled.post(of(BARE, "coat"), sent)
    before = Movement.objects.count()
    assert filled.post(of(BARE, "coat"), sent).status_code == 303
    assert Movement.objects.count() == before


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"before": "700", "after": "680 g"}, "before", "700 has no unit"),
        ({"before": "680 g", "after": "700 g"}, "after", "swap them, or weigh again"),
        ({"before": "700 g"}, "after", "the jar was weighed only once"),
        ({"jar": BAD}, "jar", 'say why under "Why, if the jar failed its test"'),
        ({"other_jar": "J99"}, "jar", "there is no jar 'J99'"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_stays_typed(
    filled: Any, more: dict[str, str], field: str, words: str
) -> None:
    from lacwright.shop.models import Movement

    before = Movement.objects.count()
    sent = {"token": "a", "jar": GOOD, "parts": ["top"], "method": "brush", **more}
    answer = filled.post(of(BARE, "coat"), sent)
    assert answer.status_code == 422
    errors = answer.context["form"].errors
    assert words.lower() in " ".join(errors[field]).lower()
    assert answer.context["form"]["before"].value() == sent.get("before")
    assert Movement.objects.count() == before


def test_a_failed_jar_with_a_reason_is_written_down_and_marked(filled: Any) -> None:
    sent = {"token": "b", "jar": BAD, "parts": ["legs"], "method": "brush", "used_ml": "10 ml",
            "in_spite": "a trial on the underside"}  # fmt: skip
    words = said(filled, filled.post(of(BARE, "coat"), sent))
    assert "is written down" in words
    assert "Laid in spite of that: a trial on the underside" in words


def test_no_word_of_the_command_line_on_a_page(filled: Any) -> None:
    words = said(
        filled,
        filled.post(
            of(JOB, "coat"),
            {"token": "c", "jar": GOOD, "parts": ["top"], "before": "700 g", "after": "680 g"},
        ),
    )
    assert "--" not in words
    assert "'lacwright" not in words


@pytest.mark.parametrize(
    ("what", "sent", "words"),
    [
        ("sand", {"what": "level", "abrasive": "P600", "parts": ["top"]}, "Levelled on top with"),
        ("strip", {"parts": ["legs"], "how": "alcohol"}, "The finish is off on legs"),
        ("fault", {"what": "craters", "where": "front"}, "is written down: craters"),
        ("spot", {"where": "under the rim"}, "Come back to under the rim"),
        ("note", {"kind": "note", "text": "window open"}, "The note is written down"),
        ("agree", {"what": "price", "price": "48,50"}, "agreed is written down"),
        ("describe", {"title": "Table by the door", "note": "x"}, "Changed."),
        ("close", {"text": "done"}, "is closed"),
    ],
)
def test_everything_that_happens_has_its_page(
    filled: Any, what: str, sent: dict[str, Any], words: str
) -> None:
    url = of(BARE, what)
    assert filled.get(url).status_code == 200
    assert words in said(filled, filled.post(url, {"token": f"t-{what}", **sent}))


@pytest.mark.parametrize(
    ("what", "sent", "field"),
    [
        ("sand", {"what": "scuff", "abrasive": "sandstone"}, "abrasive"),
        ("spot", {"where": ""}, "where"),
        ("note", {"kind": "note", "text": ""}, "text"),
        ("agree", {"what": "price"}, "price"),
        ("agree", {"what": "price", "price": "much"}, "price"),
    ],
)
def test_what_is_missing_is_said_at_its_field(
    filled: Any, what: str, sent: dict[str, Any], field: str
) -> None:
    answer = filled.post(of(BARE, what), {"token": "x", **sent})
    assert answer.status_code == 422
    assert field in answer.context["form"].errors


def test_a_spot_is_seen_to(filled: Any) -> None:
    from django.urls import reverse

    from lacwright.shop.models import Event

    assert "Spots to come back to" in text(filled.get(of(BARE)))
    spot = Event.objects.get(kind="spot").root_id
    filled.post(reverse("jobs-spot-done", args=[spot]), {"token": "s", "text": "cut back"})
    assert "Spots to come back to" not in text(filled.get(of(BARE)))


def test_a_photo_is_kept_without_the_place_where_it_was_taken(filled: Any, helper: Any) -> None:
    from PIL import Image

    from lacwright.shop.files_store import path_of
    from lacwright.shop.models import File
    from lacwright.shop.opening import opened

    photo = io.BytesIO()
    picture = Image.new("RGB", (4000, 100), (90, 40, 20))
    exif = Image.Exif()
    exif[0x8825] = {1: "N", 2: (48.0, 12.0, 0.0)}
    picture.save(photo, "JPEG", exif=exif)
    photo.seek(0)
    photo.name = "rim.jpg"
    answer = filled.post(of(BARE, "attach"), {"token": "p", "file": photo, "words": "the rim"})
    assert "rim.jpg is kept" in said(filled, answer)
    with Image.open(path_of(opened(), File.objects.get(media="image/jpeg").sha256)) as kept:
        assert kept.size[0] == 2400
        assert not kept.getexif().get_ifd(0x8825)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("a.jpg", b"\xff\xd8\xff" + b"no photo at all", "cannot be read"),
        ("a.png", b"GIF89a" + bytes(40), "none of the kinds"),
        ("a.txt", b"", "submitted file is empty"),
        ("a.heic", b"\x00\x00\x00\x18ftypheic" + bytes(60), "Export it as JPEG"),
        ("a.jpg", b"\x00\x00\x00\x18ftypmif1" + bytes(60), "Export it as JPEG"),
    ],
)
def test_a_file_is_judged_by_its_content(
    filled: Any, name: str, content: bytes, words: str
) -> None:
    sent = io.BytesIO(content)
    sent.name = name
    answer = filled.post(of(BARE, "attach"), {"token": "q", "file": sent})
    assert answer.status_code == 422
    assert words in text(answer)


def test_a_job_without_a_plan(client: Any) -> None:
    answer = client.post("/jobs/start", {"token": "j", "job": "T-1", "piece": "stool"})
    words = said(client, answer)
    assert "Job T-1 on stool begins, without a plan" in words
    assert "No plan is kept with it" in words
    again = client.post("/jobs/start", {"token": "k", "job": "T-1", "piece": "stool"})
    assert "already" in " ".join(again.context["form"].errors["job"])


def test_film_now_is_drawn_and_not_sent_twice(filled: Any) -> None:
    answer = filled.get(of(BARE, "film"))
    assert answer.headers["Content-Type"].startswith("image/svg+xml")
    assert b"<title" in answer.content
    again = filled.get(of(BARE, "film"), headers={"If-None-Match": answer.headers["ETag"]})
    assert again.status_code == 304


def test_what_was_planned_at_the_start(filled: Any) -> None:
    page = text(filled.get(of(JOB, "planned")))
    assert "done by" in page
    assert "Coat 1 (body, 2-lb)" in page
    assert filled.get(of(BARE, "planned")).status_code == 404


def test_a_coat_on_a_panel_needs_no_job(filled: Any, helper: Any) -> None:
    from django.urls import reverse

    panel = helper("filling").PANEL
    url = reverse("pieces-coat", args=[panel])
    answer = filled.post(url, {"token": "z", "jar": GOOD, "method": "pad", "used_ml": "3 ml"})
    assert answer.status_code == 303
    assert answer.headers["Location"] == reverse("pieces-one", args=[panel])


def test_a_job_that_came_from_elsewhere_says_nothing_of_stops(filled: Any) -> None:
    from lacwright.shop.models import Job, Piece
    from lacwright.shop.writing import Entry, Writer, write

    def do(w: Writer) -> dict[str, Any]:
        piece = Piece.objects.get(key="hall table")
        job = Job.objects.create(key="brought in", piece=piece)
        job.opened = w.movement("start", refs={"job": job.key, "piece": piece.key})
        job.save()
        return {}

    write("bring in", {}, Entry(), do)
    answer = filled.get(of("brought in"))
    assert answer.status_code == 200
    assert "Begun in spite of" not in answer.content.decode()


def test_a_token_that_no_address_could_hold_is_refused(filled: Any) -> None:
    sent = {"token": "a/b", "kind": "note", "text": "a word"}
    assert filled.post(of(JOB, "note"), sent).status_code == 422
