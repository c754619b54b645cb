"""Tables to TOML as a person would write them: plain lines, lists in brackets, one heading a table.

The other way round than `files.toml`, which reads it.
"""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def written(data: Mapping[str, Any]) -> str:
    """Return tables as TOML: first what stands before the first heading, then table by table."""
    blocks = [_lines(data)]
    for key, value in data.items():
        blocks += _tables(_key(key), value)
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _tables(heading: str, value: Any) -> list[list[str]]:
    if isinstance(value, Mapping):
        inner = {k: v for k, v in value.items() if _is_table(v) or _is_list_of_tables(v)}
        mine = _lines({k: v for k, v in value.items() if k not in inner})
        blocks = [[f"[{heading}]", *mine]] if mine or not inner else []
        for key, one in inner.items():
            if isinstance(one, Mapping):
                blocks.append([f"[{heading}.{_key(key)}]", *_lines(one, inline=True)])
            else:
                blocks += [[f"[[{heading}.{_key(key)}]]", *_lines(row, inline=True)] for row in one]
        return blocks
    if _is_list_of_tables(value):
        return [[f"[[{heading}]]", *_lines(row, inline=True)] for row in value]
    return []


def _lines(table: Mapping[str, Any], *, inline: bool = False) -> list[str]:
    return [f"{_key(k)} = {_value(v)}" for k, v in table.items()
            if inline or not (_is_table(v) or _is_list_of_tables(v))]  # fmt: skip


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping)


def _is_list_of_tables(value: Any) -> bool:
    return (isinstance(value, Sequence) and not isinstance(value, str) and bool(value)
            and all(isinstance(v, Mapping) for v in value))  # fmt: skip


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else _value(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        # JSON escapes what TOML wants escaped, but for the character 127.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, dt.datetime | dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, float):
        # TOML has inf and nan as they are; Python writes 1e-05, TOML takes that too.
        return repr(value)
    if isinstance(value, int):
        return str(value)
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, Sequence):
        return f"[{', '.join(_value(v) for v in value)}]"
    raise TypeError(f"TOML has nothing for {type(value).__name__}")
