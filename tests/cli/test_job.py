"""`lacwright job`, `piece`, `customer`, `reading`, `own-figures` as a person calls them."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from lacwright.cli.main import run

NOW = "2027-03-20 12:00"
STOOL = """\
title = "A stool"
[wish]
use = ["indoors"]
start = 2027-03-01
[shop]
ignition = []
children = false
[[part]]
name = "seat"
shape = "panel"
wood = "beech"
size = "400x300x20 mm"
[[mix]]
name = "body"
cut = 2
grade = "garnet"
[[step]]
what = "coat"
method = "brush"
times = 3
wait = "2 h"
"""
Tell = Callable[..., list[str]]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Return the folder of a shop that does not exist yet; the file of a stool lies beside."""
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("LACWRIGHT_HASTY", "1")
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.chdir(tmp_path)
    (tmp_path / "stool.toml").write_text(STOOL, encoding="utf-8")
    yield tmp_path / "home"
    from lacwright.shop import close_record

    close_record()


@pytest.fixture
def lw(home: Path, capsys: pytest.CaptureFixture[str]) -> Tell:
    """Return the command line: it gives its lines, and its exit code must be 0."""

    def call(*args: str) -> list[str]:
        assert run(list(args)) == 0, capsys.readouterr().err
        out, err = capsys.readouterr()
        assert err == ""
        return out.splitlines()

    return call


@pytest.fixture
def data(home: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., dict[str, Any]]:
    """Return the command line with --json: it gives the object."""

    def call(*args: str) -> dict[str, Any]:
        assert run([*args, "--json"]) == 0, capsys.readouterr().err
        found: dict[str, Any] = json.loads(capsys.readouterr().out)
        return found

    return call


@pytest.fixture
def stocked(lw: Tell, home: Path) -> Tell:
    """Return the command line of a shop with a bag, a can and a jar of a 2-lb cut."""
    import datetime as dt

    from lacwright.shop import close_record, find_home, open_record

    open_record(find_home(home))
    from lacwright.shop.clock import to_us
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.jars import Take, mix_jar
    from lacwright.shop.services.lots import add_lot
    from lacwright.shop.writing import Entry

    at = Entry(at_us=to_us(dt.datetime(2027, 3, 1, 8, tzinfo=dt.UTC)),
               now_us=to_us(dt.datetime(2027, 3, 1, 9, tzinfo=dt.UTC)))  # fmt: skip
    add_lot(name="garnet", kind="flakes", amount=grams(500), grade="garnet", entry=at)
    add_lot(name="can", kind="alcohol", amount=millilitres(3000), alcohol="ethanol-190", entry=at)
    takes = [Take("lot", "garnet", grams(120)), Take("lot", "can", millilitres(500))]
    mix_jar(jar="J1", takes=takes, mouth_mm=60, entry=at)
    close_record()
    return lw


def coat(lw: Tell, when: str, *more: str) -> list[str]:
    return lw("job", "coat", "S-1", "--jar", "J1", "--at", when, "--now", NOW, *more)


