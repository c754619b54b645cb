"""What is shown when a page is not there, a form is stale, or the program is at fault."""

from __future__ import annotations

from django.core.exceptions import (
    DisallowedHost,
    RequestDataTooBig,
    TooManyFieldsSent,
    TooManyFilesSent,
)
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def missing(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Say that there is no such page."""
    return fault(request, 404, "There is no such page",
                 "The address leads nowhere: taken back, or mistyped.")  # fmt: skip


def refused(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Say that what was sent is not taken: too much of it, or asked for under a strange name."""
    if isinstance(exception, DisallowedHost):
        return HttpResponse("This shop answers to 127.0.0.1 alone.", status=400,
                            content_type="text/plain; charset=utf-8")  # fmt: skip
    if isinstance(exception, RequestDataTooBig | TooManyFieldsSent | TooManyFilesSent):
        return fault(request, 400, "That is too much at once",
                     "Nothing was written. Send less of it, or a file in place of the "
                     "text.")  # fmt: skip
    return fault(request, 400, "That cannot be read",
                 "Nothing was written. Go back, load the page anew and send it again.")  # fmt: skip


def stale(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say that a form came from elsewhere or is too old."""
    return fault(request, 403, "This form is too old",
                 "Nothing was written. Go back, load the page anew and send it again.")  # fmt: skip


def broken(request: HttpRequest) -> HttpResponse:
    """Say that the program is at fault."""
    return fault(request, 500, "Internal fault, not your input",
                 "Nothing half-done was written. Please report what you did.")  # fmt: skip


def fault(request: HttpRequest, status: int, title: str, text: str) -> HttpResponse:
    """Return a page with a sentence and a way on."""
    return render(request, "fault.html", {"title": title, "text": text}, status=status)
