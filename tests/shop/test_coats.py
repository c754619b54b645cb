"""A coat: what the jar lost, what evaporated, what stayed in the pad, what landed."""

import math

import pytest

from lacwright.figures import Refusal
from lacwright.film import weighed_film_um
from lacwright.shop.ledger import grams, millilitres


@pytest.fixture
def violin(bench):
    """Return a bench with a violin, a jar of one part flakes and three of alcohol by weight."""
    from lacwright.shop.services.jars import Take, mix_jar
    from lacwright.shop.services.pieces import add_piece

    bench.flakes("garnet", density_g_ml=1.10)
    bench.alcohol("spirit")
    takes = [Take("lot", "garnet", grams(25)), Take("lot", "spirit", grams(75))]
    mix_jar(jar="J1", takes=takes, mouth_mm=60, entry=bench.at(1))
    add_piece(name="violin", wood="spruce", areas_m2={"body": 0.155}, entry=bench.at(1))
    return bench


def lay(bench, day=2, hour=12.0, **more):
    from lacwright.shop.services.coats import lay_coat

    told = {"piece": "violin", "jar": "J1", "method": "brush", **more}
    return lay_coat(entry=bench.at(day, hour), **told).data


def grams_in(place):
    from lacwright.shop.models import Balance

    rows = Balance.objects.filter(place__key=place).values_list("lot__key", "ug")
    return {lot: ug / 1e6 for lot, ug in rows}


@pytest.mark.crosscheck
def test_a_weighed_coat_on_a_violin(violin):
    # Worked by hand: the jar lost 9.0 g, of which 0.3 g evaporated; a quarter of the 8.7 g is
    # resin, 2.175 g; 0.15 g stayed in the brush, 2.025 g landed on 0.155 m2; at 1.10 g/ml that is
    # 2.025 / (1.10 x 0.155) = 11.9 um on sealed wood.
    made = lay(violin, before_g=300, after_g=291, evaporated_g=0.3, left_g=0.15)
    assert made["taken_g"] == pytest.approx(8.7)
    assert made["landed_g"] == pytest.approx(2.025, abs=2e-6)
    assert made["landed_g_m2"] == pytest.approx(2.025 / 0.155, abs=1e-4)
    assert made["film_um_on_sealed_wood"] == pytest.approx(11.9, abs=0.05)
    assert made["film_um_on_sealed_wood"] == pytest.approx(weighed_film_um(
        jar_loss_g=9.0, evaporated_g=0.3, solids_mass_fraction=0.25, left_in_applicator_g=0.15,
        resin_density_g_ml=1.10, area_m2=0.155), abs=1e-4)  # fmt: skip
    assert made["amount_basis"] == "weighed"
    assert grams_in("piece:violin") == {"garnet": pytest.approx(2.025, abs=2e-6)}
    # 25 g less 2.175 g; 75 g less 6.525 g in the mix and 0.3 g from the open jar.
    assert grams_in("jar:J1") == pytest.approx({"garnet": 22.825, "spirit": 68.175})
    assert grams_in("air") == pytest.approx({"spirit": 6.825})


def test_what_evaporates_is_reckoned_from_the_mouth_of_the_jar_and_the_time(violin):
    # A 60 mm mouth is 2.827e-3 m2; 10 min at 0.17 g/(m2 s) are 0.288 g, inside the 0.2 to 0.5 g
    # of the derivation.
    made = lay(violin, before_g=300, after_g=291, open_min=10)
    assert made["evaporated_g"] == pytest.approx(0.17 * math.pi / 4 * 0.06**2 * 600)
    assert 0.2 < made["evaporated_g"] < 0.5
    assert made["evaporated_basis"] == "estimated"
    assert made["taken_g"] == pytest.approx(9.0 - made["evaporated_g"], abs=2e-6)


def test_without_mouth_or_time_nothing_is_taken_off_and_that_is_said(violin):
    made = lay(violin, before_g=300, after_g=291)
    assert made["evaporated_g"] is None
    assert made["taken_g"] == pytest.approx(9.0, abs=2e-6)
    assert any("evaporated" in text for text in made["says"])


def test_what_stays_behind_is_the_usual_share_where_it_was_not_weighed(violin):
    made = lay(violin, before_g=300, after_g=291, evaporated_g=0)
    # A twentieth of what a brush takes never lands (common practice): 9 x .25 x .95.
    assert made["landed_g"] == pytest.approx(9 * 0.25 * 0.95, abs=1e-5)
    assert made["lost_share"] == pytest.approx(0.05)
    assert grams_in("waste") == {"garnet": pytest.approx(9 * 0.25 * 0.05, abs=1e-5)}


