"""A plan with the record: file first, then the record; jars by what is in them; a failed one."""

import datetime as dt

import pytest

from lacwright.figures import Basis
from lacwright.files.piece import piece_of
from lacwright.plan import make_plan

DAY = dt.date(2027, 3, 10)
PIECE = """\
title = "A board"
[wish]
use = ["indoors"]
[shop]
ignition = []
children = false
[[part]]
name = "face"
shape = "area"
wood = "beech"
area = "1 m2"
[[step]]
what = "coat"
method = "brush"
times = 2
"""
MIX = '[[mix]]\nname = "body"\n'


def tables(text):
    import tomllib

    return tomllib.loads(text)


def planned(text, *, day=DAY, n=200):
    """Return plan and what of the record went into it, as the command does."""
    from lacwright.shop.plan_link import from_record, used_by

    record = from_record(now_us=0, day=day)
    piece = piece_of(tables(text), "board", record.shelf)
    made = make_plan(record.with_air(piece), today=day, hand=[record.own_beside(piece.own)], n=n)
    return made, used_by(made, record, piece)


@pytest.fixture
def stocked(bench):
    """Return a bench with a bag, a can and a jar of a 2-lb cut."""
    bench.flakes("garnet", bought=dt.date(2027, 2, 1))
    bench.alcohol("spirit")
    bench.mix("J1", 1, 240, 1000)
    return bench


def test_the_stock_stands_on_the_shelf_and_the_files_own_rows_go_before_it(stocked):
    made, used = planned(PIECE + MIX + 'cut = 2\ngrade = "garnet"\n')
    words = {line.lot: line for line in made.shelf}
    assert words["garnet"].have == 1000 - 240
    assert words["spirit"].have == pytest.approx(4000)
    assert used.lots == ("garnet", "spirit")
    lot = (
        '[[lot]]\nname = "garnet"\nkind = "flakes"\nhave = "7 g"\ngrade = "garnet"\n'
        '[[lot]]\nname = "blue can"\nkind = "alcohol"\nhave = "2 l"\nalcohol = "ethanol-200"\n'
    )
    made, used = planned(PIECE + MIX + 'cut = 2\ngrade = "garnet"\n' + lot)
    words = {line.lot: line for line in made.shelf}
    assert (words["garnet"].have, words["garnet"].word) == (7, "reorder")
    # The only can of the file is the one that is meant, whatever stands in the record.
    assert "blue can" in words
    assert "spirit" not in words
    assert used.lots == ()
    assert any("garnet: the piece file's row goes before" in note for note in used.notes)


def test_of_several_cans_in_the_record_none_is_chosen(stocked):
    stocked.alcohol("second")
    made, _ = planned(PIECE + MIX + 'cut = 2\ngrade = "garnet"\n')
    assert "alcohol (which is not said)" in {line.lot for line in made.shelf}
    made, _ = planned(PIECE + MIX + 'cut = 2\ngrade = "garnet"\nalcohol = "second"\n')
    assert "second" in {line.lot for line in made.shelf}


def test_a_jar_of_two_lots_is_planned_with_what_is_in_it(stocked):
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.jars import Take, mix_jar

    stocked.flakes("blonde", grade="blonde", waxed=False)
    takes = [Take("lot", "garnet", grams(30)), Take("lot", "blonde", grams(90)),
             Take("lot", "spirit", millilitres(500))]  # fmt: skip
    mix_jar(jar="both", takes=takes, entry=stocked.at(2))
    made, used = planned(PIECE + MIX + 'jar = "both"\n')
    (amount,) = made.mixes
    # 120 g to half a litre are 240 g/l, 2.003 lb; to the hundredth.
    assert amount.spec.cut_lb_per_gal == pytest.approx(2.0, abs=0.005)
    assert dict(amount.per_lot) == pytest.approx({"garnet": 0.25, "blonde": 0.75})
    shares = {r.lot: g / amount.mix.total_resin_g for r, g in amount.mix.resin_g.items()}
    assert shares == pytest.approx({"garnet": 0.25, "blonde": 0.75})
    assert {r.grade for r in amount.mix.resin_g} == {"garnet", "blonde"}
    film = made.film.run.layers[0].resin_g_m2
    assert {r.lot for r in film} == {"garnet", "blonde"}
    assert "both" in used.lots
    for figure in made.figures.values():  # every formula still gives its value
        if figure.working is not None and figure.value is not None:
            assert figure.working.evaluate() == pytest.approx(figure.value, rel=1e-6)


