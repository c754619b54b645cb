"""`lacwright jar` and `pad`: what a maker types, what he reads, what a program reads.

190 proof alcohol weighs 0.81135 g/ml at 20 C (OIML R 22), resin takes up 1/1.14 ml a gram; hand
numbers carry five figures, hence 1e-4.
"""

import json
import os
import shutil

import pytest

os.environ.setdefault("LACWRIGHT_HASTY", "1")  # before the settings are read

from lacwright.cli.main import run

NOW = ["--now", "2027-06-01"]
NEAR = 1e-4


def on(day, hour="12:00"):
    return ["--at", f"2027-03-{day:02d} {hour}", *NOW]


@pytest.fixture(scope="module")
def stocked(tmp_path_factory):
    """Return a shop with a bag of garnet and a can of 190 proof, to be copied."""
    from lacwright.shop import close_record

    folder = tmp_path_factory.mktemp("stocked") / "shop"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TZ", "UTC")
        for args in (
            ["garnet-b12", "--grade", "garnet", "--amount", "1 kg", "--price", "50"],
            ["can-3", "--alcohol", "ethanol-190", "--amount", "5 l"],
        ):
            assert run(["lot", "add", *args, "--home", str(folder), *on(1)]) == 0
    close_record()
    return folder


@pytest.fixture
def desk(stocked, tmp_path, monkeypatch, capsys):
    """Return what runs a command in a shop with a bag of garnet and a can of 190 proof."""
    from lacwright.shop import close_record

    shutil.copytree(stocked, tmp_path / "shop")
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "shop"))
    monkeypatch.setenv("TZ", "UTC")

    def told(*args, code=0, as_json=False):
        assert run([*args, *(["--json"] if as_json else [])]) == code
        out = capsys.readouterr()
        if code:
            assert out.out == ""
            return out.err
        return json.loads(out.out) if as_json else out.out

    yield told
    close_record()


def mix_to_cut(desk, *more, **how):
    return desk("jar", "mix", "J7", "--cut", "2", "--solution", "500 ml", "--flakes", "garnet-b12",
                "--alcohol", "can-3", *on(2), *more, **how)  # fmt: skip


def test_a_mix_says_what_to_weigh_when_it_is_ready_and_the_cautions(desk):
    text = mix_to_cut(desk)
    # 500 ml / (1 + 0.23965 / 1.14) = 413.15 ml hold 99.012 g.
    assert text.splitlines()[0] == (
        "Weigh 99.0 g of garnet-b12 and 413 ml of can-3 into jar J7: makes 500 ml of 2-lb cut "
        "(240 g per litre of alcohol).")  # fmt: skip
    assert "Dissolved in about 16 h" in text
    assert "Caution: Flammable" in text
    shown = desk("jar", "show", "J7", *NOW, as_json=True)
    assert shown["cut_lb_per_gal"] == pytest.approx(2, rel=NEAR)
    assert shown["figures"]["solution_ml"]["low"] < 500 < shown["figures"]["solution_ml"]["high"]
    assert shown["figures"]["cut_lb_per_gal"]["mark"] == "own"
    assert {lot["lot"] for lot in shown["lots"]} == {"garnet-b12", "can-3"}


def test_a_dry_run_of_a_mix_says_would(desk):
    assert mix_to_cut(desk, "--dry-run").startswith("Would write down: weigh 99.0 g of garnet-b12")
    assert "no jar yet" in desk("jar", "show", "J7", *NOW, code=2)


def test_two_lots_share_a_mix(desk):
    desk("lot", "add", "blonde", "--grade", "blonde", "--amount", "1 kg", *on(1))
    told = desk("jar", "mix", "J1", "--cut", "2", "--resin", "100 g", "--flakes",
                "garnet-b12: 40 %", "--flakes", "blonde: 60 %", "--alcohol", "can-3", *on(2),
                as_json=True)  # fmt: skip
    grams = {t["lot"]: t["amount"]["n"] / 1e6 for t in told["takes"][:2]}
    assert grams == {"garnet-b12": pytest.approx(40), "blonde": pytest.approx(60)}


def test_it_is_put_together_from_lots_jars_and_names(desk):
    mix_to_cut(desk)
    text = desk("jar", "mix", "J8", "--take", "jar J7: 100 ml", "--take", "dewaxed blonde: 10 g",
                "--take", "ethanol-200: 40 ml", *on(3))  # fmt: skip
    # 19.8024 g and 82.6294 ml of J7; 29.8024 g in 122.6294 ml is a 2.0282-lb cut.
    assert "makes 149 ml of 2.03-lb cut" in text
    told = desk("jar", "show", "J8", *NOW, as_json=True)
    assert told["cut_lb_per_gal"] == pytest.approx(2.0282, rel=NEAR)
    unsaid = {lot["lot"] for lot in told["lots"] if not lot["said"]}
    assert unsaid == {"not-said dewaxed blonde", "not-said ethanol-200"}


