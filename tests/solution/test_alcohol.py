import pytest

from lacwright.figures import Refusal
from lacwright.solution import NOT_STATED, Alcohol, alcohol_named, cautions_of, read_alcohol, suits
from lacwright.trade import table


@pytest.mark.parametrize("name", [row.key for row in table("alcohols")])
def test_every_alcohol_of_the_table_can_be_used(name):
    alcohol = alcohol_named(name)
    if alcohol.parts is not None:
        assert sum(share for _, share in alcohol.parts) == pytest.approx(1.0, abs=1e-9)
    assert 0.77 < alcohol.density_g_ml() < 0.83
    assert suits(alcohol)[0] in ("yes", "weak", "no")


def test_unknown_is_a_value_of_its_own():
    unknown = alcohol_named("unknown")
    assert unknown.parts is None
    assert not unknown.known
    assert unknown.share("methanol") is None
    assert unknown != NOT_STATED


def test_own_weighing_goes_before_the_table_and_keeps_the_identity():
    weighed = Alcohol("unknown", None, 0.795)
    assert weighed.known
    assert weighed.density_g_ml() == pytest.approx(0.795)
    assert weighed == alcohol_named("unknown")


def test_composition_by_weight_and_by_volume():
    parts = dict(read_alcohol("ethanol 85, methanol 10 %, water 5").parts)
    assert parts == {"ethanol": 0.85, "methanol": 0.10, "water": 0.05}
    by_volume = read_alcohol("vol: ethanol 95, water 5")
    assert by_volume.share("ethanol") == pytest.approx(0.9241, abs=0.0002)
    assert read_alcohol("ethanol 90, other 10").share("other") == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("ethanol 85, methanol 10", "other 5"),
        ("ethanol 85, methanol 25", "sum to 110"),
        ("ethanol 85, metanol 15", "methanol"),
        ("ethanol-191", "ethanol-190"),
        ("ethanol 50, ethanol 50", "twice"),
        ("ethanol lots, water 5", "is not a substance and its share"),
    ],
)
def test_refusals_say_the_mend(text, words):
    with pytest.raises(Refusal, match=words):
        read_alcohol(text)


def test_what_does_not_suit():
    assert suits(alcohol_named("rubbing-alcohol"))[0] == "no"
    assert suits(alcohol_named("cda-20"))[0] == "no"
    assert suits(read_alcohol("ethanol 80, water 20"))[0] == "no"
    assert suits(read_alcohol("acetone 100"))[0] == "no"
    assert suits(read_alcohol("ethanol 90, water 10"))[0] == "weak"
    assert suits(alcohol_named("ethanol-190"))[0] == "yes"


def codes(*alcohols):
    return [c.code for c in cautions_of(alcohols)]


def test_cautions_follow_the_composition():
    assert codes(NOT_STATED) == ["alcohol-unknown", "flammable"]
    assert codes(alcohol_named("unknown")) == ["alcohol-unknown", "flammable"]
    assert codes(alcohol_named("sda-1")) == ["methanol-present", "flammable"]
    assert codes(alcohol_named("ethanol-200")) == ["flammable"]
    assert "slow-alcohol-eyes" in codes(alcohol_named("n-butanol"))


@pytest.mark.parametrize("row", list(table("solution_cautions")), ids=lambda r: r.key)
def test_cautions_never_assure(row):
    text = row.text("text").lower()
    for word in ("safe", "harmless", "non-toxic", "ok", "acceptable", "no danger"):
        assert word not in text.replace("safety", "").replace("smoke", "").split()
