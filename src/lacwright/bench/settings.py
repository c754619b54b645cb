"""Settings of the pages, on top of those of the record."""

from __future__ import annotations

from pathlib import Path

from lacwright.shop.settings import *  # noqa: F403

HERE = Path(__file__).parent

INSTALLED_APPS = ["django.contrib.staticfiles", "django_htmx", "lacwright.shop", "lacwright.bench"]
ROOT_URLCONF = "lacwright.bench.urls"
DEBUG = False
# On the loopback interface alone: no other name of this machine is answered.
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]"]
MIDDLEWARE = [
    "lacwright.bench.guard.Guard",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [HERE / "templates"],
        "OPTIONS": {
            "context_processors": ["lacwright.bench.frame.frame"],
            "builtins": ["lacwright.bench.words"],
            "loaders": [
                ("django.template.loaders.cached.Loader",
                 ["django.template.loaders.filesystem.Loader"]),
            ],
        },
    }
]  # fmt: skip
FORM_RENDERER = "lacwright.bench.fields.Renderer"
STATIC_URL = "/static/"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Strict"
CSRF_FAILURE_VIEW = "lacwright.bench.views.faults.stale"
DATABASES["default"]["CONN_MAX_AGE"] = None  # type: ignore[assignment]  # noqa: F405
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
"""Larger uploads go to a temporary file; how large they may be at all is said by the form."""
