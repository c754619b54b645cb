"""`lacwright lot`: what a maker types, what he reads, what a program reads."""

import json
import os

import pytest

os.environ.setdefault("LACWRIGHT_HASTY", "1")  # before the settings are read

from lacwright.cli.main import run

NOW = ["--now", "2027-06-01"]
ON = ["--at", "2027-03-01 09:00", *NOW]


@pytest.fixture
def desk(tmp_path, monkeypatch, capsys):
    """Return what runs a command in a shop of its own: text, or JSON, or what it refuses."""
    from lacwright.shop import close_record

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


def add_garnet(desk, **more):
    return desk("lot", "add", "garnet-b12", "--grade", "garnet", "--amount", "1 kg", "--price",
                "48", "--supplier", "a shop", *ON, **more)  # fmt: skip


def test_a_lot_is_added_listed_and_shown(desk):
    assert add_garnet(desk).startswith("Wrote down lot garnet-b12: 1000.0 g of garnet flakes.")
    desk("lot", "add", "can-3", "--alcohol", "vol: ethanol 95, water 5", "--amount", "5 l", *ON)
    desk("lot", "add", "paper", "--kind", "abrasive", "--grade", "P320", "--amount", "50", *ON)
    listed = desk("lot", "list", *NOW)
    assert listed.startswith("3 lots are on the shelf.")
    assert "garnet-b12    1000.0 g  garnet flakes" in listed
    # OIML R 22: 95 % by volume of ethanol is 92.4 % by weight.
    assert "ethanol 92.4 %" in listed
    assert "50 pc" in listed
    shown = desk("lot", "show", "garnet-b12", *NOW, as_json=True)
    assert shown["schema"] == "lacwright.lot.show/1"
    assert (shown["left"], shown["price"], shown["went"]["in_store"]) == (1000, 48, 1000)
    assert shown["missing"]["waxed"] == "not said"
    assert desk("lot", "list", "--kind", "alcohol", *NOW).startswith("1 lot is")


def test_it_says_where_a_lot_went(desk):
    add_garnet(desk)
    desk("jar", "mix", "J1", "--take", "garnet-b12: 60 g", "--take", "ethanol-190: 250 ml",
         "--at", "2027-03-02", *NOW)  # fmt: skip
    text = desk("lot", "show", "garnet-b12", *NOW)
    assert "1000.0 g came; it went:\n  60.0 g in jar J1\n  940.0 g are left" in text


def test_a_dry_run_says_would_and_writes_nothing_not_even_a_record(desk, tmp_path):
    would = add_garnet(desk, as_json=True)
    assert would["dry_run"] is False
    text = desk("lot", "add", "b", "--grade", "blonde", "--amount", "1 lb", "--dry-run", *ON)
    assert text.startswith("Would write down lot b: 453.6 g of blonde flakes.")
    told = desk("lot", "add", "b", "--grade", "blonde", "--dry-run", *ON, as_json=True)
    assert told["movement"] is None
    assert told["missing"]["movement"] == "a dry run writes nothing"
    assert desk("lot", "list", *NOW).startswith("1 lot is")


def test_a_dry_run_in_no_shop_leaves_none(desk, tmp_path):
    desk("lot", "add", "b", "--grade", "blonde", "--dry-run", *ON)
    assert not (tmp_path / "shop" / "record").exists()


def test_the_same_token_counts_once(desk):
    first = add_garnet(desk, as_json=True)
    args = ["lot", "count", "garnet-b12", "--amount", "900 g", "--token", "t1", "--at",
            "2027-03-02", *NOW]  # fmt: skip
    one, again = desk(*args, as_json=True), desk(*args, as_json=True)
    assert (one["repeated"], again["repeated"]) == (False, True)
    assert one["movement"] == again["movement"] > first["movement"]
    assert desk(*args).startswith("Nothing is written, this token did it before: counted")
    assert "used before" in desk("lot", "count", "garnet-b12", "--amount", "800 g", "--token", "t1",
                                 "--at", "2027-03-02", *NOW, code=2)  # fmt: skip


def test_a_count_and_a_change(desk):
    add_garnet(desk)
    assert "800.0 g, 200.0 g less than the book had" in desk(
        "lot", "count", "garnet-b12", "--amount", "800 g", "--gone", "waste", *ON)  # fmt: skip
    text = desk("lot", "change", "garnet-b12", "--dewaxed", "--supplier", "another", *ON)
    assert "Changed lot garnet-b12: supplier another, dewaxed" in text or "dewaxed" in text
    told = desk("lot", "change", "garnet-b12", "--note", "keeps cool", *ON, as_json=True)
    assert told["note"] == "keeps cool"
    assert told["waxed"] is False


