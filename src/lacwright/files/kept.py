"""Observations in a file of their own, or kept in a hand file beside what they taught."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from lacwright.figures import Refusal, Refusals
from lacwright.files.checks import unknown_key
from lacwright.files.toml import load_toml

T = TypeVar("T")
Reader = Callable[[Mapping[str, Any], str], tuple[tuple[T, ...], list[Refusal]]]


def read_kept(
    path: Path | str, of: Reader[T], tables: tuple[str, ...], *, nothing: Refusal
) -> tuple[T, ...]:
    """Return the observations of a file, or those kept in a hand file.

    Parameters
    ----------
    path : Path or str
        TOML with the tables, or a hand file with them below [hand].
    of : callable
        Reads them from data that was read, with what stands above them in the file.
    tables : tuple of str
        Their names.
    nothing : Refusal
        Where there is none of them; its `where` becomes the name of the file.

    Raises
    ------
    Refusal
        For all that is wrong with them, or where there are none.
    """
    data, name = load_toml(path), Path(path).name
    hand = data.get("hand")
    if isinstance(hand, Mapping):
        found, wrong = of(hand, "hand.")
    else:
        found, wrong = of(data, "")
        wrong += [unknown_key(key, tables, name) for key in data if key not in tables]
    if wrong:
        raise Refusals(r if r.where == name else r.at(f"{name}, {r.where}") for r in wrong)
    if not found:
        raise nothing.at(name)
    return found
