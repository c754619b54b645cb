"""What is asked about a plan: one thing to change, and how the job is called."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench.forms.jobs import Start


class Change(forms.Form):
    """One thing to change."""

    change = forms.ChoiceField(label="Change")
    to = forms.CharField(
        label="To",
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "60 um"}),
        help_text="as in a piece file: 60 um, 2027-03-01, satin, 1.5-lb cut; empty takes it away",
    )

    def __init__(self, *args: Any, choices: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice = self.fields["change"]
        assert isinstance(choice, forms.ChoiceField)
        choice.choices = choices


class StartPlanned(Start):
    """A job begins with a plan."""

    FIRST = ("job", "piece", "promised")

    in_spite = forms.CharField(label="Why it is begun though the plan has a stop", required=False,
                               max_length=2000)  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stopped = False

    @property
    def first(self) -> list[forms.BoundField]:
        """With a stop the reason stands among the first."""
        names = (*self.FIRST, *(("in_spite",) if self.stopped else ()))
        return [self[name] for name in names]

    @property
    def rest(self) -> list[forms.BoundField]:
        """Without one it is not asked for."""
        shown = {f.name for f in self.first} | (set() if self.stopped else {"in_spite"})
        return [f for f in self if f.name not in shown and not f.is_hidden]
