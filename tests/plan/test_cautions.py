import re
from dataclasses import replace

import pytest

from lacwright.figures import exact
from lacwright.plan import cautions as words
from lacwright.plan.amounts import Amount
from lacwright.plan.cautions import Job, cautions_of, cautions_of_job, job_of
from lacwright.plan.course import Track
from lacwright.plan.piece import Lot, MixSpec, Piece, Shop, Step
from lacwright.solution import NOT_STATED, Alcohol
from lacwright.trade import table

PURE = Alcohol("ethanol", (("ethanol", 0.94), ("water", 0.06)))
WITH_METHANOL = Alcohol("spirit", (("ethanol", 0.9), ("methanol", 0.1)))
UNKNOWN = Alcohol("can from the attic", None)
QUIET = Job((PURE,), 500.0, children=False)


def codes(told):
    cautions, stops = told
    return [c.code for c in cautions], [s.code for s in stops]


def text_of(told, code):
    return next(x.text for group in told for x in group if x.code == code)


def test_a_plain_job_with_alcohol():
    cautions, stops = codes(cautions_of_job(QUIET))
    assert not stops
    assert {"ignition", "warm", "eyes-skin", "rags-alcohol", "air-not-estimated",
            "emergency-fire"} <= set(cautions)  # fmt: skip
    assert "emergency-methanol" not in cautions
    assert cautions[-1] == "standing"
    assert len(set(cautions)) == len(cautions)


def test_nothing_wet_leaves_the_standing_line():
    assert codes(cautions_of_job(Job())) == (["standing"], [])


@pytest.mark.parametrize(
    ("alcohol", "code"),
    [
        (NOT_STATED, "alcohol-not-said"),
        (UNKNOWN, "alcohol-unknown"),
        (WITH_METHANOL, "methanol-present"),
    ],
)
def test_alcohol_that_holds_or_may_hold_methanol(alcohol, code):
    cautions, _ = codes(cautions_of_job(replace(QUIET, alcohols=(PURE, alcohol))))
    assert code in cautions
    assert "emergency-methanol" in cautions
    assert code not in codes(cautions_of_job(QUIET))[0]


def test_warm_always_means_before_alcohol_is_opened():
    text = text_of(cautions_of_job(QUIET), "warm")
    for part in ("before alcohol is opened", "flame", "glowing heater", "hot-air gun", "lamp"):
        assert part in text


def test_a_ticked_source_of_ignition_is_a_stop_that_names_it():
    told = cautions_of_job(replace(QUIET, ignition=("gas heater", "kettle")))
    assert codes(told)[1] == ["ignition-sources"]
    assert "gas heater, kettle" in text_of(told, "ignition-sources")
    assert not codes(cautions_of_job(replace(QUIET, ignition=(" ",))))[1]


# Rags


def test_drying_oil_without_a_rag_plan_is_a_stop():
    for plan in (None, "", " none ", "No."):
        told = cautions_of_job(replace(QUIET, oils=("walnut",), rag_plan=plan))
        assert codes(told)[1] == ["rag-plan"]
        assert "walnut oil" in text_of(told, "rag-plan")


def test_with_a_rag_plan_every_rag_and_pad_counts_as_oily():
    told = cautions_of_job(replace(QUIET, oils=("Walnut oil",), rag_plan="on the line outdoors"))
    cautions, stops = codes(told)
    assert not stops
    assert "rags-alcohol" not in cautions
    text = text_of(told, "rags-oily")
    assert "every rag, pad and paper counts as oily" in text
    assert "on the line outdoors" in text


@pytest.mark.parametrize("oil", ["mineral", "Olive oil", "white mineral oil"])
def test_an_oil_that_does_not_dry_is_no_stop(oil):
    cautions, stops = codes(cautions_of_job(replace(QUIET, oils=(oil,))))
    assert not stops
    assert {"oil-not-drying", "rags-alcohol"} <= set(cautions)


@pytest.mark.parametrize("oil", ["my secret", "boiled linseed", "mineral and walnut", "oil"])
def test_an_oil_of_unknown_kind_counts_as_drying(oil):
    assert codes(cautions_of_job(replace(QUIET, oils=(oil,))))[1] == ["rag-plan"]


def test_a_drying_oil_beside_one_that_does_not_dry_still_counts():
    assert codes(words.rags(("mineral", "tung"), (), None, wet=True))[1] == ["rag-plan"]


def test_an_oil_stain_counts_without_any_alcohol():
    assert codes(words.rags((), ("oil stain",), None, wet=False))[1] == ["rag-plan"]
    assert codes(words.rags((), ("oil stain",), "a water can", wet=False))[0] == [
        "rags-oily", "oily-steps",
    ]  # fmt: skip


# Steel wool, children, spraying, amount


def test_steel_wool():
    assert codes(words.steel_wool(None, ("grinder",))) == ([], [])
    assert codes(words.steel_wool(72.0, ())) == (["steel-wool"], [])
    assert codes(words.steel_wool(0.5, ()))[1] == ["steel-wool-wet"]
    assert codes(words.steel_wool(72.0, ("battery charger",)))[1] == ["steel-wool-sparks"]


def test_children():
    assert codes(words.children(True)) == ([], ["children"])
    assert codes(words.children(None)) == (["children-not-said"], [])
    assert codes(words.children(False)) == ([], [])


def test_spraying_is_not_computed_here():
    told = cautions_of_job(replace(QUIET, sprays=True))
    assert codes(told)[1] == ["spraying"]
    text = text_of(told, "spraying")
    for part in ("not computed here", "fire authority", "licensed"):
        assert part in text


