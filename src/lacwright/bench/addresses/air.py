"""Addresses of: the air of a room."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import air

urlpatterns: list[URLPattern] = [
    path("air", air.page, name="air"),
    path("air/keep", air.keep, name="air-keep"),
    path("air/drawn", air.drawn, name="air-drawn"),
]
