"""What a table in CSV has wrong with it as a whole, in plain words."""

from __future__ import annotations

import csv


def csv_fault(error: csv.Error) -> str:
    """Return what is wrong with a table, for a refusal."""
    text = str(error)
    if "end of data" in text:
        return "a quote opens here that is not closed"
    if "expected after" in text:
        return "something stands behind the quote that closes"
    return "a cell is very long" if "field limit" in text else "it cannot be read as a table"
