"""Checking a table of a file against its model: every fault at once, each with its place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from lacwright.figures import Refusal, nearest
from lacwright.files.words import shown


class FileTable(BaseModel):
    """A table of a file: nothing unknown, nothing converted behind the writer's back."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


T = TypeVar("T", bound=FileTable)
MOST = 1000
MOST_PRICE = 1e9
"""More of anything that is counted in a job is taken for a slip."""


def entry(
    words: str, example: str, *, unit: str = "", default: str = "", alias: str | None = None,
    needed: bool = False, many: bool = False, **bounds: float,
) -> Any:  # fmt: skip
    """Return the description of one key of a table; the documentation is made from it.

    Parameters
    ----------
    words : str
        What it is, in a clause.
    example : str
        As it is written in the file, right of the equals sign.
    unit : str
        Bench unit into which it is read.
    default : str
        What holds when it is left out; "" for nothing.
    alias : str, optional
        The key in the file, where Python does not allow its name.
    needed, many : bool
        Whether it may not be left out; whether it is a list.
    bounds : float
        ge, gt, le: limits of a bare number.
    """
    about: dict[str, Any] = {
        "alias": alias, "description": words, "examples": [example],
        "json_schema_extra": {"unit": unit, "default": default}, **bounds,
    }  # fmt: skip
    if needed:
        return Field(**about)
    return Field(default_factory=list, **about) if many else Field(default=None, **about)


def check(model: type[T], data: Any, where: str) -> tuple[T | None, list[Refusal]]:
    """Return the checked table, or None and all that is wrong with it.

    Parameters
    ----------
    model : type of FileTable
        What the table must be.
    data : object
        What TOML gave.
    where : str
        The heading of the table: "[wish]", "[[step]] 3".
    """
    if not isinstance(data, Mapping):
        heading = where.partition("]] ")[0] + ("]]" if "]] " in where else "")
        return None, [Refusal(where, f"{shown(data)} is not a table",
                              f"write {heading} on a line of its own, its keys below")]  # fmt: skip
    try:
        return model.model_validate(dict(data)), []
    except ValidationError as errors:
        return None, [_refusal(model, data, error, where) for error in errors.errors()]


def keys(model: type[BaseModel]) -> dict[str, Any]:
    """Return the keys of a table as they stand in the file, with their descriptions."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def unknown_key(key: str, known: Iterable[str], where: str) -> Refusal:
    """Return the refusal of a key that nobody reads."""
    return Refusal(where, f"nothing is called '{key}' here", nearest(key, known))


def place(where: str, loc: tuple[int | str, ...]) -> str:
    """Return heading and key as the person sees them.

    >>> place("[[step]] 3", ("wait",)), place("[quote]", ("hours", 0, "fixed"))
    ('[[step]] 3, wait', '[[quote.hours]] 1, fixed')
    """
    single = where.startswith("[") and not where.startswith("[[")
    if single and len(loc) > 2 and isinstance(loc[1], int):
        where, loc = f"[{where[:-1]}.{loc[0]}]] {loc[1] + 1}", loc[2:]
    elif single and len(loc) > 1 and isinstance(loc[1], str):
        where, loc = f"{where[:-1]}.{loc[0]}]", loc[1:]
    steps: list[str] = []
    for item in loc:
        if isinstance(item, int) and steps:
            steps[-1] += f" {item + 1}"
        else:
            steps.append(str(item))
    joint = " " if where.endswith("]") else ", "
    return joint.join(filter(None, (where, ", ".join(steps))))


def _refusal(model: type[BaseModel], data: Any, error: Any, where: str) -> Refusal:
    loc, kind = tuple(error["loc"]), error["type"]
    at, context = place(where, loc), error.get("ctx", {})
    cause = context.get("error")
    if isinstance(cause, Refusal):
        # A check of the whole table names the keys it is about; a reader of one value does not.
        return cause.at(place(where, (*loc, cause.where)) if cause.where else at)
    key = str(loc[-1]) if loc else ""
    owner = _model_at(model, loc[:-1])
    if kind == "extra_forbidden" and owner is not None:
        return unknown_key(key, set(keys(owner)) - _used(data, loc[:-1]), at)
    mend = _example(model, loc)
    if kind == "missing":
        return Refusal(at, "it is missing", mend)
    return Refusal(at, _WHAT.get(kind, _other)(error["input"], context), mend)


def _used(data: Any, loc: tuple[int | str, ...]) -> set[str]:
    """Return the keys that stand in the table already: they are not what a slip was meant to be."""
    for item in loc:
        data = data[item]
    return set(data)


def _example(model: type[BaseModel], loc: tuple[int | str, ...]) -> str:
    for end in range(len(loc), 0, -1):
        key, owner = loc[end - 1], _model_at(model, loc[: end - 1])
        if isinstance(key, str) and owner is not None and key in keys(owner):
            return f"write e.g. {key} = {keys(owner)[key].examples[0]}"
    return "see the description of the file"


def _model_at(model: type[BaseModel], loc: tuple[int | str, ...]) -> type[BaseModel] | None:
    found: type[BaseModel] | None = model
    for item in loc:
        if isinstance(item, str) and found is not None:
            field = keys(found).get(item)
            found = _model_in(field.annotation) if field is not None else None
    return found


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((m for a in get_args(annotation) if (m := _model_in(a)) is not None), None)


def _other(value: Any, context: Any) -> str:
    return f"{shown(value)} does not fit here"


_WHAT: dict[str, Callable[[Any, Any], str]] = {
    "string_type": lambda value, ctx: f"{shown(value)} is not text in quotes",
    "string_too_short": lambda value, ctx: "it is empty",
    "bool_type": lambda value, ctx: f"{shown(value)} is neither true nor false (without quotes)",
    "int_type": lambda value, ctx: f"{shown(value)} is not a whole number (without quotes)",
    "int_from_float": lambda value, ctx: f"{shown(value)} is not a whole number",
    "float_type": lambda value, ctx: f"{shown(value)} is not a number (without quotes)",
    "finite_number": lambda value, ctx: f"{shown(value)} is not a number",
    "list_type": lambda value, ctx: f"{shown(value)} is not a list",
    "model_type": lambda value, ctx: f"{shown(value)} is not a table",
    "dict_type": lambda value, ctx: f"{shown(value)} is not a table",
    "literal_error": lambda value, ctx: f"{shown(value)} is not {ctx['expected']}",
    "greater_than_equal": lambda value, ctx: f"{shown(value)} is below {ctx['ge']:g}",
    "greater_than": lambda value, ctx: f"{shown(value)} is not above {ctx['gt']:g}",
    "less_than_equal": lambda value, ctx: f"{shown(value)} is above {ctx['le']:g}",
}
