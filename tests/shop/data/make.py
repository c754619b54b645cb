"""Makes the filled record that is kept for the tests of later versions: `python make.py [FILE]`.

It is a backup of a small invented shop with every kind of entry, compressed. A released one is
never made anew: a change of the tables gets a migration and, beside the old one, a new file.
"""

from __future__ import annotations

import datetime as dt
import io
import lzma
import os
import sys
import tempfile
from decimal import Decimal
from pathlib import Path
from typing import Any

os.environ.update(LACWRIGHT_HASTY="1", TZ="Europe/Vienna")

from lacwright.shop import Home, close_record, open_record

KEPT = Path(__file__).with_name("record-0001.tar.xz")
NOW = dt.datetime(2027, 6, 1, 12, tzinfo=dt.UTC)
PHOTO = b"\x89PNG\r\n\x1a\n" + bytes(range(256))
SHOP = "0123456789abcdef0123456789abcdef"


def us(moment: dt.datetime) -> int:
    return round(moment.timestamp()) * 1_000_000


def at(day: int, hour: float = 12.0, **more: Any) -> Any:
    """Return an entry for something done on a day of March 2027."""
    from lacwright.shop.writing import Entry

    moment = dt.datetime(2027, 3, 1, tzinfo=dt.UTC) + dt.timedelta(days=day - 1, hours=hour)
    written = us(moment) + 3_600_000_000
    told = {"at_us": us(moment), "now_us": written, "author": "B", **more}
    return Entry(**{"token": f"made-{day}-{hour}", **told})


