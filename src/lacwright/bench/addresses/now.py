"""Addresses of: now."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import now

urlpatterns: list[URLPattern] = [path("", now.page, name="now")]
