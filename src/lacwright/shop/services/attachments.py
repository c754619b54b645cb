"""Attachments: a photo or a paper that belongs to a job, a piece, a jar, a lot."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, BinaryIO

from lacwright.figures import Refusal, nearest
from lacwright.shop import files_store, names
from lacwright.shop.models import Customer, Described, File, Jar, Job, Lot, Piece
from lacwright.shop.opening import opened
from lacwright.shop.services import work as said
from lacwright.shop.services.amend import RECOMPOSE, Body, merged, write_body
from lacwright.shop.writing import Answer, Entry, Writer, write

KIND = "attach"
TO: dict[str, type[Described]] = {"job": Job, "piece": Piece, "jar": Jar, "lot": Lot,
                                  "customer": Customer}  # fmt: skip
LONGEST_NAME = 200


def attach(
    *, to: str, name: str, source: Path | BinaryIO, file_name: str = "", words: str = "",
    entry: Entry,
) -> Answer:  # fmt: skip
    """Keep a photo or paper, and write down what it belongs to.

    Parameters
    ----------
    to : str
        "job", "piece", "jar", "lot" or "customer".
    name : str
        Its name in the record.
    source : Path or binary stream
        The file; what it is, is judged by its content.
    file_name : str
        What it is called; the name of the path if left out.
    words : str
        What is to be seen on it.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For something unknown, or a file that is not kept (see `files_store`).
    """
    home = opened()
    if to not in TO:
        raise Refusal("--to", f"nothing is attached to a '{to}'", nearest(to, TO))
    called = Path(file_name or (source.name if isinstance(source, Path) else "")).name
    staged = files_store.stage(home, source)
    try:
        return _write(home, staged, to, name, called[-LONGEST_NAME:], words, entry)
    finally:
        files_store.drop(staged)


def _write(
    home: Any, staged: files_store.Staged, to: str, name: str, called: str, words: str,
    entry: Entry,
) -> Answer:  # fmt: skip
    request = {"to": to, "name": name, "sha256": staged.sha256, "file_name": called,
               "words": words}  # fmt: skip

    def do(w: Writer) -> dict[str, Any]:
        thing = names.find(TO[to], name, f"--{to}")
        refs = {to: thing.key}
        if isinstance(thing, Job):
            refs["piece"] = thing.piece.key
        facts = {"sha256": staged.sha256, "name": _plain(called), "media": staged.media,
                 "words": said.text_of(words, "--words")}  # fmt: skip
        _, is_new = File.objects.get_or_create(
            sha256=staged.sha256,
            defaults={"size": staged.size, "media": staged.media, "name": facts["name"]},
        )
        write_body(w, KIND, Body(refs, facts=facts))
        if not entry.dry_run:
            # In its place before the transaction ends: the record never names what is not there.
            files_store.keep(home, staged)
        return {"to": to, "of": thing.key, **facts, "size": staged.size, "new_file": is_new}

    return write(KIND, request, entry, do)


def _plain(name: str) -> str:
    return "".join(c if c.isprintable() else " " for c in name).strip()


def _recompose(body: Mapping[str, Any], changes: Mapping[str, Any]) -> Body:
    facts = merged(body, changes, ("name", "words"))
    return Body(body["refs"], facts={**facts, "words": said.text_of(facts["words"], "--words")})


RECOMPOSE[KIND] = _recompose