def test_a_job_from_the_plan_to_the_hand_over(stocked: Tell, data: Any, home: Path) -> None:
    lw = stocked
    lw("customer", "add", "Ida", "--contact", "by the mill")
    out = lw("job", "start", "stool.toml", "--job", "S-1", "--customer", "Ida", "--promised",
             "2027-04-01", "--now", "2027-03-01 10:00")  # fmt: skip
    assert out[0] == "Began job S-1 on stool: 3 coats planned."
    assert out[1] == "From your log: garnet, can from your stock."
    out = lw("job", "show", "S-1", "--now", NOW)
    assert out[0] == "Next on stool: Coat 1 (body, 2-lb) on seat."
    out = coat(lw, "2027-03-02 10:00", "--before", "900 g", "--after", "880 g", "--open", "10 min",
               "--took", "20 min", "--left", "0.2 g", "--until", "2027-03-02 10:20")  # fmt: skip
    assert out[0].startswith("Wrote down a coat on stool (job S-1) from J1: 19.7 g of mix (")
    assert "um on sealed wood" in out[1]
    out = coat(lw, "2027-03-02 11:00", "--used", "25 ml")
    assert any(
        line.startswith(
            "Note: The coat before on seat was finished at 2027-03-02 10:20; by "
            "the plan the next is due at 2027-03-02 12:20"
        )
        for line in out
    )
    lw("job", "sand", "S-1", "--what", "level", "--abrasive", "P600", "--now", NOW)
    out = lw("job", "spot", "S-1", "--where", "front edge", "--now", NOW)
    assert out[0] == "Wrote down to come back to front edge on stool (job S-1)."
    lw("job", "fault", "S-1", "haze", "--jar", "J1", "--cause", "rain", "--now", NOW)
    lw("job", "note", "S-1", "--text", "it stood in the sun", "--now", NOW)
    lw("piece", "add", "step panel", "--panel", "--wood", "beech")
    lw("job", "agree", "S-1", "--what", "change", "--text", "darker", "--price", "35,50")
    (home.parent / "seen.txt").write_text("pale by day", encoding="utf-8")
    lw("job", "attach", "S-1", "seen.txt", "--words", "by the window", "--now", NOW)
    out = lw("job", "show", "S-1", "--now", NOW)
    assert out[0] == "Next on stool: Coat 3 (body, 2-lb) on seat now."
    text = "\n".join(out)
    for words in ("seat: 2 of 3 coats laid, 1 left", "To revisit", "Fault", "haze", "rain",
                  "Agreed", "35.50", "seen.txt (text/plain); by the window"):  # fmt: skip
        assert words in text
    found = data("job", "show", "S-1")
    assert found["schema"] == "lacwright.job.show/1"
    spot = found["spots"][0]["movement"]
    lw("job", "spot", "S-1", "--done", str(spot), "--now", NOW)
    assert data("job", "show", "S-1")["spots"] == []
    out = lw("piece", "show", "stool")
    assert out[0].startswith("On piece stool: 2 coats; film seat ")
    assert any("coat 1 from J1 (2-lb): brush" in line for line in out)
    lw("job", "describe", "S-1", "--promised", "2027-04-08")
    assert data("job", "list")["jobs"][0]["promised"] == "2027-04-08"
    out = lw("job", "close", "S-1", "--delivered", "2027-03-20", "--now", NOW)
    assert out[0] == "Closed job S-1, handed over on 2027-03-20."
    assert lw("job", "list")[0] == "0 open jobs."
    assert lw("job", "list", "--state", "all")[0] == "1 job."
    assert "Ida (by the mill): stool" in lw("customer", "list")[1]


def test_remarks_on_a_start_are_notes_in_text_and_in_json(stocked: Tell, data: Any) -> None:
    stocked("job", "start", "stool.toml", "--job", "S-1", "--now", NOW)
    again = ["job", "start", "--piece", "stool", "--now", NOW, "--promised", "2027-03-19"]
    out = stocked(*again, "--job", "S-2")
    assert out[0] == "Began job S-2 on stool, without a plan."
    assert out[1].startswith("Note: Job 'S-1' is open on this piece too: ")
    assert out[2].startswith("Note: The promised day, 2027-03-19, is before the job was begun, on ")
    says = data(*again, "--job", "S-3")["says"]
    assert [text.partition(" is ")[0] for text in says] == [
        "Job 'S-1'", "Job 'S-2'", "The promised day, 2027-03-19,"]  # fmt: skip
    out = coat(stocked, "2027-03-19 10:00", "--used", "20 ml")
    assert ("Note: It is dated 2027-03-19 10:00, before job 'S-1' was begun at 2027-03-20 12:00: "
            "check both times.") in out  # fmt: skip
    out = stocked("job", "describe", "S-3", "--promised", "2027-03-18", "--now", NOW)
    assert any(line.startswith("Note: The promised day, 2027-03-18") for line in out)


def test_after_the_last_coat_nothing_is_due(stocked: Tell, data: Any) -> None:
    stocked("job", "start", "stool.toml", "--job", "S-1", "--now", "2027-03-01 10:00")
    for hour in (10, 13, 16):
        out = stocked("job", "show", "S-1", "--now", NOW)
        coat(stocked, f"2027-03-02 {hour}:00", "--used", "20 ml")
    assert "at the earliest 2027-03-02 15:00" in "\n".join(out)
    out = stocked("job", "show", "S-1", "--now", NOW)
    assert "seat: 3 of 3 coats laid, 0 left" in out
    (seat,) = data("job", "show", "S-1")["progress"]
    assert (seat["next"], seat["earliest"]) == (None, None)
    # Without a plan another coat may follow; a closed job waits for nothing.
    stocked("job", "start", "--job", "B-1", "--piece", "board", "--area", "top: 0.5 m2",
            "--now", "2027-03-01 10:00")  # fmt: skip
    stocked("job", "coat", "B-1", "--jar", "J1", "--method", "brush", "--used", "20 ml",
            "--at", "2027-03-02 10:00", "--now", NOW)  # fmt: skip
    out = stocked("job", "show", "B-1", "--now", NOW)
    assert any(line.startswith("top: 1 coat laid; by the usual wait another not before 2027-03-02 ")
               for line in out)  # fmt: skip
    stocked("job", "close", "B-1", "--now", NOW)
    assert "top: 1 coat laid" in stocked("job", "show", "B-1", "--now", NOW)


