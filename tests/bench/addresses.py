"""Every address of the pages, with examples for those that name something.

`names()` walks the resolver, so that a page is covered by all tests of every page as soon as it has
an address. One that takes an argument finds an example in `EXAMPLES` by its room (what its name
begins with), or in `SPECIAL` by its whole name; without one, test_headers.py fails and says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

WRITES_ONLY = {"settings-runs-begin", "pieces-plan-change", "colour-board-full"}
"""Addresses that answer no GET."""

QUERIES = {
    "mixing": ["", "?volume=200+ml&cut=2&grade=amber&alcohol=", "?volume=200+ml&cut=2&grade=amber"
               "&alcohol=ethanol-190&what=box&size=300x200x120+mm&coats=3&method=brush"
               "&start=19%3A00", "?volume=much&cut=2&grade=amber"],
    "jobs": ["", "?show=closed", "?q=nowhere"],
    "jobs-coat": ["", "?on=top"],
    "pieces-plan-draft": ["", "?change=wish.start&to=2027-05-03", "?change=wish.start&to=soon"],
    "search": ["", "?q=rim", "?q=nowhere"],
    "log": ["", "?q=J1&kind=coat", "?q=nobody"],
    "settings-figures": ["", "?which=all"],
    "settings-readings-import": ["", "?table=" + 32 * "0"],
    "hours": ["", "?for=job:T-12"],
    "hours-usable": ["", "?coats=hand&method=brush&alcohol=ethanol-190&volume=60+m3",
                     "?coats=job:T-12", "?coats=hand&chill=4+K", "?coats=hand&method=brush"],
    "hours-drawn": ["?coats=hand&method=brush&alcohol=ethanol-190"],
    "air": ["", "?coats=250+ml&cut=2&alcohol=ethanol-190&volume=60+m3&air=0.5",
            "?cut=2&alcohol=unknown&coats=40+ml&volume=60+m3", "?volume=much",
            "?volume=60+m3&coats=9+ml"],
    "air-keep": ["?coats=250+ml&cut=2&alcohol=ethanol-190&volume=60+m3&air=0.5"],
    "air-drawn": ["?coats=250+ml&cut=2&alcohol=ethanol-190&volume=60+m3&air=0.5"],
    "colour": ["", "?wood=cherry", "?wood=hard-maple&grade=amber&coats=6&load=3.5+g/m2"
               "&beside=garnet&beside=blonde", "?lab=72,6.5,19&geometry=8/d&grade=blonde&coats=3"
               "&second=garnet&second_share=30+%25", "?grade=amber&coats=4"],
    "colour-drawn": ["?wood=hard-maple&grade=amber&coats=6&load=3.5+g/m2", "?wood=walnut"
                     "&grade=amber&coats=12&narrow"],
    "colour-swatch": ["?wished=8a5a34&so=9a6a44&bare=ccb08c"],
    "colour-wish": ["", "?wood=cherry&target=45,18,30&coats=6&grades=amber&grades=garnet",
                    "?wood=cherry&word=warm&coats=4&grades=amber&on=blonde&on_load=7+g/m2",
                    "?wood=cherry&coats=4"],
    "colour-boards": ["", "?for=patch"],
    "colour-board": ["", "?coats=3&grades=amber&grades=garnet&wood=hard-maple&load=6+g/m2&top=8+%25"
                     "&bottom=92+%25&see=garnet:2", "?coats=3&grades=amber&see=bare:0",
                     "?coats=3&grades=amber&left=90+%25&right=10+%25"],
    "colour-board-panel": ["?coats=3&grades=amber&grades=garnet"],
    "colour-board-picture": ["?coats=3&grades=amber&see=amber:2", "?coats=3&grades=amber"],
    "colour-patch": ["", "?x=50+%25&y=50+%25", "?panel=P1&band_bare=83,3,17&x=50+%25&y=50+%25",
                     "?mark=0.1,0.1", "?x=150+%25&y=50+%25"],
    "jars-label": ["", "?codes=H225,+P210&signal=Danger", "?codes=H9&signal="],
    "jobs-wet": ["", "?temp=20+C&rh=45+%25", "?temp=warm&rh=45+%25"],
    "jobs-wet-drawn": ["?temp=20+C&rh=45+%25"],
    "pieces-wet-drawn": ["?temp=20+C&rh=45+%25"],
    "panels-timed": ["", "?by=hand"],
}  # fmt: skip
"""What is asked of an address, where it shows more than one thing."""
REFUSED = {
    "settings-readings-import?table=" + 32 * "0",
    "hours-usable?coats=hand&method=brush",
    "air?volume=much",
    "air?volume=60+m3&coats=9+ml",
    "colour?grade=amber&coats=4",
    "colour-wish?wood=cherry&coats=4",
    "colour-board?coats=3&grades=amber&left=90+%25&right=10+%25",
    "colour-patch?x=150+%25&y=50+%25",
    "jars-label?codes=H9&signal=",
    "jobs-wet?temp=warm&rh=45+%25",
}
"""Asked for what is not there: 422."""


def names() -> list[str]:
    """Return the names of all addresses."""
    return sorted(_patterns())


def arguments(name: str) -> tuple[str, ...]:
    """Return what an address takes."""
    return tuple(_patterns()[name].pattern.converters)


def lists() -> list[str]:
    """Return the names of the addresses that take nothing."""
    return [name for name in names() if not arguments(name) and name not in WRITES_ONLY]


def examples(name: str) -> list[str]:
    """Return addresses to look at, of the shop of filling.py, which must be open.

    Raises
    ------
    LookupError
        If there is no example for what it takes.
    """
    from django.urls import reverse

    taken = arguments(name)
    if not taken:
        found = [reverse(name)]
    else:
        values = SPECIAL.get(name) or EXAMPLES.get((name.partition("-")[0], taken))
        if values is None:
            raise LookupError(f"{name} takes {taken}: write an example into addresses.py")
        given = values() if callable(values) else values
        found = [reverse(name, args=v if isinstance(v, tuple) else (v,)) for v in given]
    return [url + query for url in found for query in QUERIES.get(name, [""])]


def _patterns() -> dict[str, Any]:
    from lacwright.shop.opening import ready

    ready()
    from django.urls import get_resolver

    def walk(patterns: list[Any]) -> Iterator[Any]:
        for one in patterns:
            if hasattr(one, "url_patterns"):
                yield from walk(one.url_patterns)
            else:
                yield one

    found = list(walk(get_resolver().url_patterns))
    assert all(one.name for one in found), [str(one.pattern) for one in found if not one.name]
    return {one.name: one for one in found}


def _filling() -> Any:
    import sys

    return sys.modules["bench_tests_filling"]


def _names(*words: str) -> Callable[[], list[str]]:
    return lambda: [getattr(_filling(), word) for word in words]


def _movement(kind: str, last: bool = True) -> int:
    from lacwright.shop.models import Movement

    rows = Movement.objects.filter(kind=kind).order_by("-id" if last else "id")
    return rows.values_list("id", flat=True)[0]


def _token() -> list[str]:
    """Return the token of a request that wrote more than one observation."""
    from lacwright.shop.models import Movement

    return [Movement.objects.filter(kind="start").order_by("id").values_list("token", flat=True)[0]]


def _photo() -> list[str]:
    from lacwright.shop.models import File

    return [File.objects.get(media="image/png").sha256]


def _run() -> list[str]:
    """Return a run that ended long ago."""
    import json

    from lacwright.shop.opening import opened

    folder = opened().folder / "runs"
    folder.mkdir(exist_ok=True)
    number = 32 * "a"
    told = {
        "id": number,
        "kind": "audit",
        "state": "done",
        "told": "Everything fits together.",
        "lines": ["One line."],
        "begun": 1_790_000_000.0,
        "ended": 1_790_000_003.0,
    }
    (folder / f"{number}.json").write_text(json.dumps(told))
    return [number]


def _drafts(*names: str) -> Callable[[], list[str]]:
    """Return what keeps piece files of the examples as drafts, and gives their hashes."""

    def keep() -> list[str]:
        from lacwright.bench import drafts

        folder = _filling().EXAMPLES
        return [drafts.keep((folder / f"{name}.toml").read_text("utf-8")) for name in names]

    return keep


def _air() -> list[str]:
    """Return a table of air that was read in."""
    from lacwright.bench import airs

    text = (_filling().EXAMPLES / "forecast.csv").read_bytes()
    return [airs.take(text, "", airs.Sent("forecast.csv", "Europe/Vienna"))]


def _aired() -> list[str]:
    """Return the plan of a piece in a room that was said."""
    from lacwright.bench import drafts

    text = (_filling().EXAMPLES / "table.toml").read_text("utf-8")
    return [drafts.keep(f'{text}\n[room]\nvolume = "60 m3"\nair_changes = 2\n')]


def _board() -> list[str]:
    """Return a photo of a board that was sent."""
    from lacwright.bench import boards

    photo = _filling().EXAMPLES / "board.jpg"
    with photo.open("rb") as sent:
        return [boards.take(sent, photo.stat().st_size, photo.name)]


NAME = ("name",)
EXAMPLES: dict[tuple[str, tuple[str, ...]], Any] = {
    ("jars", NAME): _names("GOOD"),
    ("shelf", NAME): _names("LOT"),
    ("jobs", NAME): _names("BARE_JOB"),
    ("pieces", NAME): _names("PIECE"),
    ("panels", NAME): _names("PANEL"),
    ("plan", NAME): _names("PIECE"),
}
SPECIAL: dict[str, Any] = {
    "jars-one": _names("GOOD", "BAD", "BLEND", "UNKNOWN", "BOUGHT", "OLD"),
    "jars-recall": _names("BAD", "GOOD"),
    "jars-label": _names("GOOD", "BAD", "UNKNOWN"),
    "jars-test": _names("GOOD", "BOUGHT"),
    "jars-wash": _names("PAD"),
    "jobs-one": _names("BARE_JOB", "JOB", "CLOSED_JOB"),
    "jobs-planned": _names("JOB"),
    "jobs-wet": _names("BARE_JOB", "CLOSED_JOB"),
    "jobs-wet-drawn": lambda: [(0, _filling().BARE_JOB)],
    "colour-board": _board,
    "colour-board-photo": _board,
    "colour-board-panel": _board,
    "colour-board-picture": _board,
    "colour-board-full": _board,
    "colour-patch": _board,
    "hours-table": _air,
    "hours-usable": _air,
    "hours-drawn": _air,
    "pieces-wet-drawn": lambda: [(0, _filling().PIECE)],
    "jobs-spot-done": lambda: [_movement("spot")],
    "pieces-drawing": _drafts("table"),
    "pieces-file": _drafts("table"),
    "pieces-plan-of": lambda: ["long table"],
    "pieces-plan-change": _drafts("table"),
    "pieces-plan-job": _names("JOB"),
    "pieces-plan-days": _drafts("table"),
    "pieces-plan-air": _aired,
    "pieces-plan-draft": lambda: [*_drafts("table", "ukulele", "class")(), *_aired()],
    "pieces-plan-film": lambda: [(sha, "top") for sha in _drafts("table")()],
    "pieces-plan-start": _drafts("table", "class"),
    "shelf-one": _names("LOT", "SPIRIT", "LOW"),
    "log-one": lambda: [_movement("coat"), _movement("void"), _movement("mix", last=False)],
    "log-correct": lambda: [_movement("coat"), _movement("note")],
    "undo-all": _token,
    "undo": lambda: [_movement("coat"), _movement("void")],
    "files-show": _photo,
    "files-small": _photo,
    "files-get": _photo,
    "settings-figure": lambda: ["spread.brush", "test.tack_free", "jar.evaporation", "film.pad"],
    "settings-figure-reset": lambda: ["test.tack_free"],
    "settings-customers-one": _names("CUSTOMER"),
    "settings-customers-change": _names("CUSTOMER"),
    "settings-runs-one": _run,
    "settings-runs-file": lambda: [],
}
