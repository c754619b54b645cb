"""Addresses of: usable hours."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import hours

urlpatterns: list[URLPattern] = [
    path("hours", hours.start, name="hours"),
    path("hours/table/<str:sha>", hours.table, name="hours-table"),
    path("hours/usable/<str:sha>", hours.usable, name="hours-usable"),
    path("hours/drawn/<str:sha>", hours.drawn, name="hours-drawn"),
]
