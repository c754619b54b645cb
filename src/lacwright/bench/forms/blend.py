"""What is asked about a blend: up to four jars, or lots, poured together into a clean one."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.forms.jars import NewJar, lot_words, offer
from lacwright.figures import Refusal
from lacwright.shop.amounts import read_amount
from lacwright.shop.facts import ALCOHOL
from lacwright.shop.queries.found import jars_to_take, lots_to_take
from lacwright.shop.services.jars import JAR, LOT, Take

ROWS = 4
TWICE = "It stands here twice; say all of it in one line"


class Blend(NewJar):
    """A blend that was made: from what, and how much of each."""

    FIRST = ("jar",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        jars = [(f"{JAR} {key}", f"jar {key}") for key in jars_to_take()]
        cans = [(f"{LOT} {lot.name}", lot_words(lot)) for lot in lots_to_take(ALCOHOL)]
        self.known = bool(jars)
        groups = [(word, rows) for word, rows in (("Jars", jars), ("Alcohol", cans)) if rows]
        for n in range(ROWS):
            self.fields[f"from_{n}"] = fields.Choice([], label=f"From {n + 1}", required=n == 0)
            offer(self, f"from_{n}", [("", "nothing" if n else "choose"), *groups])
            self.fields[f"amount_{n}"] = forms.CharField(
                label=f"How much of {n + 1}", required=False, max_length=40,
                widget=forms.TextInput(attrs={"placeholder": "120 ml", "autocomplete": "off"}),
            )  # fmt: skip

    @property
    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """The lines: from what, and how much."""
        return [(self[f"from_{n}"], self[f"amount_{n}"]) for n in range(ROWS)]

    @property
    def rest(self) -> list[forms.BoundField]:
        """What stands behind "More": all but the name and the lines."""
        lines = {field.name for row in self.rows for field in row}
        return [field for field in super().rest if field.name not in lines]

    def clean(self) -> dict[str, Any]:
        """Return what was said, with what goes in as the service takes it."""
        told: dict[str, Any] = super().clean() or {}
        takes: list[Take] = []
        for n in range(ROWS):
            kind, _, name = str(told.get(f"from_{n}") or "").partition(" ")
            text = (told.get(f"amount_{n}") or "").strip()
            if not name:
                if text and f"from_{n}" not in self.errors:
                    self.add_error(f"from_{n}", "Say of what, or leave the amount out")
                continue
            if any((take.kind, take.name) == (kind, name) for take in takes):
                self.add_error(f"from_{n}", TWICE)
            try:
                amount = read_amount(text, "", of=ALCOHOL if kind == LOT else JAR) if text else None
                takes.append(Take(kind, name, amount))
            except Refusal as refusal:
                self.add_error(f"amount_{n}", fields.words_of(refusal))
        if len(takes) == 1 and not self.errors:
            self.add_error("from_1", "A blend is made of two at least: say the second")
        return {**told, "takes": takes}