def test_a_wrong_cut_is_corrected_and_an_open_jar_gets_its_alcohol_back(desk):
    desk("jar", "mix", "J1", "--take", "garnet-b12: 120 g", "--take", "can-3: 500 ml", *on(2))
    told = desk("jar", "correct", "J1", "--to", "1", "--with", "can-3", *on(3), as_json=True)
    # 120 g in a 1-lb cut ask for 1001.45 ml; 500 are in it.
    assert told["add_alcohol_ml"] == pytest.approx(501.45, rel=NEAR)
    assert told["cut_lb_per_gal"] == pytest.approx(1, rel=NEAR)
    # 120 + 1001.45 * 0.81135 = 932.53 g; 900 g are found.
    text = desk("jar", "weigh", "J1", "--net", "900 g", *on(4))
    assert "32.5 g of alcohol evaporated." in text
    assert "Give back 40.1 ml of the same alcohol" in text
    assert "needs flakes" in desk("jar", "correct", "J1", "--to", "3", "--with", "can-3", *on(5),
                                  code=2)  # fmt: skip


def test_a_bought_liquid_is_claimed_and_an_unknown_one_has_no_cut(desk):
    text = desk("jar", "fill", "tin", "--amount", "1 l", "--cut", "3", "--grade", "amber", *on(2))
    assert "1000 ml of 3-lb cut (359 g per litre of alcohol), as claimed on its label" in text
    assert "composition of the alcohol is not stated" in text
    told = desk("jar", "fill", "old", "--amount", "300 ml", "--opening", *on(2), as_json=True)
    assert told["cut_lb_per_gal"] is None
    assert "dried sample" in told["missing"]["cut_lb_per_gal"]
    listed = desk("jar", "list", *NOW)
    assert "1000 ml of 3-lb cut claimed, amber" in listed
    assert "old  no cut known" in listed


def test_a_failed_test_shuts_the_jar_and_says_at_once_what_carries_it(desk):
    mix_to_cut(desk)
    passed = desk("jar", "test", "J7", "--tack-free", "10 min", "--nail", "90 min", "--powder",
                  "20 h", "--control-tack-free", "8 min", "--temp", "21", "--rh", "50 %", *on(5),
                  as_json=True)  # fmt: skip
    assert (passed["verdict"], passed["recall"]) == ("passed", None)
    desk("jar", "mix", "B", "--take", "J7: 100 ml", "--take", "can-3: 100 ml", *on(6))
    text = desk("jar", "test", "J7", "--seen", "45 min", "--control-tack-free", "8 min", *on(20))
    assert text.startswith("Wrote down a drying test of jar J7: it failed.")
    assert "1 further jar carries jar J7, since its last passed test on 2027-03-05 12:00." in text
    assert "fresh alcohol in an old mix do not cure it" in text
    assert "flammable" in text
    # 400 ml are left: 79.2 g of the bag and 331 ml.
    assert "Mix anew: 400 ml of 2-lb cut" in text
    assert "79.2 g of garnet-b12 and 331 ml of alcohol" in text
    assert "is shut" in desk("jar", "pour", "J7", "--to", "B", "--amount", "5 ml", *on(21), code=2)
    desk("jar", "pour", "J7", "--waste", "--amount", "5 ml", *on(21))
    assert "Discard: jar J7 (failed its test" in desk("jar", "due", *NOW)
    assert "[failed its test]" in desk("jar", "list", *NOW)
    told = desk("jar", "recall", "J7", "--all", *NOW, as_json=True)
    assert {j["name"] for j in told["jars"]} == {"J7", "B"}
    assert told["since"] is None
    assert told["loss"]["resin_g"] == pytest.approx(79.21 + 19.80 - 0.99, abs=0.01)
    late = desk("jar", "recall", "J7", "--since", "2027-03-07", *NOW, as_json=True)
    assert [j["name"] for j in late["jars"]] == ["J7"]
    assert "leave one" in desk("jar", "recall", "J7", "--all", "--since", "2027-03-07", code=2)