def test_weighed_density_of_the_flakes_in_a_jar_counts(bench):
    bench.flakes("dense", density_g_ml=1.10)
    bench.alcohol("spirit")
    bench.mix("J1", 1, 240, 1000, flakes="dense")
    made, _ = planned(PIECE + MIX + 'jar = "J1"\n')
    inputs = dict(made.coats[0].laying.liquid.resin_g_per_l.working.inputs)
    assert (inputs["density"].value, inputs["density"].basis) == (1.10, Basis.GIVEN)
    assert made.figures["mix.body.resin"].working.evaluate() == pytest.approx(
        made.figures["mix.body.resin"].value)  # fmt: skip


def test_a_jar_that_failed_its_test_stops_the_plan(stocked):
    stocked.test("J1", 5, good=False)
    made, _ = planned(PIECE + MIX + 'jar = "J1"\n')
    assert [s.code for s in made.stops] == ["lot-failed"]
    assert "J1 failed its test" in made.stops[0].text
    stocked.test("J1", 8, good=True)
    made, _ = planned(PIECE + MIX + 'jar = "J1"\n')
    assert made.stops == ()


def test_a_failed_drying_test_is_not_healed_by_a_passed_water_spot(stocked):
    from lacwright.shop.services.proving import record_test

    stocked.test("J1", 5, good=False)
    record_test(
        of_kind="jar",
        of="J1",
        test="water-spot",
        jar=None,
        control=None,
        result={"hours": 24, "white": False, "film_days": 10},
        entry=stocked.at(6),
    )
    made, _ = planned(PIECE + MIX + 'jar = "J1"\n')
    assert [s.code for s in made.stops] == ["lot-failed"]


def test_a_tested_jar_near_the_planned_cut_is_offered(stocked):
    stocked.test("J1", 5, good=True)
    made, _ = planned(PIECE + MIX + 'cut = 2\ngrade = "garnet"\n')
    assert any("use it up first" in note and "J1" in note for note in made.notes)


@pytest.mark.crosscheck
def test_weighed_coats_move_the_amounts_of_the_next_plan(stocked):
    # Two coats of 60 ml on a square metre where 95 are usual: precisions 8.163 + 2 x 69.44; the
    # spread is 95 (60/95)^(138.9 / 147.05) = 61.6 ml/m2; two coats then take 123 ml, not 190.
    from lacwright.shop.services.coats import lay_coat
    from lacwright.shop.services.pieces import add_piece

    text = PIECE + MIX + 'cut = 2\ngrade = "garnet"\n'
    before, _ = planned(text)
    assert before.figures["mix.body.coats"].value == pytest.approx(190)
    add_piece(name="old board", areas_m2={"face": 1.0}, entry=stocked.at(1))
    for day in (2, 3, 4):
        lay_coat(piece="old board", jar="J1", method="brush", used_ml=60, entry=stocked.at(day))
    after, used = planned(text)
    assert after.figures["mix.body.coats"].value == pytest.approx(2 * 61.59, rel=1e-3)
    assert after.coats[0].laying.load.used.basis is Basis.LEARNED
    assert used.line(dt.UTC).startswith(
        "From your log: mix that leaves the jar for each m2 and coat (brush): 61.6 ml/m2 (n = 2)"
    )
    assert "spread.brush" not in used.line(dt.UTC)
    wide = [f.high - f.low for f in (before.figures["mix.body.coats"],
                                     after.figures["mix.body.coats"])]  # fmt: skip
    assert wide[1] < wide[0] / 2
    # What the piece file says of the load goes before what was learned, however it says it.
    for own in ('[hand.spread]\nbrush = "80 ml/m2"\n', '[hand.uses]\nbrush = "80 ml"\n'):
        said, used = planned(text + own)
        assert said.figures["mix.body.coats"].value == pytest.approx(160)
        assert used.own == ()


