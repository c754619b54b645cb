"""Elements that are written without a template are those of Django's own templates."""

import re
from typing import Any

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates

ODD = "<b> \"two\" & 'one'"


class Form(forms.Form):
    """Every kind of field that stands on a page."""

    text = forms.CharField(label=ODD, help_text="a <b>hint</b>", required=False,
                           widget=forms.TextInput(attrs={"placeholder": ODD}))  # fmt: skip
    hidden = forms.CharField(widget=forms.HiddenInput)
    number = forms.IntegerField(min_value=1, max_value=9)
    day = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))
    hour = forms.TimeField(widget=forms.TimeInput(attrs={"type": "time"}))
    when = forms.DateTimeField(widget=forms.DateTimeInput(attrs={"type": "datetime-local"}))
    tick = forms.BooleanField(label="Tick", required=False)
    file = forms.FileField(widget=forms.FileInput(attrs={"accept": ".toml"}), required=False)
    area = forms.CharField(widget=forms.Textarea(attrs={"rows": 3, "class": "code"}))
    boxes = forms.MultipleChoiceField(choices=[("a", ODD), ("b", "B"), ("G", [("c", "C")])],
                                      widget=forms.CheckboxSelectMultiple)  # fmt: skip


def plain(text: str) -> str:
    """Return markup without the white space that says nothing."""
    return re.sub(r"\s+", " ", re.sub(r"\s*(<[^>]*>)\s*", r" \1 ", text)).strip()


@pytest.mark.crosscheck
@pytest.mark.parametrize("data", [
    None, {},
    {"text": ODD, "hidden": ODD, "number": "12", "day": "2027-03-01", "hour": "9:30", "tick": "on",
     "area": "two\nlines <i>", "boxes": ["a", "c"]},
])  # fmt: skip
def test_every_widget_is_what_the_template_of_django_writes(client: Any, data: Any) -> None:
    from lacwright.bench.fields import Renderer

    theirs = Form(data, renderer=DjangoTemplates())
    ours = Form(data, renderer=Renderer())
    for name in Form.base_fields:
        assert plain(str(ours[name])) == plain(str(theirs[name])), name


def test_a_field_has_its_label_hint_and_errors(client: Any) -> None:
    from lacwright.bench.fields import Renderer

    form = Form({"number": "12"}, renderer=Renderer())
    told = plain(form["text"].as_field_group())
    assert '<label for="id_text"> &lt;b&gt; &quot;two&quot; &amp; &#x27;one&#x27;' in told
    assert '<span class="may"> may stay empty </span>' in told
    assert '<p class="hint" id="id_text_helptext"> a &lt;b&gt;hint&lt;/b&gt; </p>' in told
    wrong = plain(form["number"].as_field_group())
    assert wrong.startswith('<div class="field wrong">')
    assert '<p class="error" id="id_number_error">' in wrong
    assert "less than or equal to 9" in wrong
    assert 'aria-describedby="id_number_error"' in wrong
    assert "<fieldset> <legend> Boxes </legend>" in plain(form["boxes"].as_field_group())
    assert plain(form["tick"].as_field_group()).startswith(
        '<div class="field tick"> <label for="id_tick"> <input type="checkbox"'
    )


def test_a_figure_shows_range_basis_source_and_working(client: Any) -> None:
    from lacwright.bench.words import figure
    from lacwright.figures import Basis, Figure, Mark, computed, unknown

    one = Figure(2.0, 1.0, 3.0, "ml/m2", Basis.GIVEN, Mark.OWN, "a <b>source</b>")
    told = plain(figure(computed("2 * one", "um", {"one": one}, note="a & note"), 2))
    assert told.startswith('<details class="figure"> <summary> <span class="n"> 4.0 </span> µm')
    assert '<span class="band"> (2.0 to 6.0) </span>' in told
    assert "<code> 2 * one </code>" in told
    assert "<code> one </code> = 2.000 ml/m² (1.0 to 3.0);" in told
    assert "<p> a &amp; note </p>" in told
    assert "a &lt;b&gt;source&lt;/b&gt;" in plain(figure(one))
    assert plain(figure(unknown("g", "nobody <i> said"))) == (
        '<span class="unknown"> nobody &lt;i&gt; said </span>'
    )
