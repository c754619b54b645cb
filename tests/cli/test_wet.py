"""`lacwright job wet` and the tests of a wet coat as a person calls them."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from lacwright.cli.main import run

Tell = Callable[..., list[str]]
TOLD = ("--wet", "100 um", "--size", "100x100 mm", "--cut", "2", "--alcohol", "ethanol-190",
        "--thickness", "20 mm", "--temp", "20")  # fmt: skip


@pytest.fixture
def lw(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Iterator[Tell]:
    """Return the command line of a shop with a coat on a sealed lid and a panel."""
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("LACWRIGHT_HASTY", "1")
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.chdir(tmp_path)

    def call(*args: str, code: int = 0) -> list[str]:
        capsys.readouterr()
        assert run(list(args)) == code
        told = capsys.readouterr()
        return (told.err if code else told.out).splitlines()

    for n, args in enumerate((
        ("lot", "add", "pale", "--grade", "blonde", "--amount", "1 kg"),
        ("lot", "add", "drum", "--alcohol", "ethanol-190", "--amount", "5 l"),
        ("jar", "mix", "J1", "--cut", "2", "--solution", "800 ml", "--flakes", "pale",
         "--alcohol", "drum"),
        ("piece", "add", "lid", "--wood", "cherry", "--area", "top: 0.3 m2"),
        ("piece", "add", "panel 3", "--panel", "--wood", "maple"),
        ("job", "coat", "--piece", "lid", "--jar", "J1", "--method", "brush", "--used", "40 ml"),
    )):  # fmt: skip
        call(*args, "--now", f"2027-03-01 09:0{n}")
    call("job", "coat", "--piece", "lid", "--jar", "J1", "--method", "brush", "--used", "30 ml",
         "--now", "2027-04-30 09:00")  # fmt: skip
    yield call
    from lacwright.shop import close_record

    close_record()


def test_the_wet_coat_now(lw: Tell) -> None:
    at = ("--piece", "lid", "--now", "2027-04-30 09:20")
    assert lw("job", "wet", *at)[0].endswith(
        "no say of the last coat on top of lid: temperature and humidity were not read near that "
        "time.")  # fmt: skip
    lw("reading", "add", "--temp", "20", "--rh", "45 %", "--now", "2027-04-30 08:50")
    told = lw("job", "wet", *at)
    assert told[0].startswith("Touch-dry: the last coat on top of lid; next coat about ")
    assert told[0].endswith("film only, air not estimated.")
    assert any(line.strip().startswith("Uncalibrated") for line in told)
    # 30 ml for 0.3 m2, 5 % of it lost as usual: 95 um.
    assert told[1].startswith("top of lid, brush 2027-04-30 09:00: 95.0 um wet of a 2.00-lb cut")
    (coat,) = json.loads("\n".join(lw("job", "wet", *at, "--json")))["coats"]
    assert coat["touch_dry"] < "2027-04-30T09:20" < coat["recoat"]
    assert lw("job", "wet", "--piece", "lid", "--now", "2027-05-30 09:20") == [
        "No coat that is younger than a week lies on lid."]  # fmt: skip
    assert "half of the air" in lw("job", "wet", *at, "--rh", "50 %", code=2)[0]
    assert "JOB" in lw("job", "wet", code=2)[0]


def test_what_is_beyond_the_week_is_no_moment(lw: Tell) -> None:
    # Two more coats soon after: the three dry together, and no one knows when they are sandable.
    for minute in ("20", "40"):
        lw("job", "coat", "--piece", "lid", "--jar", "J1", "--method", "brush", "--used", "40 ml",
           "--now", f"2027-04-30 09:{minute}")  # fmt: skip
    at = ("--piece", "lid", "--temp", "20", "--rh", "45 %", "--now", "2027-04-30 09:45")
    (coat,) = json.loads("\n".join(lw("job", "wet", *at, "--json")))["coats"]
    assert coat["sandable"] is not None
    assert coat["sandable_high"] is None
    assert coat["missing"]["sandable_high"] == "beyond 7 days"
    assert any(line.endswith("to beyond 7 days)") for line in lw("job", "wet", *at))


def test_a_standing_stop_takes_the_place_of_the_films_verdict(lw: Tell) -> None:
    lw("job", "coat", "--piece", "lid", "--jar", "J1", "--method", "spray", "--used", "30 ml",
       "--now", "2027-04-30 10:00")  # fmt: skip
    at = ("--piece", "lid", "--temp", "20", "--rh", "40 %", "--now", "2027-04-30 10:05")
    out = json.loads("\n".join(lw("job", "wet", *at, "--json")))
    (coat,) = out["coats"]
    assert (coat["verdict"], coat["film_verdict"]) == ("stop", "no stop")
    assert coat["reason"] == out["stops"][0]["text"]
    assert "no stop" not in "\n".join(lw("job", "wet", *at))


def test_in_damp_air_it_says_what_to_do(lw: Tell) -> None:
    told = lw("job", "wet", "--piece", "lid", "--temp", "20", "--rh", "90 %", "--now",
              "2027-04-30 09:05")  # fmt: skip
    assert told[0].startswith("Wet, will whiten: the last coat on top of lid; when the next coat")
    assert told[1].startswith("It whitens in that air")
    assert told[1].endswith("never a wet brush in that air.")
    assert any("Print-free, Next coat, Sandable: withheld" in line for line in told)


def test_a_timed_panel_calibrates_what_follows(lw: Tell) -> None:
    told = lw("piece", "test", "panel 3", *TOLD, "--rh", "45 %", "--touch-dry", "9 min",
              "--print-free", "25 min", "--now", "2027-04-29 10:00")  # fmt: skip
    assert told[0] == "Wrote down a timed coat on panel 3."
    assert told[1].startswith("By itself it says an air factor of 0.6")
    assert told[2].startswith("drying.air is now 0.67")
    told = lw("job", "wet", "--piece", "lid", "--temp", "20", "--rh", "45 %", "--now",
              "2027-04-30 09:20")  # fmt: skip
    assert "  Calibrated on panel 3, 2027-04-29" in told
    (one,) = json.loads("\n".join(lw("own-figures", "drying.air", "--json")))["own_figures"]
    assert one["seen"][0]["source"] == "panel 3, 2027-04-29"
    assert lw("own-figures", "drying.air")[0].startswith(
        "drying.air: 0.672 (0.575 to 0.786) from your log, n = 1, calibrated on panel 3, 2027-04-29"
    )


def test_a_whitening_bounds_the_tolerance(lw: Tell) -> None:
    told = lw("piece", "test", "panel 3", *TOLD, "--rh", "66 %", "--whitened")
    assert told[0] == "Wrote down that a coat on panel 3 whitened."
    assert told[2].startswith("drying.water_tolerance is now 0.5")
    told = lw("piece", "test", "lid", "--stayed-clear", "--now", "2027-04-30 12:00", "--json")
    data = json.loads("\n".join(told))
    assert data["learned"] is None
    assert data["missing"]["learned"] == data["why_not"] != ""
    line = lw("own-figures", "drying.water_tolerance")
    assert any("it whitened, so below 0.6" in text for text in line)


@pytest.mark.parametrize(
    ("args", "says"),
    [
        ((), "nothing was seen"),
        (("--water", "2 h", "--no-mark", "--whitened"), "are two tests"),
        (("--water", "2 h", "--no-mark", "--wet", "20 um"), "--wet: it does not belong"),
        (("--touch-dry", "9 min", "--white"), "--white: that belongs to a drop"),
        (("--print-free", "9 min", *TOLD, "--rh", "45 %"), "--touch-dry: it is not said"),
        (("--touch-dry", "9 min", *TOLD), "--rh: temperature and humidity were not read"),
        (
            ("--touch-dry", "9 min", "--wet", "1 um", "--temp", "20", "--rh", "0.5"),
            "--cut: it is missing",
        ),
    ],
)
def test_what_does_not_go_together_is_refused(lw: Tell, args: tuple[str, ...], says: str) -> None:
    assert any(says in line for line in lw("piece", "test", "panel 3", *args, code=2))
