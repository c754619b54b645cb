import pytest

from lacwright.figures import Refusal
from lacwright.plan.piece import Wish
from lacwright.plan.suitability import VERDICTS, accepted, suitability, use_keys
from lacwright.trade import table

BARRIER = "dewaxed shellac as a barrier under a resistant top coat"


def judge(*use, under=(), over=(), waxed=None):
    return suitability(Wish(use=use, under=under, over=over), waxed)


@pytest.mark.parametrize("use", ["indoors", "decorative", "display", "knots"])
def test_where_shellac_is_at_home(use):
    got = judge(use)
    assert got.verdict == "suited"
    assert got.alternative is None
    assert got.reasons


@pytest.mark.parametrize(
    "use", ["drinks", "heat", "cleaners", "outdoors", "kitchen", "bathroom", "bar-top"]
)
def test_what_shellac_does_not_bear_is_refused_with_reason_and_alternative(use):
    got = judge("indoors", use)
    assert got.verdict == "unsuited"
    assert len(got.reasons) == 1
    assert got.alternative


@pytest.mark.parametrize("use", ["sweat", "sun", "water", "wear", "food", "toy", "furniture"])
def test_what_shellac_bears_on_conditions(use):
    got = judge(use)
    assert got.verdict == "conditional"
    assert got.conditions


def test_the_verdict_is_the_worst_and_its_reason_comes_first():
    got = judge("indoors", "sweat", "drinks")
    assert got.verdict == "unsuited"
    assert got.reasons[0].startswith("drinks: Alcohol dissolves shellac")
    assert got.reasons[1].startswith("sweat")
    assert len(got.reasons) == 2  # that it is suited indoors is no reason here
    assert got.alternative == BARRIER
    assert [g.about for g in got.grounds] == ["indoors", "sweat and skin", "drinks"]


def test_a_top_coat_is_not_proposed_where_it_does_not_help():
    """Wet and sun, and heat, reach the shellac through any top coat."""
    got = judge("drinks", "outdoors")
    assert "without shellac" in got.alternative
    assert BARRIER not in got.alternative


def test_under_a_resistant_top_coat_the_top_coat_bears_the_use():
    got = judge("drinks", over=("polyurethane",), waxed=False)
    assert got.verdict == "conditional"
    assert any("its supplier" in c for c in got.conditions)
    assert judge("outdoors", over=("polyurethane",), waxed=False).verdict == "unsuited"
    assert judge("drinks", over=("lacquer",), waxed=False).verdict == "unsuited"


def test_waxed_under_polyurethane_is_contested_not_forbidden():
    """Informal tests without a failure: J. Fusco, Dewaxed shellac fact or fiction, wwch.org."""
    waxed = judge("indoors", over=("polyurethane",), waxed=True)
    assert waxed.verdict == "conditional"
    assert "contested" in waxed.reasons[0]
    assert any("dewaxed" in c and "tape test panel" in c for c in waxed.conditions)
    assert judge("indoors", over=("polyurethane",), waxed=False).verdict == "suited"


def test_an_unknown_wax_state_is_said_where_it_matters():
    got = judge("indoors", over=("varnish",))
    assert got.verdict == "conditional"
    assert "whether this mix holds wax is not said" in got.reasons[0]
    assert "not said" not in judge("indoors", over=("drying oil",)).reasons[0]


@pytest.mark.parametrize(
    ("under", "over", "verdict"),
    [
        ("bare wood", None, "suited"),
        ("wax", None, "unsuited"),
        ("alcohol dye", None, "conditional"),
        ("old finish", None, "conditional"),
        (None, "linseed oil", "unsuited"),
        (None, "wax", "conditional"),
        (None, "shellac", "suited"),
        ("shellac", None, "conditional"),  # old shellac: clean and test it first
    ],
)
def test_what_lies_under_and_what_comes_over(under, over, verdict):
    got = judge(
        "indoors", under=(under,) if under else (), over=(over,) if over else (), waxed=False
    )
    assert got.verdict == verdict


def test_without_a_use_there_is_no_verdict_but_a_question():
    got = judge()
    assert got.verdict == "conditional"
    assert "The use is not said" in got.reasons[0]
    assert judge(" ").verdict == "conditional"


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        (Wish(use=("drnks",)), r"\[wish\] use: 'drnks'.*did you mean 'drinks'"),
        (Wish(use=("guitr",)), "did you mean 'guitar'"),
        (Wish(use=("indoors",), under=("linseed",)), r"\[wish\] under.*did you mean 'linseed oil'"),
        (Wish(use=("indoors",), over=("bare wood",)), r"\[wish\] over"),
    ],
)
def test_unknown_words_are_refused_with_the_nearest(wish, words):
    with pytest.raises(Refusal, match=words):
        suitability(wish)


def test_other_names_mean_the_same():
    assert use_keys(["guitar", "Bar Top", "hot cups"]) == {"instrument", "bar-top", "heat"}
    assert judge("Hot Cups") == judge("heat")


def test_food_and_toys_defer_to_documents_and_local_rules():
    for use in ("food", "toy"):
        got = judge(use)
        assert "not judged here" in got.reasons[0]
        assert any("supplier" in c and "rules" in c for c in got.conditions)


# The tables


def test_the_tables_use_the_three_verdicts_and_give_what_a_verdict_needs():
    for row in table("uses"):
        assert row.text("verdict") in VERDICTS
        assert row.text("barrier") in ("top coat", "no")
        assert row.has("reason")
        if row.text("verdict") == "unsuited":
            assert row.has("alternative")
        if row.text("verdict") == "conditional":
            assert row.has("condition")
    for row in table("compat"):
        assert row.text("side") in ("over", "under")
        assert row.text("resistant") in ("yes", "no")
        for state in ("waxed", "dewaxed"):
            assert row.text(state) in VERDICTS
            if row.text(state) == "unsuited":
                assert row.has("alternative")
        # an unknown wax state is judged like the waxed one: it must be the stricter
        assert VERDICTS.index(row.text("waxed")) >= VERDICTS.index(row.text("dewaxed"))


def test_no_name_stands_for_two_rows():
    uses = [n.replace("-", " ") for r in table("uses") for n in {r.key, *r.words("also")}]
    assert len(set(uses)) == len(uses)
    for side in ("over", "under"):
        rows = [r for r in table("compat") if r.text("side") == side]
        names = [n for r in rows for n in {w.replace("-", " ") for w in r.words("called")}]
        assert len(set(names)) == len(names)


def test_every_accepted_word_is_accepted():
    words = accepted()
    for use in words["use"]:
        assert judge(use).verdict in VERDICTS
    for waxed in (True, False, None):
        got = judge("indoors", under=words["under"], over=words["over"], waxed=waxed)
        assert got.verdict == "unsuited"


def test_the_published_verdict_outdoors():
    """US Army TM 43-0139, section 2-23: shellac varnish is not durable outdoors."""
    (ground,) = judge("outdoors").grounds
    assert ground.mark == "published"
    assert "TM 43-0139" in ground.source
    assert ground.verdict == "unsuited"
