"""A stock list: read as people write it, and every fault told at once with line and column."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home
from lacwright.shop.clock import to_us

GOOD = """name,kind,amount,grade,wax,alcohol,supplier,bought,price,price for,note
garnet 1,flakes,"1,5 kg",garnet,waxed,,Supplier A,2027-01-02,48.50,1 kg,"first, bag"
spirit,alcohol,5 l,,,ethanol-190,,,30,,
paper,abrasive,12 sheets,P320,,,,,,,
nothing said,flakes,,,,,,,,,
"""


NOW = to_us(dt.datetime(2027, 6, 1, tzinfo=dt.UTC))


def take_in(text: str, **entry: Any) -> Any:
    from lacwright.shop.services.stock import import_stock
    from lacwright.shop.stock_list import read_stock_list
    from lacwright.shop.writing import Entry

    told = Entry(**{"now_us": NOW, **entry})
    return import_stock(stock=read_stock_list(text, "stock.csv"), entry=told)


def faults(text: str) -> list[str]:
    with pytest.raises(Refusal) as refused:
        take_in(text)
    from lacwright.shop.models import Lot, Movement

    assert not Movement.objects.exists()
    assert Lot.objects.count() == 1
    return str(refused.value).splitlines()


def test_it_is_taken_in_whole(shop: Home) -> None:
    from lacwright.shop.audit import audit
    from lacwright.shop.models import Balance, Lot

    answer = take_in(GOOD)
    assert answer.data["written"] == 4
    garnet, spirit = Lot.objects.get(key="garnet 1"), Lot.objects.get(key="spirit")
    assert (garnet.grade, garnet.waxed, garnet.supplier) == ("garnet", True, "Supplier A")
    assert (garnet.price, garnet.price_for_u, garnet.note) == (
        Decimal("48.50"), 10**9, "first, bag")  # fmt: skip
    assert str(garnet.bought) == "2027-01-02"
    assert spirit.parts is not None
    assert set(spirit.parts) == {"ethanol", "water"}
    assert Lot.objects.get(key="paper").unit == "pc"
    assert Balance.objects.get(place=garnet.place).ug == 1_500_000_000
    assert not Balance.objects.filter(place__key="store:nothing said").exists()
    assert audit(shop).findings == ()


@pytest.mark.parametrize("mark", [";", "\t"])
def test_other_marks_a_byte_order_mark_and_a_decimal_comma(
    shop: Home, tmp_path: Path, mark: str
) -> None:
    from lacwright.shop.stock_list import load_stock_list

    lines = ["Kind|PRICE|Name| Amount |price_for", "", "flakes|48,5|a b|0,25 kg|1 kg", "||||",
             "wax|7|c|60 g|60 g"]  # fmt: skip
    file = tmp_path / "list.csv"
    for encoding in ("utf-8-sig", "utf-16"):
        file.write_bytes("\r\n".join(lines).replace("|", mark).encode(encoding))
        stock = load_stock_list(file)
        stock.refuse()
        first, second = stock.rows
        assert first.lot["amount"] == {"n": 250_000_000, "u": "ug"}
        assert first.lot["described"]["price"] == Decimal("48.5")
        assert (first.line, second.line, second.lot["name"]) == (3, 5, "c")


def test_a_dry_run_writes_nothing(shop: Home) -> None:
    from lacwright.shop.models import Lot

    assert take_in(GOOD, dry_run=True).data["written"] == 4
    assert Lot.objects.count() == 1


def test_every_fault_is_told_at_once_with_line_and_column(shop: Home) -> None:
    told = faults("""name,kind,amount,grade,wax,bleached,alcohol,bought,price,note
a,flake,1 kg,,,,,,,
b,flakes,1,garnet,,,,,,
c,flakes,500 ml,granet,maybe,,,2027-02-30,x,
d:e,flakes,1 g,,,,,,,
b1,wax,60 g,,,,,,,
b1,wax,60 g,,,,,,,
f,alcohol,1 l,,yes,,,,,
,flakes,1 g,,,,,,,
g,flakes,1 g,dewaxed blonde,waxed,,,,,
h,flakes,1 g,,,,,,9,,,too,many
i,flakes,,,,,,,9,
""")
    starts = [line.partition(": ")[0] for line in told]
    assert starts == [
        "stock.csv, line 2, kind", "stock.csv, line 3, amount", "stock.csv, line 4, amount",
        "stock.csv, line 4, grade", "stock.csv, line 4, wax", "stock.csv, line 4, bought",
        "stock.csv, line 4, price", "stock.csv, line 5, name", "stock.csv, line 7, name",
        "stock.csv, line 8, wax", "stock.csv, line 9, name", "stock.csv, line 10, grade",
        "stock.csv, line 11", "stock.csv, line 12, price",
    ]  # fmt: skip
    assert "did you mean 'flakes'" in told[0]
    assert "it has no unit" in told[1] or "has no unit" in told[1]
    assert "stands in line 6 already" in told[8]
    assert not any("--" in line for line in told[:7])


def test_all_faults_of_one_line_are_told_whatever_finds_them(shop: Home) -> None:
    told = faults(
        """name,kind,amount,grade,wax,bleached,alcohol,supplier,bought,price,price for