def test_flakes_that_do_not_dissolve_are_shut_and_recalled(desk):
    add_garnet(desk)
    desk("jar", "mix", "J1", "--take", "garnet-b12: 60 g", "--take", "ethanol-190: 250 ml",
         "--at", "2027-03-02", *NOW)  # fmt: skip
    running = desk("lot", "test", "garnet-b12", "--hours", "24 h", "--not-dissolved", "--at",
                   "2027-03-03", *NOW, as_json=True)  # fmt: skip
    assert (running["verdict"], running["look_min"]) == ("running", 2880)
    text = desk("lot", "test", "garnet-b12", "--hours", "48 h", "--not-dissolved", "--at",
                "2027-03-04", *NOW)  # fmt: skip
    assert text.startswith("Went on with the dissolve test of lot garnet-b12: it failed.")
    assert "[failed its test]" in desk("lot", "list", *NOW)
    recall = desk("lot", "recall", "garnet-b12", *NOW, as_json=True)
    assert [j["name"] for j in recall["jars"]] == ["J1"]
    assert recall["failed"]["test"] == "dissolve"
    assert "shut" in desk("jar", "mix", "J2", "--take", "garnet-b12: 5 g", "--at", "2027-03-05",
                          *NOW, code=2)  # fmt: skip


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["lot", "add", "x", "--amount", "1 kg"], "--kind"),
        (["lot", "add", "x", "--grade", "garnet", "--amount", "1 cup"], "settle loosely"),
        (["lot", "add", "x", "--alcohol", "ethanol-190", "--amount", "8 oz"], "by volume or by"),
        (["lot", "add", "x", "--grade", "garnet", "--price", "dear"], "--price"),
        (["lot", "add", "x", "--grade", "garnet", "--at", "2028-01-01"], "future"),
        (["lot", "show", "garnet-12"], "did you mean 'garnet-b12'"),
        (["lot", "change", "garnet-b12"], "nothing is changed"),
        (["lot", "count", "garnet-b12"], "--amount"),
    ],
)
def test_a_slip_is_refused_in_one_line(desk, args, told):
    add_garnet(desk)
    line = desk(*args, *NOW, code=2)
    assert told in line
    assert line.count("\n") == 1


def test_without_a_record_it_says_how_to_begin(desk):
    assert "lacwright lot add" in desk("lot", "list", code=2)


def test_all_faults_of_a_line_of_a_stock_list_are_told_and_nothing_is_written(desk, tmp_path):
    file = tmp_path / "stock.csv"
    file.write_text("name,kind,amount,grade,price\na:b,flakes,1 kg,granet,-1\nc,other,5 g,oak,\n")
    told = desk("lot", "import", str(file), *NOW, code=2)
    places = [line.partition(": ")[0].partition(", ")[2] for line in told.splitlines()]
    assert places == ["line 2, grade", "line 2, price", "line 2, name", "line 3, grade"]
    assert "a lot of another kind has no grade" in told
    assert not (tmp_path / "shop" / "record").exists() or desk("lot", "list", *NOW).startswith("0")


def test_a_far_word_is_not_suggested_and_an_author_has_room(desk):
    told = desk("lot", "add", "x", "--grade", "unobtanium", "--amount", "1 kg", *ON, code=2)
    assert "did you mean" not in told
    told = desk("lot", "add", "x", "--grade", "garnet", "--author", "y" * 81, *ON, code=2)
    assert told.startswith("--author: the name has 81 characters, 80 are the most;")
    told = desk("lot", "add", "x", "--kind", "other", "--amount", " heap", *ON, code=2)
    assert told.startswith("--amount: 'heap' is not a volume;")


def test_what_is_poured_far_beyond_the_book_is_asked_back(desk):
    desk("jar", "mix", "J1", "--take", "garnet: 60 g", "--take", "ethanol-190: 250 ml", *ON)
    text = desk("jar", "pour", "J1", "--waste", "--amount", "100 l", "--at", "2027-03-02", *NOW)
    assert "100000 ml is more than a jar takes at once: was ml meant for l" in text
    assert "that the book had of jar J1 was taken" in text
    assert text.startswith("Poured 100000 ml") or "Poured 100" in text


def test_a_moment_that_the_clocks_show_twice_is_not_guessed(desk):
    add_garnet(desk)
    desk("record", "set", "--zone", "Europe/Vienna", *NOW)
    add = ["lot", "add", "x", "--grade", "garnet", "--amount", "1 kg", *NOW, "--at"]
    told = desk(*add, "2026-10-25 02:30", code=2)
    assert '"2026-10-25 02:30+02:00" for the first time' in told
    assert desk(*add, "2026-10-25 02:30+01:00", as_json=True)["movement"]
