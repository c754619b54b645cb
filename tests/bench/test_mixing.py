"""The five-minute answer, and keeping it: a jar, a piece and its job out of what was typed."""

import html
import re
from typing import Any

import pytest

AMOUNTS = {"volume": "200 ml", "cut": "1.5", "grade": "garnet", "alcohol": ""}
TIMES = {**AMOUNTS, "what": "box", "size": "300x200x120 mm", "coats": "2", "method": "brush",
         "start": "19:00"}  # fmt: skip
KEEP = {"token": "k", "jar": "J1", "flakes": "", "spirit": "", "piece": "box 1"}


def words(answer: Any) -> str:
    told = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(told))


def keep(client: Any, typed: dict[str, str], **sent: str) -> Any:
    from urllib.parse import urlencode

    return client.post(f"/mix?{urlencode(typed)}", {**KEEP, **sent})


def test_three_entries_give_the_amounts(client: Any) -> None:
    page = words(client.get("/mix", AMOUNTS))
    # 1.5 lb/gal = 179.7 g/l of alcohol; flakes of 1.14 g/ml: 200 / (1 + .1797 / 1.14) = 172.8 ml
    assert "Weigh 31.1 g of garnet into 173 ml of alcohol" in page
    assert "Keep the jar" in page


def test_four_more_give_the_times(client: Any) -> None:
    page = words(client.get("/mix", TIMES))
    assert "Not at 19:00 from fresh flakes" in page
    assert "Coats from a ready jar" in page
    assert "Keep jar, piece and job" in page


def test_the_jar_alone_is_kept(client: Any) -> None:
    from lacwright.shop.queries.contents import contents

    answer = keep(client, AMOUNTS)
    assert answer.status_code == 303
    assert round(float(contents("jar:J1").mix.cut_lb_per_gal), 2) == 1.5
    assert round(float(contents("jar:J1").mix.solution_ml)) == 200


def test_jar_piece_and_job_are_kept_in_one_press(client: Any) -> None:
    from lacwright.shop.models import Job, Movement

    answer = keep(client, TIMES)
    page = words(client.get(answer.headers["Location"]))
    assert "Jar J1, box 1 and its job are written down" in page
    assert "Coat 1 (body, 1.5-lb)" in page
    job = Job.objects.get(key="box 1")
    assert round(job.piece.areas_m2["box"], 3) == 0.24
    assert job.plan is not None
    assert job.plan["planned_coats"] == 2
    before = Movement.objects.count()
    assert keep(client, TIMES).headers["Location"] == answer.headers["Location"]
    assert Movement.objects.count() == before


def test_lots_of_the_shelf_are_offered_and_taken(filled: Any, helper: Any) -> None:
    from lacwright.shop.models import Job
    from lacwright.shop.queries.contents import contents

    lot, can = helper("filling").LOT, helper("filling").SPIRIT
    page = filled.get("/mix", TIMES).content.decode()
    assert f'<option value="{lot}" selected' in page
    keep(filled, TIMES, jar="J50", flakes=lot, spirit=can)
    assert set(contents("jar:J50").by_lot_ug) == {lot, can}
    plan = Job.objects.get(key="box 1").plan
    assert plan is not None
    assert plan["steps"][0]["jar"] == "J50"


@pytest.mark.parametrize(
    ("sent", "field"), [({"jar": "J1"}, "jar"), ({"piece": "hall table"}, ""), ({"jar": ""}, "jar")]
)
def test_nothing_is_written_down_if_one_of_them_cannot_be(
    filled: Any, sent: dict[str, str], field: str
) -> None:
    from lacwright.shop.models import Movement

    before = Movement.objects.count()
    answer = keep(filled, TIMES, **{"jar": "J60", **sent})
    if not field:  # the piece is there already: a job of that name is new
        assert answer.status_code == 303
        return
    assert answer.status_code == 422
    assert field in answer.context["keep"].errors
    assert Movement.objects.count() == before


def test_a_stop_needs_a_reason(client: Any) -> None:
    from lacwright.shop.models import Movement

    typed = {**TIMES, "alcohol": "methanol"}
    assert "STOP" in words(client.get("/mix", typed))
    answer = keep(client, typed)
    assert "methanol" in " ".join(answer.context["keep"].errors["in_spite"])
    assert not Movement.objects.exists()
    assert keep(client, typed, in_spite="outdoors, with the data sheet").status_code == 303


@pytest.mark.parametrize(
    ("typed", "field"),
    [({"volume": "much"}, "volume"), ({"cut": "40"}, "cut"), ({"volume": "0 ml"}, "volume")],
)
def test_odd_input_is_questioned(client: Any, typed: dict[str, str], field: str) -> None:
    answer = client.get("/mix", {**AMOUNTS, **typed})
    assert answer.context["one"].errors[field]
    assert answer.context["answer"] is None


@pytest.mark.parametrize(
    ("typed", "field"), [({"size": "300x200 mm"}, "size"), ({"coats": "0"}, "coats")]
)
def test_odd_sizes_are_questioned(client: Any, typed: dict[str, str], field: str) -> None:
    answer = client.get("/mix", {**TIMES, **typed})
    assert answer.context["two"].errors[field]
    assert answer.context["times"] is None
