"""Where the page of a thing is, by what it is and its name."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

ROOMS = {
    "jar": "jars-one", "lot": "shelf-one", "job": "jobs-one", "piece": "pieces-one",
    "panel": "panels-one", "customer": "settings-customers-one",
}  # fmt: skip
LISTS = {"jar": "jars", "lot": "shelf", "job": "jobs", "piece": "pieces", "panel": "panels",
         "applicator": "jars-pads", "customer": "settings-customers"}  # fmt: skip
WORDS = {"jar": "Jar", "lot": "Lot", "job": "Job", "piece": "Piece", "panel": "Panel",
         "applicator": "Pad or brush", "customer": "Customer"}  # fmt: skip


@dataclass(frozen=True)
class Link:
    """A thing, and the address of its page."""

    kind: str
    name: str
    url: str

    @property
    def words(self) -> str:
        """What it is: "Jar"."""
        return WORDS[self.kind]


def link(kind: str, name: str) -> Link:
    """Return a thing with the address of its page, of its list where it has none of its own."""
    return Link(kind, name, url_of(kind, name))


def url_of(kind: str, name: str) -> str:
    """Return the address of the page of a thing."""
    return reverse(ROOMS[kind], args=[name]) if kind in ROOMS else reverse(LISTS[kind])
