"""What pydantic finds wrong, said in the words of the house."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from lacwright.figures import Refusal, nearest
from lacwright.files.words import shown

Say = Callable[[Any, Mapping[str, Any]], str]
_SAID: dict[str, tuple[Say, str]] = {
    "int_type": (lambda v, c: f"{shown(v)} is not a whole number", "write e.g. 2, without quotes"),
    "bool_type": (lambda v, c: f"{shown(v)} is neither true nor false", "write it without quotes"),
    "string_type": (lambda v, c: f"{shown(v)} is not text", "write it in quotes"),
    "string_too_short": (lambda v, c: "it is empty", "write it, or leave it out"),
    "float_type": (lambda v, c: f"{shown(v)} is not a number", "write e.g. 2.5, without quotes"),
    "float_parsing": (lambda v, c: f"{shown(v)} is not a number", "write e.g. 2.5, without quotes"),
    "list_type": (lambda v, c: f"{shown(v)} is not a list", "write a list in [ ]"),
    "tuple_type": (lambda v, c: f"{shown(v)} is not a pair of numbers", "write e.g. [12, 30]"),
    "too_short": (lambda v, c: f"it has {c['actual_length']}, {c['min_length']} are the fewest",
                  "write the others too"),
    "too_long": (lambda v, c: f"it has more than {c['max_length']}", "leave some out"),
    "greater_than_equal": (lambda v, c: f"{shown(v)} is below {c['ge']:g}", "write more"),
    "less_than_equal": (lambda v, c: f"{shown(v)} is above {c['le']:g}", "write less"),
    "model_type": (lambda v, c: f"{shown(v)} says nothing by name",
                   'write e.g. { size = "600x40 mm", count = 4 }'),
}  # fmt: skip
"""What is wrong, and how to mend it, by the kind of fault."""


def refusals_of(
    error: ValidationError, model: type[BaseModel], nested: Mapping[str, type[BaseModel]]
) -> list[Refusal]:
    """Return what is wrong as refusals, each placed at its key ("rows 2: size").

    Parameters
    ----------
    error : ValidationError
        As raised by `model`.
    model : type of BaseModel
        The model of the table, for the names of its keys.
    nested : mapping of str to type of BaseModel
        The models of the tables inside it, by their key.
    """
    out: list[Refusal] = []
    for item in error.errors(include_url=False):
        where = place(item["loc"])
        within = nested.get(str(item["loc"][0]), model) if len(item["loc"]) > 1 else model
        out.append(_refusal(where, dict(item), within))
    return out


def place(loc: tuple[int | str, ...]) -> str:
    """Return a path as a person counts: ("rows", 1, "size") is "rows 2: size"."""
    words = ""
    for step in loc:
        if isinstance(step, int):
            words += f" {step + 1}"
        else:
            words += f": {step}" if words else step
    return words


def _refusal(where: str, item: dict[str, Any], model: type[BaseModel]) -> Refusal:
    kind, context = item["type"], item.get("ctx") or {}
    inner = context.get("error")
    if isinstance(inner, Refusal):
        return inner.at(where)
    if kind == "missing":
        return Refusal(where, "it is missing", "add it")
    if kind == "extra_forbidden":
        key = str(item["loc"][-1])
        return Refusal(where, f"nothing is called '{key}' here",
                       nearest(key, model.model_fields))  # fmt: skip
    say, mend = _SAID.get(kind, (lambda v, c: f"{shown(v)} does not fit here", "correct it"))
    return Refusal(where, say(item["input"], context), mend)