def test_more_than_four_litres_goes_to_the_fire_authority():
    """International Fire Code 2015, 2401.1: brush or roller use above 1 gal (4 L)."""
    assert codes(words.amount(4000.0)) == ([], [])
    told = words.amount(4001.0)
    assert codes(told) == ([], ["amount"])
    assert "more than 4 L" in text_of(told, "amount")
    assert codes(words.amount(None)) == (["amount-not-said"], [])


def test_sanding_flakes_and_residue():
    cautions, _ = codes(
        cautions_of_job(replace(QUIET, sands=True, dissolves=True, dries_residue=True))
    )
    assert {"dust", "warm-bath", "residue-drying"} <= set(cautions)
    assert "never in an oven" in text_of(words.handling(dissolves=False, dries_residue=True),
                                         "residue-drying")  # fmt: skip


# From a planned piece


def amount(ml):
    return Amount(MixSpec("body", 2.0), {"solution": exact(ml, "ml", "test")}, *[None] * 3, ())


BODY = MixSpec("body", 2.0, alcohol=PURE)


def facts(*steps, method="brush", specs=(BODY,), ml=300.0, **shop):
    piece = Piece("a box", (), shop=Shop(**shop))
    course = (Track("job", ("box",), method, steps),)
    return job_of(piece, specs, course, tuple(amount(ml) for _ in specs))


def test_the_facts_of_a_piece():
    got = facts(Step("coat"), Step("scuff"), ml=800.0, children=True, ignition=("stove",))
    assert got == Job((PURE,), 800.0, ignition=("stove",), children=True, dissolves=True,
                      sands=True)  # fmt: skip


def test_a_mix_without_an_alcohol_and_a_ready_jar():
    assert facts(Step("coat"), specs=(MixSpec("body", 2.0),)).alcohols == (NOT_STATED,)
    jar = MixSpec("body", 2.0, jar="jar 7")
    lot = Lot("jar 7", "jar", 300.0, "ml", alcohol=WITH_METHANOL)
    piece = Piece("a box", (), shelf=(lot,))
    got = job_of(piece, (jar,), (), (amount(300.0),))
    assert got.alcohols == (WITH_METHANOL,)
    assert not got.dissolves


def test_oils_of_the_course():
    got = facts(Step("session", oil="walnut"), Step("session", oil="none"), Step("stain"),
                Step("fill-pores", oil="none"), Step("oil", oil="tung"))  # fmt: skip
    assert got.oils == ("walnut", "tung")
    assert got.oily_steps == ("oil stain, wiped clean",)


def test_spraying_by_step_or_track():
    assert facts(Step("coat"), method="spray-hvlp").sprays
    assert facts(Step("coat", method="hvlp")).sprays
    assert not facts(Step("coat")).sprays


@pytest.mark.parametrize(
    ("steps", "hours"),
    [
        ((Step("coat"), Step("rub", abrasive="P1000")), None),
        ((Step("coat", rest_days=3), Step("rub", abrasive="0000 steel wool")), 72.0),
        ((Step("coat", wait_h=0.5), Step("scuff", abrasive="0000")), 0.5),
        ((Step("coat"), Step("scuff", abrasive="fine wire wool")), 2.0),  # the usual wait of a coat
        ((Step("coat", wait_h=0.25), Step("work", wait_h=0.5),
          Step("rub", abrasive="0000")), 0.75),
        ((Step("coat", wait_h=0.0), Step("rest", rest_days=2), Step("rub", abrasive="0000")), 48.0),
    ],
)  # fmt: skip
def test_hours_between_wet_alcohol_and_steel_wool(steps, hours):
    assert facts(*steps).wool_after_h == hours


def test_a_whole_piece():
    piece = Piece("a box", (), shop=Shop(ignition=("kettle",)))
    course = (Track("job", ("box",), "brush", (Step("coat"), Step("session", oil="walnut"))),)
    told = cautions_of(piece, (MixSpec("body", 2.0),), course, (amount(5000.0),))
    assert set(codes(told)[1]) == {"ignition-sources", "amount", "rag-plan"}
    few = cautions_of(piece, (BODY,), course, (amount(3000.0),), cleaning_ml=1500.0)
    assert "amount" in codes(few)[1]  # what cleans the pads is opened as well
    assert {"alcohol-not-said", "children-not-said", "air-not-estimated"} <= set(codes(told)[0])


# The words

ASSURANCE = re.compile(
    r"\b(safe|safely|ok|okay|acceptable|compliant|compliance|non-?hazardous|harmless|non-?toxic"
    r"|approved|guaranteed?|no risk|no danger|risk-free|certified|permitted|fireproof)\b|[✓✔☑✅]",
    re.IGNORECASE,
)


@pytest.mark.parametrize("name", ["cautions", "uses", "compat"])
def test_no_word_of_assurance_in_any_table(name):
    for row in table(name):
        for column, cell in row.fields.items():
            if column != "source" and cell:
                assert not ASSURANCE.search(cell), (row.key, column, cell)


def test_the_check_for_words_of_assurance_finds_them():
    assert ASSURANCE.search("this is food safe")
    assert ASSURANCE.search("OK to go")
    assert not ASSURANCE.search("safety data sheet")


def test_every_word_of_caution_is_complete():
    holes = {"names": "x", "plan": "x", "litres": "x", "limit": "x", "why": "x"}
    for row in table("cautions"):
        assert row.text("kind") in ("caution", "stop")
        text = row.text("text")
        assert text.format(**holes)
        assert not text.endswith(".")
        assert row.has("when")
        assert not text.startswith("STOP")  # the page says that


def test_the_standing_line_defers_to_label_sheet_codes_and_practice():
    text = table("cautions")["standing"].text("text").lower()
    for part in ("label", "safety data sheet", "local", "codes", "licensed"):
        assert part in text
