"""Which jars and lots are shut, for the lists in which they stand beside others."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from lacwright.shop.queries.proving import Quarantine, proofs
from lacwright.shop.queries.remembered import remembered

FAILED = "failed its test"
"""The word for it on every list."""


def shut_jars() -> Mapping[str, Quarantine]:
    """Return all jars that are shut, by name: worked out once as long as nothing is written."""
    return remembered("shut jars", partial(_shut, "jar"))


def shut_lots() -> Mapping[str, Quarantine]:
    """Return all lots that are shut, by name: worked out once as long as nothing is written."""
    return remembered("shut lots", partial(_shut, "lot"))


def with_word(text: str, name: str, shut: Mapping[str, Quarantine]) -> str:
    """Return what a list says of something, and that it failed its test where it did."""
    return f"{text}, {FAILED}" if name in shut else text


def _shut(kind: str) -> dict[str, Quarantine]:
    found = {key: proof.quarantine(key, kind) for key, proof in proofs(kind).items()}
    return {key: why for key, why in found.items() if why is not None}
