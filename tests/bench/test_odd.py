"""What nobody should send, and what somebody will: too much, too long, dates at the end of time."""

import re
from html import unescape
from typing import Any
from uuid import uuid4

import pytest

FORM = "application/x-www-form-urlencoded"


def text(response: Any) -> str:
    """Return the page as a person reads it, in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def movements() -> int:
    """Return how many movements there are."""
    from lacwright.shop.models import Movement

    return Movement.objects.count()


@pytest.mark.parametrize(
    "body",
    ["token=a&kind=note&text=" + "x" * 2_500_000, "&".join(f"a{n}=1" for n in range(2000))],
    ids=["large", "many fields"],
)
def test_too_much_at_once_is_a_page_and_writes_nothing(filled: Any, helper: Any, body: str) -> None:
    before = movements()
    answer = filled.post(f"/jobs/note/{helper('filling').JOB}", body, content_type=FORM)
    assert answer.status_code == 400
    assert "That is too much at once" in text(answer)
    assert movements() == before


def test_what_was_said_at_length_can_be_taken_back_at_once(filled: Any, helper: Any) -> None:
    url = f"/jobs/note/{helper('filling').JOB}"
    filled.post(url, {"token": uuid4().hex, "kind": "note", "text": "naïve ☂ " * 2000})
    from lacwright.shop.models import Movement

    number = Movement.objects.latest("id").id
    answer = filled.post(f"/log/undo/{number}", {"token": uuid4().hex})
    assert answer.status_code == 303
    cookie = answer.cookies["said"].OutputString()
    assert len(cookie) < 4096  # RFC 6265, 6.1: what a browser has to keep at least
    assert "Undo" in text(filled.get(answer["Location"]))


@pytest.mark.parametrize("query", ["until=9999-12-31", "since=0001-01-01", "until=0001-01-01"])
def test_days_at_the_ends_of_time_are_days(filled: Any, query: str) -> None:
    assert filled.get(f"/log?{query}").status_code == 200


def test_an_address_fills_in_fields_but_never_the_token(filled: Any, helper: Any) -> None:
    url = f"/jars/add/{helper('filling').GOOD}?token=mine&amount=5+ml"
    html = filled.get(url).content.decode()
    assert 'value="5 ml"' in html
    assert 'value="mine"' not in html


def test_a_refusal_outside_a_form_speaks_of_the_pages(filled: Any) -> None:
    page = text(filled.get("/log/undo/99999999999999999999"))
    assert "There is no movement" in page
    assert "lacwright record" not in page
