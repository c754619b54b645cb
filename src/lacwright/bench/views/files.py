"""Photos and papers, each with a fixed type; nothing of them is ever run by the browser."""

from __future__ import annotations

from django.http import (
    FileResponse,
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseNotModified,
    HttpResponseRedirect,
)
from django.http.response import HttpResponseBase
from django.urls import reverse

from lacwright.bench.pages import files as pages
from lacwright.figures import Refusal
from lacwright.shop.files_store import path_of
from lacwright.shop.models import File
from lacwright.shop.opening import opened

NEVER = "default-src 'none'; sandbox"
KEPT = "private, max-age=31536000, immutable"
"""What an address shows never changes: it holds the hash of the content."""


def show(request: HttpRequest, sha: str) -> HttpResponseBase:
    """Show a photo; a paper is handed out."""
    if _file(sha).media not in pages.PHOTOS:
        return HttpResponseRedirect(reverse("files-get", args=[sha]))
    return _photo(request, sha, pages.LARGE)


def small(request: HttpRequest, sha: str) -> HttpResponseBase:
    """Show a small photo, for lists."""
    return _photo(request, sha, pages.SMALL)


def get(request: HttpRequest, sha: str) -> HttpResponseBase:
    """Hand a file out as it was attached, to be saved."""
    found = _file(sha)
    try:
        stream = path_of(opened(), sha).open("rb")
    except OSError:
        raise Refusal("file", "it is missing on the disk",
                      "run 'lacwright record audit'") from None  # fmt: skip
    response = FileResponse(stream, as_attachment=True, filename=pages.kept_name(found),
                            content_type="application/octet-stream")  # fmt: skip
    response.headers["Content-Security-Policy"] = NEVER
    response.headers["Cache-Control"] = "private, no-store"
    return response


def _photo(request: HttpRequest, sha: str, side: int) -> HttpResponseBase:
    found = _file(sha)
    etag = f'"{sha}-{side}"'
    response: HttpResponse
    if request.headers.get("If-None-Match") == etag:
        response = HttpResponseNotModified()
    else:
        path = pages.shown(opened(), found, side)
        response = HttpResponse(path.read_bytes(), content_type="image/jpeg")
        response.headers["Content-Disposition"] = "inline"
        response.headers["Content-Security-Policy"] = NEVER
    response.headers["ETag"] = etag
    response.headers["Cache-Control"] = KEPT
    return response


def _file(sha: str) -> File:
    found = pages.find(sha)
    if found is None:
        raise Http404
    return found
