"""What a search found, grouped by what it is."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from lacwright.bench.pages.measures import when
from lacwright.bench.pages.where import url_of
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.search import Hit, search
from lacwright.shop.queries.shut import FAILED

TITLES = {"jar": "Jars", "lot": "Shelf", "job": "Jobs", "piece": "Pieces and panels",
          "customer": "Customers", "applicator": "Pads and brushes",
          "entry": "In the log"}  # fmt: skip
PANEL, ENTRY = "panel", "entry"


@dataclass(frozen=True)
class Line:
    """Something that was found, with the address of its page."""

    name: str
    words: str
    url: str
    shut: str = ""


@dataclass(frozen=True)
class Group:
    """What was found of one kind."""

    title: str
    hits: tuple[Line, ...]
    more: bool
    is_log: bool


@dataclass(frozen=True)
class SearchPage:
    """What was found."""

    asked: str
    groups: tuple[Group, ...]
    shallow: int | None
    deeper: str

    @property
    def count(self) -> int:
        """How much is shown."""
        return sum(len(group.hits) for group in self.groups)

    @property
    def more(self) -> bool:
        """Whether there is more."""
        return any(group.more for group in self.groups)


def search_page(text: str, *, deep: bool, zone: dt.tzinfo) -> SearchPage:
    """Return what holds all words of a text."""
    asked = " ".join(text.split())
    found = remembered(("search", asked, deep), lambda: search(asked, all_coats=deep))
    groups = tuple(
        Group(TITLES[g.kind], tuple(_line(hit, zone) for hit in g.found), g.more, g.kind == ENTRY)
        for g in found.groups
    )
    return SearchPage(asked, groups, found.coats,
                      "?" + urlencode({"q": text, "all": 1}))  # fmt: skip


def _line(hit: Hit, zone: dt.tzinfo) -> Line:
    if hit.number is not None and hit.at_us is not None:
        return Line(hit.name, str(when(hit.at_us, zone)), reverse("log-one", args=[hit.number]))
    words = f"panel; {hit.words}".removesuffix("; ") if hit.kind == PANEL else hit.words
    return Line(hit.name, words, url_of(hit.kind, hit.name), FAILED if hit.shut else "")
