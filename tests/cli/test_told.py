"""What the commands of the record say: in one line, by volume, once, and as JSON by one rule."""

import json
import os
import shutil

import pytest

os.environ.setdefault("LACWRIGHT_HASTY", "1")  # before the settings are read

from lacwright.cli.main import run

NOW = ["--now", "2027-06-01"]
DRYING = ["--tack-free", "8 min", "--nail", "60 min", "--powder", "18 h"]
SHELF = """\
[wish]
use = ["indoors"]
[[part]]
name = "shelf"
shape = "panel"
wood = "oak"
size = "800x250x20 mm"
[[mix]]
name = "body"
cut = 2
grade = "garnet"
alcohol = "drum"
[[step]]
what = "coat"
method = "brush"
"""


def on(day, hour="12:00"):
    return ["--at", f"2027-03-{day:02d} {hour}", *NOW]


@pytest.fixture(scope="module")
def stocked(tmp_path_factory):
    """Return a shop with flakes, 5 l of alcohol, a jar of each kind and a panel, to be copied."""
    from lacwright.shop import close_record

    folder = tmp_path_factory.mktemp("told") / "shop"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TZ", "UTC")
        patch.setenv("LACWRIGHT_HOME", str(folder))
        for args in (
            ["lot", "add", "bag", "--grade", "garnet", "--amount", "1 kg", "--price", "50"],
            ["lot", "add", "drum", "--alcohol", "ethanol-190", "--amount", "5 l"],
            ["jar", "mix", "J7", "--cut", "2", "--solution", "500 ml", "--flakes", "bag",
             "--alcohol", "drum"],
            ["jar", "fill", "brown", "--amount", "500 ml"],
            ["piece", "add", "board", "--panel", "--area", "face: 0.1 m2"],
        ):  # fmt: skip
            assert run([*args, *on(1)]) == 0
    close_record()
    return folder


@pytest.fixture
def desk(stocked, tmp_path, monkeypatch, capsys):
    """Return what runs a command in that shop and gives what it says."""
    from lacwright.shop import close_record

    shutil.copytree(stocked, tmp_path / "shop")
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "shop"))
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.chdir(tmp_path)
    capsys.readouterr()

    def told(*args, code=0, as_json=False):
        got = run([*args, *(["--json"] if as_json else [])])
        out = capsys.readouterr()
        assert got == code, out.err
        if code:
            assert out.out == ""
            return out.err
        return json.loads(out.out) if as_json else out.out

    yield told
    close_record()


@pytest.mark.parametrize(
    "test",
    [
        ["jar", "test", "J7", "--seen", "3 h"], ["jar", "test", "J7", "--tack-free", "8 min"],
        ["jar", "test", "J7", "--sample", "5 g", "--dry", "1 g"],
        ["jar", "test", "J7", "--water", "2 h", "--white"],
        ["lot", "test", "bag", "--hours", "24 h", "--not-dissolved"],
        ["piece", "test", "board", "--water", "4 h", "--no-mark", "--film-days", "40"],
    ],
)  # fmt: skip
def test_a_dry_run_of_a_test_gives_the_reason_for_its_null_movement(desk, test):
    tried = desk(*test, "--dry-run", *on(9), as_json=True)
    assert tried["movement"] is None
    assert tried["missing"]["movement"] == "a dry run writes nothing"
    done = desk(*test, *on(9), as_json=True)
    assert done["movement"] == 6
    assert "movement" not in done["missing"]
    assert done["verdict"] == tried["verdict"]
    assert desk(*test, "--dry-run", *on(9)).startswith("Would ")


def test_a_drop_of_water_on_a_panel(desk):
    told = desk("piece", "test", "board", "--water", "4 h", "--no-mark", "--film-days", "40",
                *on(9))  # fmt: skip
    assert told.startswith("Wrote down a water-spot test of board: it passed.\nNo mark after 4 h.")
    assert "water-spot, passed" in desk("piece", "show", "board", *NOW)
    assert "not said" in desk("piece", "test", "board", "--water", "4 h", *on(9), code=2)
    assert "no piece 'bord'" in desk("piece", "test", "bord", "--water", "4 h", "--white", *on(9),
                                     code=2)  # fmt: skip
    endless = ["piece", "test", "board", "--water", "4 h", "--white", "--film-days", "nan"]
    assert desk(*endless, *on(9), code=2) == (
        "film_days: it is no number; write a plain number, e.g. 7.\n")  # fmt: skip


