"""Addresses of: search."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import search

urlpatterns: list[URLPattern] = [path("search", search.page, name="search")]