def test_measured_estimated_and_not_said(violin):
    measured = lay(violin, used_ml=10)
    assert measured["amount_basis"] == "measured"
    estimated = lay(violin, hour=15)
    # 95 ml/m2 of the usual brush coat on 0.155 m2 of a mix of 100 g in 115.2 ml.
    assert estimated["amount_basis"] == "estimated"
    assert estimated["taken_g"] == pytest.approx(95 * 0.155 * 100 / 115.165, rel=1e-4)
    from lacwright.shop.services.pieces import add_piece

    add_piece(name="scroll", entry=violin.at(1))
    unsaid = lay(violin, hour=18, piece="scroll")
    assert unsaid["amount_basis"] == "not said"
    assert unsaid["taken_g"] is None
    assert unsaid["landed_g"] is None
    assert grams_in("piece:scroll") == {}


def test_a_pad_keeps_what_was_weighed_in_it_and_gives_it_to_the_next_coat(violin):
    from lacwright.shop.services.applicators import add_applicator

    add_applicator(name="pad", kind="pad", entry=violin.at(1))
    # 4 g of mix hold 1 g of resin; 0.4 g of it stay in the pad, 0.6 g land.
    first = lay(violin, before_g=300, after_g=296, evaporated_g=0, left_g=0.4, applicator="pad",
                method="pad")  # fmt: skip
    assert first["landed_g"] == pytest.approx(0.6, abs=2e-6)
    assert grams_in("applicator:pad") == {"garnet": pytest.approx(0.4)}
    # The same again, and the pad weighs no more than before: all of the new gram lands.
    second = lay(violin, hour=14, before_g=296, after_g=292, evaporated_g=0, left_g=0.4,
                 applicator="pad", method="pad")  # fmt: skip
    assert second["landed_g"] == pytest.approx(1.0, abs=2e-6)


def test_overspray_is_waste_even_where_the_gun_is_named(violin):
    from lacwright.shop.models import Event
    from lacwright.shop.services.applicators import add_applicator

    add_applicator(name="gun", kind="gun", entry=violin.at(1))
    made = lay(violin, used_ml=20, method="spray", applicator="gun")
    assert made["method"] == "spray-hvlp"
    assert grams_in("applicator:gun") == {}
    # 65 % of what leaves an HVLP gun land (published rule of the district), the rest is waste.
    total = made["landed_g"] + grams_in("waste")["garnet"]
    assert made["landed_g"] == pytest.approx(0.65 * total, rel=1e-4)
    assert Event.objects.get(kind="coat").applicator.key == "gun"


def test_a_coat_by_faces_takes_their_area(violin):
    made = lay(violin, area_m2=0.05, faces=["back"])
    assert made["area_m2"] == 0.05
    # Faces of a piece without a plan have no area of their own.
    assert lay(violin, hour=14, faces=["back"])["amount_basis"] == "not said"


