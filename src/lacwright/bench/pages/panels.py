"""Panels: the list, and what is on one."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.urls import reverse

from lacwright.bench.pages import happened
from lacwright.bench.pages.measures import area
from lacwright.figures import Figure
from lacwright.shop.models import Piece
from lacwright.shop.queries.found import agreed_on
from lacwright.shop.queries.piece_list import PieceLine, piece_page
from lacwright.shop.queries.pieces import history
from lacwright.shop.queries.progress import COAT
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.shut import shut_jars
from lacwright.shop.services.pieces import PANEL, WHOLE


@dataclass(frozen=True)
class PanelRow:
    """A panel of the list."""

    name: str
    url: str
    title: str
    facts: str


def panel_rows(*, words: str, first: int, length: int) -> tuple[list[PanelRow], int]:
    """Return a page of panels, and how many there are."""
    found, total = remembered(
        ("panels", words, first, length),
        lambda: piece_page(kind=PANEL, words=words, first=first, length=length),
    )
    return [_row(line) for line in found], total


def _row(line: PieceLine) -> PanelRow:
    coats = f"{line.coats} coat{'' if line.coats == 1 else 's'}" if line.coats else "nothing yet"
    told = [line.wood.replace("-", " "), area(line.area_m2) if line.area_m2 else "", coats,
            f"of {line.customer}" if line.customer else ""]  # fmt: skip
    return PanelRow(line.key, reverse("panels-one", args=[line.key]), line.title,
                    ", ".join(text for text in told if text))  # fmt: skip


@dataclass(frozen=True)
class PanelPage:
    """One panel."""

    name: str
    title: str
    wood: str
    areas: tuple[tuple[str, str], ...]
    film: tuple[tuple[str, Figure], ...]
    laid: str
    done: tuple[happened.Line, ...]
    shut: tuple[tuple[str, str], ...]
    agreed: tuple[str, ...]
    note: str
    wet: bool  # a coat of the last days lies on it


def panel_page(panel: Piece, zone: dt.tzinfo) -> PanelPage:
    """Return what is on a panel, and what it was agreed on for."""
    bad, past = shut_jars(), remembered(("history", panel.key), lambda: history(panel))
    done = tuple(happened.lines(past, zone, bad))
    coats = [line for line in done if line.kind == COAT]
    jars = dict.fromkeys(line.jar for line in done if line.shut)
    return PanelPage(
        panel.key, panel.title, panel.wood.replace("-", " "),
        tuple(("" if part == WHOLE else part, area(m2)) for part, m2 in panel.areas_m2.items()),
        tuple(("" if part == WHOLE else part, film) for part, film in past.film.items())
        if coats else (),
        f"{len(coats)} coat{'' if len(coats) == 1 else 's'}" if coats else "", done,
        tuple((jar, bad[jar].words(zone)) for jar in jars), tuple(agreed_on(panel)), panel.note,
        happened.young(done),
    )  # fmt: skip
