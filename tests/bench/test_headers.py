"""What every answer carries: a page in order, headers, nothing of elsewhere, no script inside."""

from __future__ import annotations

import html.parser
import re
import socket
from collections.abc import Callable
from typing import Any

import pytest

VOID = {"area", "br", "hr", "img", "input", "link", "meta", "col", "source", "wbr"}


class Page(html.parser.HTMLParser):
    """A page, as far as these tests read it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.wrong: list[str] = []
        self.headings: list[int] = []
        self.ids: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)
        self.close()
        if self.open:
            self.wrong.append(f"not closed: {self.open}")

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        self.tags.append((tag, told))
        if tag not in VOID:
            self.open.append(tag)
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if told.get("id"):
            self.ids.append(str(told["id"]))

    def handle_endtag(self, tag: str) -> None:
        if tag in VOID:
            return
        if not self.open or self.open[-1] != tag:
            self.wrong.append(f"</{tag}> closes {self.open[-3:]} at {self.getpos()}")
            if tag in self.open:
                while self.open.pop() != tag:
                    pass
            return
        self.open.pop()


def test_every_address_has_an_example(address: str, filled: Any, helper: Any) -> None:
    helper("addresses").examples(address)


def test_what_every_answer_carries(address: str, filled: Any, helper: Any) -> None:
    addresses = helper("addresses")
    if address in addresses.WRITES_ONLY:
        assert filled.get(addresses.examples(address)[0]).status_code == 405
        return
    for url in addresses.examples(address):
        answer = filled.get(url)
        expected = (
            422 if address + url.removeprefix(url.partition("?")[0]) in addresses.REFUSED else 200
        )
        assert answer.status_code == expected, url
        told = answer.headers
        assert told["X-Content-Type-Options"] == "nosniff"
        assert told["Cross-Origin-Resource-Policy"] == "same-origin"
        assert told["Referrer-Policy"] == "same-origin"
        policy = told["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'")
        assert not [word for word in ("http:", "https:", "*") if word in policy]
        assert "private" in told["Cache-Control"] or "no-store" in told["Cache-Control"]
        if told["Content-Type"].startswith("text/html"):
            assert "'unsafe" not in policy, url
            _check(answer.content.decode(), url)


def _check(text: str, url: str) -> None:
    page = Page(text)
    assert not page.wrong, f"{url}: {page.wrong}"
    double = sorted({i for i in page.ids if page.ids.count(i) > 1})
    assert not double, f"{url}: ids that stand twice: {double}"
    assert [h for h in page.headings if h == 1] == page.headings[:1], f"{url}: {page.headings}"
    jumps = [pair for pair in zip(page.headings, page.headings[1:], strict=False)
             if pair[1] > pair[0] + 1]  # fmt: skip
    assert not jumps, f"{url}: headings out of order: {jumps}"
    for tag, told in page.tags:
        where = f"{url}: <{tag} {told}>"
        assert "style" not in told, where
        assert not [name for name in told if name.startswith("on")], where
        assert tag != "style", where
        if tag == "script":
            assert told.get("src", "").startswith("/static/"), where  # type: ignore[union-attr]
        for name in ("href", "src", "action", "hx-get", "hx-post", "srcset", "data"):
            value = told.get(name) or ""
            assert not re.match(r"(?i)[a-z][a-z0-9+.-]*:|//", value), where
        if tag == "form" and told.get("method") == "post":
            assert 'name="csrfmiddlewaretoken"' in text, where
        if tag == "img":
            assert told.get("alt") is not None, where
        if tag == "table":
            assert "<caption" in text, where
        if tag == "a":
            assert told.get("href"), where
    words = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", text))
    left = re.findall(r".{0,40}\b(?:None(?! yet)|nan|inf)\b.{0,40}", words)
    assert not left, f"{url}: a value that nobody put into words: {left}"


WORDS = ("dashboard", "inventory", "workflow", "batch job", "streak", "score", "tracker",
         "leaderboard", "badge")  # fmt: skip


def test_words_of_the_house(address: str, filled: Any, helper: Any) -> None:
    addresses = helper("addresses")
    if address in addresses.WRITES_ONLY:
        pytest.skip("it answers no GET")
    for url in addresses.examples(address):
        answer = filled.get(url)
        if not answer.headers["Content-Type"].startswith("text/html"):
            continue
        text = re.sub(r"<[^>]*>", " ", answer.content.decode()).lower()
        found = [word for word in WORDS if re.search(rf"\b{word}s?\b", text)]
        assert not found, url


def test_no_answer_asks_another_machine(
    filled: Any, helper: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*told: Any) -> None:
        raise AssertionError(f"a page asks {told[-1]}")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    addresses = helper("addresses")
    for name in addresses.names():
        for url in addresses.examples(name):
            filled.get(url)


def test_another_name_of_the_machine_is_not_answered(client: Any) -> None:
    assert client.get("/settings", headers={"host": "evil.example"}).status_code == 400
    assert client.get("/settings", headers={"host": "localhost:8080"}).status_code == 200


@pytest.mark.parametrize("header", [{}, {"origin": "http://evil.example"}])
def test_a_form_from_elsewhere_writes_nothing(client: Any, header: dict[str, str]) -> None:
    from django.test import Client

    from lacwright.shop.models import Movement

    strange = Client(enforce_csrf_checks=True, SERVER_NAME="127.0.0.1")
    strange.get("/settings/currency")
    answer = strange.post("/settings/currency", {"text": "EUR", "token": "t"}, headers=header)
    assert answer.status_code == 403
    assert "Nothing was written" in answer.content.decode()
    assert not Movement.objects.exists()


def test_cookies_are_for_these_pages_alone(client: Any) -> None:
    client.get("/settings/currency")
    answer = client.post("/settings/currency", {"text": "EUR", "token": "t"})
    assert answer.status_code == 303
    for name in ("csrftoken", "said"):
        cookie = client.cookies[name]
        assert (cookie["samesite"], cookie["httponly"]) == ("Strict", True), name


def test_a_page_that_is_not_there(client: Any) -> None:
    answer = client.get("/no/such/page")
    assert answer.status_code == 404
    assert "There is no such page" in answer.content.decode()
    assert client.get("/settings/customers/of/Nobody").status_code == 404


def test_pressing_twice_counts_once(client: Any) -> None:
    from lacwright.shop.models import Movement

    for _ in range(2):
        answer = client.post(
            "/settings/customers/add", {"name": "Ada", "contact": "", "note": "", "token": "twice"}
        )
        assert answer.status_code == 303
    assert Movement.objects.count() == 1


def test_what_was_typed_stays_when_it_is_refused(client: Any) -> None:
    answer = client.post(
        "/settings/customers/add", {"name": "a:b", "contact": "third door", "token": "t"}
    )
    assert answer.status_code == 422
    text = answer.content.decode()
    assert not [t for t in ("holds a colon", 'value="a:b"', "third door") if t not in text]


def sizes(answer: Any) -> int:
    return len(answer.content)


def test_the_first_page_is_light(filled: Any, helper: Callable[[str], Any]) -> None:
    from pathlib import Path

    import django_htmx

    import lacwright.bench

    page = filled.get("/")
    text = page.content.decode()
    roots = (Path(lacwright.bench.__file__).parent / "static",
             Path(django_htmx.__file__).parent / "static")  # fmt: skip
    whole = sizes(page)
    for name in re.findall(r"/static/([^\"?]+)", text):
        whole += next(r / name for r in roots if (r / name).exists()).stat().st_size
    assert whole < 150_000
