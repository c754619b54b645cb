"""A stock list that is sent in: its text, and what is wrong with it line by line."""

from __future__ import annotations

from typing import Any

from lacwright.bench.forms.shelf import MOST_BYTES
from lacwright.figures import Refusal, Refusals


def text_of(file: Any, text: str) -> tuple[str, str]:
    """Return name and text of a list, out of a file that was sent or what was pasted.

    Raises
    ------
    Refusal
        If there is none, it is too large, or no text.
    """
    if file is None:
        if not text.strip():
            raise Refusal("list", "there is none", "choose a file, or paste the list")
        return "the list", text
    data: bytes = file.read(MOST_BYTES + 1)
    name = str(file.name)[:120]
    if len(data) > MOST_BYTES:
        raise Refusal(name, "it is larger than 1 MB", "read it in in parts")
    try:
        return name, data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff")
                                 else "utf-8-sig")  # fmt: skip
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise Refusal(f"{name}, line {line}", "it is not UTF-8 text",
                      "save it as CSV in UTF-8") from None  # fmt: skip


def faults(refusal: Refusal) -> list[str]:
    """Return what is wrong with a list, line by line."""
    return [str(one) for one in (refusal.each if isinstance(refusal, Refusals) else (refusal,))]
