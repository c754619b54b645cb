"""Words of a label: by the codes that were copied from the supplier's safety data sheet.

No substance is classified here: without codes there are no hazard lines.
"""

from __future__ import annotations

import re

from lacwright.figures import Refusal
from lacwright.room.balance import constant
from lacwright.solution import Alcohol
from lacwright.trade import table

COPIED = "copied from the supplier's safety data sheet, which comes first"
MAY_CONTAIN, CONTAINS = "may contain methanol", "contains methanol"
_CODE = re.compile(r"(?:EUH|H|P)\d{3}[A-Z]*", re.IGNORECASE)


def hazard_lines(codes: str) -> tuple[tuple[str, str], ...]:
    """Return each code with its standard words.

    Parameters
    ----------
    codes : str
        As they stand in the data sheet: "H225, H319, P210, P303+P361+P353".

    Returns
    -------
    tuple of (code, words)

    Raises
    ------
    Refusal
        For a code that is not in the table, or for no code at all.

    Examples
    --------
    >>> hazard_lines("h225")
    (('H225', 'Highly flammable liquid and vapour'),)
    """
    found = [c.upper() for c in re.split(r"[\s,;]+", re.sub(r"\s*\+\s*", "+", codes.strip())) if c]
    if not found:
        raise Refusal("hazard codes", "there are none", "copy them from the supplier's data sheet")
    rows, out = table("room_statements"), []
    for code in dict.fromkeys(found):
        if not all(_CODE.fullmatch(part) for part in code.split("+")):
            raise Refusal("hazard codes", f"'{code}' is no code", "write e.g. H225, P210")
        if code in rows:
            out.append((code, rows[code].text("text")))
            continue
        parts = code.split("+")
        if not all(part in rows for part in parts):
            raise Refusal("hazard codes", f"the words of {code} are not on file",
                          "write them out as the data sheet has them")  # fmt: skip
        out.append((code, ". ".join(rows[part].text("text") for part in parts)))
    return tuple(out)


def methanol_words(alcohol: Alcohol) -> str:
    """Return what a label says of methanol: that it may hold it, that it does, or nothing.

    An alcohol of unknown composition may contain it. A known one names it from the share of the
    table on, by weight.
    """
    share = alcohol.share("methanol")
    if share is None:
        return MAY_CONTAIN
    return CONTAINS if share >= constant("methanol_named") else ""
