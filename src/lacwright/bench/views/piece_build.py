"""A piece is described by form: parts by shape, wish, room, mixes; drawn, kept, planned."""

from __future__ import annotations

import io
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import ask, drafts, fields, plans
from lacwright.bench.charts.drawing import drawing
from lacwright.bench.forms.pieces import Keeping
from lacwright.bench.pages import piece_build as pages
from lacwright.bench.picture import picture, width_of
from lacwright.figures import Refusal
from lacwright.shop import clock, names
from lacwright.shop.models import Piece
from lacwright.shop.plan_link import areas_of, wood_of
from lacwright.shop.queries.piece_file import piece_file
from lacwright.shop.services.attachments import attach
from lacwright.shop.services.pieces import add_piece, describe_piece
from lacwright.shop.writing import Entry

LOUD = ("draw", "keep", "plan")
"""After these buttons the form says what is wrong; after the others it only changes."""


def build(request: HttpRequest) -> HttpResponse:
    """Show the form, or do what a button says."""
    name = (request.POST if request.method == "POST" else request.GET).get("of", "")
    piece = names.find(Piece, name, "piece") if name else None
    do = request.POST.get("do", "draw") if request.method == "POST" else ""
    typed = pages.read_typed(request.POST) if do else _start(request, piece)
    pages.change(typed, do)
    page = pages.building(typed, bound=do in LOUD)
    keeping = (
        Keeping(request.POST)
        if do == "keep"
        else Keeping(
            initial={
                "piece": request.POST.get("piece", ""),
                "customer": request.POST.get("customer", ""),
            }
        )
    )
    try:
        page.drawn = pages.draw(typed, now_us=clock.now_us())
    except Refusal as refusal:
        pages.put_back(page, refusal)
    if page.drawn is not None and do == "plan":
        of = f"?of={_quoted(piece.key)}" if piece is not None else ""
        return HttpResponseRedirect(
            reverse("pieces-plan-draft", args=[page.drawn.sha]) + of, status=303
        )
    if page.drawn is not None and do == "keep" and keeping.is_valid():
        try:
            return _keep(piece, page.drawn, keeping.cleaned_data)
        except Refusal as refusal:
            fields.put_back(keeping, refusal, {"NAME": "piece", "name": "piece"})
    loud = do in LOUD and bool(page.wrong or keeping.errors)
    return render(request, "pieces/build.html", {
        "title": f"What is {piece.key} made of?" if piece else "What is to be finished?",
        "page": page, "piece": piece, "keeping": keeping, "loud": loud,
        "wrong": page.wrong if do else (),
    }, status=422 if loud and not request.headers.get("HX-Request") else 200)  # fmt: skip


def drawn(request: HttpRequest, sha: str) -> HttpResponse:
    """Draw the parts of a piece file."""
    text = drafts.read(sha)
    if text is None:
        raise Http404
    try:
        data = plans.data_of(text)
        piece = plans.piece_of_data(data, "piece", now_us=clock.now_us())
    except Refusal:
        raise Http404 from None
    if not piece.parts:
        raise Http404
    return picture(request, drawing(piece.parts, data["part"], width_of(request)))


def _start(request: HttpRequest, piece: Piece | None) -> Any:
    """Return what the form begins with: a draft, the file of a piece, or one board."""
    text = drafts.read(request.GET["draft"]) if "draft" in request.GET else None
    if text is None and piece is not None:
        kept = piece_file(piece)
        text = None if kept is None else kept.text
    return pages.begin() if text is None else pages.typed_of_text(text)


def _keep(piece: Piece | None, drawn: pages.Drawn, told: dict[str, Any]) -> HttpResponse:
    """Keep the piece and its file; a second press changes nothing."""
    token, read = told["token"], drawn.piece
    title = str(drawn.data.get("title", ""))
    about: dict[str, Any] = {"title": title, "wood": wood_of(read), "areas_m2": areas_of(read)}
    if piece is None:
        name = told["piece"] or title
        made = add_piece(name=name, customer=told["customer"] or None,
                         entry=Entry(token=token), **about)  # fmt: skip
        name = made.data["piece"]
    else:
        name = piece.key
        changes = {k: v for k, v in about.items() if v and v != getattr(piece, k)}
        if changes:
            describe_piece(name=name, changes=changes, entry=Entry(token=token))
    attach(to="piece", name=name, source=io.BytesIO(drawn.text.encode()),
           file_name=f"{name}.toml", words="piece file",
           entry=Entry(token=f"{token}-file"))  # fmt: skip
    said = f"{name} is kept with its piece file."
    return ask.go_on(reverse("pieces-one", args=[name]), said, whole=(token, f"{token}-file"))


def _quoted(name: str) -> str:
    from urllib.parse import quote

    return quote(name)