def test_the_log_names_what_is_new_before_whose_it_is(stocked: Tell) -> None:
    stocked("customer", "add", "Ida", "--now", NOW)
    stocked("piece", "add", "box", "--customer", "Ida", "--now", NOW)
    stocked("piece", "add", "lid sample", "--panel", "--customer", "Ida", "--now", NOW)
    stocked("job", "start", "--job", "S-1", "--piece", "chest", "--customer", "Ida", "--now", NOW)
    said = [line.split("  ")[-1] for line in stocked("record", "log", "--most", "5")[1:6]]
    assert said == ["Wrote down piece chest for Ida.", "Began job S-1 on chest without a plan.",
                    "Wrote down panel lid sample for Ida.", "Wrote down piece box for Ida.",
                    "Wrote down customer Ida."]  # fmt: skip
    undone = stocked("record", "log", "--kind", "open", "--piece", "box")[1].split()[0]
    stocked("record", "undo", undone, "--now", NOW)
    last = stocked("record", "log", "--most", "1")[1]
    assert last.endswith("  Took back: open of piece box, customer Ida.")


def test_tonight_says_which_jar_is_shut_and_why(stocked: Tell, data: Any) -> None:
    args = ["tonight", "--cut", "2", "--make", "200 ml", "--grade", "garnet", "--area", "0.3 m2",
            "--coats", "2", "--now", "2027-03-20"]  # fmt: skip
    assert data(*args)["shut_jars"] == []
    stocked("jar", "test", "J1", "--seen", "45 min", "--control-tack-free", "8 min", "--temp",
            "21", "--rh", "50 %", "--at", "2027-03-19 10:00", "--now", NOW)  # fmt: skip
    out = stocked(*args)
    assert ("Jar 'J1' is shut: it failed its test of 2027-03-19. Nothing of it goes on the "
            "work.") in out  # fmt: skip
    assert data(*args)["shut_jars"] == [{"lot": "J1", "why": "failed its test of 2027-03-19"}]
    assert not any("J1" in line for line in stocked(*[
        "blonde" if word == "garnet" else word for word in args]))  # fmt: skip


def test_own_figures_from_weighed_coats(stocked: Tell, data: Any) -> None:
    lw = stocked
    assert lw("own-figures") == [
        "Nothing is learned yet: weigh the jar before and after a coat, and say the area."
    ]
    lw("job", "start", "--job", "S-1", "--piece", "board", "--area", "top: 0.5 m2", "--now", NOW)
    for day, ml in ((2, 60), (3, 40), (4, 600)):
        coat(lw, f"2027-03-0{day} 10:00", "--method", "brush", "--used", f"{ml} ml")
    out = lw("own-figures")
    assert out[0] == "3 figures of your own; the usual one stands beside each."
    (spread,) = (line for line in out if line.startswith("  spread.brush"))
    # 80 ml/m2 where 95 are usual: 95 (80/95)^(69.4 / 77.6) = 81.5.
    assert spread.startswith("  spread.brush: 81.5 ml/m2 (")
    assert "n = 1, last 2027-03-03; usual 95.0 ml/m2" in spread
    assert any("Odd, not counted: 1200 ml/m2" in line for line in out)
    out = lw("own-figures", "spread.brush", "--working")
    assert any("Left out 1 time: the first coat" in line for line in out)
    found = data("own-figures", "spread.brush")
    assert found["own_figures"][0]["n"] == 1
    assert found["figures"]["spread.brush"]["basis"] == "learned"
    assert lw("own-figures", "set", "wait.brush", "90 min")[0] == "Set wait.brush to 1.50 h."
    assert "set by you" in lw("own-figures", "wait.brush")[0]
    lw("own-figures", "unset", "wait.brush")
    assert "the usual one" in lw("own-figures", "wait.brush")[0]


