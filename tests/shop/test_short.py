"""What is short for the coming jobs."""

import datetime as dt

import pytest

from lacwright.files.piece import piece_of
from lacwright.plan import make_plan
from lacwright.shop.ledger import grams

PIECE = {
    "title": "A board", "wish": {"use": ["indoors"]}, "shop": {"ignition": [], "children": False},
    "part": [{"name": "face", "shape": "area", "wood": "beech", "area": "1 m2"}],
    "step": [{"what": "coat", "method": "brush", "times": 4}],
    "mix": [{"name": "body", "cut": 2, "lot": "garnet", "alcohol": "spirit"}],
}  # fmt: skip


def start(bench, job, **more):
    from lacwright.shop.plan_link import areas_of, from_record, kept
    from lacwright.shop.services.jobs import start_job

    record = from_record(now_us=bench.us(2))
    piece = piece_of({**PIECE, **more}, "board", record.shelf)
    made = make_plan(piece, today=dt.date(2027, 3, 2), n=20)
    start_job(job=job, piece_name=f"board of {job}", plan=kept(made, []),
              areas_m2=areas_of(piece), entry=bench.at(2))  # fmt: skip
    return {line.lot: line.need.number() for line in made.shelf}


def found():
    from lacwright.shop.queries.short import needs

    return {one.lot: one for one in needs()}


def test_needs_of_all_open_jobs_against_the_stock(bench):
    from lacwright.shop.services.jobs import close_job

    bench.flakes("garnet", 200)
    bench.alcohol("spirit", 5000)
    need = start(bench, "B-1")
    start(bench, "B-2")
    flakes = found()["garnet"]
    assert flakes.jobs == pytest.approx({"B-1": need["garnet"], "B-2": need["garnet"]})
    assert flakes.left == pytest.approx(200 - 2 * need["garnet"])
    assert (flakes.left > 0, flakes.word) == (True, "enough")
    start(bench, "B-3")
    flakes = found()["garnet"]
    assert (flakes.left < 0, flakes.word) == (True, "order")
    assert found()["spirit"].unit == "ml"
    assert found()["spirit"].word == "enough"
    close_job(job="B-3", entry=bench.at(3))
    assert found()["garnet"].word == "enough"


def test_what_was_taken_already_is_needed_no_more_and_what_is_mixed_not_again(bench):
    from lacwright.shop.services.coats import lay_coat

    bench.flakes("garnet", 200)
    bench.alcohol("spirit", 5000)
    need = start(bench, "B-1")["garnet"]
    bench.mix("J1", 3, 60, 250)  # 60 g of the bag stand in the jar
    flakes = found()["garnet"]
    assert (flakes.need, flakes.mixed, flakes.have) == pytest.approx((need, 60, 140))
    assert flakes.left == pytest.approx(140 - (need - 60))
    lay_coat(job="B-1", jar="J1", method="brush", before_g=500, after_g=410, evaporated_g=0,
             entry=bench.at(4))  # fmt: skip
    laid = 90 * 60 / (60 + 250 * 0.8114)  # its resin, by weight
    after = found()["garnet"]
    assert after.need == pytest.approx(need - laid, rel=1e-3)
    assert after.mixed == pytest.approx(60 - laid, rel=1e-3)
    # Both fall alike: what has to come out of the bag is the same.
    assert after.left == pytest.approx(flakes.left, rel=1e-6)
    # A jar that failed is of no use: what is in it has to be mixed again.
    bench.test("J1", 5, good=False)
    assert found()["garnet"].mixed == 0


def test_a_jar_that_a_plan_is_laid_from(bench):
    from lacwright.shop.services.coats import lay_coat

    bench.shelf()
    bench.mix("J1", 1, 240, 1000)
    need = start(bench, "B-1", mix=[{"name": "body", "jar": "J1"}])["J1"]
    assert found()["J1"].need == pytest.approx(need)
    lay_coat(job="B-1", jar="J1", method="brush", used_ml=100, entry=bench.at(3))
    one = found()["J1"]
    assert one.need == pytest.approx(need - 100, rel=1e-6)
    assert one.have == pytest.approx(1210.5 - 100, rel=1e-3)


def test_lots_below_what_should_be_there_and_things_that_are_on_no_shelf(bench):
    bench.flakes("garnet", 200)
    bench.alcohol("spirit", 5000)
    bench.flakes("low", 50, order_below=grams(100))
    start(bench, "B-1", mix=[{"name": "body", "cut": 2, "grade": "amber", "alcohol": "spirit"}])
    all_ = found()
    assert all_["low"].word == "below what should be there"
    assert all_["low"].need == 0
    assert all_["amber flakes"].word == "not on the shelf"
    assert next(iter(all_)) == "amber flakes"
    told = all_["amber flakes"].as_json()
    assert {k for k, v in told.items() if v is None} == set(told["missing"])


def test_a_lot_of_which_no_amount_was_said(bench):
    bench.flakes("garnet", None)
    bench.alcohol("spirit", 5000)
    start(bench, "B-1")
    assert found()["garnet"].word == "amount not said"


def test_queries_do_not_grow_with_the_jobs(bench, django_queries):
    bench.flakes("garnet", 200)
    bench.alcohol("spirit", 5000)
    start(bench, "B-1")
    with django_queries() as few:
        found()
    for n in range(2, 6):
        start(bench, f"B-{n}")
    with django_queries() as many:
        found()
    assert len(many) == len(few)
