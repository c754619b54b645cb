"""Pieces: the list, and one with what is on it."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import content_disposition_header

from lacwright.bench import ask, drafts, fields, plans
from lacwright.bench.ask import zone_of
from lacwright.bench.forms.pieces import Describe, Text
from lacwright.bench.pages import look
from lacwright.bench.pages.pieces import one_piece
from lacwright.bench.paging import LENGTH, page_of, wanted
from lacwright.figures import Refusal
from lacwright.files.toml import LIMIT_BYTES
from lacwright.shop import clock, names
from lacwright.shop.models import Piece
from lacwright.shop.queries.piece_list import piece_page
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.services.pieces import describe_piece
from lacwright.shop.writing import Answer, Entry


def pieces(request: HttpRequest) -> HttpResponse:
    """Show the pieces, the newest first."""
    words = request.GET.get("q", "")[:200]
    first = (wanted(request) - 1) * LENGTH
    rows, total = remembered(("pieces", words, first),
                             lambda: piece_page(words=words, first=first))  # fmt: skip
    return render(request, "pieces/list.html", {
        "title": "Which pieces are there?", "list": page_of(request, rows, total), "q": words,
    })  # fmt: skip


def one(request: HttpRequest, name: str) -> HttpResponse:
    """Show a piece: what is on it, its drawing, its jobs."""
    piece = names.find(Piece, name, "piece")
    if piece.kind == "panel":
        return HttpResponseRedirect(reverse("panels-one", args=[piece.key]))
    told = one_piece(piece, zone_of(request), clock.now_us())
    return render(request, "pieces/one.html", {
        "title": f"What is on {piece.title or piece.key}?", "one": told, "piece": piece,
        "list": page_of(request, told.done), "look": look.of_wood(piece.wood),
    })  # fmt: skip


def change(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for title, customer and note of a piece."""
    piece = names.find(Piece, name, "piece")
    whose = "" if piece.customer is None else piece.customer.key
    now = {"title": piece.title, "customer": whose, "note": piece.note}

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        changes = {k: told[k] or (None if k == "customer" else "") for k in now
                   if told[k] != now[k]}  # fmt: skip
        return describe_piece(name=piece.key, changes=changes, entry=entry)

    back = reverse("pieces-one", args=[piece.key])
    return ask.asked(
        request, form=Describe, do=do, initial=now,
        on=back, words="Changed.", template="jobs/ask.html",
        context={"title": f"What is {piece.key}?", "press": "Keep", "back": back},
    )  # fmt: skip


def text(request: HttpRequest) -> HttpResponse:
    """Take a piece file as text or as a file, and plan it or open it in the form."""
    draft = drafts.read(request.GET["draft"]) if "draft" in request.GET else None
    form = Text(request.POST, request.FILES) if request.method == "POST" else (
        Text(initial={"text": draft or ""})
    )  # fmt: skip
    if form.is_bound and form.is_valid():
        try:
            sha = drafts.keep(_sent(form))
            told = drafts.read(sha) or ""
            plans.piece_of_data(plans.data_of(told), "piece", now_us=clock.now_us())
        except Refusal as refusal:
            fields.put_back(form, refusal, {plans.WHERE: "text"})
        else:
            if request.POST.get("do") == "form":
                return HttpResponseRedirect(f"{reverse('pieces-build')}?draft={sha}", status=303)
            return HttpResponseRedirect(reverse("pieces-plan-draft", args=[sha]), status=303)
    return render(request, "pieces/text.html", {"title": "Which piece file?", "form": form},
                  status=422 if form.is_bound else 200)  # fmt: skip


def file(request: HttpRequest, sha: str) -> HttpResponse:
    """Send a piece file."""
    told = drafts.read(sha)
    if told is None:
        raise Http404
    response = HttpResponse(told, content_type="text/plain; charset=utf-8")
    name = request.GET.get("name", "piece")[:80]
    response.headers["Content-Disposition"] = content_disposition_header(True, f"{name}.toml") or ""
    return response


def _sent(form: Text) -> str:
    sent = form.cleaned_data["file"]
    if sent is None:
        return str(form.cleaned_data["text"])
    if sent.size > LIMIT_BYTES:
        raise Refusal("file", "it is larger than 1 MB", "a piece file is a few pages of text")
    try:
        return str(sent.read().decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise Refusal("file", "it is not UTF-8 text", "save it as UTF-8") from None
