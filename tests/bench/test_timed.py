"""A timed panel: what a coat that was timed says, before and after it is written down."""

import re
from html import unescape
from typing import Any
from urllib.parse import quote
from uuid import uuid4

import pytest

PANEL = "panel 3"
TOLD = {"weighed": "0.86 g", "size": "100x100 mm", "wood": "maple", "thickness": "20 mm",
        "cut": "2", "alcohol": "ethanol-190", "temp": "20 C", "rh": "45 %",
        "touch_dry": "9 min", "print_free": "40 min"}  # fmt: skip


def text(response: Any) -> str:
    """Return the page as a person reads it, in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


@pytest.fixture
def panel(client: Any, helper: Any) -> Any:
    """Return a client of a shop with one panel."""
    from lacwright.shop.services.pieces import add_piece

    add_piece(name=PANEL, kind="panel", wood="maple", areas_m2={"piece": 0.01},
              entry=helper("filling").past(5))  # fmt: skip
    return client


def send(client: Any, told: dict[str, str], **more: str) -> Any:
    """Send the form of the timed coat."""
    return client.post(f"/panels/timed/{quote(PANEL)}", {"token": uuid4().hex, **told, **more})


def test_the_panel_leads_to_the_form_with_its_wood(panel: Any) -> None:
    page = panel.get(f"/panels/one/{quote(PANEL)}").content.decode()
    assert f"/panels/timed/{quote(PANEL)}" in page
    form = panel.get(f"/panels/timed/{quote(PANEL)}").context["form"]
    assert form["wood"].value() == "maple"


def test_prior_observation_and_posterior_stand_there_before_anything_is_written(
    panel: Any,
) -> None:
    from lacwright.shop.models import Movement

    written = Movement.objects.count()
    answer = send(panel, TOLD)
    says = answer.context["says"]
    assert answer.status_code == 200, text(answer)
    assert Movement.objects.count() == written
    air, step = says.constants
    assert air.before.value == air.usual.value
    low, high = sorted((air.before.number(), air.says.number()))
    assert low < air.after.number() < high, "the posterior lies between what was known and seen"
    assert air.after.high / air.after.low < air.before.high / air.before.low
    assert step.says is not None
    assert says.before == "uncalibrated"
    assert says.after.startswith("calibrated on panel 3")
    stages = {words: told for words, *told in says.moved}
    before, after, seen = stages["Touch-dry"]
    assert before != after
    assert seen == "9 min"
    assert "Nothing is written down yet" in text(answer)
    assert answer.context["form"]["weighed"].value() == "0.86 g"


def test_written_down_it_calibrates_and_is_undone(panel: Any) -> None:
    from lacwright.shop.queries.own_figures import own_figures

    answer = send(panel, TOLD, keep="yes")
    assert answer.status_code == 303, text(answer)
    page = text(panel.get(answer["Location"]))
    assert "The timed coat is written down. By itself it says an air factor of" in page
    assert "Undo" in page
    assert own_figures(only=["drying.air"])["drying.air"].n == 1
    again = send(panel, TOLD).context["says"]
    assert again.constants[0].n == 1
    assert again.before.startswith("calibrated on panel 3")


def test_without_a_late_time_nothing_is_said_of_the_lac(panel: Any) -> None:
    says = send(panel, {**TOLD, "print_free": ""}).context["says"]
    assert says.constants[0].says is not None
    assert says.constants[1].says is None
    assert "later times uncalibrated" in says.after


def test_an_own_figure_that_was_set_stays_and_that_is_said(panel: Any, helper: Any) -> None:
    from lacwright.shop.services.proving import set_own

    set_own(name="drying.air", text="1.3", entry=helper("filling").past(1))
    answer = send(panel, TOLD)
    assert answer.context["says"].constants[0].after is None
    assert "yours stays: take it away first" in text(answer)


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"touch_dry": ""}, "touch_dry", "This field is required"),
        ({"touch_dry": "soon"}, "touch_dry", "soon"),
        ({"weighed": ""}, "wet", "No coat of the two days before is on record"),
        ({"cut": ""}, "cut", "It is missing"),
        ({"alcohol": ""}, "alcohol", "It is missing"),
        ({"alcohol": "", "composition": "unknown"}, "alcohol", "how it dries hangs on what it is"),
        ({"size": ""}, "size", "without the area"),
        ({"thickness": ""}, "thickness", "It is missing"),
        ({"recoat": "2 h"}, "recoat", "two late times"),
        ({"print_free": "5 min"}, "print_free", "Does not come after touch-dry"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_stays_typed(
    panel: Any, change: dict[str, str], field: str, words: str
) -> None:
    answer = send(panel, {**TOLD, **change})
    form = answer.context["form"]
    assert answer.status_code == 422
    assert words in text(answer)
    assert field in form.errors, form.errors
    assert form["rh"].value() == "45 %"


def test_a_coat_that_was_written_down_needs_its_times_alone(panel: Any, helper: Any) -> None:
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.coats import lay_coat
    from lacwright.shop.services.jars import Take, mix_jar
    from lacwright.shop.services.lots import add_lot

    past = helper("filling").past
    add_lot(name="bag", kind="flakes", amount=grams(1000), grade="garnet", entry=past(9))
    add_lot(name="can", kind="alcohol", amount=millilitres(5000), alcohol="ethanol-190",
            entry=past(9))  # fmt: skip
    mix_jar(jar="J", takes=[Take("lot", "bag", grams(120)), Take("lot", "can", millilitres(500))],
            entry=past(8))  # fmt: skip
    for days in (4, 0.1):
        lay_coat(piece=PANEL, jar="J", method="brush", used_ml=1, entry=past(days))
    page = panel.get(f"/panels/timed/{quote(PANEL)}")
    assert "the coat in the record" in text(page)
    assert "weighed" not in page.context["form"].fields
    told = {k: TOLD[k] for k in ("touch_dry", "print_free", "temp", "rh")}
    answer = send(panel, told)
    assert answer.status_code == 200, text(answer)
    assert answer.context["says"].moved
    assert "weighed" in panel.get(f"/panels/timed/{quote(PANEL)}?by=hand").context["form"].fields