def test_a_late_control_says_what_to_suspect(desk):
    mix_to_cut(desk)
    text = desk("jar", "test", "J7", "--seen", "45 min", "--control-seen", "45 min", "--temp",
                "16", *on(5))  # fmt: skip
    assert "the control failed too, which says nothing about the jar" in text
    assert "Suspect instead" in text
    assert desk("jar", "list", *NOW).count("[") == 0


def test_a_test_goes_on_and_a_dried_sample_stands_beside_the_book(desk):
    mix_to_cut(desk)
    first = desk("jar", "test", "J7", "--tack-free", "12 min", *on(5, "09:00"))
    assert "it is running" in first
    assert "Look again 2 h after laying." in first
    assert "test running" in desk("jar", "list", *NOW)
    then = desk("jar", "test", "J7", "--nail", "100 min", "--powder", "22 h", *on(6))
    assert then.startswith("Went on with the drying test of jar J7: it passed.")
    told = desk("jar", "test", "J7", "--sample", "5 g", "--dry", "1 g", *on(7), as_json=True)
    # 1 g in 4 g at 0.81135 g/ml: 202.84 g/l, a 1.6928-lb cut.
    assert told["result"]["cut_lb_per_gal"] == pytest.approx(1.6928, rel=NEAR)
    assert told["result"]["book_cut_lb_per_gal"] == pytest.approx(2, rel=NEAR)
    assert {c["code"] for c in told["cautions"]} == {"residue-drying", "flammable"}
    spot = desk("jar", "test", "J7", "--water", "2 h", "--no-mark", "--film-days", "8", *on(15))
    assert "water-spot test of jar J7: it passed" in spot


def test_a_pad_carries_on_until_it_is_washed(desk):
    mix_to_cut(desk)
    desk("pad", "add", "pad 1", *on(1))
    desk("pad", "add", "B-50", "--kind", "brush", *on(1))
    assert "carries it on until it is washed out" in desk(
        "jar", "pour", "J7", "--pad", "pad 1", "--amount", "10 ml", *on(3))  # fmt: skip
    assert desk("pad", "list").splitlines() == [
        "2 pads and brushes are on record.", "B-50 (brush): clean",
        "pad 1 (pad): in use: can-3, garnet-b12"]  # fmt: skip
    assert "Pad 1: in use with it since 2027-03-03" in desk("jar", "recall", "J7", *NOW)
    # 10 ml of 500 ml: 8.7 of 434.2 g.
    assert desk("pad", "wash", "pad 1", *on(4)).startswith("Washed out pad 1: 8.7 g went to waste.")
    assert "in use with it" not in desk("jar", "recall", "J7", *NOW)
    told = desk("pad", "wash", "B-50", *on(4), as_json=True)
    assert told["clean"] is True


def test_a_discarded_jar_keeps_its_name(desk):
    mix_to_cut(desk)
    desk("jar", "change", "J7", "--tare", "210 g", "--purpose", "brushing", *on(3))
    assert "weighed" in desk("jar", "weigh", "J7", "--gross", "600 g", *on(4)).lower()
    assert desk("jar", "discard", "J7", *on(5)).startswith("Washed out jar J7: 390.0 g")
    assert "0 jars are on the shelf." in desk("jar", "list", *NOW)
    assert "[discarded]" in desk("jar", "list", "--all", *NOW)
    assert "already" in mix_to_cut(desk, code=2)
    assert "washed out by movement" in desk("jar", "add", "J7", "--take", "can-3: 5 ml", *on(6),
                                            code=2)  # fmt: skip


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["jar", "mix", "J1"], "--cut or --take"),
        (["jar", "mix", "J1", "--cut", "2", "--take", "garnet-b12: 5 g"], "--cut or --take"),
        (["jar", "mix", "J1", "--cut", "2", "--flakes", "garnet-b12"], "give exactly one"),
        (["jar", "mix", "J1", "--cut", "2", "--solution", "500 ml"], "--flakes"),
        (
            ["jar", "mix", "J1", "--cut", "2", "--solution", "500 ml", "--flakes", "can-3"],
            "name a lot of flakes",
        ),
        (["jar", "mix", "J1", "--take", "garnet-b12: 1 cup"], "settle loosely"),
        (["jar", "mix", "J1", "--take", "garnet-b13: 5 g"], "did you mean 'garnet-b12'"),
        (["jar", "pour", "J7", "--amount", "5 ml"], "give exactly one"),
        (["jar", "weigh", "J7"], "give exactly one"),
        (["jar", "test", "J7"], "one test at a time"),
        (
            ["jar", "test", "J7", "--control-nail", "5 min", "--control-tack-free", "9 min"],
            "--control-nail",
        ),
        (["jar", "test", "J7", "--sample", "5 g"], "wet and dry"),
        (["jar", "show", "J8"], "use one of: J7"),
        (["pad", "wash", "pad 1"], "no pad or brush yet"),
    ],
)
def test_a_slip_is_refused_in_one_line(desk, args, told):
    mix_to_cut(desk)
    line = desk(*args, *NOW, code=2)
    assert told in line
    assert line.count("\n") == 1


