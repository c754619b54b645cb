"""Addresses of: pieces."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import job_notes, job_work, piece_build, pieces, wet

urlpatterns: list[URLPattern] = [
    path("pieces", pieces.pieces, name="pieces"),
    path("pieces/build", piece_build.build, name="pieces-build"),
    path("pieces/text", pieces.text, name="pieces-text"),
    path("pieces/drawing/<str:sha>", piece_build.drawn, name="pieces-drawing"),
    path("pieces/file/<str:sha>", pieces.file, name="pieces-file"),
    path("pieces/one/<name:name>", pieces.one, name="pieces-one"),
    path("pieces/change/<name:name>", pieces.change, name="pieces-change"),
    path("pieces/wet/<name:name>", wet.of_piece, name="pieces-wet"),
    path("pieces/wet-drawn/<int:number>/<name:name>", wet.drawn_of_piece, name="pieces-wet-drawn"),
    path("pieces/whitened/<name:name>", wet.whitened, name="pieces-whitened"),
    path("pieces/coat/<name:name>", job_work.coat_on_piece, name="pieces-coat"),
    path("pieces/attach/<name:name>", job_notes.attach_to_piece, name="pieces-attach"),
]
