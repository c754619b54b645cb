"""Blending: up to four jars, or alcohol, poured together into a clean one."""

import html
import re
from typing import Any

import pytest

BLEND = {"jar": "B1", "from_0": "jar J1", "amount_0": "100 ml", "from_1": "jar T1",
         "amount_1": "50 ml"}  # fmt: skip


def words(answer: Any) -> str:
    told = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(told))


def test_it_first_says_what_it_makes_and_writes_nothing(filled: Any) -> None:
    from lacwright.shop.models import Movement
    from lacwright.shop.queries.contents import contents

    before = Movement.objects.count()
    answer = filled.post("/jars/blend", {**BLEND, "token": "a", "try": "yes"})
    assert answer.status_code == 200
    page = words(answer)
    # Volumes add, and the cut of a blend lies between those of its jars.
    made = re.search(r"150 ml \(5\.07 fl oz\) of a ([\d.]+)-lb cut", page)
    assert made is not None, page
    ends = [float(contents(f"jar:{jar}").mix.cut_lb_per_gal) for jar in ("J1", "T1")]
    assert ends[0] < float(made[1]) < ends[1]
    assert "Nothing is written down yet" in page
    assert Movement.objects.count() == before
    assert answer.context["form"]["amount_1"].value() == "50 ml"


def test_it_is_written_down_with_every_lot_of_its_jars(filled: Any, helper: Any) -> None:
    from lacwright.shop.queries.contents import contents

    filling = helper("filling")
    more = {"from_2": f"lot {filling.SPIRIT}", "amount_2": "20 ml", "from_3": "", "amount_3": ""}
    answer = filled.post("/jars/blend", {**BLEND, **more, "token": "b", "purpose": "sealing"})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/jars/one/B1")
    inside = contents("jar:B1")
    assert {filling.LOT, filling.SPIRIT} < set(inside.by_lot_ug)
    assert round(float(inside.mix.solution_ml)) == 170
    page = words(filled.get("/jars/one/B1"))
    assert "Jar B1 is written down" in page
    assert "sealing" in page


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        ({"from_1": "", "amount_1": ""}, "from_1", "two at least"),
        ({"from_1": "jar J1"}, "from_1", "twice"),
        ({"from_1": ""}, "from_1", "Say of what"),
        ({"amount_0": "a lot"}, "amount_0", "a lot"),
        ({"amount_0": "5 l"}, "", "J1"),
        ({"jar": "J1"}, "jar", "already"),
        ({"from_1": "jar J2"}, "from_1", "Choose one of the list"),  # it failed its test
        ({"from_0": ""}, "from_0", "required"),
    ],
)
def test_odd_input_is_questioned(filled: Any, typed: dict[str, str], field: str, says: str) -> None:
    from lacwright.shop.models import Jar

    answer = filled.post("/jars/blend", {**BLEND, **typed, "token": "c"})
    if not field:  # more than the book has is taken, and said
        assert says in words(filled.get(answer.headers["Location"]))
        return
    assert answer.status_code == 422
    assert says in " ".join(answer.context["form"].errors[field])
    assert not Jar.objects.filter(key="B1").exists()


def test_a_jar_leads_to_its_blend(filled: Any) -> None:
    assert "/jars/blend?from=J1" in filled.get("/jars/one/J1").content.decode()
    form = filled.get("/jars/blend?from=J1").context["form"]
    assert form["from_0"].value() == "jar J1"
