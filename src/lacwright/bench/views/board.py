"""The maker's own board: its photo is sent, then shown under films, tapped through, handed out."""

from __future__ import annotations

import hashlib
from urllib.parse import urlencode

from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseNotModified,
    HttpResponseRedirect,
    QueryDict,
)
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST

from lacwright.bench import board_pictures as pictures
from lacwright.bench import boards, fields, work
from lacwright.bench.forms.board import BARE, Board, NewPhoto, seen_of, whole
from lacwright.bench.pages import board as pages
from lacwright.bench.shelf_grades import grades_of_shelf
from lacwright.bench.views.colour import WHERE
from lacwright.bench.views.files import NEVER
from lacwright.figures import Refusal
from lacwright.shop.opening import opened

ASKS = "coats"
FIRST_COATS = 5
KEPT = "private, no-cache"


def listed(request: HttpRequest) -> HttpResponse:
    """Ask for a photo of a board, or show those that were sent."""
    form = NewPhoto(request.POST, request.FILES) if request.method == "POST" else NewPhoto()
    if form.is_bound and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            sha = boards.take(file, file.size, str(file.name))
        except Refusal as refusal:
            fields.put_back(form, refusal)
        else:
            return HttpResponseRedirect(_next(request, sha), status=303)
    return render(request, "colour/boards.html", {
        "title": "What will it look like on your own board?", "form": form,
        "boards": boards.known(), "for": request.GET.get("for", ""),
        "query": _carried(request),
    }, status=422 if form.is_bound else 200)  # fmt: skip


def page(request: HttpRequest, sha: str) -> HttpResponse:
    """Show a board as a panel of steps, and one of them large."""
    one = _known(sha)
    form = _form(request)
    shown = None
    if form.is_valid():
        try:
            made = pictures.made_of(form.asked(sha))
            if (tapped := _tapped(request)) is not None:
                see = pages.see_at(made, *tapped) or request.GET.get("see", "")
                return HttpResponseRedirect(f"{request.path}?{_query(form, see)}")
            shown = pages.board_shown(made, one, request.GET.get("see", ""))
        except Refusal as refusal:
            fields.put_back(form, refusal, WHERE | {"bare": "lab", "mask": "right"})
    return render(request, "colour/board.html", {
        "title": "What will your board look like?", "form": form, "board": shown, "photo": one,
        "query": _query(form), "pairs": _pairs(form), "for": "board",
    }, status=200 if shown is not None else 422)  # fmt: skip


def bare(request: HttpRequest, sha: str) -> HttpResponse:
    """Show the photo as it was sent, in the size of the pages."""
    one = _known(sha)
    kind = "image/jpeg" if one.kind == "JPEG" else "image/png"
    return _picture(request, boards.file_of(one).read_bytes(), kind)


def panel(request: HttpRequest, sha: str) -> HttpResponse:
    """Show the panel of steps."""
    asked = _asked(request, sha)
    try:
        return _picture(request, pictures.panel_picture(asked))
    except Refusal:
        raise Http404 from None


def picture(request: HttpRequest, sha: str) -> HttpResponse:
    """Show the board under one film."""
    grade, coats = seen_of(request.GET.get("see", ""))
    try:
        return _picture(request, pictures.one_picture(_asked(request, sha), grade, coats))
    except (KeyError, Refusal):
        raise Http404 from None


@require_POST
def full(request: HttpRequest, sha: str) -> HttpResponse:
    """Have a picture made in the size of the photo, by a process of its own."""
    asked = _asked(request, sha)
    query = QueryDict(mutable=True)
    query.update(request.GET)
    query.pop("see", None)
    see = request.POST.get("see", "")
    grade, coats = seen_of(see)
    if see not in ("", BARE) and not (grade in asked.grades and coats <= asked.coats):
        raise Http404
    run = work.start(opened(), "picture", {"sha": sha, "query": query.urlencode(), "see": see})
    return HttpResponseRedirect(reverse("settings-runs-one", args=[run.id]), status=303)


def _form(request: HttpRequest) -> Board:
    """Return what is asked; who only comes with a photo sees what lies on the shelf."""
    if ASKS in request.GET:
        return Board(request.GET)
    first = QueryDict(mutable=True)
    first.update({"coats": str(FIRST_COATS), "method": "brush"})
    first.setlist("grades", _apart(grades_of_shelf()))
    for name, value in request.GET.items():
        if name in Board.base_fields:
            first[name] = str(value)
    return Board(first)


def _apart(names: list[str]) -> list[str]:
    """Return the palest, the middle and the darkest of some grades."""
    return list(dict.fromkeys((names[0], names[len(names) // 2], names[-1])))


def _asked(request: HttpRequest, sha: str) -> pictures.Asked:
    _known(sha)
    form = Board(request.GET)
    if not form.is_valid():
        raise Http404
    try:
        return form.asked(sha)
    except Refusal:
        raise Http404 from None


def _tapped(request: HttpRequest) -> tuple[float, float] | None:
    """Return where a picture was tapped, as shares of its width and of its height."""
    for name, width in pages.WIDTHS.items():
        x, y = (request.GET.get(f"{name}.{axis}", "") for axis in "xy")
        height = request.GET.get(f"{name}_high", "")
        if whole(x) is not None and whole(y) is not None and whole(height):
            return int(x) / width, int(y) / int(height)
    return None


def _pairs(form: Board) -> list[tuple[str, str]]:
    """Return what is asked, for hidden fields."""
    data = form.data
    assert isinstance(data, QueryDict)
    return [(name, value) for name in form.fields for value in data.getlist(name) if value]


def _query(form: Board, see: str = "") -> str:
    return urlencode([*_pairs(form), *([("see", see)] if see else [])])


def _next(request: HttpRequest, sha: str) -> str:
    """Return where a photo that was sent is looked at: what it was sent for is asked on."""
    name = "colour-patch" if request.GET.get("for") == "patch" else "colour-board"
    query = _carried(request)
    return f"{reverse(name, args=[sha])}{f'?{query}' if query else ''}"


def _carried(request: HttpRequest) -> str:
    """Return what was said before the photo: its wood, the coat."""
    query = request.GET.copy()
    query.pop("for", None)
    return query.urlencode()


def _picture(request: HttpRequest, data: bytes, kind: str = "image/jpeg") -> HttpResponse:
    mark = f'"{hashlib.sha256(data).hexdigest()[:32]}"'
    response: HttpResponse
    if request.headers.get("If-None-Match") == mark:
        response = HttpResponseNotModified()
    else:
        response = HttpResponse(data, content_type=kind)
        response.headers["Content-Disposition"] = "inline"
        response.headers["Content-Security-Policy"] = NEVER
    response.headers["ETag"] = mark
    response.headers["Cache-Control"] = KEPT
    return response


def _known(sha: str) -> boards.Known:
    found = boards.find(sha)
    if found is None:
        raise Http404
    return found
