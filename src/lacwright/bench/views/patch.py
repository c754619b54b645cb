"""A colour is read off a photo: tapped, or said where; a card in it is marked corner by corner."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from lacwright.bench import boards, fields
from lacwright.bench.forms.board import whole
from lacwright.bench.forms.patch import Place
from lacwright.bench.pages.board import WIDTHS, Tapped
from lacwright.bench.pages.patch import CORNERS, carried, patch_shown
from lacwright.bench.patches import Patch, patch_at
from lacwright.figures import Refusal


def page(request: HttpRequest, sha: str) -> HttpResponse:
    """Show a photo to be tapped, and the colour of the place that was."""
    one = boards.find(sha)
    if one is None:
        raise Http404
    wide, high = one.small_size
    shown = tuple(Tapped(name, width, round(width * high / wide))
                  for name, width in WIDTHS.items())  # fmt: skip
    data = {name: str(value) for name, value in request.GET.items()}
    place = _tapped(data, shown)
    if "mark" in data and place is not None:
        return _marked(request, data, place)
    if place is not None:
        data["x"], data["y"] = (f"{100 * share:.1f} %" for share in place)
    asks = bool(data.get("x") or data.get("y"))
    form = Place(data) if asks else Place(initial={"card": data.get("card", "")})
    patch = None
    if asks and form.is_valid():
        try:
            patch = _read(one, form)
        except Refusal as refusal:
            fields.put_back(form, refusal, {"patch": "card", "photo": "card"})
    along = carried(data, patch)
    return render(request, "colour/patch.html", {
        "title": f"How does {along.panel} read?" if along.panel else "Which colour is there?",
        "form": form, "photo": one, "tapped": shown, "along": along,
        "patch": None if patch is None else patch_shown(patch),
    }, status=422 if asks and patch is None else 200)  # fmt: skip


def _read(one: boards.Known, form: Place) -> Patch:
    told = form.cleaned_data
    for name in ("x", "y"):
        if told[name] is None:
            raise Refusal(name, "it is not said", "tap the picture, or say both")
    return patch_at(one, told["x"], told["y"], told["card"] or "")


def _tapped(data: dict[str, str], shown: tuple[Tapped, ...]) -> tuple[float, float] | None:
    """Return where the photo was tapped, as shares of its width and of its height."""
    for tap in shown:
        x, y = (data.get(f"{tap.name}.{axis}", "") for axis in "xy")
        if whole(x) is not None and whole(y) is not None:
            return min(int(x) / tap.width, 1.0), min(int(y) / tap.height, 1.0)
    return None


def _marked(request: HttpRequest, data: dict[str, str], place: tuple[float, float]) -> HttpResponse:
    """Add a corner of the card and go on; after the fourth the card is there."""
    corners = [*data["mark"].split(), f"{place[0]:.3f},{place[1]:.3f}"]
    along = {name: value for name, value in data.items()
             if "." not in name and name not in ("mark", "card")}  # fmt: skip
    name = "mark" if len(corners) < len(CORNERS) else "card"
    along[name] = " ".join(corners[: len(CORNERS)])
    return HttpResponseRedirect(f"{request.path}?{urlencode(along)}")
