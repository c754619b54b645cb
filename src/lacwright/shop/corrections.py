"""Corrections as they are typed, "amount=55 g": read by what stands there now."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut, read_rh
from lacwright.figures.spoken import an
from lacwright.shop.amounts import JAR, read_amount
from lacwright.shop.models import Lot, Movement
from lacwright.shop.replay import VOID

_YES = {"yes": True, "true": True, "no": False, "false": False}
_NOTHING = ("", "none", "null", "not said")
_PLAIN = re.compile(r"[-+]?\d+([.,]\d+)?")
_OWN = ("refs", "moves")
_ABOUT = {"coat": ("job", "piece", "jar", "applicator")}
"""What an observation is about, where that can be corrected: a coat from another jar, ..."""

_UNITS: dict[str, Callable[[str, str], float]] = {
    "_g": lambda text, where: read(text, u.MASS, where),
    "_ml": lambda text, where: read(text, u.VOLUME, where),
    "_m2": lambda text, where: read(text, u.AREA, where),
    "_min": lambda text, where: 60.0 * read(text, u.TIME, where),
    "minutes": lambda text, where: 60.0 * read(text, u.TIME, where),
    "temp_c": lambda text, where: read(text, u.TEMPERATURE, where),
    "_cut": read_cut,
    "rh": read_rh,
    "_mc": read_rh,
}
"""What reads a value with its unit, by how its name ends."""


def read_corrections(*, movement: Movement, texts: Iterable[str]) -> dict[str, Any]:
    """Return corrections of an observation by name.

    Parameters
    ----------
    movement : Movement
        Any of its versions.
    texts : iterable of str
        "name=value". A number is in the unit that its name tells, or has its own: "used_ml=20",
        "used_ml=1 fl oz"; a list has commas; "none" takes a value back; what begins with a bracket
        is JSON.

    Raises
    ------
    Refusal
        For a text without "=", an unknown name, a value that makes no sense.
    """
    said = _last_said(movement)
    out: dict[str, Any] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        name = name.strip()
        if not equals or not name:
            raise Refusal("--set", f"'{text}' is no correction", "write e.g. amount='55 g'")
        if name in out:
            raise Refusal("--set", f"{name} is given twice", "give it once")
        about = _ABOUT.get(said.kind, ())
        known = [*(key for key in said.body if key not in _OWN), *about]
        if name in about:
            out[name] = None if value.strip().lower() in _NOTHING else value.strip()
            continue
        if name in said.body["refs"]:
            raise Refusal("--set", f"what {an(said.kind)} is about cannot be changed",
                          f"take it back ('record undo {movement.id}') and write it down anew",
                          )  # fmt: skip
        if name not in known:
            raise Refusal("--set", f"there is no '{name}' in a movement of the kind '{said.kind}'",
                          nearest(name, known) if known else "only its time can be corrected",
                          )  # fmt: skip
        out[name] = _read(name, value.strip(), said.body)
    return out


def _last_said(movement: Movement) -> Movement:
    root = movement.root_id or movement.id
    versions = Movement.objects.filter(root=root).exclude(kind=VOID)
    return versions.order_by("-id").first() or Movement.objects.get(id=root)


def _read(name: str, text: str, body: Mapping[str, Any]) -> Any:
    where, was = f"--set {name}", body[name]
    if text.lower() in _NOTHING and not (isinstance(was, str) and text):
        return "" if isinstance(was, str) else None
    if text[:1] in ("{", "["):
        try:
            return json.loads(text)
        except ValueError:
            raise Refusal(where, f"'{text}' is written in brackets that do not fit",
                          'write e.g. ["top"]') from None  # fmt: skip
    if isinstance(was, dict) and name != "amount":
        raise Refusal(where, f"'{text}' is one value, it holds several",
                      f"write all of it, as it is now: {json.dumps(was)}")  # fmt: skip
    if name == "amount":
        return _amount(text, where, body)
    if isinstance(was, bool):
        if text.lower() not in _YES:
            raise Refusal(where, f"'{text}' is neither yes nor no", "write yes or no")
        return _YES[text.lower()]
    if isinstance(was, list):
        return [part.strip() for part in text.split(",") if part.strip()]
    reads = next((reads for end, reads in _UNITS.items() if name.endswith(end)), None)
    if isinstance(was, str) or (was is None and reads is None and not _PLAIN.fullmatch(text)):
        return text
    if _PLAIN.fullmatch(text) and not name.endswith(("rh", "_mc")):
        number = float(text.replace(",", "."))
        return int(number) if isinstance(was, int) and number.is_integer() else number
    if reads is None:
        raise Refusal(where, f"'{text}' is no number", f"now it is {was}")
    return reads(text, where)


def _amount(text: str, where: str, body: Mapping[str, Any]) -> Any:
    refs = body["refs"]
    lot = Lot.objects.filter(key=refs["lot"]).first() if set(refs) == {"lot"} else None
    return read_amount(text, where, of=lot.kind if lot else JAR, unit=lot.unit if lot else "g")
