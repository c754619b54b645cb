"""Tables for a spreadsheet: readable there, and nothing in them is taken for a formula."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home


def read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as stream:
        return list(csv.DictReader(stream))


def test_a_file_for_every_table_with_grams_and_the_shops_hours(
    filled: Home, tmp_path: Path
) -> None:  # fmt: skip
    from lacwright.shop.csv_tables import write_csv
    from lacwright.shop.models import Line, Movement

    done = write_csv(tmp_path / "tables")
    assert done.rows["line.csv"] == Line.objects.count()
    assert sorted(done.rows) == sorted(path.name for path in done.folder.iterdir())
    raw = (done.folder / "lot.csv").read_bytes()
    assert raw.startswith(b"\xef\xbb\xbfid,key,")
    assert b"\r\n" in raw
    # The shop is in Vienna: 12:00 UTC on 1 March 2027 is 13:00 there, and two hours ahead in April.
    moves = {row["id"]: row for row in read(done.folder / "movement.csv")}
    for movement in Movement.objects.all():
        row = moves[str(movement.id)]
        assert row["at_us"] == str(movement.at_us)
        assert row["at"].endswith("+01:00" if row["at"] < "2027-03-28T03" else "+02:00")
    line = read(done.folder / "line.csv")[0]
    first = Line.objects.order_by("id")[0]
    assert (line["ug"], float(line["g"])) == (str(first.ug), first.ug / 1e6)
    assert (line["place"], line["lot"]) == (first.place.key, first.lot.key)
    lots = {row["key"]: row for row in read(done.folder / "lot.csv")}
    assert (lots["garnet new"]["price"], lots["garnet new"]["price_for"]) == ("48.0000", "1000")
    assert lots["garnet old"]["bought"] == "2023-05-02"
    assert lots["not-said"]["said"] == "no"
    assert lots["spirit"]["parts"].startswith('{"ethanol": 0.9')


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1", "\n=1"])
def test_a_text_that_a_spreadsheet_would_carry_out_gets_an_apostrophe(
    shop: Home, tmp_path: Path, text: str
) -> None:
    from lacwright.shop.csv_tables import write_csv
    from lacwright.shop.models import Setting

    Setting.objects.create(key="own.x", value=text)
    folder = write_csv(tmp_path / "tables").folder
    values = {row["key"]: row["value"] for row in read(folder / "setting.csv")}
    assert values["own.x"] == f"'{text}"
    assert values["zone"] == "UTC"


def test_numbers_below_zero_stay_numbers(filled: Home, tmp_path: Path) -> None:
    from lacwright.shop.csv_tables import write_csv

    folder = write_csv(tmp_path / "tables").folder
    assert min(int(row["ug"]) for row in read(folder / "line.csv")) < 0
    assert min(float(row["g"]) for row in read(folder / "line.csv")) < 0


def test_nothing_is_written_over(shop: Home, tmp_path: Path) -> None:
    from lacwright.shop.csv_tables import write_csv

    (tmp_path / "empty").mkdir()
    assert write_csv(tmp_path / "empty").rows["setting.csv"] == 3
    with pytest.raises(Refusal, match="something lies there already"):
        write_csv(tmp_path / "empty")
    (tmp_path / "file").write_text("")
    with pytest.raises(Refusal, match="something lies there already"):
        write_csv(tmp_path / "file")
    with pytest.raises(Refusal, match="no table was written"):
        write_csv(tmp_path / "file" / "in it")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["empty", "file", "home"]
