"""Readings: one by one, and a logger's table with every fault told by its line."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from lacwright.figures import Refusal, Refusals
from lacwright.shop.readings_csv import load_readings, read_readings

UTC = dt.UTC


def us(text):
    moment = dt.datetime.fromisoformat(text).replace(tzinfo=UTC)
    return round(moment.timestamp()) * 1_000_000


def test_units_stand_in_the_heading_or_in_the_cells():
    rows = read_readings(
        "time,Temp [F],RH (%),board,Board temp C,place\n"
        "2027-03-01 09:15,68,45,9 %,18.5,bench\n"
        "2027-03-01 10:15,21 C,,0.085,,\n",
        UTC,
    )
    assert rows[0].at_us == us("2027-03-01 09:15")
    assert rows[0].temp_c == pytest.approx(20)  # 68 F
    assert (rows[0].rh, rows[0].board_mc) == (pytest.approx(0.45), pytest.approx(0.09))
    assert (rows[0].board_temp_c, rows[0].where) == (18.5, "bench")
    assert (rows[1].temp_c, rows[1].rh, rows[1].board_mc) == (21, None, 0.085)


def test_semicolons_decimal_commas_a_date_of_its_own_and_columns_nobody_reads():
    rows = read_readings("Date;Time;battery;temp_c;rh_%\n2027-03-01;09:15;ok;20,5;45,5\n", UTC)
    (row,) = rows
    assert (row.at_us, row.temp_c) == (us("2027-03-01 09:15"), 20.5)
    assert row.rh == pytest.approx(0.455)


def test_all_faults_are_told_at_once_each_with_its_line():
    with pytest.raises(Refusals) as refusals:
        read_readings(
            "time,temp,rh\n"
            "2027-03-01 09:15,20,45\n"  # 45 of what?
            "yesterday,20,45 %\n"
            "2027-03-01 11:15,900,45 %\n"
            "2027-03-01 12:15,20,145 %\n"
            "2027-03-01 13:15,,\n"
            ",20,45 %\n"
            "2027-03-01 14:15,20,45 %,7\n"
            "2027-03-01 15:15,20,45 %\n",
            UTC, "log.csv",
        )  # fmt: skip
    told = [str(r) for r in refusals.value.each]
    assert [text.partition(",")[0] for text in told] == ["log.csv"] * 7
    for line, words in zip(range(2, 9), (
        "has no unit", "not a day and an hour", "no temperature of a shop", "cannot be",
        "nothing was read", "it has no time", "it has 4 cells",
    ), strict=True):  # fmt: skip
        assert f"line {line}" in told[line - 2]
        assert words in told[line - 2]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"), ("temp,rh\n20,45 %\n", "no column is called time"),
        ("time,place\n2027-03-01,bench\n", "no column holds a reading"),
        ("time,temp,temperature\n2027-03-01,20,21\n", "two columns hold the same"),
        ('time,temp\n"2027-03-01,20\n', "a quote opens here"),
    ],
)  # fmt: skip
def test_a_table_that_is_none_is_refused(text, words):
    with pytest.raises(Refusal, match=words):
        read_readings(text, UTC)


def test_files_that_cannot_be_read(tmp_path):
    with pytest.raises(Refusal, match="cannot be read"):
        load_readings(tmp_path / "none.csv", UTC)
    with pytest.raises(Refusal, match="is a folder"):
        load_readings(tmp_path, UTC)
    (tmp_path / "old.csv").write_bytes(b"time,temp\n2027-03-01,20 \xb0C\n")
    with pytest.raises(Refusal, match="line 2: it is not UTF-8"):
        load_readings(tmp_path / "old.csv", UTC)
    (tmp_path / "long.csv").write_text("time,temp\n" + "2027-03-01 09:15,20 C\n" * 250_000)
    with pytest.raises(Refusal, match="larger than 5 MB"):
        load_readings(tmp_path / "long.csv", UTC)
    (tmp_path / "many.csv").write_text("time,temp\n" + "2027-03-01,20\n" * 20_001)
    with pytest.raises(Refusal, match="more than 20000 lines"):
        load_readings(tmp_path / "many.csv", UTC)


def test_many_faults_are_cut_short():
    with pytest.raises(Refusals) as refusals:
        read_readings("time,temp\n" + "never,20\n" * 500, UTC)
    assert len(refusals.value.each) == 21
    assert "480 more faults" in str(refusals.value.each[-1])


def test_an_import_is_whole_and_can_be_repeated(bench):
    from lacwright.shop.models import Event
    from lacwright.shop.queries.readings import readings
    from lacwright.shop.services.readings import import_readings

    rows = read_readings("time,temp,rh\n2027-03-01 09:00,20,45 %\n2027-03-01 10:00,21,46 %\n"
                         "2027-03-01 10:00,21,46 %\n", UTC)  # fmt: skip
    preview = import_readings(rows=rows, entry=bench.at(2, dry_run=True))
    assert preview.data["written"] == 2
    assert not Event.objects.filter(kind="reading").exists()
    made = import_readings(rows=rows, entry=bench.at(2))
    assert (made.data["written"], made.data["already_there"]) == (2, 1)
    more = [*rows, *read_readings("time,temp\n2027-03-02 09:00,19\n", UTC)]
    assert import_readings(rows=more, entry=bench.at(3)).data["written"] == 1
    assert [r.temp_c for r in readings()] == [19, 21, 20]
    assert [r.at_us for r in readings()] == sorted({r.at_us for r in more}, reverse=True)
    with pytest.raises(Refusal, match="in the future"):
        import_readings(rows=read_readings("time,temp\n2028-03-01 09:00,20\n", UTC),
                        entry=bench.at(2))  # fmt: skip


def test_the_latest_air_within_an_age(bench):
    from lacwright.shop.queries.readings import latest, of_day
    from lacwright.shop.services.readings import add_reading

    hour = 3_600_000_000
    add_reading(temp_c=20, rh=0.45, entry=bench.at(1, 8))
    add_reading(temp_c=22, entry=bench.at(1, 10))
    add_reading(board_mc=0.09, board_temp_c=18, entry=bench.at(1, 11))
    found = latest(at_us=bench.us(1, 12), within_us=12 * hour)
    # Temperature and humidity stand in two readings, each fresh.
    assert (found.temp_c, found.rh) == (22, 0.45)
    assert latest(at_us=bench.us(1, 12), within_us=3 * hour).rh is None
    assert latest(at_us=bench.us(1, 7), within_us=12 * hour) is None
    assert latest(at_us=bench.us(2, 12), within_us=12 * hour) is None
    assert of_day(dt.date(2027, 3, 1), UTC).temp_c == 22
    assert of_day(dt.date(2027, 3, 2), UTC) is None


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({}, "nothing was read"), ({"temp_c": 75}, "no temperature"),
        ({"rh": 1.2}, "more than anybody"), ({"board_temp_c": float("nan")}, "not a number"),
        ({"temp_c": 20, "job": "T-1"}, "no job yet"), ({"temp_c": 20, "where": "x" * 90}, "90"),
    ],
)  # fmt: skip
def test_readings_that_cannot_be_are_refused(bench, more, words):
    from lacwright.shop.services.readings import add_reading

    with pytest.raises(Refusal, match=words):
        add_reading(**more, entry=bench.at(1))


def test_a_reading_is_corrected_and_taken_back(bench):
    from lacwright.shop.queries.readings import readings
    from lacwright.shop.services.amend import amend, undo
    from lacwright.shop.services.readings import add_reading

    made = add_reading(temp_c=20, rh=0.45, entry=bench.at(1))
    amend(movement=made.movement, changes={"temp_c": 21}, entry=bench.at(2))
    assert readings()[0].temp_c == 21
    undo(movement=made.movement, entry=bench.at(3))
    assert readings() == []


# The clocks of Central Europe go back from 03:00 to 02:00 on the last Sunday of October and on from
# 02:00 to 03:00 on that of March (Directive 2000/84/EC: 01:00 UTC): 2026-10-25 and 2027-03-28.
VIENNA = ZoneInfo("Europe/Vienna")


def test_readings_of_the_doubled_hour_are_taken_as_the_first_and_told(bench):
    from lacwright.shop.services.readings import import_readings

    table = "time,temp\n" + "".join(
        f"2026-10-25 {time},20\n"
        for time in ("01:59", "02:00", "02:10", "02:20", "02:30", "02:40", "02:59:59", "03:00")
    )
    rows = read_readings(table, VIENNA, "log.csv")
    assert [bool(row.second) for row in rows] == [False, *[True] * 6, False]
    assert rows[1].at_us == us("2026-10-25 00:00")
    data = import_readings(rows=rows, entry=bench.at(2)).data
    assert (data["written"], data["shown_twice"]) == (8, 6)
    (said,) = data["says"]
    assert "6 readings of log.csv" in said
    assert "line 3, 4, 5, 6, 7 and 1 more" in said
    assert '"2026-10-25T02:00:00+01:00"' in said
    # Mended as it says, nothing is told, and the hour between them is there.
    first, second = read_readings(
        "date,time,temp\n2026-10-25,02:00:00+02:00,20\n2026-10-25,02:00:00+01:00,20\n", VIENNA
    )
    assert second.at_us - first.at_us == 3_600_000_000
    assert first.at_us == rows[1].at_us
    assert import_readings(rows=[second], entry=bench.at(3)).data["says"] == []


def test_readings_at_a_time_that_no_clock_showed_are_refused_each_with_its_line():
    table = "time,temp\n2027-03-28 01:59,20\n2027-03-28 02:00,20\n2027-03-28 02:30,20\n"
    with pytest.raises(Refusals) as refusals:
        read_readings(f"{table}2027-03-28 03:00,20\n", VIENNA, "log.csv")
    assert [str(r) for r in refusals.value.each] == [
        f"log.csv, line {line}, time: the clocks skip 2027-03-28 {time} in this zone; "
        f'write what the clock showed, such as "2027-03-28 {shown}".'
        for line, time, shown in ((3, "02:00", "03:00"), (4, "02:30", "03:30"))
    ]


def test_of_a_moment_that_the_clocks_show_twice_both_are_offered():
    from lacwright.shop.clock import read_moment

    with pytest.raises(Refusal) as refused:
        read_moment("2026-10-25 02:30", VIENNA, "--at")
    assert str(refused.value) == (
        "--at: the clocks show 2026-10-25 02:30 twice in this zone; write "
        '"2026-10-25 02:30+02:00" for the first time, "2026-10-25 02:30+01:00" for the second.'
    )
    for text, utc in (("2026-10-25 02:30+02:00", "00:30"), ("2026-10-25 02:30+01:00", "01:30"),
                      ("2026-10-25 01:59", "2026-10-24 23:59"), ("2026-10-25 03:00", "02:00"),
                      ("2026-10-25", "11:00")):  # fmt: skip
        assert read_moment(text, VIENNA, "--at") == us(utc if " " in utc else f"2026-10-25 {utc}")
    # A zone that is ahead of it by half an hour alone in summer.
    with pytest.raises(Refusal, match=r"\+11:00.*\+10:30"):
        read_moment("2027-04-04 01:45", ZoneInfo("Australia/Lord_Howe"), "--at")
