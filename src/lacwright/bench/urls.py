"""Addresses of the pages; each room of pages has its own file."""

from __future__ import annotations

from django.urls import include, path

from lacwright.bench.views import mixing

ROOMS = ("now", "shelf", "jars", "panels", "pieces", "plan", "jobs", "hours", "air", "colour",
         "search", "settings", "runs", "log", "files")  # fmt: skip

urlpatterns = [
    path("mix", mixing.page, name="mixing"),
    *(path("", include(f"lacwright.bench.addresses.{room}")) for room in ROOMS),
]
handler400 = "lacwright.bench.views.faults.refused"
handler404 = "lacwright.bench.views.faults.missing"
handler500 = "lacwright.bench.views.faults.broken"
