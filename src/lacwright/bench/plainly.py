"""Sentences of the services in the words of a page: a label in place of an option.

The record speaks to the command line too: "say why with --in-spite". On a page that is a field.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from lacwright.figures import Refusal, Refusals
from lacwright.shop.writing import Answer, Entry

Do = Callable[[dict[str, Any], Entry], Answer]
WHERE = {"part": "parts", "face": "faces", "with": "applicator", "removes": "removes_um",
         "PIECE.toml": "in_spite", "TEXT": "text", "WHAT": "what", "WHERE": "where",
         "FILE": "file", "NAME": "name", "piece": "piece", "open": "open_for",
         "minutes": "took", "until": "until", "spot": "text"}  # fmt: skip
"""From the options the services name to the fields of the forms."""
_OPTION = re.compile(r"(with |say )?--([a-z][a-z-]*)( '[^']*'| [A-Z]+)?")
_COMMAND = re.compile(r"'lacwright [^']*'")


def plainly(do: Do, labels: Mapping[str, str]) -> Do:
    """Return the same, its refusals in the words of a page: a label in place of an option."""

    def done(told: dict[str, Any], entry: Entry) -> Answer:
        try:
            return do(told, entry)
        except Refusals as several:
            raise Refusals([in_words(one, labels) for one in several.each]) from None
        except Refusal as refusal:
            raise in_words(refusal, labels) from None

    return done


def in_words(refusal: Refusal, labels: Mapping[str, str]) -> Refusal:
    """Return a refusal without options and commands of the command line."""
    what, mend = (plain(text, labels) for text in (refusal.what, refusal.mend))
    return Refusal(refusal.where, what.rstrip("."), mend)


def plain(text: str, labels: Mapping[str, str]) -> str:
    """Return a sentence without options and commands of the command line."""

    def label(match: re.Match[str]) -> str:
        verb, option = match[1] or "", match[2]
        name = option.replace("-", "_")
        name = WHERE.get(option, WHERE.get(name, name))
        if name not in labels:
            return verb + option.replace("-", " ")
        return f'fill in "{labels[name]}"' if verb == "say " else f'under "{labels[name]}"'

    return _COMMAND.sub("the pages", _OPTION.sub(label, text))
