"""Addresses of: runs."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import runs

urlpatterns: list[URLPattern] = [
    path("settings/care", runs.page, name="settings-runs"),
    path("settings/care/begin", runs.begin, name="settings-runs-begin"),
    path("settings/care/run/<str:number>", runs.one, name="settings-runs-one"),
    path("settings/care/file/<str:number>", runs.file, name="settings-runs-file"),
]
