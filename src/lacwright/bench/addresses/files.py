"""Addresses of: files. Photos are shown anew encoded, without the place where they were taken."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import files

urlpatterns: list[URLPattern] = [
    path("files/show/<str:sha>", files.show, name="files-show"),
    path("files/small/<str:sha>", files.small, name="files-small"),
    path("files/get/<str:sha>", files.get, name="files-get"),
]
