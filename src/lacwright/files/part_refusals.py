"""What pydantic finds wrong, said in the words of the house."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from lacwright.figures import Refusal, nearest

_MENDS = {
    "int_type": "write a whole number without quotes",
    "bool_type": "write true or false without quotes",
    "string_type": "write it in quotes",
    "float_type": "write a number without quotes",
    "float_parsing": "write a number without quotes",
    "list_type": "write a list in [ ]",
    "tuple_type": "write a list in [ ]",
}


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
        return Refusal(where, f"the key '{key}' is not known here",
                       nearest(key, model.model_fields))  # fmt: skip
    what = str(item["msg"])
    return Refusal(where, what[0].lower() + what[1:], _MENDS.get(kind, "correct it"))