def test_every_command_gives_an_object_with_a_reason_for_every_null(desk):
    # `emit` itself refuses a null without its reason.
    def told(*args):
        return desk(*args, as_json=True)["schema"]

    mix_to_cut(desk)
    assert told("jar", "mix", "B", "--take", "J7", "--take", "ethanol-200: 10 ml", *on(2)) == (
        "lacwright.jar.mix/1")  # fmt: skip
    for args in (
        ["jar", "fill", "old", "--opening"],
        ["jar", "pour", "J7", "--to", "B", "--amount", "5 ml"],
        ["jar", "pour", "J7", "--waste"],
        ["jar", "add", "J7", "--take", "can-3: 5 ml", "--for", "thin"],
        ["jar", "weigh", "J7", "--net", "420 g"],
        ["jar", "weigh", "B", "--net", "20 g", "--gone", "unaccounted"],
        ["jar", "change", "J7", "--tare", "200 g"],
        ["jar", "test", "B", "--water", "30 min", "--no-mark"],
        ["jar", "test", "old", "--sample", "5 g", "--dry", "1 g"],
        ["jar", "test", "J7", "--seen", "45 min"],
        ["jar", "test", "B", "--seen", "45 min", "--temp", "12"],
        ["pad", "add", "pad 1"],
    ):
        assert told(*args, *on(4)).startswith(f"lacwright.{args[0]}.{args[1]}/")
    for args in (["jar", "show", "B"], ["jar", "show", "old"], ["jar", "list"], ["jar", "due"],
                 ["jar", "recall", "J7"], ["lot", "list"], ["lot", "show", "can-3"],
                 ["lot", "recall", "can-3"], ["pad", "list"]):  # fmt: skip
        assert told(*args, *([] if args[0] == "pad" else NOW)).startswith("lacwright.")
    assert told("jar", "discard", "old", *on(5)) == "lacwright.jar.discard/1"


def test_what_holds_a_failed_jar_says_so_and_the_recall_tells_the_way(desk):
    mix_to_cut(desk)
    desk("jar", "mix", "B", "--take", "jar J7: 100 ml", "--take", "can-3: 50 ml", *on(3))
    desk("pad", "add", "pad-1", *on(3))
    desk("piece", "add", "tray", *on(3))
    lay = ["job", "coat", "--piece", "tray", "--jar", "B", "--with", "pad-1", "--method", "pad",
           "--used", "10 ml"]  # fmt: skip
    desk(*lay, *on(4))
    desk("jar", "test", "J7", "--seen", "45 min", "--control-tack-free", "8 min", *on(5))
    bad = "holds something of jar 'J7', which failed its drying test of 2027-03-05"
    assert f"Jar 'B' {bad}" in desk(*lay, *on(6))
    assert f"Jar B {bad}" in desk("jar", "show", "B", *NOW)
    assert "[holds some of what failed its test]" in desk("jar", "list", *NOW)
    assert f"Test: jar B (it {bad.removeprefix('it ')}" in desk("jar", "due", *NOW)
    text = desk("jar", "recall", "J7", *NOW)
    assert "of resin, from jar J7 -> jar B -> pad-1\n" in text
    assert "Jar B, since 2027-03-03 from jar J7: " in text
    assert "What is in jar B (" in text
    assert "is lost as well and not counted in that." in text
    again = ["jar", "add", "J7", "--take", "garnet-b12: 5 g", *on(6)]
    assert "do not cure it" in desk(*again, code=2)
    desk(*again, "--in-spite", "to see what comes of it")


def test_what_went_of_a_lot_without_an_amount_is_told_without_scolding(desk):
    desk("lot", "add", "old-bag", "--grade", "garnet", "--opening", *on(1))
    text = desk("jar", "mix", "J1", "--take", "old-bag: 50 g", "--take", "can-3: 200 ml", *on(2))
    assert "The book had less" not in text
    shown = desk("lot", "show", "old-bag", *NOW)
    assert "How much came was not said; of it went:" in shown
    assert "more went than ever came" not in shown
