"""Cautions and stops: words that travel with the number they belong to."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Caution:
    """A usual caution. Never an assurance: local codes, label and data sheet come first."""

    code: str
    text: str

    def as_json(self) -> dict[str, str]:
        """Return {"code", "text"}."""
        return {"code": self.code, "text": self.text}


@dataclass(frozen=True)
class Stop:
    """A reason not to start, until it is removed."""

    code: str
    text: str

    def as_json(self) -> dict[str, str]:
        """Return {"code", "text"}."""
        return {"code": self.code, "text": self.text}
