"""A fresh shop: every list says what to do first, and has nothing to filter yet."""

import html
import re
from typing import Any

import pytest

FIRST = {
    "now": ("Three entries, and you have the amounts", "/shelf/add"),
    "jars": ("No jar stands there yet", "/jars/mix"),
    "jars-pads": ("None is written down yet", "/pads/new"),
    "jars-blend": ("mix one first", "/jars/mix"),
    "shelf": ("The shelf is empty", "/shelf/add"),
    "shelf-short": ("No open job with a plan needs anything yet", "/pieces"),
    "jobs": ("No job is open", "/pieces/build"),
    "pieces": ("No piece is described yet", "/pieces/build"),
    "hours": ("Read in an hourly forecast, or the log of a hygrometer", ""),
    "colour-wish": ("Nothing of a known colour is on the shelf", "/colour/boards?for=patch"),
    "colour-boards": ("Plane and sand the board as it will be finished", ""),
    "colour-panels": ("No panel was read yet", "/panels/add"),
    "panels": ("No panel is written down yet", "/panels/add"),
    "settings-readings": ("Nothing was read yet", "/settings/air/add"),
    "settings-customers": ("Nobody is written down yet", "/settings/customers/add"),
    "settings-figures": ("Nothing of this was learned or set yet", "?show=all"),
    "settings-runs": ("No backup was made yet", ""),
    "log": ("Nothing was written down yet", "/"),
}


@pytest.mark.parametrize("name", FIRST)
def test_an_empty_list_says_what_to_do_first(client: Any, name: str) -> None:
    from django.urls import reverse

    says, way = FIRST[name]
    page = client.get(reverse(name)).content.decode()
    main = page[page.index("<main") : page.index("<footer")]
    assert says in html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", main)))
    if way:
        assert f'href="{way}"' in main
    if name != "settings-figures":  # there the filter is the way to all that can be set
        assert 'role="search"' not in main


@pytest.mark.parametrize("path", ["/jars?q=x", "/shelf?q=x", "/jobs?q=x", "/pieces?q=x",
                                  "/panels?q=x", "/pads?q=x", "/settings/air?q=x",
                                  "/settings/customers?q=x", "/log?q=x"])  # fmt: skip
def test_a_filter_that_finds_nothing_stays_to_be_changed(client: Any, path: str) -> None:
    page = client.get(path).content.decode()
    assert 'role="search"' in page
    assert re.search(r'name="q"[^>]*value="x"', page)


def test_every_list_without_a_name_in_its_address_is_looked_at_here(helper: Any) -> None:
    forms = r"-(add|new|pad|fill|mix|start|build|text|plan|import|zone|currency)$"
    pages = {name for name in helper("addresses").lists() if not re.search(forms, name)}
    assert pages - set(FIRST) == {"air", "air-drawn", "air-keep", "colour", "colour-drawn",
                                  "colour-swatch", "mixing", "search", "settings"}  # fmt: skip
