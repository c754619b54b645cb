"""Around every answer: headers, a sentence that is shown once, and refusals as pages."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from lacwright.bench.ask import SAID
from lacwright.figures import Refusal

Handler = Callable[[HttpRequest], HttpResponse]

# Nothing is fetched from elsewhere, nothing runs that is not served here.
POLICY = "; ".join((
    "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self'",
    "connect-src 'self'", "form-action 'self'", "base-uri 'none'", "frame-ancestors 'none'",
))  # fmt: skip


class Guard:
    """Middleware: see the module."""

    def __init__(self, handle: Handler) -> None:
        self.handle = handle

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Return the answer with its headers."""
        response = self.handle(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers["Referrer-Policy"] = "same-origin"
        response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
        response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
        response.headers["Permissions-Policy"] = "camera=(), microphone=(), geolocation=()"
        response.headers.setdefault("Cache-Control", "no-store")
        if getattr(request, "said", False) and SAID not in response.cookies:
            response.delete_cookie(SAID, samesite="Strict")
        return response

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Turn a refusal that no form took into a page."""
        if not isinstance(error, Refusal):
            return None
        from lacwright.bench.fields import words_of
        from lacwright.bench.plainly import in_words
        from lacwright.bench.views.faults import fault

        missing = any(words in error.what for words in ("there is no", "was taken back"))
        title = "That is not there" if missing else "That cannot be"
        return fault(request, 404 if missing else 422, title, words_of(in_words(error, {})))
