"""Forecasts and logs as CSV: read whatever its form, faults by line, oddities reported."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from lacwright.climate import dew_point_c
from lacwright.figures import Refusal
from lacwright.files.air_table import load_air, read_air

VIENNA = ZoneInfo("Europe/Vienna")
UTC = dt.UTC


def air(text, zone=VIENNA, **more):
    return read_air(text, zone, "log.csv", **more)


def told(table):
    return " ".join(table.reports)


def two(table):
    """Return the air of a table of two rows, 20 C 45 % and 21 C 50 %."""
    assert table.temp_c == pytest.approx([20, 21], abs=0.05)
    assert table.rh == pytest.approx([0.45, 0.50], abs=0.002)
    assert [f"{a:%Y-%m-%d %H:%M}" for a in table.at] == ["2027-03-01 09:00", "2027-03-01 10:00"]
    return table


@pytest.mark.parametrize(
    "text",
    [
        "time,temp,rh\n2027-03-01 09:00,20,45\n2027-03-01 10:00,21,50\n",
        "RH [%],Temp [C],When\n45,20,2027-03-01 09:00\n50,21,2027-03-01 10:00\n",
        "time;temp;rh\n2027-03-01 09:00;20,0;0,45\n2027-03-01 10:00;21,0;0,5\n",
        "time\ttemp\trh\n2027-03-01 09:00\t20\t45 %\n2027-03-01 10:00\t21\t50 %\n",
        "Date Time,Temperature (°F),Humidity (%RH)\n2027-03-01T09:00,68,45\n"
        "2027-03-01T10:00,69.8,50",
        "time,temp_f,rh\n2027-03-01 09:00,68,45\n2027-03-01 10:00,69.8,50\n",
        "time,temp,rh\n2027-03-01 09:00,68 F,0.45\n2027-03-01 10:00,21 °C,0.5\n",
        "Datum;Uhrzeit;Temperatur [°C];Luftfeuchte [%]\n01.03.2027;9:00;20,0;45\n"
        "1.3.2027;10:00;21;50",
        "date,time,temp,rh\n3/1/2027,9:00 AM,20,45\n3/1/2027,10:00 am,21,50\n",
        "time,temp,rh\n2027-03-01T09:00:00+01:00,20,45\n2027-03-01T09:00:00Z,21,50\n",
        "Time (UTC),temp,rh\n2027-03-01 08:00,20,45\n2027-03-01 09:00,21,50\n",
        "time,temp,rh,note\n1803888000,20,45,a\n1803891600,21,50,b\n",
        "Logger 7\nstarted,yesterday\nno,time,temp,rh\n1,2027-03-01 09:00,20,45\n"
        "2,2027-03-01 10:00,21,50\n",
        "time,temp,dew point\n2027-03-01 09:00,20,7.68\n2027-03-01 10:00,21,10.19\n",
    ],
)  # fmt: skip
def test_every_form_is_the_same_air(text):
    two(air(text, dates="mdy" if "3/1/2027" in text else None))


def test_headings_can_be_named():
    text = "wann;Außentemperatur;temp;f\n2027-03-01 09:00;20;3;45\n2027-03-01 10:00;21;4;50\n"
    two(air(text, columns={"time": "wann", "temp": "außentemperatur", "rh": "f"}))
    with pytest.raises(Refusal, match="no column is called 'g'; headings are: 'wann'"):
        air(text, columns={"time": "wann", "rh": "g"})
    with pytest.raises(Refusal, match="'wind' is nothing that a column holds"):
        air(text, columns={"wind": "f"})


def test_what_was_taken_for_granted_is_reported():
    table = air("time,temp,rh\n2027-03-01 09:00,20,45\n2027-03-01 10:00,21,50\n")
    assert "The temperature has no unit: read as C." in table.reports
    assert "The relative humidity has no unit: read as per cent." in table.reports
    assert air("time,temp [C],rh [%]\n2027-03-01 09:00,20,45\n").reports == ()
    assert "a share" in told(air("time,temp [C],rh\n2027-03-01 09:00,20,.45\n"))


def test_a_board_and_a_speed_are_read_and_may_be_empty():
    table = air("time,temp [C],rh [%],board [F],air speed [m/s]\n2027-03-01 09:00,20,45,59,0.2\n"
                "2027-03-01 10:00,20,45,,\n")  # fmt: skip
    assert table.board_c == pytest.approx([15, np.nan], nan_ok=True)
    assert table.speed_m_s == pytest.approx([0.2, np.nan], nan_ok=True)


def test_a_dew_point_gives_the_humidity_back():
    dew = dew_point_c(temp_c=20.0, rh=0.45)
    table = air(f"time,temp [C],td [C]\n2027-03-01 09:00,20,{dew:.6f}\n")
    assert table.rh[0] == pytest.approx(0.45, abs=1e-6)


HEAD = "time,temp [C],rh [%]\n"


def test_rows_out_of_order_doubled_and_gaps_are_reported_and_nothing_is_filled_in():
    table = air(HEAD + "2027-03-01 10:00,21,50\n2027-03-01 09:00,20,45\n2027-03-01 11:00,22,50\n"
                "2027-03-01 11:00,22,50\n2027-03-01 12:00,22,50\n2027-03-01 12:00,23,50\n"
                "2027-03-01 13:00,22,50\n2027-03-01 18:00,20,50\n"
                "2027-03-01 19:00,,50\n")  # fmt: skip
    assert [a.hour for a in table.at] == [9, 10, 11, 13, 18]
    words = told(table)
    assert "not in the order of their times" in words
    assert "Line 5: the same time and air once more; counted once." in words
    assert "Lines 6 and 7: the same time with different air; none of them is used." in words
    assert "Line 10 says too little" in words
    assert "Nothing between Mon 1 Mar 13:00 and Mon 1 Mar 18:00 (5 h); not filled in." in words


def test_the_hour_that_the_clock_skips_is_reported():
    # In this zone the clocks go from 2:00 to 3:00 on 28 March 2027.
    table = air(HEAD + "2027-03-28 01:00,20,45\n2027-03-28 02:30,20,45\n2027-03-28 03:00,20,45\n")
    assert [a.hour for a in table.at] == [1, 3]
    assert table.at[1].timestamp() - table.at[0].timestamp() == 3600
    assert "Line 3: the clocks skip that hour" in told(table)


def test_the_hour_that_the_clock_strikes_twice():
    # They go back from 3:00 to 2:00 on 31 October 2027.
    rows = [f"2027-10-31 0{h}:00,20,{45 + k}" for k, h in enumerate((1, 2, 2, 3))]
    table = air(HEAD + "\n".join(rows))
    assert [a.utcoffset().seconds // 3600 for a in table.at] == [2, 2, 1, 1]
    assert np.diff([a.timestamp() for a in table.at]).tolist() == [3600] * 3
    assert table.rh == pytest.approx([0.45, 0.46, 0.47, 0.48])
    assert "Lines 3 and 4: the clock strikes that hour twice" in told(table)
    alone = air(HEAD + "\n".join([rows[0], rows[1], rows[3]]))
    assert [a.hour for a in alone.at] == [1, 3]
    assert "which it is, is not said; not used" in told(alone)
    plain = air(HEAD + "2027-10-31T02:00+02:00,20,45\n2027-10-31T02:00+01:00,20,45\n")
    assert len(plain.at) == 2
    assert plain.reports == ()


def test_the_doubled_hour_of_half_hours_in_new_york_and_of_a_log_that_runs_down():
    # They go back from 2:00 to 1:00 on 7 November 2027.
    clocks = ("00:30", "01:00", "01:30", "01:00", "01:30", "02:00")
    rows = [f"2027-11-07 {c},20,{45 + k}" for k, c in enumerate(clocks)]
    zone = ZoneInfo("America/New_York")
    for lines, words in ((rows, "line above is taken for the first"),
                         (rows[::-1], "line below is taken for the first")):  # fmt: skip
        table = air(HEAD + "\n".join(lines), zone)
        assert np.diff([a.timestamp() for a in table.at]).tolist() == [1800] * 5
        assert table.rh == pytest.approx([0.45, 0.46, 0.47, 0.48, 0.49, 0.50])
        assert words in told(table)
    three = air(HEAD + "\n".join([rows[0], rows[1], rows[1], rows[3], rows[5]]), zone)
    assert [f"{a:%H:%M}" for a in three.at] == ["00:30", "02:00"]
    assert "not used" in told(three)


def test_a_day_of_twenty_five_hours_is_whole():
    offsets = ["+02:00"] * 3 + ["+01:00"] * 22
    hours = [0, 1, 2, *range(2, 24)]
    rows = [f"2027-10-31T{h:02}:00{o},20,45" for h, o in zip(hours, offsets, strict=True)]
    table = air(HEAD + "\n".join(rows), ZoneInfo("Europe/Berlin"))
    assert len(table.at) == 25
    assert table.reports == ()


def test_two_rows_alone_do_not_show_the_step_and_that_is_said():
    head = "time,temp [C],rh [%]\n"
    table = air(head + "".join(f"2027-03-01 {h:02}:00,20,45\n" for h in (8, 11)))
    assert table.reports == (
        "Two rows alone, Mon 1 Mar 08:00 and Mon 1 Mar 11:00 (3 h apart), do not show the step of "
        "the table: whether any are missing between them is not known; not filled in.",
    )
    beside = air(head + "".join(f"2027-03-01 {h:02}:00,20,45\n" for h in (8, 9)))
    assert beside.reports == ()


def test_a_gap_among_few_rows_is_reported():
    head = "time,temp [C],rh [%]\n"
    for hours in ((8, 11, 12), (8, 9, 12)):
        table = air(head + "".join(f"2027-03-01 {h:02}:00,20,45\n" for h in hours))
        assert "(3 h); not filled in." in told(table)
    steady = air(head + "".join(f"2027-03-01 {h:02}:00,20,45\n" for h in (6, 9, 12, 15)))
    assert steady.reports == ()


def test_a_dew_point_that_the_humidity_denies_is_reported():
    # 20 C at 45 %: dew point 7.7 C; 10 C is 53 %, 25 C cannot be; 8.2 C is 46.5 %.
    head = "time,temp [C],rh [%],dew point [C]\n"
    table = air(head + "2027-03-01 09:00,20,45,7.7\n2027-03-01 10:00,20,45,10\n"
                "2027-03-01 11:00,20,45,8.2\n2027-03-01 12:00,20,45,25\n")  # fmt: skip
    assert table.rh == pytest.approx([0.45] * 4)
    [words] = table.reports
    assert words.startswith("Lines 3 and 5: relative humidity and dew point differ")
    assert "the relative humidity is taken" in words


def test_air_outside_the_range_is_left_out_and_said():
    table = air(HEAD + "2027-03-01 09:00,-25,60\n2027-03-01 10:00,20,45\n")
    assert len(table.at) == 1
    assert "Line 2: -25.0 C lies outside" in told(table)


def test_a_log_of_minutes_becomes_hours():
    rows = [f"2027-03-01 {h:02}:{m:02},{h + m / 100},50" for h in (9, 10, 11)
            for m in (0, 15, 30, 45)]  # fmt: skip
    table = air(HEAD + "\n".join(rows)).hourly()
    assert [f"{a:%H:%M}" for a in table.at] == ["09:00", "10:00", "11:00", "11:45"]
    assert table.temp_c == pytest.approx([9, 10, 11, 11.45])
    assert "of 12, the 4 nearest to the full hours are used" in told(table)
    hours = air(HEAD + "2027-03-01 09:00,20,50\n2027-03-01 10:00,20,50\n")
    assert hours.hourly() is hours


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "it is empty"),
        ("time,temp\n2027-03-01 09:00,20\n", "no column is called rh"),
        ("temp,rh\n20,45\n", "no column is called time"),
        ("time,temp,rh,humidity\n", "two columns hold the same ('humidity')"),
        ("time,temp,rh\n", "no line below them"),
        (HEAD + "yesterday,20,45\n", "log.csv, line 2, time: 'yesterday' is not a day and an hour"),
        (HEAD + "2027-03-01,20,45\n", "has no hour"),
        (HEAD + "1827-03-01 09:00,20,45\n", "the year 1827 is a slip"),
        (HEAD + "2027-03-01 09:00,warm,45\n", "line 2, temp [C]: 'warm' is no number"),
        (HEAD + "2027-03-01 09:00,20 %,45\n", "'20 %' is no temperature"),
        ("time,temp,rh [%]\n2027-03-01 09:00,70,45\n", "name the unit in the heading: temp [F]"),
        (HEAD + "2027-03-01 09:00,20,145\n", "145 is no relative humidity in per cent"),
        (HEAD + "2027-03-01 09:00,20,0.45\n", "0.45 is no relative humidity in per cent"),
        ("time,temp [C],rh\n2027-03-01 09:00,20,0.45\n2027-03-01 10:00,20,45\n",
         "line 2, rh: 0.45 is no relative humidity in per cent"),
        (HEAD + "2027-03-01 09:00,20,45,1\n", "it has 4 cells, the headings are 3"),
        ("date,time,temp [C],rh [%]\n3/1/2027,9:00,20,45\n", "whether day or month stands first"),
        ("time,temp [C],dew [C]\n2027-03-01 09:00,20,25\n", "a dew point of 25.0 C in air of 20.0"),
        (HEAD + '"2027-03-01 09:00,20,45\n', "no CSV"),
        (HEAD + "2027-03-01 09:00,,\n", "no line of it can be used"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_with_its_line(text, words):
    with pytest.raises(Refusal) as refusal:
        air(text)
    assert words in str(refusal.value)


def test_all_faults_are_told_at_once_and_too_many_are_counted():
    with pytest.raises(Refusal) as refusal:
        air(HEAD + "2027-03-01 09:00,x,45\n" * 30)
    lines = str(refusal.value).splitlines()
    assert len(lines) == 21
    assert "line 21" in lines[19]
    assert "10 more faults like these" in lines[20]


def test_files_of_other_letters(tmp_path):
    text = "time;temp [°C];rh [%]\n2027-03-01 09:00;20,0;45\n2027-03-01 10:00;21;50\n"
    for letters in ("utf-8", "utf-8-sig", "utf-16"):
        (tmp_path / "a.csv").write_bytes(text.encode(letters))
        assert two(load_air(tmp_path / "a.csv", VIENNA)).reports == ()
    (tmp_path / "a.csv").write_bytes(text.encode("cp1252"))
    assert "not UTF-8" in told(two(load_air(tmp_path / "a.csv", VIENNA)))
    for name, words in (("none.csv", "cannot be read"), (".", "it is a folder")):
        with pytest.raises(Refusal, match=words):
            load_air(tmp_path / name, VIENNA)
    (tmp_path / "b.csv").write_bytes(b"\x00\x01\xff" * 9)
    with pytest.raises(Refusal, match="not a text"):
        load_air(tmp_path / "b.csv", VIENNA)