def test_a_jar_that_was_washed_out_is_neither_tested_nor_shut(desk):
    late = ["--seen", "3 h", "--control-tack-free", "8 min", "--control-nail", "60 min",
            "--control-seen", "3 h"]  # fmt: skip
    assert "it failed" in desk("jar", "test", "J7", *late, *on(9))
    failed = desk("jar", "show", "J7", *NOW)
    assert "Shut: it failed its drying test of 2027-03-09" in failed
    assert "by the calendar" not in failed
    shown = desk("jar", "show", "J7", *NOW, as_json=True)
    assert shown["test_by"] is None
    assert shown["missing"]["test_by"].startswith("it failed its test")
    desk("jar", "discard", "J7", *on(10))
    assert "was washed out by movement 7" in desk("jar", "test", "J7", *DRYING, *on(11), code=2)
    shown = desk("jar", "show", "J7", *NOW)
    assert "Shut" not in shown
    assert "Washed out on 2027-03-10." in shown


def test_a_test_whose_control_failed_is_told_with_the_reason(desk):
    late = ["--seen", "3 h", "--control-seen", "3 h"]
    assert "the control failed too" in desk("jar", "test", "J7", *late, *on(9))
    text = desk("jar", "show", "J7", *NOW)
    assert "No test is on record" not in text
    assert ("The drying test of 2027-03-09 says nothing about the jar (control failed: It was "
            "still tacky after 3 h (limit 15 min).") in text  # fmt: skip
    told = desk("jar", "show", "J7", *NOW, as_json=True)
    assert told["last_test"]["verdict"] == "control failed"
    assert told["missing"]["tested"] == "no test of it said: control failed"
    desk("jar", "test", "J7", *DRYING, *on(12))
    told = desk("jar", "show", "J7", *NOW, as_json=True)
    assert (told["tested"], told["last_test"]["verdict"]) == ("2027-03-12", "passed")


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("spread.brush", "NaN", "'nan' is no number; write more than zero, e.g. \"85 ml/m2\"."),
        ("spread.brush", "inf", "'inf' is no number; write more than zero, e.g. \"85 ml/m2\"."),
        ("spread.brush", "-5", "'-5' is below zero; write more than zero, e.g. \"85 ml/m2\"."),
        ("wait.brush", "-5 min", "'-5 min' is below zero; write zero or more, e.g. \"90 min\"."),
        ("lost.brush", "-5", "'-5' is below zero; write 0 to 100 %, e.g. \"15 %\"."),
    ],
)
def test_an_own_figure_that_cannot_be_is_refused_with_its_range(desk, name, value, says):
    assert desk("own-figures", "set", name, value, *NOW, code=2) == f"VALUE: {says}\n"


def test_what_was_set_is_told(desk):
    told = desk("own-figures", "set", "spread.brush", "85 ml/m2", *NOW, as_json=True)
    assert told["own_figures"] == [{"name": "spread.brush", "unit": "ml/m2", "value": 85.0}]
    desk("own-figures", "set", "spread.brush", "80 ml/m2", *NOW)
    desk("own-figures", "unset", "spread.brush", *NOW)
    log = desk("record", "log", "--kind", "describe")
    assert "Set own.spread.brush to 80 ml/m2 (before: 85 ml/m2)." in log
    assert "Took the setting own.spread.brush away (before: 80 ml/m2)." in log
    assert "{" not in log
    usual = next(line for line in desk("own-figures", "spread.brush").splitlines()
                 if line.startswith("Usual"))  # fmt: skip
    assert usual.count("common practice") == 1


def test_of_an_unknown_make_up_no_resin_is_told_and_the_assumed_density_is(desk):
    jar = desk("jar", "show", "brown", *NOW, as_json=True)
    assert jar["resin_g"] is None
    assert "make-up" in jar["missing"]["resin_g"]
    assert jar["figures"]["resin_g"]["value"] is None
    (lot,) = jar["lots"]
    # 500 ml at 0.80 g/ml, the middle of the table of alcohols that suit.
    assert (lot["ml"], lot["g"], lot["density_g_ml"]) == (500.0, 400.0, 0.8)
    assert lot["density_from"].startswith("assumed, 0.79 to 0.81 g/ml")
    assert "library" in lot["density_from"]
    text = desk("jar", "fill", "other", "--amount", "1 l", *on(2))
    assert "Not known: 1000 ml of other contents (800.0 g at 0.800 g/ml, assumed," in text


def test_liquids_are_told_by_volume_with_the_weight_beside(desk):
    # 5 l of 190 proof at 0.81135 g/ml (OIML R 22); 413.15 ml of them are in the jar.
    shown = desk("lot", "show", "drum", *NOW)
    assert "5000 ml (4056.8 g) came; it went:\n  413 ml (335.2 g) in jar J7\n" in shown
    counted = desk("lot", "count", "drum", "--amount", "4 l", *on(9))
    assert counted.startswith("Counted lot drum: 4000 ml, 587 ml (476.1 g) less than the book had.")
    short = desk("jar", "add", "J7", "--take", "drum: 1 gal", "--take", "drum: 1 gal", *on(10))
    assert "3785 ml of drum" in short
    assert "The book had less: 3571 ml (2897.2 g) of drum more" in short
    assert "e+0" not in short


