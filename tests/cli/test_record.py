"""`lacwright record` and `lot import`, as they are typed."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

os.environ.setdefault("LACWRIGHT_HASTY", "1")  # before the settings are read

from lacwright.cli.main import run
from lacwright.shop import find_home

Say = Callable[..., str]

LIST = """name;kind;amount;grade;alcohol;price;price for
garnet 1;flakes;1,5 kg;garnet;;48,50;1 kg
spirit;alcohol;5 l;;ethanol-190;30;
"""
NOW = ["--now", "2027-03-02 12:00"]


@pytest.fixture
def say(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Say:  # fmt: skip
    """Return what types a command and gives back what it says; it must end with `code`."""
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "shop"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "list.csv").write_text(LIST, encoding="utf-8")

    def typed(*words: str, code: int = 0) -> str:
        got = run(list(words))
        told = capsys.readouterr()
        assert got == code, told.out + told.err
        if code and told.err:
            assert told.out == ""
            return told.err
        return told.out

    return typed


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a shop that has taken in the list, made once."""
    folder = tmp_path_factory.mktemp("made")
    (folder / "list.csv").write_text(LIST, encoding="utf-8")
    words = ["lot", "import", str(folder / "list.csv"), "--home", str(folder / "shop")]
    assert run([*words, "--at", "2027-03-01 09:00", "--author", "B", *NOW]) == 0
    return folder / "shop"


@pytest.fixture
def shop(say: Say, made: Path, tmp_path: Path) -> Say:
    """Return the same in such a shop."""
    shutil.copytree(made, tmp_path / "shop")
    return say


def as_json(said: str) -> Any:
    return json.loads(said)


def test_a_stock_list_is_previewed_then_taken_in(say: Say) -> None:
    told = say("lot", "import", "list.csv", "--dry-run")
    assert told.startswith("Would write down 2 lots from list.csv.\n")
    assert "garnet 1: 1500.0 g of garnet flakes" in told
    assert not find_home().exists
    assert say("lot", "import", "list.csv").startswith("Wrote down 2 lots from list.csv.\n")
    told = say("lot", "import", "list.csv", code=2)
    assert told.splitlines()[0] == (
        "list.csv, line 2, name: there is a lot 'garnet 1' already; "
        "use another; names are kept for ever."
    )


def test_show_says_where_what_and_when_it_was_backed_up(shop: Say) -> None:
    told = shop("record", "show")
    assert told.startswith(f"The record lies in {find_home().record} (")
    assert "2 lots" in told
    assert "No backup lies in its own folder" in told
    keys = as_json(shop("record", "show", "--json"))
    assert (keys["counts"]["lots"], keys["zone"], keys["last_backup"]) == (2, "UTC", None)
    assert set(keys["missing"]) == {"last_backup", "days_since_backup"}
    shop("record", "backup", "--now", "2027-03-01 10:00")
    told = shop("record", "show", "--now", "2027-03-09 12:00")
    assert "The last backup is of 2027-03-01 10:00, 8 days ago; 1 backup is in" in told


def test_log_undo_and_amend(shop: Say) -> None:
    told = shop("record", "log")
    assert told.splitlines()[0] == "2 movements, the last written first."
    assert "1500 g of lot garnet 1 came. (B)" in told
    told = shop("record", "amend", "1", "--set", "amount=1,4 kg", "--why", "weighed anew", *NOW)
    assert told.startswith("Corrected movement 1 (receive): amount.")
    told = shop("record", "amend", "1", "--at", "2027-02-27 10:00", *NOW)
    assert told.startswith("Corrected movement 1 (receive): its time.")
    told = shop("record", "log", "1")
    heads = [line for line in told.splitlines()[1:] if not line.startswith("      ")]
    assert [line.split()[0] for line in heads] == ["4", "3", "1"]
    assert "      Why: weighed anew\n      amount = 1400 g\n" in told
    assert "4  2027-02-27 10:00  1400 g of lot garnet 1 came.\n" in told
    assert told.count("[replaced]") == 2
    assert shop("record", "undo", "2", "--dry-run").startswith("Would take back movement 2")
    shop("record", "undo", "2", *NOW)
    told = shop("record", "log", "--kind", "void", "--json")
    (line,) = as_json(told)["movements"]
    assert (line["movement"], line["observation"], line["replaces"]) == (5, 2, 2)
    assert "taken back already" in shop("record", "undo", "2", code=2)
    assert "2 movements" not in shop("record", "log", "--lot", "garnet 1")
    assert shop("record", "log", "--until", "2027-02-28").splitlines()[0].startswith("1 movement,")
    assert "give exactly one" in shop("record", "log", "--lot", "a", "--jar", "b", code=2)


