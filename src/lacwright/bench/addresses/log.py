"""Addresses of: log."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import log

urlpatterns: list[URLPattern] = [
    path("log", log.page, name="log"),
    path("log/one/<int:number>", log.one, name="log-one"),
    path("log/undo/<int:number>", log.undo, name="undo"),
    path("log/undo-all/<str:tokens>", log.undo_all, name="undo-all"),
    path("log/correct/<int:number>", log.correct, name="log-correct"),
]
