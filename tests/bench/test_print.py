"""On paper: the answer and the cautions, without what is pressed, and in ink on white."""

from collections.abc import Callable
from typing import Any

import pytest

ANSWERED = ("/mix?volume=200+ml&cut=2&grade=amber&alcohol=ethanol-190&what=box"
            "&size=300x200x120+mm&coats=3&method=brush&start=19%3A00")  # fmt: skip


@pytest.fixture
def paper(window: Callable[..., Any], looking: Any) -> Callable[[str], Any]:
    """Return what prints an address of the served shop, from a dark screen."""
    page = window((1280, 800), color_scheme="dark").page

    def show(address: str) -> Any:
        page.goto(looking.url + address)
        page.emulate_media(media="print", color_scheme="dark")
        return page

    return show


def test_the_amounts_are_printed_and_what_was_asked_is_not(paper: Callable[[str], Any]) -> None:
    from playwright.sync_api import expect

    page = paper(ANSWERED)
    expect(page.get_by_text("Weigh").first).to_be_visible()
    expect(page.get_by_text("Coats from a ready jar")).to_be_visible()
    expect(page.locator(".cautions")).to_be_visible()
    expect(page.locator("footer")).to_be_visible()  # it is a caution as well
    for hidden in ("input:visible", "select:visible", "button:visible", "nav:visible"):
        expect(page.locator(hidden)).to_have_count(0)


def test_it_is_ink_on_white_whatever_the_screen(paper: Callable[[str], Any]) -> None:
    page = paper(ANSWERED)

    def light(selector: str) -> float:
        rgb = page.eval_on_selector(selector, "e => getComputedStyle(e).color")
        numbers = [int(n) for n in rgb.removeprefix("rgb(").rstrip(")").split(",")]
        return sum(numbers) / (3 * 255)

    for selector in ("h1", ".small", ".cautions li", "footer"):
        assert light(selector) < 0.5, selector
