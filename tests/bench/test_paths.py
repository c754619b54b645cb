"""The main paths, in Chromium, on a telephone and on a laptop, as somebody at the bench goes."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

SIZES = {"phone": (390, 844), "laptop": (1280, 800)}


class Hand:
    """Who fills in and presses; counts the entries."""

    def __init__(self, page: Any, url: str) -> None:
        self.page, self.url = page, url
        self.entries = 0

    def go(self, path: str) -> Hand:
        self.page.goto(self.url + path)
        return self

    def enter(self, label: str | re.Pattern[str], text: str, *, within: Any = None) -> None:
        """Type into a field, or choose from it."""
        self.entries += 1
        field = (within or self.page.locator("main")).get_by_label(label).first
        if field.evaluate("e => e.tagName") == "SELECT":
            values = field.evaluate(
                "e => [...e.options].map(o => [o.value, o.label])"
            )  # a choice is found by what it says, or by its value
            value = next(v for v, said in values if v == text or said.strip().startswith(text))
            field.select_option(value)
        else:
            field.fill(text)

    def press(self, name: str | re.Pattern[str]) -> None:
        """Press a button, or follow a link."""
        main = self.page.locator("main")
        found = main.get_by_role("button", name=name).or_(main.get_by_role("link", name=name))
        found.first.click()

    def open(self, name: str) -> None:
        """Open what is folded away."""
        self.page.locator("summary", has_text=name).click()

    def sees(self, text: str | re.Pattern[str]) -> None:
        """Wait until the page says something."""
        from playwright.sync_api import expect

        expect(self.page.locator("main")).to_contain_text(text)

    def on_first_screen(self, text: str | re.Pattern[str]) -> None:
        """Wait until something can be seen without scrolling."""
        from playwright.sync_api import expect

        expect(self.page.get_by_text(text).first).to_be_in_viewport()


@pytest.fixture(params=SIZES)
def hand(
    request: pytest.FixtureRequest, window: Callable[..., Any], serving: Callable[[Path], Any],
    empty_folder: Path,
) -> Hand:  # fmt: skip
    """Return somebody before a fresh shop."""
    more = {"has_touch": True, "is_mobile": True} if request.param == "phone" else {}
    page = window(SIZES[request.param], **more).page
    return Hand(page, serving(empty_folder).url)


def test_the_five_minute_job(hand: Hand) -> None:
    hand.go("/")
    hand.on_first_screen("Three entries, and you have the amounts")
    hand.enter("How much mix", "200 ml")
    hand.enter("Cut", "2")
    hand.enter("Grade", "amber")
    hand.press("Amounts")
    hand.sees(re.compile(r"Weigh 39\.\d g of amber into 165 ml of alcohol"))
    assert hand.entries == 3
    hand.enter("How large", "300x200x120 mm")
    hand.enter("How many coats", "3")
    hand.enter("How laid", "brush")
    hand.enter("Begin at", "19:00")
    hand.press("Times")
    hand.sees("Coats from a ready jar")
    assert hand.page.locator("tbody tr").count() == 3
    assert hand.entries == 7
    hand.sees("Before alcohol is opened")
    # Nothing was written so far; now it is kept.
    assert hand.page.request.get(hand.url + "/log").text().count("/log/one/") == 0
    hand.press(re.compile("^Keep"))
    hand.sees("written down")
    hand.go("/jars")
    hand.sees("2.0-lb cut of amber")


def test_from_a_bag_of_flakes_to_a_recall(hand: Hand) -> None:
    """Make a lot, mix a jar, build a piece, plan it, start the job, log a coat, fail a test."""
    make_lots(hand)
    mix_jar(hand)
    build_and_plan(hand)
    start_job(hand)
    log_coat(hand)
    undo(hand)
    fail_test(hand)
    hand.go("/")
    hand.on_first_screen("Pour jar J1 away")


def make_lots(hand: Hand) -> None:
    hand.go("/shelf").press(re.compile("Write down|lot", re.I))
    hand.enter("It is called", "garnet b/12")
    hand.enter(re.compile("How much came"), "1 kg")
    hand.enter(re.compile("Grade"), "garnet")
    hand.press("Write it down")
    hand.sees("garnet b/12")
    hand.go("/shelf/add?kind=alcohol")
    hand.enter("It is called", "can 7")
    hand.enter(re.compile("How much came"), "5 l")
    hand.enter(re.compile("Which alcohol"), "ethanol-190")
    hand.press("Write it down")
    hand.go("/shelf")
    hand.sees("garnet b/12")
    hand.sees("can 7")


def mix_jar(hand: Hand) -> None:
    hand.go("/jars").press("Mix a jar")
    hand.enter("Flakes", "garnet b/12")
    hand.enter("Cut", "2")
    hand.enter("How much", "500 ml")
    hand.enter(re.compile("^Alcohol"), "can 7")
    hand.press("Amounts")
    hand.sees(re.compile(r"Weigh 9\d.* of .*garnet b/12"))
    hand.press("Write it down")
    hand.sees("J1")
    hand.go("/jars")
    hand.sees("J1")


def build_and_plan(hand: Hand) -> None:
    hand.go("/pieces").press("Describe a piece")
    hand.enter("What it is", "Tea box")
    hand.enter("Length along the grain", "400x300x18 mm")
    hand.enter("Wood", "cherry")
    hand.enter("Finished how", "brush")
    hand.press("Draw it")
    drawing = hand.page.locator("main img").first
    drawing.wait_for()
    assert drawing.evaluate("e => e.complete ? e.naturalWidth : 1") > 0
    assert drawing.get_attribute("alt")
    hand.sees("m²")
    hand.open("The wish")
    hand.page.get_by_label("furniture in daily use").check()
    hand.enter("Grade", "garnet")
    hand.press("Plan it")
    hand.sees(re.compile(r"weigh \d.* g garnet", re.I))
    hand.sees("Change one thing")


def start_job(hand: Hand) -> None:
    hand.press("Start the job")
    hand.enter("Call the job", "T-1")
    hand.enter("The piece", "tea box")
    stop = hand.page.get_by_label(re.compile("plan has a stop"))
    if stop.count():
        stop.fill("the room is emptied first")
    hand.press("Start the job")
    hand.sees("Job T-1 on tea box begins: 5 coats planned")
    hand.on_first_screen("Write down the coat")


def log_coat(hand: Hand) -> None:
    hand.press("Write down the coat")
    hand.enter("From jar", "J1")
    hand.enter(re.compile("Jar before"), "700 g")
    hand.enter(re.compile("Jar after"), "681 g")
    hand.press("Write it down")
    hand.sees("19.0 g")


def undo(hand: Hand) -> None:
    """Take the coat back, and bring it back."""
    hand.press("Undo")
    hand.sees("Taken back:")
    hand.sees("0 of 5 coats laid")
    hand.press("Undo")
    hand.sees("It counts again:")
    hand.sees("1 of 5 coats laid")


def fail_test(hand: Hand) -> None:
    hand.go("/jars/test/J1")
    seen = hand.page.get_by_role("group", name=re.compile("Looked at last"))
    hand.enter("the jar", "45 min", within=seen)
    fresh = hand.page.get_by_role("group", name=re.compile("No longer tacky"))
    hand.enter("fresh mix", "9 min", within=fresh)
    hand.enter(re.compile("Room temperature"), "21 C")
    hand.enter(re.compile("Humidity"), "50 %")
    hand.press("Write it down")
    hand.sees("Drying test of jar J1: failed")
    hand.on_first_screen("What carries jar J1?")
    hand.sees("1 coat on 1 piece")
    hand.sees("tea box")