def test_a_token_that_was_used(desk):
    pour = ["jar", "pour", "J7", "--waste", "--amount", "50 ml", "--token", "t-1"]
    first = desk(*pour, *on(3), as_json=True)
    for more in ([], ["--dry-run"]):
        told = desk(*pour, *more, *on(3))
        assert told.startswith("Nothing is written, this token did it before: poured 50.0 ml")
        again = desk(*pour, *more, *on(3), as_json=True)
        assert (again["repeated"], again["dry_run"]) == (True, bool(more))
        assert again["movement"] == first["movement"]
    other = ["jar", "pour", "J7", "--waste", "--amount", "60 ml", "--token", "t-1"]
    assert desk(*other, *on(3), code=2) == (
        "--token: it was used before for another request (pour, which wrote movement 6); nothing "
        "was written; use a new token, or leave it out.\n")  # fmt: skip


@pytest.mark.parametrize(
    "args",
    [
        ["jar", "show", "x" * 10_000], ["jar", "show", "it's " * 2_000],
        ["lot", "add", "y" * 10_000, "--grade", "garnet"],
        ["lot", "add", "b", "--grade", "garnet", "--amount", "z" * 10_000],
        ["lot", "list", "--kind", "k" * 10_000], ["record", "z" * 10_000],
        ["record", "set", "--zone", "q" * 10_000], ["record", "log", "--since", "d" * 10_000],
        ["jar", "add", "J7", "--take", "l" * 10_000], ["jar", "show", "a", "b" * 10_000],
    ],
)  # fmt: skip
def test_a_refusal_is_short_whatever_was_typed(desk, args):
    told = desk(*args, code=2)
    assert len(told) < 1000
    assert told.count("\n") == 1


@pytest.mark.parametrize(
    "args",
    [
        ["jar", "show", "a\nb"], ["a\nb"], ["jar", "show", "J7", "a\nb"],
        ["lot", "list", "--kind", "a\nb\r\x1b[31m"], ["lot", "add", "a\nb", "--grade", "garnet"],
    ],
)  # fmt: skip
def test_a_refusal_is_one_line_whatever_was_typed(desk, args):
    told = desk(*args, code=2)
    assert told.endswith("\n")
    assert told.count("\n") == 1
    assert told.rstrip("\n").isprintable()


def test_names_are_refused_that_look_like_another_or_hold_a_line_break(desk):
    grade = ["--grade", "garnet", *on(2)]
    assert "holds a line break" in desk("lot", "add", "a\nb", *grade, code=2)
    assert "there is a lot 'bag' already, which differs by capital letters alone" in desk(
        "lot", "add", "Bag", *grade, code=2)  # fmt: skip
    desk("lot", "add", "Öl", *grade)
    assert "there is a lot 'Öl' already" in desk("lot", "add", "öl", *grade, code=2)
    assert desk("lot", "show", "BAG", *NOW, code=2).endswith("did you mean 'bag'.\n")
    assert "no lot, jar, grade or alcohol is named" in desk(
        "jar", "add", "J7", "--take", " : 5 g", *on(2), code=2)  # fmt: skip
    assert "no amount stands after the colon" in desk(
        "jar", "add", "J7", "--take", "drum:", *on(2), code=2)  # fmt: skip


def test_a_volume_of_flakes_is_refused_with_advice_that_can_be_followed(desk):
    told = desk("lot", "add", "b2", "--grade", "garnet", "--amount", "1 l", *on(2), code=2)
    assert "weigh them and write e.g. 60 g" in told
    told += desk("jar", "weigh", "J7", "--net", "1 l", *on(2), code=2)
    assert "weigh it and write e.g. 40 g" in told
    assert "--bulk-density" not in told


def test_a_zone_that_is_none_is_refused_with_the_nearest(desk):
    assert desk("record", "set", "--zone", "Viena", *NOW, code=2).startswith(
        "--zone: 'Viena' is no time zone; did you mean 'Europe/Vienna'")  # fmt: skip
    assert desk("record", "set", "--zone", "zzzz", *NOW, code=2) == (
        "--zone: 'zzzz' is no time zone; write e.g. Europe/Vienna, America/New_York or UTC.\n"
    )


def test_a_reading_in_the_future_is_refused_by_its_line(desk, tmp_path):
    (tmp_path / "log.csv").write_text("time,temp\n2027-03-01 08:00,18\n2029-03-01 08:00,18\n")
    assert desk("reading", "import", "log.csv", *NOW, code=2) == (
        "log.csv, line 3, time: it lies in the future; a record holds what was read; check the "
        "day.\n")  # fmt: skip
    (tmp_path / "log.csv").write_text("time,temp,place\n2027-03-01 08:00,18," + "far " * 30 + "\n")
    assert desk("reading", "import", "log.csv", *NOW, code=2).startswith("log.csv, line 2, place:")


