"""Addresses of: shelf."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import proving, shelf, shelf_write

urlpatterns: list[URLPattern] = [
    path("shelf", shelf.listed, name="shelf"),
    path("shelf/add", shelf_write.add, name="shelf-add"),
    path("shelf/list", shelf_write.read_in, name="shelf-import"),
    path("shelf/short", shelf.short, name="shelf-short"),
    path("shelf/one/<name:name>", shelf.one, name="shelf-one"),
    path("shelf/count/<name:name>", shelf_write.count, name="shelf-count"),
    path("shelf/change/<name:name>", shelf_write.change, name="shelf-change"),
    path("shelf/went/<name:name>", shelf.went, name="shelf-went"),
    path("shelf/test/<name:name>", proving.dissolve, name="shelf-test"),
    path("shelf/recall/<name:name>", shelf.recalled, name="shelf-recall"),
]
