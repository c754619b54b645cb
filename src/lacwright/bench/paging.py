"""Lists: a filter, pages of a fixed length, and addresses that keep the filter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from django.http import HttpRequest

T = TypeVar("T")
LENGTH = 30


@dataclass(frozen=True)
class Page(Generic[T]):
    """Some rows of a list."""

    rows: Sequence[T]
    number: int
    total: int
    query: str  # the filter, as the address has it, without the page

    @property
    def first(self) -> int:
        """Number of its first row, from 1."""
        return (self.number - 1) * LENGTH + 1

    @property
    def last(self) -> int:
        """Number of its last row."""
        return self.first + len(self.rows) - 1

    @property
    def before(self) -> str:
        """Address of the page before, "" for the first."""
        return self._address(self.number - 1) if self.number > 1 else ""

    @property
    def after(self) -> str:
        """Address of the next page, "" for the last."""
        return self._address(self.number + 1) if self.last < self.total else ""

    @property
    def whole(self) -> str:
        """Address of all rows on one page, to print them."""
        return self._with("all=yes")

    def _address(self, number: int) -> str:
        return self._with(f"page={number}")

    def _with(self, more: str) -> str:
        return f"?{self.query}&{more}" if self.query else f"?{more}"


def page_or_all(request: HttpRequest, rows: Sequence[T]) -> Page[T]:
    """Return a page of rows, or all of them where that is asked for."""
    if "all" in request.GET:
        return Page(rows, 1, len(rows), "")
    return page_of(request, rows)


def wanted(request: HttpRequest) -> int:
    """Return the number of the page that is asked for, from 1."""
    text = request.GET.get("page", "1")
    return max(1, int(text)) if text.isdecimal() and len(text) < 7 else 1


def page_of(request: HttpRequest, rows: Sequence[T], total: int | None = None) -> Page[T]:
    """Return a page of rows: of all of them, or (with `total`) rows already cut to this page."""
    number = wanted(request)
    if total is None:
        total = len(rows)
        number = min(number, max(1, -(-total // LENGTH)))
        rows = rows[(number - 1) * LENGTH : number * LENGTH]
    query = request.GET.copy()
    query.pop("page", None)
    return Page(rows, number, total, query.urlencode())