def fill() -> None:
    """Write down what the shop did."""
    from lacwright.shop.ledger import ALL, grams, millilitres, units
    from lacwright.shop.services.agreements import agree
    from lacwright.shop.services.amend import amend, undo
    from lacwright.shop.services.applicators import add_applicator, wash_applicator
    from lacwright.shop.services.attachments import attach
    from lacwright.shop.services.coats import lay_coat
    from lacwright.shop.services.events import abrade, fault, note, spot, spot_done, strip
    from lacwright.shop.services.jars import (
        Take,
        add_to_jar,
        discard_jar,
        fill_jar,
        mix_jar,
        pour,
        weigh_jar,
    )
    from lacwright.shop.services.jobs import close_job, start_job
    from lacwright.shop.services.lots import add_lot, count_lot, describe_lot
    from lacwright.shop.services.people import add_customer
    from lacwright.shop.services.pieces import add_piece
    from lacwright.shop.services.preferences import set_currency
    from lacwright.shop.services.proving import record_test
    from lacwright.shop.services.readings import add_reading
    from lacwright.shop.verdict import Times

    set_currency(text="EUR", entry=at(1, 8))
    old = add_lot(
        name="garnet old",
        kind="flakes",
        grade="garnet",
        amount=grams(800),
        opening=True,
        supplier="Supplier A",
        batch="7",
        bought=dt.date(2023, 5, 2),
        entry=at(1, 8.1),
    )
    add_lot(
        name="garnet new",
        kind="flakes",
        grade="garnet",
        amount=grams(1000),
        price=Decimal(48),
        price_for=grams(1000),
        order_below=grams(200),
        entry=at(1, 8.2),
    )
    add_lot(
        name="spirit",
        kind="alcohol",
        alcohol="ethanol-190",
        amount=millilitres(5000),
        price=Decimal("30.50"),
        entry=at(1, 8.3),
    )
    add_lot(name="can without a label", kind="alcohol", amount=None, entry=at(1, 8.4))
    add_lot(
        name="paper", kind="abrasive", unit="pc", grade="P320", amount=units(50), entry=at(1, 8.5)
    )
    add_customer(name="the neighbour", contact="next door", entry=at(1, 9))
    add_applicator(name="pad 1", kind="pad", entry=at(1, 9.1))
    start_job(
        job="T-1",
        piece_name="side table",
        title="top and legs",
        customer="the neighbour",
        areas_m2={"top": 0.5, "legs": 0.4},
        wood="walnut",
        promised=dt.date(2027, 4, 20),
        entry=at(1, 10),
    )
    add_piece(name="panel A", kind="panel", wood="walnut", areas_m2={"": 0.06}, entry=at(1, 10.1))
    mix_jar(
        jar="J1",
        takes=[Take("lot", "garnet old", grams(60)), Take("lot", "spirit", millilitres(250))],
        purpose="bodying",
        entry=at(2),
    )
    mix_jar(
        jar="J2",
        takes=[Take("lot", "garnet new", grams(60)), Take("lot", "spirit", millilitres(250))],
        entry=at(2, 13),
    )
    fill_jar(jar="J3", amount=millilitres(500), claimed_cut=3.0, entry=at(2, 14))
    early = lay_coat(
        job="T-1",
        jar="J2",
        parts=["legs"],
        method="pad",
        applicator="pad 1",
        used_ml=20.0,
        minutes=15.0,
        entry=at(3),
    )
    mix_jar(
        jar="J4",
        takes=[Take("jar", "J1", millilitres(100)), Take("jar", "J3", millilitres(50))],
        entry=at(4),
    )
    add_to_jar(jar="J2", takes=[Take("jar", "J4", millilitres(30))], why="top-up", entry=at(5))
    lay_coat(
        job="T-1",
        jar="J2",
        parts=["top"],
        method="pad",
        applicator="pad 1",
        before_g=300.0,
        after_g=285.0,
        open_min=10.0,
        entry=at(6),
    )
    wash_applicator(name="pad 1", entry=at(6, 18))
    lay_coat(piece="panel A", jar="J4", method="brush", used_ml=5.0, entry=at(7))
    abrade(job="T-1", what="level", parts=["top"], removes_um=8.0, minutes=20.0, entry=at(8))
    add_reading(temp_c=20.5, rh=0.45, board_mc=0.09, where="bench", entry=at(8, 8))
    attach(to="job", name="T-1", source=io.BytesIO(PHOTO), file_name="top.png", entry=at(8, 9))
    agree(job="T-1", what="change", text="one more coat", price=Decimal("40.00"), entry=at(8, 10))
    seen = spot(job="T-1", parts=["top"], where="left edge", text="a run", entry=at(8, 11))
    spot_done(spot=seen.movement or 0, text="scraped", entry=at(9))
    note(job="T-1", text="smells of summer = good", entry=at(9, 13))
    weigh_jar(jar="J2", net_g=180.0, entry=at(9, 14))
    pour(jar="J3", to_kind="waste", amount=millilitres(20), entry=at(9, 15))
    count_lot(name="garnet old", amount=grams(700), entry=at(9, 16))
    describe_lot(name="spirit", changes={"density_g_ml": 0.812}, entry=at(10))
    amend(movement=early.movement or 0, changes={"used_ml": 22.0}, entry=at(10, 13))
    slip = pour(jar="J3", to_kind="waste", amount=ALL, entry=at(10, 14))
    undo(movement=slip.movement or 0, entry=at(10, 15, reason="it was another jar"))
    amend(movement=old.movement or 0, changes={"amount": grams(750)}, entry=at(10, 16))
    record_test(
        of_kind="jar",
        of="J1",
        test="drying",
        jar=Times(seen_min=60),
        control=Times(8, 80, 1000),
        temp_c=21,
        rh=0.5,
        entry=at(11),
    )
    fault(job="T-1", what="stays soft", parts=["top"], entry=at(12))
    strip(job="T-1", how="alcohol and wool", entry=at(13))
    discard_jar(jar="J1", entry=at(13, 13))
    close_job(job="T-1", delivered=dt.date(2027, 4, 18), text="collected", entry=at(40))


def make(target: Path) -> None:
    """Write the compressed backup."""
    from lacwright.shop.backup import back_up

    with tempfile.TemporaryDirectory() as folder:
        home = open_record(Home(Path(folder) / "home"))
        from lacwright.shop.models import Setting

        Setting.objects.filter(key="shop").update(value=SHOP)
        fill()
        made = back_up(home, now_us=us(NOW))
        close_record()
        target.write_bytes(lzma.compress(made.read_bytes(), preset=9))


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else KEPT)