def test_readings(stocked: Tell, data: Any, home: Path, capsys: Any) -> None:
    lw = stocked
    out = lw("reading", "add", "--temp", "68 F", "--rh", "45 %", "--board", "9 %", "--place",
             "bench", "--at", "2027-03-01 08:00", "--now", NOW)  # fmt: skip
    assert out[0] == ("Wrote down what was read at 2027-03-01 08:00: 20 C, 45 % humidity, board "
                      "9 % moist, bench.")  # fmt: skip
    log = home.parent / "log.csv"
    log.write_text("time,temp,rh\n2027-03-01 09:00,20,45\nnever,20,45 %\n", encoding="utf-8")
    assert run(["reading", "import", "log.csv", "--now", NOW]) == 2
    err = capsys.readouterr().err.splitlines()
    assert [line.partition(",")[0] for line in err] == ["log.csv", "log.csv"]
    assert "line 2" in err[0]
    assert "line 3" in err[1]
    log.write_text("time,temp,rh %\n2027-03-01 09:00,20,45\n2027-03-01 10:00,21,46\n")
    out = lw("reading", "import", "log.csv", "--dry-run", "--now", NOW)
    assert out[0] == ("Would write down 2 readings from 2027-03-01 09:00 to 2027-03-01 "
                      "10:00.")  # fmt: skip
    assert lw("reading", "list")[0] == "1 reading, the newest first."
    lw("reading", "import", "log.csv", "--now", NOW)
    assert data("reading", "import", "log.csv", "--now", NOW)["already_there"] == 2
    assert [r["temp_c"] for r in data("reading", "list")["readings"]] == pytest.approx([21, 20, 20])


def test_needs(stocked: Tell, data: Any) -> None:
    assert stocked("job", "needs")[0].startswith("No open job with a plan needs anything")
    stocked("job", "start", "stool.toml", "--job", "S-1", "--now", "2027-03-01 10:00")
    assert stocked("job", "needs")[0] == "Nothing is short for the open jobs."
    assert {n["lot"] for n in data("job", "needs")["needs"]} == {"garnet", "can"}


def test_a_plan_with_a_stop_is_shown_and_begins_only_with_a_reason(
    stocked: Tell, home: Path, capsys: Any
) -> None:
    text = STOOL.replace("ignition = []", 'ignition = ["wood stove"]')
    (home.parent / "stove.toml").write_text(text, encoding="utf-8")
    args = ["job", "start", "stove.toml", "--job", "S-1", "--now", "2027-03-01 10:00"]
    assert run(args) == 2
    err = capsys.readouterr().err
    assert err.startswith("--in-spite: the plan has a stop, and no reason is given: In the room: ")
    assert ".;" not in err
    assert "--in-spite" in err
    out = stocked(*args, "--in-spite", "it stands cold until May")
    assert any(line.startswith("STOP, begun in spite of it (it stands cold") for line in out)
    out = stocked("job", "show", "S-1", "--now", NOW)
    assert any(line.startswith("STOP at the start, begun in spite of it") for line in out)


WRITES = [
    ["customer", "add", "Otto"], ["piece", "add", "box", "--area", "1 m2"],
    ["piece", "describe", "board", "--title", "A board"],
    ["job", "start", "stool.toml", "--job", "S-9"],
    ["job", "coat", "S-1", "--jar", "J1", "--method", "brush", "--used", "20 ml"],
    ["job", "coat", "S-1", "--jar", "J1"],
    ["job", "session", "S-1", "--jar", "J1", "--used", "20 ml"],
    ["job", "sand", "S-1"], ["job", "strip", "S-1", "--how", "alcohol"],
    ["job", "fault", "S-1", "haze"], ["job", "spot", "--piece", "board", "--where", "corner"],
    ["job", "note", "S-1", "--kind", "rest", "--until", "2027-03-21"],
    ["job", "attach", "board", "stool.toml", "--to", "piece"],
    ["job", "agree", "S-1", "--what", "price", "--price", "480"],
    ["job", "describe", "S-1", "--title", "A board"], ["job", "close", "S-1"],
    ["reading", "add", "--temp", "20"], ["own-figures", "set", "wait.brush", "2 h"],
]  # fmt: skip


@pytest.mark.parametrize("args", WRITES, ids=lambda a: " ".join(a[:2]))
def test_a_dry_run_says_what_would_be_written_and_writes_nothing(
    stocked: Tell, data: Any, args: list[str]
) -> None:
    lw = stocked
    lw("job", "start", "--job", "S-1", "--piece", "board", "--area", "top: 0.5 m2", "--now", NOW)

    def stands() -> int:
        from lacwright.shop import close_record, find_home, open_record

        open_record(find_home())
        from lacwright.shop.models import Movement

        count = Movement.objects.count()
        close_record()
        return count

    before = stands()
    out = lw(*args, "--now", NOW, "--dry-run")
    assert out[0].startswith("Would ")
    assert stands() == before
    found = data(*args, "--now", NOW, "--dry-run")
    assert found["dry_run"] is True
    assert found["missing"]["movement"] == "a dry run writes nothing"
    done = data(*args, "--now", NOW)
    assert done["schema"].startswith(f"lacwright.{args[0]}.{args[1]}/")
    assert done["movement"] > before
    assert stands() > before