def test_corrections_that_make_no_sense(shop: Say) -> None:
    for correction, says in (
        ("amount", "'amount' is no correction"), ("amont=1 g", "did you mean 'amount'"),
        ("amount=1", "1 has no unit"), ("opening=perhaps", "'perhaps' is neither yes nor no"),
        ("amount={", "in brackets that do not fit"), ("said=x", "it holds several"),
        ("said={}", "said: it is not among what can be corrected"),
    ):  # fmt: skip
        assert says in shop("record", "amend", "1", "--set", correction, code=2)
    assert shop("record", "log").startswith("2 movements")


def test_corrections_are_read_by_what_stands_there(shop: Say) -> None:
    shop("jar", "mix", "J1", "--take", "garnet 1: 60 g", "--take", "spirit: 250 ml",
         "--at", "2027-03-01 10:00", *NOW)  # fmt: skip
    shop("reading", "add", "--temp", "20 C", "--rh", "45 %", "--at", "2027-03-01 10:00", *NOW)
    shop("record", "amend", "4", "--set", "temp_c=70 F", "--set", "rh=50 %",
         "--set", "where=attic")  # fmt: skip
    told = shop("record", "log", "4")
    assert "Read 21.1" in told
    assert "50%" in told
    assert "(attic)" in told
    shop("jar", "pour", "J1", "--amount", "20 ml", "--waste", "--at", "2027-03-01 11:00", *NOW)
    shop("record", "amend", "6", "--set", "amount=25 ml")
    assert "25 ml" in shop("record", "log", "6").splitlines()[1]
    assert shop("record", "audit").endswith("everything agrees.\n")


def test_audit_ends_with_0_or_with_2_and_a_line_for_every_finding(shop: Say) -> None:
    assert shop("record", "audit").startswith("Checked 2 movements,")
    assert as_json(shop("record", "audit", "--json"))["clean"] is True
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(find_home().database)) as record:
        record.execute("UPDATE shop_balance SET ug = 1")
        record.execute("UPDATE shop_movement SET author = 'C' WHERE id = 1")
        record.commit()
    told = shop("record", "audit", code=2).splitlines()
    assert told[0].startswith("Found 2 kinds of faults in 2 movements,")
    assert told[1].startswith("seal: movements were changed outside of this program (movement 1)")
    assert told[2].startswith("balance: balances are not the sums of the lines")
    found = as_json(shop("record", "audit", "--json", code=2))
    assert [finding["code"] for finding in found["findings"]] == ["seal", "balance"]
    assert "would differ" in shop("record", "rebuild", "--dry-run")
    assert "seal of 1 movements does not fit" in shop("record", "rebuild", code=2)


def test_a_backup_of_a_record_that_was_changed_from_outside_says_so(shop: Say) -> None:
    import sqlite3
    from contextlib import closing

    assert as_json(shop("record", "backup", "--json"))["sound"] is True
    with closing(sqlite3.connect(find_home().database)) as record:
        record.execute("UPDATE shop_movement SET author = 'C' WHERE id = 1")
        record.commit()
    told = shop("record", "backup")
    assert told.startswith("Warning: the record is not as this program wrote it: run 'lacwright re")
    assert "-damaged.tar" in told
    assert as_json(shop("record", "backup", "--json"))["sound"] is False
    assert "1 backup is in" in shop("record", "show")


def test_rebuild_mends_an_index_after_a_backup(shop: Say) -> None:
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(find_home().database)) as record:
        record.execute("DELETE FROM shop_balance")
        record.commit()
    told = as_json(shop("record", "rebuild", "--json"))
    assert told["changed"] == {"event": 0, "flow": 0, "balance": 4}
    assert Path(told["backup"]).name.endswith("-before-rebuild.tar")
    assert "all were right already" in shop("record", "rebuild")


