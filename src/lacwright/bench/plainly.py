"""Sentences of the services in the words of a page: a label in place of an option.

The record speaks to the command line too: "say why with --in-spite". On a page that is a field.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from django import forms

from lacwright.figures import Refusal

WHERE = {"part": "parts", "face": "faces", "with": "applicator", "removes": "removes_um",
         "TEXT": "text", "WHAT": "what", "WHERE": "where",
         "FILE": "file", "NAME": "name", "piece": "piece", "open": "open_for",
         "minutes": "took", "until": "until", "spot": "text"}  # fmt: skip
"""From the options the services name to the fields of the forms."""
_OPTION = re.compile(r"(with |say )?--([a-z][a-z-]*)( '[^']*'| [A-Z]+)?")
# A jar may be called "jar 7": only what is followed by something to do is a command.
_ROOM = (r"(?:record|jar|lot|job|pad|piece|reading) (?:add|amend|change|count|describe|discard|"
         r"fill|log|mix|recall|show|test|undo|wash)\b")  # fmt: skip
_ASIDE = re.compile(rf" \('{_ROOM}[^)]*\)| with '(?!record){_ROOM}[^']*'")
_MOVEMENT = re.compile(r"(with )?'(?:lacwright )?record (?:amend|undo|show|log)(?: (\d+))?[^']*'"
                       r"(?: with --[^.;]*)?")  # fmt: skip
_IN_FILE = re.compile(r' with [a-z_.]+ = ".*?"(?=$|[;,.] |\.$)')
"""A line of a piece file that would say so: ` with jar = "J71"`."""
_COMMAND = re.compile(rf"'(?:lacwright [^']*|{_ROOM}[^']*)'")


def in_words(refusal: Refusal, labels: Mapping[str, str]) -> Refusal:
    """Return a refusal without options and commands of the command line."""
    what, mend = (plain(text, labels) for text in (refusal.what, refusal.mend))
    return Refusal(refusal.where, what.rstrip("."), mend)


def labels_of(form: forms.Form) -> dict[str, str]:
    """Return the labels of a form by the names of its fields."""
    return {name: str(field.label) for name, field in form.fields.items()}


def plain(text: str, labels: Mapping[str, str]) -> str:
    """Return a sentence without options and commands of the command line."""

    def label(match: re.Match[str]) -> str:
        verb, option = match[1] or "", match[2]
        name = option.replace("-", "_")
        name = WHERE.get(option, WHERE.get(name, name))
        if name not in labels:
            return verb + option.replace("-", " ")
        return f'fill in "{labels[name]}"' if verb == "say " else f'under "{labels[name]}"'

    said = _MOVEMENT.sub(_in_the_log, _ASIDE.sub("", _IN_FILE.sub("", text)))
    return _OPTION.sub(label, _COMMAND.sub("the pages", said))


def _in_the_log(match: re.Match[str]) -> str:
    if match[1]:
        return "in the log"
    return f"movement {match[2]} in the log" if match[2] else "the log"