@pytest.mark.parametrize(
    ("more", "where", "words"),
    [
        ({"before_g": 300}, "--after", "weighed only once"),
        ({"after_g": 300}, "--before", "weighed only once"),
        ({"before_g": 291, "after_g": 300}, "--after", "swap them"),
        ({"before_g": 300, "after_g": 300}, "--after", "swap them"),
        ({"before_g": 300, "after_g": 291, "used_ml": 5}, "--used", "not both"),
        ({"before_g": 300, "after_g": 299.9, "evaporated_g": 0.2}, "--after", "evaporated"),
        ({"before_g": float("nan"), "after_g": 1}, "--before", "not a number"),
        ({"used_ml": 0}, "--used", "not above zero"),
        ({"used_ml": 5, "open_min": -1}, "--open", "not above zero"),
        ({"jar": "J2"}, "--jar", "no jar 'J2'"),
        ({"parts": ["bdy"]}, "--part", "did you mean 'body'"),
        ({"method": "brushh"}, "--method", "did you mean"),
        ({"method": None, "used_ml": 5}, "--method", "how it was laid"),
        ({"what": "sand"}, "--what", "lays nothing"),
        ({"applicator": "brush"}, "--with", "no pad or brush"),
        ({"area_m2": 0}, "--area", "not above zero"),
        ({"number": 0}, "--number", "no number of a coat"),
        ({"minutes": 1e6}, "--took", "more than anybody"),
        ({"piece": None}, "--job", "neither a job nor a piece"),
        ({"piece": "cello"}, "--piece", "no piece 'cello'"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_and_nothing_is_written(violin, more, where, words):
    from lacwright.shop.models import Movement

    before = Movement.objects.count()
    with pytest.raises(Refusal) as refusal:
        lay(violin, **more)
    assert refusal.value.where == where
    assert words in str(refusal.value)
    assert Movement.objects.count() == before


def test_a_jar_that_failed_its_test_is_refused_from_then_on(violin):
    violin.test("J1", 5, good=False)
    with pytest.raises(Refusal, match="failed its drying test of 2027-03-05") as refusal:
        lay(violin, day=6)
    assert "test it again" in refusal.value.mend
    # Written down late, laid before the test: it was done, and the recall needs it.
    assert lay(violin, day=4)["amount_basis"] == "estimated"
    made = lay(violin, day=6, in_spite="the customer knows")
    assert made["in_spite"] == "the customer knows"
    violin.test("J1", 8, good=True)
    assert lay(violin, day=9)["says"] == []


def test_more_than_the_jar_holds_is_booked_and_said(violin):
    made = lay(violin, before_g=400, after_g=280, evaporated_g=0)
    assert made["taken_g"] == pytest.approx(120)
    assert any("unaccounted" in text for text in made["says"])
    assert grams_in("jar:J1") == {}
    assert sum(grams_in("unaccounted").values()) == pytest.approx(-20)


def test_a_coat_sooner_than_usual_is_remarked(violin):
    lay(violin, hour=9, until_us=violin.us(2, 9.5))
    # A brushed coat waits 2 h (published: 1 to 3 h), counted from its end at 9:30.
    early = lay(violin, hour=10)
    assert any("finished at 2027-03-02 09:30; as usual the next is due at 2027-03-02 11:30" in text
               for text in early["says"])  # fmt: skip
    assert lay(violin, hour=13)["says"] == []


def test_a_coat_beside_its_job_and_one_that_ends_before_it_begins(violin):
    from lacwright.shop.services.jobs import close_job, start_job

    start_job(job="V-1", piece_name="violin", entry=violin.at(1))
    assert any("Job 'V-1' is open" in text for text in lay(violin, used_ml=5)["says"])
    close_job(job="V-1", entry=violin.at(3))
    assert lay(violin, day=4, used_ml=5)["says"] == []
    with pytest.raises(Refusal, match="before it was begun"):
        lay(violin, day=5, until_us=violin.us(4))


def test_a_coat_is_corrected_and_everything_later_follows(violin):
    from lacwright.shop.services.amend import amend, undo
    from lacwright.shop.services.coats import lay_coat

    told = {"piece": "violin", "jar": "J1", "method": "brush", "evaporated_g": 0.0, "left_g": 0.0}
    first = lay_coat(before_g=300, after_g=291, **told, entry=violin.at(2))
    lay(violin, day=3, before_g=291, after_g=282, evaporated_g=0, left_g=0)
    assert sum(grams_in("piece:violin").values()) == pytest.approx(4.5, abs=1e-5)
    # The scale stood on pounds of another kind: it was 304 g before.
    amend(movement=first.movement, changes={"before_g": 304.0}, entry=violin.at(4))
    assert sum(grams_in("piece:violin").values()) == pytest.approx((13 + 9) / 4, abs=1e-5)
    # Reckoned facts are reckoned anew: nothing was said of the area.
    amend(movement=first.movement, changes={"parts": ["body"]}, entry=violin.at(4))
    with pytest.raises(Refusal, match="weights or a volume"):
        amend(movement=first.movement, changes={"used_ml": 5.0}, entry=violin.at(4))
    with pytest.raises(Refusal, match="did you mean 'before_g'"):
        amend(movement=first.movement, changes={"beefore_g": 5.0}, entry=violin.at(4))
    undo(movement=first.movement, entry=violin.at(5))
    assert sum(grams_in("piece:violin").values()) == pytest.approx(2.25, abs=1e-5)


def test_the_jar_of_a_coat_can_be_put_right(violin):
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.coats import lay_coat

    violin.mix("J2", 1, 50, 200)
    made = lay_coat(piece="violin", jar="J1", method="brush", used_ml=10, entry=violin.at(2))
    amend(movement=made.movement, changes={"jar": "J2"}, entry=violin.at(3))
    assert sum(grams_in("jar:J1").values()) == pytest.approx(100)
    from lacwright.shop.queries.contents import contents

    assert float(contents("jar:J2").mix.solution_ml) == pytest.approx(
        float(contents("jar:J2", at_us=violin.us(1)).mix.solution_ml) - 10, abs=1e-3)  # fmt: skip


def test_the_same_token_is_one_coat_and_a_dry_run_is_none(violin):
    from lacwright.shop.models import Event
    from lacwright.shop.services.coats import lay_coat

    told = {"piece": "violin", "jar": "J1", "method": "brush", "used_ml": 10}
    lay_coat(**told, entry=violin.at(2, dry_run=True))
    assert not Event.objects.filter(kind="coat").exists()
    one = lay_coat(**told, entry=violin.at(2, token="t1"))
    again = lay_coat(**told, entry=violin.at(2, token="t1"))
    assert again.repeated
    assert again.data == one.data
    assert Event.objects.filter(kind="coat").count() == 1


def test_what_is_not_volatile_of_an_unknown_liquid_is_not_taken_for_resin(bench):
    from lacwright.shop.services.jars import fill_jar
    from lacwright.shop.services.pieces import add_piece

    fill_jar(jar="tin", amount=millilitres(500), entry=bench.at(1))
    add_piece(name="box", areas_m2={"box": 0.3}, entry=bench.at(1))
    made = lay(bench, piece="box", jar="tin", used_ml=20)
    assert made["film_um_on_sealed_wood"] is None
    from lacwright.shop.models import Piece
    from lacwright.shop.queries.pieces import history

    film = history(Piece.objects.get(key="box")).film["box"]
    assert film.value is None
    assert "nobody" in (film.missing or "") or "in the jar" in (film.missing or "")