def test_a_fresh_reading_fills_in_the_air_where_the_file_is_silent(stocked):
    from lacwright.shop.services.readings import add_reading

    add_reading(temp_c=12, rh=0.8, entry=stocked.at(10, 8))
    text = PIECE + MIX + 'cut = 2\ngrade = "garnet"\n'
    made, used = planned(text)
    assert (made.piece.shop.temp_c, made.piece.shop.rh) == (12, 0.8)
    assert any("the shop has 12 C" in note for note in made.notes)
    assert "12 C, 80 %" in used.line(dt.UTC)
    said, used = planned(text.replace("[shop]\n", '[shop]\ntemp = "21 C"\nrh = "50 %"\n'))
    assert said.piece.shop.temp_c == 21
    assert used.air is None
    stale, _ = planned(text, day=dt.date(2027, 3, 12))
    assert stale.piece.shop.temp_c is None


def test_what_is_set_in_the_record_goes_behind_the_file(stocked):
    from lacwright.shop.services.own_settings import set_own

    set_own(name="wait.brush", value="5 h", entry=stocked.at(2))
    text = PIECE + MIX + 'cut = 2\ngrade = "garnet"\n'
    made, used = planned(text)
    assert made.coats[0].wait.hours == 5
    assert "brushed coat to the next: 5 h (set by you)" in used.line(dt.UTC)
    made, _ = planned(text + '[hand.wait]\nbrush = "1 h"\n')
    assert made.coats[0].wait.hours == 1


def test_a_figure_that_the_plan_never_asked_for_is_not_named(stocked):
    from lacwright.shop.services.own_settings import set_own

    for day, (name, value) in enumerate(
        (("wait.brush", "5 h"), ("wait.pad", "1 h"), ("jar.evaporation", 0.2)), 2
    ):
        set_own(name=name, value=value, entry=stocked.at(day))
    _, used = planned(PIECE + MIX + 'cut = 2\ngrade = "garnet"\n')
    assert [name for name, _ in used.own] == ["wait.brush"]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("lost.brush", "share of the resin taken that stays in pad or brush (brush)"),
        ("left_in.pad", "mix that stays in a new pad"),
        ("spread.french-polish.2",
         "mix that leaves the jar for each m2 and coat (french polish, coat 2)"),
        ("absorption.first_share", "share of the first drop that soaks into bare wood"),
        ("nothing.like", "nothing.like"),
    ],
)  # fmt: skip
def test_a_figure_is_called_by_what_it_is(name, words):
    from lacwright.shop.queries.own_words import called

    assert called(name) == words


def test_every_figure_that_can_be_set_has_words():
    from lacwright.files.own import own_names
    from lacwright.shop.queries.own_words import called

    assert [name for name in own_names() if called(name) == name or "." in called(name)] == []


def test_a_share_is_told_in_percent(stocked):
    from lacwright.shop.services.own_settings import set_own

    set_own(name="lost.brush", value="8 %", entry=stocked.at(2))
    _, used = planned(PIECE + MIX + 'cut = 2\ngrade = "garnet"\n')
    assert "stays in pad or brush (brush): 8 % (set by you)" in used.line(dt.UTC)


def test_an_empty_record_gives_nothing_and_says_so(bench):
    made, used = planned(PIECE + MIX + 'cut = 2\ngrade = "garnet"\n')
    assert used.line(dt.UTC) == "From your log: nothing this plan could use."
    assert {line.word for line in made.shelf} == {"not on the shelf"}


def test_a_kept_plan_has_the_waits_that_were_planned_not_those_of_practice(stocked):
    from lacwright.plan.tasks import waits_of_practice
    from lacwright.shop.plan_link import from_record, steps_of

    text = PIECE.replace("[shop]", '[shop]\ntemp = "20 C"\nrh = "48 %"').replace(
        "times = 2", 'times = 3\n[[step]]\nwhat = "harden"\nrest = "7 days"'
    ) + MIX + 'cut = 2\njar = "J1"\n'  # fmt: skip
    made, _ = planned(text, n=0)
    own = [from_record(now_us=0, day=DAY).own_beside(made.piece.own)]
    steps = steps_of(made, own)
    practice = waits_of_practice(made.course, made.own)
    # A coat on others waits longer by the model than the usual time.
    longer = [at for at, wait in made.waits.items() if wait.hours > practice[at].hours]
    assert longer
    assert all(made.waits[at].model is not None for at in longer)
    assert [s["wait_h"] for s in steps] == [
        made.waits[track.name, k].hours for track in made.course for k in range(len(track.steps))
    ]
    assert steps[-1]["rest_days"] == 7
