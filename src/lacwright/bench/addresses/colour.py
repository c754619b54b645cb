"""Addresses of: colour."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import board, colour, colour_panels, patch, wish

urlpatterns: list[URLPattern] = [
    path("colour", colour.page, name="colour"),
    path("colour/drawn", colour.drawn, name="colour-drawn"),
    path("colour/swatch", colour.swatch, name="colour-swatch"),
    path("colour/wish", wish.page, name="colour-wish"),
    path("colour/panels", colour_panels.listed, name="colour-panels"),
    path("colour/boards", board.listed, name="colour-boards"),
    path("colour/board/<str:sha>", board.page, name="colour-board"),
    path("colour/board/photo/<str:sha>", board.bare, name="colour-board-photo"),
    path("colour/board/panel/<str:sha>", board.panel, name="colour-board-panel"),
    path("colour/board/picture/<str:sha>", board.picture, name="colour-board-picture"),
    path("colour/board/full/<str:sha>", board.full, name="colour-board-full"),
    path("colour/patch/<str:sha>", patch.page, name="colour-patch"),
]
