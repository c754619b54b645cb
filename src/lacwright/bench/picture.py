"""A drawing as an answer: its own address, its own style alone, sent again only if it changed."""

from __future__ import annotations

import base64
import hashlib

from django.http import HttpRequest, HttpResponse, HttpResponseNotModified

from lacwright.bench.charts.draw import NARROW, STYLE, WIDE

_STYLE = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
POLICY = f"default-src 'none'; style-src 'sha256-{_STYLE}'; sandbox"


def width_of(request: HttpRequest) -> float:
    """Return how wide a drawing is asked for: ?narrow is for a phone."""
    return NARROW if "narrow" in request.GET else WIDE


def picture(request: HttpRequest, svg: str) -> HttpResponse:
    """Return an SVG, or that it has not changed since it was fetched."""
    mark = f'"{hashlib.sha256(svg.encode()).hexdigest()[:32]}"'
    response: HttpResponse
    if request.headers.get("If-None-Match") == mark:
        response = HttpResponseNotModified()
    else:
        response = HttpResponse(svg, content_type="image/svg+xml; charset=utf-8")
        response.headers["Content-Security-Policy"] = POLICY
    response.headers["ETag"] = mark
    response.headers["Cache-Control"] = "private, no-cache"
    return response
