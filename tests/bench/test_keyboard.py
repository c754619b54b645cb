"""The five-minute job and the way into the record, with the keyboard alone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

FAR = 60
"""Presses of Tab after which something is not reached."""
FOCUSED = """() => {
  const e = document.activeElement;
  const s = getComputedStyle(e);
  return {id: e.id, tag: e.tagName, text: (e.innerText || "").trim(),
          seen: s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2};
}"""


class Keys:
    """Who has no pointer."""

    def __init__(self, page: Any) -> None:
        self.page = page

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def write(self, text: str) -> None:
        self.page.keyboard.type(text)

    def tab_to(self, wanted: str) -> None:
        """Go on with Tab until the field of this id, or what has these words, has the focus."""
        passed = []
        for _ in range(FAR):
            self.press("Tab")
            at = self.page.evaluate(FOCUSED)
            passed.append(at["id"] or at["text"][:20])
            if wanted in (at["id"], at["text"]):
                assert at["seen"], f"nothing shows that {wanted} has the focus"
                return
        raise AssertionError(f"{wanted} is not reached: {passed}")


def test_the_five_minute_job(
    window: Callable[..., Any], serving: Callable[[Path], Any], empty_folder: Path
) -> None:
    from playwright.sync_api import expect

    page = window().page
    keys = Keys(page)
    page.goto(serving(empty_folder).url)
    keys.press("Tab")
    assert page.evaluate(FOCUSED)["text"] == "To the page"
    keys.press("Enter", "Tab")  # past all that stands on every page
    assert page.evaluate(FOCUSED)["id"] == "id_volume"
    keys.write("200 ml")
    keys.tab_to("id_cut")
    keys.write("2")
    keys.tab_to("id_grade")
    keys.write("garnet")
    keys.tab_to("Amounts")
    keys.press("Enter")
    expect(page.get_by_text("of garnet into")).to_be_visible()
    keys.tab_to("id_size")
    keys.write("300x200x120 mm")
    keys.tab_to("id_coats")
    keys.write("2")
    keys.tab_to("id_method")
    keys.write("brush")
    keys.tab_to("Times")
    keys.press("Enter")
    expect(page.get_by_text("Coats from a ready jar")).to_be_visible()
    # A figure opens to its basis and working.
    summary = page.locator("details.figure summary").first
    summary.focus()
    keys.press("Enter")
    expect(page.locator("details.figure").first).to_contain_text("Basis")
    keys.tab_to("id_jar")
    keys.tab_to("Keep jar, piece and job")
    keys.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("written down")


def test_a_list_is_filtered_while_the_focus_stays(
    window: Callable[..., Any], serving: Callable[[Path], Any], filled_folder: Path
) -> None:
    from playwright.sync_api import expect

    page = window().page
    keys = Keys(page)
    page.goto(serving(filled_folder).url + "/search")
    keys.tab_to("search-q")
    keys.write("haze")
    expect(page.locator("#list")).to_contain_text("1 found for haze")
    assert page.evaluate(FOCUSED)["id"] == "search-q"
    assert page.url.endswith("q=haze")
    page.go_back()
    page.goto(page.url.partition("/search")[0] + "/log")
    keys.tab_to("log-kind")
    keys.write("jars m")
    expect(page.locator("#list li").first).to_contain_text("Mixed jar")
    assert page.evaluate(FOCUSED)["id"] == "log-kind"


def test_long_work_tells_that_it_has_ended(
    window: Callable[..., Any], serving: Callable[[Path], Any], filled_folder: Path
) -> None:
    from playwright.sync_api import expect

    page = window().page
    page.goto(serving(filled_folder).url + "/settings/care")
    Keys(page).tab_to("Make a backup")
    Keys(page).press("Enter")
    done = page.locator("[data-focus]")
    expect(done).to_contain_text("read back whole", timeout=60_000)
    expect(done).to_be_focused()


def test_every_page_works_without_script(
    window: Callable[..., Any], serving: Callable[[Path], Any], filled_folder: Path
) -> None:
    from playwright.sync_api import expect

    page = window(java_script_enabled=False).page
    url = serving(filled_folder).url
    page.goto(url + "/search")
    page.get_by_label("Words").fill("haze")
    page.get_by_role("button", name="Search").click()
    expect(page.locator("#list")).to_contain_text("1 found for haze")
    page.goto(url + "/mix")
    page.get_by_label("How much mix").fill("200 ml")
    page.get_by_label("Cut").fill("2")
    page.get_by_role("button", name="Amounts").click()
    expect(page.locator("main")).to_contain_text("Weigh")
    page.goto(url + "/settings/currency")
    page.get_by_label("Currency").fill("EUR")
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_role("status")).to_contain_text("Prices are now written in EUR")
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("status")).to_contain_text("Taken back")
    page.goto(url + "/settings/care")
    page.get_by_role("button", name="Check the record").click()
    page.get_by_role("link", name="Look again").or_(
        page.get_by_text("Everything in the record fits together")
    ).first.wait_for()


def test_the_air_of_a_room(
    window: Callable[..., Any], serving: Callable[[Path], Any], empty_folder: Path
) -> None:
    from playwright.sync_api import expect

    page = window().page
    keys = Keys(page)
    page.goto(serving(empty_folder).url + "/air")
    keys.tab_to("id_coats")
    keys.write("250 ml at 0 min")
    keys.tab_to("id_cut")
    keys.write("2")
    keys.tab_to("id_alcohol")
    keys.write("ethanol 190")
    keys.tab_to("id_volume")
    keys.write("30 m3")
    keys.tab_to("id_air")
    keys.write("one-window")
    keys.tab_to("Estimate the air")
    keys.press("Enter")
    expect(page.locator(".stop").first).to_contain_text("lower explosive limit")
    expect(page.locator("section.answer")).to_contain_text("times the limits")
    expect(page.locator("section.answer img")).to_be_visible()
