"""Addresses of: panels."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import colour_panels, panels, proving, timed

urlpatterns: list[URLPattern] = [
    path("panels", panels.listed, name="panels"),
    path("panels/add", panels.add, name="panels-add"),
    path("panels/one/<name:name>", panels.one, name="panels-one"),
    path("panels/change/<name:name>", panels.change, name="panels-change"),
    path("panels/timed/<name:name>", timed.timed, name="panels-timed"),
    path("panels/colour/<name:name>", colour_panels.bands, name="panels-colour"),
    path("panels/foretell/<name:name>", colour_panels.foretell, name="panels-foretell"),
    path("panels/spot/<name:name>", proving.spot_of_panel, name="panels-spot"),
]