def test_a_dry_run_makes_no_record(home: Path, data: Any) -> None:
    for args in (["job", "start", "stool.toml", "--job", "S-1"], ["reading", "add", "--temp", "20"],
                 ["piece", "add", "box"], ["customer", "add", "Ida"]):  # fmt: skip
        assert data(*args, "--now", NOW, "--dry-run")["dry_run"]
    assert not home.exists()


def test_the_same_token_is_written_once(stocked: Tell) -> None:
    stocked("customer", "add", "Ida", "--token", "t1", "--now", NOW)
    out = stocked("customer", "add", "Ida", "--token", "t1", "--now", NOW)
    assert out[0].startswith("Nothing is written, this token did it before: wrote down customer")
    assert stocked("customer", "list")[0] == "1 customer."


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["job", "show", "S-1"], "there is none in"),
        (["job", "start", "--job", "S-1"], "neither a piece file nor a piece is named; name a "
         "piece file, or a piece with --piece and --area."),
        (["job", "start", "none.toml", "--job", "S-1"], "there is no such file"),
        (["job", "spot", "S-1"], "say where, or which spot is done"),
        (["piece", "add", "box", "--area", "top"], "--area"),
        (["piece", "add", "box", "--area", "top: 1 m2", "--area", "top: 2 m2"], "given twice"),
        (["reading", "add"], "nothing was read"),
        (["reading", "add", "--rh", "45"], "has no unit"),
        (["reading", "add", "--board", "9"], "write '9 %' or 0.09"),
        (["own-figures", "set", "spread.brush", "80"], "VALUE: 80 has no unit"),
        (["job", "agree", "S-1", "--what", "price", "--price", "much"], "there is none in"),
    ],
)  # fmt: skip
def test_bad_input_ends_in_one_line(
    home: Path, capsys: pytest.CaptureFixture[str], args: list[str], words: str
) -> None:
    assert run([*args]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert words in err
    assert "Traceback" not in err


def test_the_plan_takes_from_the_record_and_can_leave_it_out(stocked: Tell, data: Any) -> None:
    args = ["plan", "stool.toml", "--now", "2027-03-10", "--draws", "20"]
    assert stocked(*args)[1] == "From your log: garnet, can from your stock."
    found = data(*args)
    assert found["record"]["lots"] == ["garnet", "can"]
    out = data(*args, "--no-record")
    assert (out["record"], out["missing"]["record"]) == (None, "it was left out")
    assert {row["word"] for row in out["shelf"]} == {"not on the shelf"}
    out = stocked("tonight", "--cut", "2", "--make", "200 ml", "--grade", "garnet", "--area",
                  "0.3 m2", "--coats", "2", "--now", "2027-03-10")  # fmt: skip
    assert out[1] == "From your log: nothing this plan could use."


def test_a_plan_without_a_record_makes_none_and_needs_no_django(home: Path) -> None:
    import subprocess
    import sys

    code = (
        "import sys; from lacwright.cli.main import run\n"
        "for args in (['plan', 'stool.toml', '--draws', '5'],\n"
        "             ['tonight', '--cut', '2', '--make', '200 ml', '--grade', 'garnet',\n"
        "              '--area', '1 m2', '--coats', '1']):\n"
        "    assert run(args) == 0\n"
        "print(sorted(m for m in sys.modules if m.partition('.')[0] == 'django'), file=sys.stderr)"
    )
    src = Path(__file__).parents[2] / "src"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=home.parent,
        check=True,
        env={**os.environ, "PYTHONPATH": str(src)},
    )
    assert done.stderr.strip() == "[]"
    assert not home.exists()


def test_a_record_that_cannot_be_opened_stops_the_plan_and_names_the_way_round(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (home / "record").mkdir(parents=True)
    (home / "record" / "shop.sqlite3").write_bytes(b"this is no database" * 100)
    assert run(["plan", "stool.toml", "--draws", "5"]) == 2
    err = capsys.readouterr().err
    assert "cannot be read" in err
    assert "--no-record" in err
    assert run(["plan", "stool.toml", "--draws", "5", "--no-record"]) == 0
