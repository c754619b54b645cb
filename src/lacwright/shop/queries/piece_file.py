"""The piece file of a piece: as it was kept last with the piece, else with its last job."""

from __future__ import annotations

from dataclasses import dataclass

from lacwright.shop.files_store import path_of
from lacwright.shop.models import Event, Job, Piece
from lacwright.shop.opening import opened

SUFFIX = ".toml"


@dataclass(frozen=True)
class PieceFile:
    """A piece file.

    Parameters
    ----------
    text : str
        What is in it.
    at_us : int
        When it was kept.
    job : str or None
        The job it was kept with, None where it was kept with the piece.
    """

    text: str
    at_us: int
    job: str | None


def piece_file(piece: Piece) -> PieceFile | None:
    """Return the piece file that was kept last, None where there is none."""
    event = (
        Event.objects.filter(piece=piece, kind="attach", void=False, job=None,
                             movement__body__name__endswith=SUFFIX)
        .select_related("movement").order_by("-at_us", "-root").first()
    )  # fmt: skip
    job = (
        Job.objects.filter(piece=piece, opened__event__void=False).exclude(piece_file="")
        .select_related("opened").order_by("-id").first()
    )  # fmt: skip
    begun = 0 if job is None or job.opened is None else job.opened.at_us
    if event is not None and (job is None or event.at_us >= begun):
        text = text_of(event.movement.body["sha256"])
        if text is not None:
            return PieceFile(text, event.at_us, None)
    return None if job is None else PieceFile(job.piece_file, begun, job.key)


def text_of(sha256: str) -> str | None:
    """Return a kept text by its hash, None where there is none or it is no text."""
    try:
        return path_of(opened(), sha256).read_bytes().decode("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        return None
