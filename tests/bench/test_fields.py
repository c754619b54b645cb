"""Fields: choices asked for once, boxes to tick beside their words, units as they are printed."""

import re
from typing import Any

import pytest


def test_choices_are_asked_for_once_a_form(shop: Any) -> None:
    from django import forms

    from lacwright.bench import fields

    times = 0

    def ask() -> list[tuple[str, str]]:
        nonlocal times
        times += 1
        return [("a", f"asked {times}")]

    class Form(forms.Form):
        which = fields.Choice(ask, empty="none")

    for n in (1, 2):
        form = Form({"which": "a"})
        assert form.is_valid()
        assert f"asked {n}" in str(form)
        assert str(form) == str(form)
        assert times == n


def test_a_choice_put_into_a_form_later_has_its_choices(client: Any) -> None:
    from lacwright.files.parts import shapes

    page = client.get("/pieces/build").content.decode()
    select = re.search(r'<select name="part1-shape".*?</select>', page, re.S)
    assert select is not None
    assert re.findall(r'<option value="([^"]+)"', select[0]) == list(shapes())
    assert "board or table top" in select[0]


def test_a_form_asks_the_record_once_for_each_list(filled: Any, queries: Any) -> None:
    with queries() as asked:
        filled.get("/jobs/agree/T-12")
    panels = [q for q in asked if "'panel'" in q["sql"] and "ORDER BY" in q["sql"]]
    assert len(panels) == 1


def test_a_box_to_tick_stands_beside_its_words(client: Any) -> None:
    page = client.get("/shelf/add").content.decode()
    box = re.search(r'<div class="field tick">\s*<label for="id_opening">(.+?)</label>', page, re.S)
    assert box is not None
    assert re.fullmatch(r'<input type="checkbox"[^>]*><span>[^<]+</span>', box[1])
    assert "may stay empty" not in box[0]


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_it_can_be_hit_with_a_thumb(
    serving: Any, empty_folder: Any, request: pytest.FixtureRequest, size: str
) -> None:
    page = request.getfixturevalue(size)
    page.goto(f"{serving(empty_folder).url}/shelf/add")
    page.locator("details.more summary").click()
    label = page.locator("label[for=id_opening]")
    assert label.bounding_box()["height"] >= 44
    label.click()
    assert page.locator("#id_opening").is_checked()


@pytest.mark.parametrize(
    ("unit", "printed"),
    [("um", "µm"), ("m2", "m²"), ("ml/m2", "ml/m²"), ("um or g/m2", "µm or g/m²"), ("C", "°C"),
     ("cm3", "cm³"), ("1", "1"), ("g/ml", "g/ml"), ("% MC", "% MC"), ("lb/gal", "lb/gal"),
     ("h/m2", "h/m²"), ("°C", "°C")],
)  # fmt: skip
def test_units_are_printed_as_people_read_them(unit: str, printed: str) -> None:
    from lacwright.bench import words

    assert words.unit(unit) == printed


def test_no_page_shows_a_unit_as_it_is_kept(filled: Any, helper: Any) -> None:
    addresses = helper("addresses")
    for name in ("jobs-one", "pieces-plan-draft", "panels-one", "settings-figure", "mixing"):
        for path in addresses.examples(name):
            page = filled.get(path).content.decode()
            shown = re.sub(r"<(code|pre|option)\b.*?</\1>|<input[^>]*>", " ", page, flags=re.S)
            # What a source is called is told as it stands there.
            shown = re.sub(r"<dt>Source</dt><dd>.*?</dd>", " ", shown, flags=re.S)
            shown = re.sub(r'placeholder="[^"]*"', "", shown)
            shown = re.sub(r'<p class="hint".*?</p>', "", shown, flags=re.S)
            told = re.findall(r"[\d>] ?(?:um|m2|cm2|ml/m2|g/m2)\b", shown)
            assert not told, path
