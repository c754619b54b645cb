"""What stands around every page."""

from __future__ import annotations

from functools import cache
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from lacwright import __version__
from lacwright.bench.ask import said

PAGES = (
    ("now", "Now"), ("mixing", "Mix"), ("jars", "Jars"), ("shelf", "Shelf"), ("jobs", "Jobs"),
    ("hours", "Hours"), ("air", "Air"), ("colour", "Colour"), ("pieces", "Pieces"),
    ("panels", "Panels"), ("search", "Search"), ("settings", "Settings"),
)  # fmt: skip

_UNDER = {"log": "settings", "undo": "settings"}
"""Pages that stand under another entry than their name begins with."""


def frame(request: HttpRequest) -> dict[str, Any]:
    """Return the list of pages, and which of them this one belongs to."""
    match = request.resolver_match
    here = (match.url_name or "").partition("-")[0] if match else ""
    here = _UNDER.get(here, here)
    return {"pages": _addresses(), "here": here, "version": __version__, "said": said(request),
            "address": request.get_full_path() if request.method == "GET" else "/"}  # fmt: skip


@cache
def _addresses() -> tuple[tuple[str, str, str], ...]:
    return tuple((name, word, reverse(name)) for name, word in PAGES)
