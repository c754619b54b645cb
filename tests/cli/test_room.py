"""`lacwright room`."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from lacwright.cli.main import run

ROOM = ("room", "--volume", "30 m3", "--air-changes", "0.5")
COATS = ("--alcohol", "ethanol-190", "--cut", "2", "--coat", "250 ml at 0 min",
         "--coat", "250 ml at 60 min over 10 min")  # fmt: skip
LITTLE = ("room", "--volume", "80 m3", "--air-changes", "windows", "--alcohol", "ethanol-190",
          "--cut", "2", "--coat", "20 ml", "--jurisdiction", "uk", "--pilot-off",
          "--alone")  # fmt: skip
TABLE = Path(__file__).parents[2] / "examples" / "table.toml"
PLAN = ("room", "--volume", "60 m3", "--air-changes", "2", "--plan", str(TABLE), "--no-record",
        "--now", "2027-02-15")  # fmt: skip


def told(capsys, *args):
    assert run([*args, "--json"]) == 0, capsys.readouterr().err
    return json.loads(capsys.readouterr().out)


def text(capsys, *args):
    assert run(list(args)) == 0
    return capsys.readouterr().out


def refused(capsys, *args):
    assert run(list(args)) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.splitlines()) == 1
    return said.err


def test_the_bounds_are_grams_over_cubic_metres(capsys):
    out = told(capsys, *ROOM, *COATS, "--extra", "0")
    # 250 ml of a 2-lb cut hold 155 g of ethanol: g / 30 m3 / 46.068 * 24.45.
    grams = out["evaporated_g"]["ethanol"] / 2
    assert grams == pytest.approx(155, rel=0.01)
    one = 1e6 * grams / 30 / 46.068 * 24.45 / 1000
    assert out["bound_ppm"]["one_coat"]["ethanol"] == pytest.approx(one, rel=1e-9)
    assert out["bound_ppm"]["all"]["ethanol"] == pytest.approx(2 * one, rel=1e-9)
    assert out["lel_fraction_bound"] == pytest.approx(2 * one / 31000, rel=1e-9)
    assert out["evaporated_total_g"] == pytest.approx(2 * grams)


def test_a_fifth_comes_on_top_for_brush_rag_and_dish(capsys):
    with_extra = told(capsys, *ROOM, *COATS)["evaporated_g"]["ethanol"]
    without = told(capsys, *ROOM, *COATS, "--extra", "0")["evaporated_g"]["ethanol"]
    assert with_extra == pytest.approx(1.2 * without)


def test_every_zone_has_every_figure(capsys):
    out = told(capsys, *ROOM, *COATS)
    for key in ("peak_ppm", "twa_8h_ppm", "max_15min_ppm"):
        assert set(out[key]) == {"room", "near"}
        assert out[key]["near"]["ethanol"] > out[key]["room"]["ethanol"] > 0
        assert f"{key}.near.ethanol" in out["figures"]
    assert out["mixture_index_low"] < out["mixture_index"] < out["mixture_index_high"]
    what = {row["what"] for row in out["basis"]}
    assert {"volume_m3", "air_changes_per_h", "mixing_factor", "extra_share", "near_speed_m_s",
            "drying_per_h", "model_range"} <= what  # fmt: skip
    assert all(row["source"] for row in out["basis"])


def test_the_numbers_never_come_without_stops_and_cautions(capsys):
    out = told(capsys, *ROOM, *COATS)
    assert {"lel", "mixture", "short-term", "pilot-light"} == {s["code"] for s in out["stops"]}
    assert {"wet-surface", "model-only", "standing"} <= {c["code"] for c in out["cautions"]}
    lines = text(capsys, *ROOM, *COATS).splitlines()
    assert lines[0].startswith("Do not start yet. ")
    assert "can ignite" in lines[0]
    assert lines[1].startswith("STOP: ")
    assert lines[-1].startswith("Caution: These are the usual cautions")


def test_at_its_best_no_stop_is_triggered(capsys):
    out = told(capsys, *LITTLE)
    assert out["stops"] == []
    assert out["changes"] == []
    assert text(capsys, *LITTLE).startswith("No stop triggered by this estimate. ")


def test_without_the_air_changes_the_bounds_alone_are_told(capsys):
    out = told(capsys, "room", "--volume", "30 m3", *COATS)
    assert out["bound_ppm"]["all"]["ethanol"] > 0
    assert out["peak_ppm"]["near"]["ethanol"] is None
    assert out["missing"]["peak_ppm.near.ethanol"].startswith("cannot estimate without")
    assert "no-air-data" in {s["code"] for s in out["stops"]}


def test_air_needed_is_told_where_the_laying_takes_a_time(capsys):
    out = told(capsys, *ROOM, *COATS, "--extra", "0", "--limit", "ethanol 500 ppm",
               "--factor", "5", "--hold", "50 %")  # fmt: skip
    needed = out["air_needed_m3_per_h"]
    hold = 0.5 * 500 * 46.068 / 24.45 / 1000
    rate = out["evaporated_g"]["ethanol"] / 2 * 6
    assert needed["perfect"]["ethanol"] == pytest.approx(rate / hold, rel=1e-9)
    assert needed["with_factor"]["ethanol"] == pytest.approx(5 * rate / hold, rel=1e-9)
    assert out["air_needed_changes_per_h"]["with_factor"]["additive"] == pytest.approx(
        5 * rate / hold / 30, rel=1e-9
    )
    assert needed["perfect"]["lel_share"] == pytest.approx(
        rate / (0.25 * 31000 * 46.068 / 24.45 / 1000), rel=1e-9
    )


def test_emissions_have_the_same_bound_and_other_peaks(capsys):
    here = (*ROOM, "--alcohol", "ethanol-190", "--cut", "2", "--coat", "100 ml at 0 h over 12 min")
    found = {kind: told(capsys, *here, "--emission", kind)
             for kind in ("instant", "while-laying", "first-order")}  # fmt: skip
    assert len({out["bound_ppm"]["all"]["ethanol"] for out in found.values()}) == 1
    peaks = [found[k]["peak_ppm"]["room"]["ethanol"]
             for k in ("instant", "while-laying", "first-order")]  # fmt: skip
    assert peaks == sorted(peaks, reverse=True)
    assert {out["emission"] for out in found.values()} == set(found)


def test_the_model_of_the_drying_coat_gives_its_own_emission(capsys):
    out = told(capsys, *ROOM, "--alcohol", "ethanol-190", "--cut", "2", "--coat", "100 ml",
               "--emission", "drying", "--method", "brush", "--temp", "20",
               "--rh", "45 %")  # fmt: skip
    assert any("model of the drying coat" in note for note in out["notes"])
    assert 0 < out["peak_ppm"]["room"]["ethanol"] < out["bound_ppm"]["all"]["ethanol"]
    assert "drying_per_h" not in {row["what"] for row in out["basis"]}


def test_an_unknown_alcohol_is_named_by_the_user_and_counts_as_methanol(capsys):
    out = told(capsys, *ROOM, "--alcohol", "unknown", "--cut", "2", "--coat", "50 ml")
    assert set(out["peak_ppm"]["near"]) == {"methanol"}
    assert set(out["lel_percent"]) == {"ethanol"}
    assert {"methanol", "lel"} & {s["code"] for s in out["stops"]} == {"methanol"}
    assert "cannot estimate without it" in refused(capsys, *ROOM, "--cut", "2", "--coat", "50 ml")


def test_an_unnamed_rest_and_an_unknown_slow_alcohol(capsys):
    out = told(capsys, *ROOM, "--alcohol", "ethanol 85, slow 5, other 5, water 5", "--cut", "2",
               "--coat", "50 ml")  # fmt: skip
    assert set(out["evaporated_g"]) == {"ethanol", "slow", "other"}
    assert set(out["peak_ppm"]["near"]) == {"ethanol", "n-butanol", "other"}
    assert out["missing"]["peak_ppm.near.other"].startswith("cannot estimate")
    assert "no-limit" in {c["code"] for c in out["cautions"]}


def test_words_for_the_air_and_a_furnished_room(capsys):
    one = told(capsys, *LITTLE)
    other = told(capsys, *LITTLE, "--furnished")
    air = next(r for r in one["basis"] if r["what"] == "air_changes_per_h")
    assert (air["value"], air["basis"], air["mark"]) == (1.0, "default", "common practice")
    ratio = other["bound_ppm"]["all"]["ethanol"] / one["bound_ppm"]["all"]["ethanol"]
    assert ratio == pytest.approx(1 / 0.8)


def test_a_jurisdiction_and_own_limits(capsys):
    out = told(capsys, *LITTLE, "--limit", "ethanol 1900 mg/m3 15 min", "--lel", "ethanol 3.3 %")
    limits = {row["limit"]: row for row in out["limits"]}
    assert (limits["8h"]["ppm"], limits["8h"]["where"]) == (1000, "uk")
    assert limits["15min"]["where"] == "own"
    assert out["lel_percent"]["ethanol"] == 3.3


def test_spraying_stops_and_a_booth_is_not_judged(capsys):
    assert "spraying" in {s["code"] for s in told(capsys, *LITTLE, "--method", "spray")["stops"]}
    out = told(capsys, *LITTLE, "--method", "spray", "--booth")
    assert out["stops"] == []
    assert "spray-cone" in {c["code"] for c in out["cautions"]}


def test_cleaning_counts_and_nothing_comes_on_top_of_it(capsys):
    out = told(capsys, *LITTLE, "--cleaning", "30 ml at 2 h")
    assert [row["what"] for row in out["laid"]] == ["coat 1", "cleaning 1"]
    assert out["laid"][1]["solvent_g"]["ethanol"] == pytest.approx(30 * 0.812 * 0.924, rel=0.01)


def test_a_plan_lays_its_coats_in_the_hours_of_its_calendar(capsys):
    out = told(capsys, *PLAN)
    coats = [row for row in out["laid"] if not row["what"].startswith("cleaning")]
    days = {int(row["start_h"] // 24) for row in coats}
    assert len(days) > 2
    assert len(out["laid"]) > len(coats)
    assert set(out["evaporated_g"]) == {"ethanol", "isopropanol"}
    low, high = (out["figures"]["bound_ppm.all.ethanol"][k] for k in ("low", "high"))
    assert low < out["bound_ppm"]["all"]["ethanol"] < high
    # Coats of one day are together, not those of all days.
    total = sum(row["solvent_g"]["ethanol"] for row in out["laid"])
    every = 1e6 * total / 60 / 46.068 * 24.45 / 1000
    assert out["bound_ppm"]["all"]["ethanol"] < 0.8 * every


def test_the_words_of_a_plan_and_of_its_air_come_once(capsys):
    out = told(capsys, *PLAN)
    codes = [c["code"] for c in out["cautions"]] + [s["code"] for s in out["stops"]]
    assert len(codes) == len(set(codes))
    assert "air-not-estimated" not in codes
    assert out["cautions"][-1]["code"] == "standing"
    assert "dust" in codes  # the plan's own


def test_the_plot_is_a_picture_with_its_words(capsys, tmp_path):
    file = tmp_path / "air.svg"
    out = told(capsys, *ROOM, *COATS, "--plot", str(file))
    assert out["plot"] == str(file)
    sheet = ET.parse(file).getroot()
    assert "can ignite" in "".join(sheet.itertext())


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--coat", "lots"), "--coat"),
        (("--coat", "0 ml"), "lays nothing"),
        (("--coat", "20 ml at 0 h", "--coat", "20 ml"), "when it is laid"),
        (("--coat", "20 ml over 0 min"), "takes no time"),
        (("--coat", "20 ml", "--emission", "while-laying"), "how long the laying takes"),
        (("--coat", "20 ml", "--emission", "drying", "--method", "brush"), "--temp and --rh"),
        ((), "nothing is laid"),
        (("--coat", "20 ml", "--factor", "0.5"), "--factor"),
        (("--coat", "20 ml", "--limit", "ethanol"), "is not a limit"),
        (("--coat", "20 ml", "--limit", "ethanol 0 ppm"), "cannot be"),
        (("--coat", "20 ml", "--limit", "ethanol 5 ppm", "--limit", "ethanol 6 ppm"), "two"),
        (("--coat", "20 ml", "--lel", "ethanol 3"), "--lel"),
        (("--coat", "20 ml", "--jurisdiction", "moon"), "--jurisdiction"),
        (("--coat", "20 ml", "--hold", "0"), "--hold"),
        (("--coat", "20 ml", "--alone", "--sharing", "a cat"), "--alone"),
        (("--coat", "20 ml", "--plot", "air.png"), "no SVG"),
        (("--coat", "20 ml", "--plan", "x.toml"), "the plan says that"),
    ],
)
def test_what_cannot_be_worked_with_is_refused_in_a_line(capsys, args, said):
    assert said in refused(capsys, *ROOM, "--alcohol", "ethanol-190", "--cut", "2", *args)


def test_a_room_of_nothing_is_refused(capsys):
    here = ("--alcohol", "ethanol-190", "--cut", "2", "--coat", "20 ml")
    assert "--volume" in refused(capsys, "room", "--volume", "0 m3", *here)
    assert "--volume" in refused(capsys, "room", *here)
    assert "has no unit" in refused(capsys, "room", "--volume", "30", *here)


def test_a_plan_gives_its_air_where_the_room_is_said(capsys, tmp_path):
    plan = ("plan", str(TABLE), "--no-record", "--now", "2027-02-15", "--draws", "20")
    none = told(capsys, *plan)
    assert none["air"] is None
    assert "without the volume of the room" in none["missing"]["air"]
    out = told(capsys, *plan, "--volume", "60 m3", "--air-changes", "2", "--jurisdiction", "uk",
               "--pilot-off")  # fmt: skip
    assert out["air"]["mixture_index"] > 0
    assert out["figures"]["air.mixture_index"]["value"] == out["air"]["mixture_index"]
    assert "mixture" in {s["code"] for s in out["stops"]}
    assert {c["kind"] for c in out["air"]["changes"]} >= {"more_air", "larger_room"}
    assert "air-not-estimated" not in {c["code"] for c in out["cautions"]}
    file = tmp_path / "table.toml"
    file.write_text(TABLE.read_text("utf-8") + '\n[room]\nvolume = "60 m3"\nair_changes = 2\n'
                    'jurisdiction = "uk"\npilot_off = true\n')  # fmt: skip
    filed = told(capsys, "plan", str(file), *plan[2:])
    assert filed["air"] == out["air"]
    # Options go before the file.
    larger = told(capsys, "plan", str(file), *plan[2:], "--volume", "400 m3")
    assert larger["stops"] == []


def test_the_room_of_a_file_need_not_be_said_again(capsys, tmp_path):
    file = tmp_path / "table.toml"
    file.write_text(TABLE.read_text("utf-8") + '\n[room]\nvolume = "60 m3"\nair_changes = 2\n')
    here = ("room", "--plan", str(file), "--no-record", "--now", "2027-02-15")
    assert told(capsys, *here)["mixture_index"] > 0
    assert "--volume" in refused(capsys, "room", "--plan", str(TABLE), "--no-record")
    assert "--volume" in refused(capsys, "room", "--alcohol", "unknown", "--cut", "2", "--coat",
                                 "20 ml")  # fmt: skip


def test_a_class_is_estimated_for_a_session(capsys):
    here = ("room", "--plan", str(TABLE.with_name("class.toml")), "--no-record", "--now",
            "2027-02-15", "--volume", "150 m3", "--air-changes", "3")  # fmt: skip
    assert "--session" in refused(capsys, *here)
    out = told(capsys, *here, "--session", "45 min")
    assert any("all 7 at work" in note for note in out["notes"])


def test_a_flow_of_clean_air(capsys):
    flow = told(capsys, *ROOM[:3], "--air-changes", "60 m3/h", *COATS)
    rate = told(capsys, *ROOM[:3], "--air-changes", "2", *COATS)
    assert flow["mixture_index"] == pytest.approx(rate["mixture_index"])


def test_a_stop_by_the_lowest_limit_says_which_and_how_another_counts(capsys):
    out = text(capsys, *ROOM, *COATS)
    assert "first of all ethanol 138 ppm over 8 hours (nl, remembered, undated)" in out
    assert "say where you work (jurisdiction)" in out
    assert "--jurisdiction uk, or --limit" in out
    assert "say where you work" not in text(capsys, *ROOM, *COATS, "--jurisdiction", "nl")
