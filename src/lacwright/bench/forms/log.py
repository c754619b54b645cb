"""Forms of the log: what to look for, taking back, putting right."""

from __future__ import annotations

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Writing
from lacwright.bench.pages.log import KINDS


class Wanted(forms.Form):
    """What of the log is shown."""

    q = forms.CharField(label="About", required=False, max_length=80,
                        help_text="name of a jar, lot, job, piece, ...")  # fmt: skip
    kind = fields.Choice(lambda: list(KINDS.items()), label="What", required=False)
    since = fields.Day(label="From", required=False)
    until = fields.Day(label="To", required=False)


class TakeBack(Writing):
    """Why something is taken back."""

    reason = forms.CharField(label="Why", required=False, max_length=500)
    back = forms.CharField(widget=forms.HiddenInput, required=False, max_length=2000)


class Correct(Writing):
    """When it really was, and in what words."""

    at = forms.DateTimeField(
        label="When it was done", required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%S"],
    )  # fmt: skip
    words = forms.CharField(label="In words", required=False, max_length=4000,
                            widget=forms.Textarea(attrs={"rows": 3}))  # fmt: skip
    reason = forms.CharField(label="Why it is put right", required=False, max_length=500)
