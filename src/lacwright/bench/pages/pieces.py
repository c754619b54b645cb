"""The piece: what is on it, its film, its file, its jobs."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lacwright.bench import plans
from lacwright.bench.pages import happened
from lacwright.bench.pages.measures import When, area, when
from lacwright.bench.pages.piece_build import Drawn, drawn_of
from lacwright.figures import Figure, Refusal
from lacwright.shop.models import Piece
from lacwright.shop.queries.piece_file import piece_file
from lacwright.shop.queries.pieces import history
from lacwright.shop.queries.progress import COAT
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.shut import shut_jars


@dataclass(frozen=True)
class OnePiece:
    """A piece as its page shows it."""

    areas: tuple[tuple[str, str], ...]
    film: tuple[tuple[str, Figure], ...]
    jobs: tuple[str, ...]
    done: tuple[happened.Line, ...]
    shut: tuple[tuple[str, str], ...]
    drawn: Drawn | None
    kept: When | None
    kept_with: str | None
    unreadable: str
    wet: bool  # a coat of the last days lies on it


def one_piece(piece: Piece, zone: dt.tzinfo, now_us: int) -> OnePiece:
    """Return a piece with all that belongs to it."""
    shut = shut_jars()
    past = remembered(("history", piece.key), lambda: history(piece))
    done = happened.lines(past, zone, shut)
    bad = dict.fromkeys(line.jar for line in done if line.shut)
    kept = remembered(("piece file", piece.key), lambda: piece_file(piece))
    drawn, unreadable = None, ""
    if kept is not None:
        try:
            data = plans.data_of(kept.text)
            read = plans.piece_of_data(data, piece.title or piece.key, now_us=now_us)
            drawn = drawn_of(kept.text, data, read)
        except Refusal as refusal:
            unreadable = str(refusal)
    laid = any(line.kind == COAT for line in done)
    return OnePiece(
        areas=tuple((part, area(m2)) for part, m2 in piece.areas_m2.items()),
        film=happened.like_ones(past.film) if laid else (),
        jobs=tuple(reversed(past.jobs)),
        done=tuple(done),
        shut=tuple((jar, shut[jar].words(zone)) for jar in bad),
        drawn=drawn,
        kept=None if kept is None else when(kept.at_us, zone),
        kept_with=None if kept is None else kept.job,
        unreadable=unreadable,
        wet=happened.young(done),
    )
