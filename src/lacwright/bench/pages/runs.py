"""Care of the record: checks, backups, and what came of them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from django.urls import reverse

from lacwright.bench import work
from lacwright.bench.model import KIND as COMPILE
from lacwright.bench.pages.measures import When, when
from lacwright.shop import Home
from lacwright.shop.backup import backups, is_sound
from lacwright.shop.clock import SECOND
from lacwright.shop.disk import megabytes

PICTURE = "picture"
HINTS = {
    "audit": "Everything that can be worked out twice is, and compared; every file is read.",
    "backup": "One file with the record and all photos and papers, read back before it counts.",
    "export": "Tables, photos and papers in one file that other programs can read.",
}


@dataclass(frozen=True)
class Line:
    """A run."""

    run: work.Run
    begun: When


@dataclass(frozen=True)
class Kind:
    """What can be done."""

    key: str
    words: str
    hint: str


@dataclass(frozen=True)
class CarePage:
    """What can be done, and what was done."""

    kinds: tuple[Kind, ...]
    lines: tuple[Line, ...]
    last_backup: When | None
    in_doubt: When | None
    """When a copy was made of a record that is not as the program wrote it, if it is the last."""
    folder: str


def care_page(home: Home, zone: dt.tzinfo) -> CarePage:
    """Return what can be done for the record, and what was done."""
    made = sorted(backups(home), key=lambda path: path.stat().st_mtime)
    whole = [path for path in made if is_sound(path)]
    doubtful = made[-1:] if made and not is_sound(made[-1]) else []
    return CarePage(
        tuple(Kind(key, work.KINDS[key][0], HINTS[key]) for key in work.ANY_TIME),
        tuple(line(run, zone) for run in work.runs(home)), _last(whole, zone),
        _last(doubtful, zone), str(home.backups),
    )  # fmt: skip


def _last(made: list[Path], zone: dt.tzinfo) -> When | None:
    return when(round(made[-1].stat().st_mtime * SECOND), zone) if made else None


def again(run: work.Run) -> str:
    """Return where a run is asked for again, "" where its own button does."""
    if run.kind == COMPILE:
        return reverse("hours")
    if run.kind == PICTURE:
        see = urlencode({"see": run.args["see"]})
        return f"{reverse('colour-board', args=[run.args['sha']])}?{run.args['query']}&{see}"
    if run.kind in work.ANY_TIME:
        return ""
    return reverse("undo-all", args=[run.args["tokens"]])


def line(run: work.Run, zone: dt.tzinfo) -> Line:
    """Return a run as the list shows it."""
    return Line(run, when(round(run.begun * SECOND), zone))


def file_of(run: work.Run, home: Home) -> Path | None:
    """Return what a run wrote, as long as it lies where such things are written."""
    path = Path(run.file)
    ours = run.file and home.folder.resolve() in path.resolve().parents
    inside = ours and home.record.resolve() not in path.resolve().parents
    return path if inside and path.is_file() else None


def size_of(path: Path) -> str:
    """Return its size in words."""
    return megabytes(path.stat().st_size)