def test_undo_tells_both_movements_and_the_log_who_counts(desk):
    desk("lot", "count", "bag", "--amount", "900 g", *on(4))
    told = desk("record", "undo", "6", *NOW, as_json=True)
    assert (told["movement"], told["observation"]) == (7, 6)
    states = {m["movement"]: m["state"] for m in desk("record", "log", as_json=True)["movements"]}
    assert (states[7], states[6], states[5]) == ("undo", "taken back", "counts")
    log = desk("record", "log").splitlines()
    assert log[1].endswith("Took back: count of lot bag.")
    assert log[2].endswith("Counted 900 g of lot bag. [taken back]")
    told = desk("record", "amend", "6", "--set", "amount=800 g", *NOW, as_json=True)
    assert (told["movement"], told["observation"]) == (8, 6)
    states = [m["state"] for m in desk("record", "log", "6", as_json=True)["movements"]]
    assert states == ["counts", "undone", "replaced"]


def test_the_facts_that_amend_takes_are_listed(desk):
    assert "      amount = 1000 g\n" in desk("record", "log", "1")
    (line,) = desk("record", "log", "1", as_json=True)["movements"]
    assert line["facts"]["amount"] == {"n": 1_000_000_000, "u": "ug"}
    assert "facts" not in desk("record", "log", as_json=True)["movements"][0]
    # What the help of amend names is what stands there.
    desk("record", "amend", "1", "--set", "amount=900 g", *NOW)
    assert "      amount = 900 g\n" in desk("record", "log", "1")


def test_a_rebuild_names_its_backup_by_the_moment_that_was_said(desk):
    told = desk("record", "rebuild", "--now", "2027-06-01 10:00", as_json=True)
    assert "20270601T100000Z-before-rebuild" in told["backup"]


def test_moments_are_told_with_their_zone_and_prices_as_numbers(desk):
    told = desk("reading", "add", "--temp", "20", *on(2), as_json=True)
    assert told["at"] == "2027-03-02T12:00:00+00:00"
    told = desk("job", "coat", "--piece", "board", "--jar", "J7", "--method", "brush", "--until",
                "2027-03-03 13:00", *on(3), as_json=True)  # fmt: skip
    assert told["until"] == "2027-03-03T13:00:00+00:00"
    desk("record", "set", "--currency", "EUR", *NOW)
    told = desk("job", "agree", "--piece", "board", "--what", "price", "--price", "48.50", *on(4),
                as_json=True)  # fmt: skip
    assert (told["price"], told["currency"]) == (48.5, "EUR")
    for args in (["lot", "show", "bag"], ["lot", "list"], ["piece", "show", "board"],
                 ["record", "log"]):  # fmt: skip
        text = json.dumps(desk(*args, *NOW, as_json=True))
        assert '_us"' not in text
    shown = desk("piece", "show", "board", *NOW)
    assert "price, 48.50 EUR" in shown
    assert desk("lot", "list", *NOW, as_json=True)["currency"] == "EUR"
    told = desk("lot", "change", "bag", "--price", "60", *NOW, as_json=True)
    assert (told["was"]["price"], told["now"]["price"], told["currency"]) == (50.0, 60.0, "EUR")


def test_an_open_spot_looks_different_from_one_that_is_done(desk):
    for where in ("knot", "corner"):
        desk("job", "spot", "--piece", "board", "--where", where, *on(3))
    desk("job", "spot", "--done", "6", "--text", "sealed", *on(4))
    shown = desk("piece", "show", "board", *NOW)
    assert "spot: knot, done" in shown
    assert "spot: corner, still open" in shown
    assert "spot-done: spot 6, sealed" in shown


def test_a_fault_names_the_job_first_and_none_beside_a_piece(desk):
    told = desk("job", "fault", "haze", "--piece", "board", *on(3))
    assert told.startswith("Wrote down a fault on board: haze.")
    assert desk("job", "fault", "haze", "--jar", "J7", *on(3)).startswith(
        "Wrote down a fault on jar J7: haze.")  # fmt: skip
    assert "either the job or the fault is not said" in desk("job", "fault", "haze", *on(3), code=2)
    assert "the fault is not said" in desk("job", "fault", "--jar", "J7", *on(3), code=2)


def test_a_plan_without_the_record_says_whose_name_it_may_be(desk, tmp_path):
    (tmp_path / "shelf.toml").write_text(SHELF)
    told = desk("plan", "shelf.toml", "--no-record", code=2)
    assert told.startswith("[[mix]] 1, alcohol: 'drum' is not in the table of alcohols;")
    assert told.endswith("or, if it stands on the shelf of the record, leave out --no-record.\n")
    assert "lay 1 coat" in desk("plan", "shelf.toml", "--draws", "0").lower()