def test_backup_and_restore(shop: Say, tmp_path: Path) -> None:
    told = shop("record", "backup", "--dry-run")
    assert told.startswith("Would make a backup of about 0.")
    assert not find_home().backups.exists()
    told = as_json(shop("record", "backup", "--to", "stick", "--json"))
    backup = told["path"]
    assert Path(backup).parent == tmp_path / "stick"
    assert (told["rows"]["shop_movement"], told["files"], told["missing_files"]) == (2, 0, [])
    shop("record", "undo", "2")
    assert "add --overwrite" in shop("record", "restore", backup, code=2)
    told = shop("record", "restore", backup, "--dry-run")
    assert told.startswith("Would bring back the backup of ")
    assert "that needs --overwrite" in told
    told = as_json(shop("record", "restore", backup, "--overwrite", "--json"))
    assert Path(told["put_aside"]).is_dir()
    assert shop("record", "log").startswith("2 movements")
    assert "put an older record aside" in shop("record", "show")
    assert "no such file" in shop("record", "restore", "nothing.tar", "--overwrite", code=2)


def test_export_and_import(shop: Say, tmp_path: Path) -> None:
    assert shop("record", "export", "shop.tar", "--dry-run").startswith("Would write ")
    assert not (tmp_path / "shop.tar").exists()
    first = as_json(shop("record", "export", "shop.tar", "--json"))
    other = ["--home", str(tmp_path / "other")]
    assert shop("record", "import", "shop.tar", *other, "--dry-run").startswith("Would take in 2 ")
    assert not (tmp_path / "other").exists()
    told = as_json(shop("record", "import", "shop.tar", *other, "--json"))
    assert told["content_sha256"] == first["content_sha256"]
    assert "it is not empty" in shop("record", "import", "shop.tar", code=2)
    assert "there is no such file" in shop("record", "import", "no.tar", code=2)
    assert shop("record", "export", "--csv", "tables").startswith("Wrote 14 tables to ")
    assert "one of them" in shop("record", "export", code=2)
    assert "one of them" in shop("record", "export", "a.tar", "--csv", "b", code=2)


def test_what_is_refused_leaves_no_record_behind(shop: Say, tmp_path: Path) -> None:
    shop("record", "export", "shop.tar")
    data = bytearray((tmp_path / "shop.tar").read_bytes())
    data[data.index(b'"garnet 1"') + 1] ^= 1
    (tmp_path / "harmed.tar").write_bytes(data)
    (tmp_path / "bad.tar").write_text("no archive")
    (tmp_path / "empty").mkdir()
    there = sorted(tmp_path.rglob("*"))
    for folder in ("empty", "not/there"):
        for command in ("import", "restore"):
            for file in ("harmed.tar", "bad.tar", "none.tar"):
                shop("record", command, file, "--home", folder, code=2)
                assert sorted(tmp_path.rglob("*")) == there
    shop("record", "import", "shop.tar", "--home", "not/there")
    assert shop("record", "audit", "--home", "not/there").endswith("everything agrees.\n")
    assert sorted(os.listdir(tmp_path / "not" / "there")) == ["record", "record.lock"]


def test_a_backup_goes_into_a_folder(shop: Say) -> None:
    for to in ("list.csv", "list.csv/x", "/dev/null", ""):
        for more in ([], ["--dry-run"]):
            told = shop("record", "backup", "--to", to, *more, code=2)
            assert told.startswith("--to: ")
            assert "no backup was made; the record was not touched; name a folder" in told
    assert not find_home().backups.exists()


def test_settings(shop: Say) -> None:
    assert "Europe/Vienna" in shop("record", "set", "--zone", "Europe/Vienna")
    assert "did you mean 'Europe/Vienna'" in shop("record", "set", "--zone", "Europe/Viena", code=2)
    assert "EUR" in shop("record", "set", "--currency", "EUR")
    assert "Time zone Europe/Vienna; currency EUR." in shop("record", "show")
    assert "1500 g of lot garnet 1" in shop("record", "log")
    assert "2027-03-01 10:00" in shop("record", "log", "1")  # 9 o'clock UTC
    assert "give exactly one" in shop("record", "set", code=2)


def test_without_a_record_nothing_is_made(say: Say) -> None:
    for words in (["show"], ["log"], ["audit"], ["backup"], ["rebuild"], ["export", "x.tar"],
                  ["undo", "1"]):  # fmt: skip
        assert "there is none in" in say("record", *words, code=2)
    assert not find_home().folder.exists()


def test_long_work_says_how_far_it_is_on_stderr(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from lacwright.cli import record_progress

    ticks = iter([0.0, 1.0, 2.5, 3.0, 5.0, 7.5])
    monkeypatch.setattr(record_progress.time, "monotonic", lambda: next(ticks))
    tell = record_progress.progress()
    for done in (1, 2, 3, 4, 5):
        tell("writing", done, 5)
    assert capsys.readouterr() == ("", "  writing, 40 %\n  writing, 80 %\n  writing, 100 %\n")