d:e,alcohol,5 l,garnet,yes,yes,ethanoll,,2029-01-01,9,x
a,flakes,500 ml,granet,waxed,,,{long},2029-01-01,9999999999,
b,wax,,,yes,no,ethanol-190,,,9,
A,flak,12 furlongs,,,,,,2029-01-01,-1,
""".replace("{long}", "y" * 81)
    )
    at = [line.partition(": ")[0].removeprefix("stock.csv, line ") for line in told]
    assert sorted(at) == sorted([
        "2, name", "2, grade", "2, wax", "2, bleached", "2, alcohol", "2, bought", "2, price for",
        "3, amount", "3, grade", "3, supplier", "3, bought", "3, price",
        "4, wax", "4, bleached", "4, alcohol", "4, price",
        "5, name", "5, kind", "5, amount", "5, bought", "5, price",
    ])  # fmt: skip
    assert [int(where.partition(",")[0]) for where in at] == sorted(
        int(where.partition(",")[0]) for where in at
    )
    assert "'A' stands in line 3 already" in "\n".join(told)
    assert "it has 81 characters, 80 are the most" in "\n".join(told)


def test_what_the_record_has_already_is_told_too(shop: Home) -> None:
    from lacwright.shop.models import Movement

    take_in(GOOD)
    with pytest.raises(Refusal, match=r"line 2, name: there is a lot 'garnet 1' already") as told:
        take_in(GOOD)
    assert str(told.value).count("\n") == 3
    assert Movement.objects.count() == 4


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "it is empty"),
        ("name,kind\n", "it has no lines but its first"),
        ("name,amount\na,1 g\n", "no column is called kind"),
        ("name,kind,weigth\na,wax,1 g\n", "no column is called 'weigth'"),
        ("name,kind,lot\na,wax,b\n", "two columns hold the same ('lot')"),
        ("name,kind,\na,wax,b\n", "'b' stands under no heading"),
        ('name,kind\na,"wax\n', "a quote opens here that is not closed"),
        ("name,kind\n" + "a,wax\n" * 6000, "it has more than 5000 lines"),
        ("name,kind\n" + "".join(f"a{n},wx\n" for n in range(60)), "10 more faults like these"),
        ("name,kind,price\na,wax,1.234.5\n", "is not a price"),
        ("name,kind,price\na,wax,-3\n", "is not a price"),
        ("name,kind,bought\na,wax,01/02/2027\n", "is not a day"),
    ],
)
def test_what_is_no_list_is_refused_plainly(shop: Home, text: str, says: str) -> None:
    assert says in "\n".join(faults(text))


def test_a_file_that_cannot_be_read_is_refused_plainly(shop: Home, tmp_path: Path) -> None:
    from lacwright.shop.stock_list import load_stock_list

    (tmp_path / "latin.csv").write_bytes("name,kind\ncafé,wax\n".encode("latin-1"))
    for path, says in (
        (tmp_path, "it is a folder"),
        (tmp_path / "no.csv", "cannot be read"),
        (tmp_path / "latin.csv", "latin.csv, line 2: it is not UTF-8"),
    ):
        with pytest.raises(Refusal, match=says):
            load_stock_list(path)


def test_all_of_a_list_is_done_at_the_time_it_is_told(shop: Home) -> None:

    from lacwright.shop.models import Movement

    moment = to_us(dt.datetime(2027, 3, 1, tzinfo=dt.UTC))
    take_in(GOOD, at_us=moment, token="t", now_us=moment + 1)
    assert set(Movement.objects.values_list("at_us", flat=True)) == {moment}
    assert take_in(GOOD, at_us=moment, token="t", now_us=moment + 9).repeated
