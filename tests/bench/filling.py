"""A small shop with something of everything, written down with the services; told from now back.

Names hold what an address has to carry: spaces, a slash, an accent.
"""

from __future__ import annotations

import datetime as dt
import io
import itertools
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

EXAMPLES = Path(__file__).parents[2] / "examples"
CUSTOMER, LOT, SPIRIT, LOW = "Maren Holt", "garnet b/12", "can 7", "blonde-3"
GOOD, BAD, BLEND, OLD, BOUGHT, UNKNOWN = "J1", "J2", "J3 two/thirds", "J4", "T1", "X9"
PAD, BRUSH, PANEL, PIECE, BOX = "pad 1", "mop brush", "panel é1", "hall table", "tea box"
JOB, BARE_JOB, CLOSED_JOB = "T-12", "T-13 / rim", "T-9"


def fill(home: Any) -> None:
    """Write it all down in the record that is open."""
    _shelf()
    _jars()
    _pieces()
    _jobs()
    _work(home)
    _rest()


def past(days: float = 0.0, **more: Any) -> Any:
    """Return an entry about something done so many days ago."""
    from lacwright.shop.writing import Entry

    return Entry(seconds_ago=days * 86_400, author="Ines", **more)


def _shelf() -> None:
    from lacwright.shop.ledger import grams, millilitres, units
    from lacwright.shop.services.applicators import add_applicator
    from lacwright.shop.services.lots import add_lot, count_lot
    from lacwright.shop.services.people import add_customer

    bought = dt.date.today() - dt.timedelta(days=400)
    add_lot(
        name=LOT,
        kind="flakes",
        amount=grams(1500),
        grade="garnet",
        waxed=True,
        supplier="invented supplier",
        batch="B-12",
        bought=bought,
        price=Decimal("68"),
        price_for=grams(1000),
        note="smells fresh",
        opening=True,
        entry=past(400),
    )
    add_lot(
        name=LOW,
        kind="flakes",
        amount=grams(120),
        grade="blonde",
        waxed=False,
        order_below=grams(200),
        entry=past(300),
    )
    add_lot(
        name=SPIRIT,
        kind="alcohol",
        amount=millilitres(5000),
        alcohol="ethanol-190",
        price=Decimal("12.5"),
        price_for=millilitres(1000),
        entry=past(300),
    )
    add_lot(name="wax cake", kind="wax", amount=grams(250), entry=past(300))
    add_lot(name="P320 sheets", kind="abrasive", unit="pc", amount=units(40), entry=past(200))
    count_lot(name="P320 sheets", amount=units(31), entry=past(20))
    add_applicator(name=PAD, kind="pad", entry=past(200))
    add_applicator(name=BRUSH, kind="brush", note="badger, 40 mm", entry=past(200))
    add_customer(
        name=CUSTOMER, contact="on the hill, third door", note="likes it matt", entry=past(60)
    )


def _jars() -> None:
    from lacwright.shop.ledger import grams, millilitres
    from lacwright.shop.services.jars import Take, add_to_jar, fill_jar, mix_jar, pour
    from lacwright.shop.services.proving import record_test
    from lacwright.shop.verdict import Times

    def mix(jar: str, days: float, flakes_g: float, spirit_ml: float, **more: Any) -> None:
        takes = [Take("lot", LOT, grams(flakes_g)), Take("lot", SPIRIT, millilitres(spirit_ml))]
        mix_jar(jar=jar, takes=takes, wished_cut=2.0, entry=past(days), **more)

    mix(GOOD, 30, 120, 500, purpose="body coats", tare_g=310.0, mouth_mm=62.0)
    mix(BAD, 40, 100, 400)
    mix(OLD, 390, 60, 250, note="under the bench")
    mix_jar(
        jar=BLEND,
        takes=[
            Take("jar", BAD, grams(90)),
            Take("lot", LOT, grams(30)),
            Take("lot", SPIRIT, millilitres(150)),
        ],
        entry=past(35),
    )
    fill_jar(
        jar=BOUGHT,
        amount=millilitres(500),
        claimed_cut=2.0,
        grade="blonde",
        alcohol="ethanol-190",
        supplier="invented supplier",
        entry=past(50),
    )
    fill_jar(jar=UNKNOWN, amount=millilitres(200), note="found in a cupboard", entry=past(49))
    add_to_jar(jar=GOOD, takes=[Take("lot", SPIRIT, millilitres(40))], why="thin", entry=past(12))
    pour(jar=GOOD, to_kind="applicator", to_name=PAD, amount=millilitres(8), entry=past(6))
    fresh = Times(8, 80, 1000)
    record_test(
        of_kind="jar",
        of=GOOD,
        test="drying",
        jar=Times(10, 90, 1200),
        control=fresh,
        temp_c=21,
        rh=0.5,
        entry=past(20),
    )
    record_test(
        of_kind="jar",
        of=BOUGHT,
        test="drying",
        jar=Times(tack_free_min=11, seen_min=30),
        control=Times(9, seen_min=30),
        temp_c=21,
        rh=0.5,
        entry=past(0.05),
    )


def _pieces() -> None:
    from lacwright.shop.services.pieces import add_piece

    add_piece(
        name=PIECE,
        title="Hall table in walnut",
        customer=CUSTOMER,
        wood="walnut",
        areas_m2={"top": 0.72, "legs": 0.4},
        entry=past(33),
    )
    add_piece(
        name=BOX, title="Box for tea", wood="cherry", areas_m2={"outside": 0.3}, entry=past(33)
    )
    add_piece(name=PANEL, kind="panel", wood="walnut", areas_m2={"face": 0.06}, entry=past(34))


def _jobs() -> None:
    from lacwright.files.piece import read_piece
    from lacwright.plan import make_plan
    from lacwright.shop.plan_link import areas_of, kept
    from lacwright.shop.services.jobs import close_job, start_job

    text = (EXAMPLES / "table.toml").read_text(encoding="utf-8")
    piece = read_piece(EXAMPLES / "table.toml")
    plan = make_plan(piece, today=dt.date(2027, 2, 1), n=50)
    start_job(
        job=JOB,
        piece_name="long table",
        title=piece.title,
        customer=CUSTOMER,
        piece_file=text,
        plan=kept(plan, []),
        areas_m2=areas_of(piece),
        promised=dt.date.today() + dt.timedelta(days=30),
        in_spite="invented example",
        entry=past(32),
    )
    start_job(job=BARE_JOB, piece_name=PIECE, entry=past(31))
    start_job(job=CLOSED_JOB, piece_name=BOX, entry=past(31))
    close_job(
        job=CLOSED_JOB,
        delivered=dt.date.today() - dt.timedelta(days=1),
        text="taken home",
        entry=past(1),
    )


def _work(home: Any) -> None:
    from lacwright.shop.services import events
    from lacwright.shop.services.agreements import agree
    from lacwright.shop.services.attachments import attach
    from lacwright.shop.services.coats import lay_coat
    from lacwright.shop.services.proving import record_test
    from lacwright.shop.verdict import Times

    grams_before: Iterator[float] = itertools.count(900.0, -40.0)
    for number, days in enumerate((28, 27, 26, 3, 2), 1):
        before = next(grams_before)
        lay_coat(
            job=BARE_JOB,
            jar=GOOD,
            parts=("top",),
            method="brush",
            number=number,
            before_g=before,
            after_g=before - 33.5,
            open_min=12,
            left_g=1.1,
            minutes=25,
            applicator=BRUSH,
            entry=past(days),
        )
    lay_coat(job=BARE_JOB, jar=BAD, parts=("legs",), method="brush", used_ml=20, entry=past(29))
    lay_coat(job=CLOSED_JOB, jar=BLEND, method="pad", applicator=PAD, entry=past(25))
    lay_coat(piece=PANEL, jar=GOOD, method="pad", applicator=PAD, used_ml=3, entry=past(24))
    lay_coat(job=JOB, jar=GOOD, method="brush", what="seal", entry=past(0.05))
    events.abrade(job=BARE_JOB, parts=("top",), abrasive="P320", minutes=10, entry=past(10))
    events.fault(
        job=BARE_JOB,
        what="haze",
        parts=("top",),
        where="left corner",
        cause="damp evening",
        entry=past(9),
    )
    events.spot(job=BARE_JOB, where="underside of the rim", parts=("top",), entry=past(8))
    until = past(-0.5).seconds_ago
    assert until is not None
    from lacwright.shop import clock

    events.note(
        job=BARE_JOB,
        kind="rest",
        until_us=clock.now_us() - round(until * clock.SECOND),
        text="before levelling",
        entry=past(2),
    )
    agree(job=BARE_JOB, what="panel", panel=PANEL, text="like this one", entry=past(23))
    agree(job=BARE_JOB, what="price", price=Decimal("420"), entry=past(23))
    attach(
        to="job",
        name=BARE_JOB,
        source=io.BytesIO(picture()),
        file_name="rim <b>.png",
        words="the rim before the first coat",
        entry=past(28),
    )
    attach(
        to="lot",
        name=LOT,
        source=io.BytesIO(b"Safety data sheet: see the supplier's\n"),
        file_name="sheet.txt",
        entry=past(28),
    )
    record_test(
        of_kind="jar",
        of=BAD,
        test="drying",
        jar=Times(seen_min=45),
        control=Times(10, 90, 1200),
        temp_c=21,
        rh=0.5,
        entry=past(4),
    )


def _rest() -> None:
    from lacwright.shop.services.amend import amend, undo
    from lacwright.shop.services.events import note
    from lacwright.shop.services.proving import set_own
    from lacwright.shop.services.readings import add_reading

    for days in range(12, 0, -1):
        add_reading(
            temp_c=20 + days / 4,
            rh=0.4 + days / 100,
            board_mc=0.09,
            where="bench",
            entry=past(days),
        )
    set_own(name="test.tack_free", text="18 min", entry=past(14))
    taken_back = note(job=BARE_JOB, text="a slip of the pen", entry=past(7)).movement
    assert taken_back is not None
    undo(movement=taken_back, entry=past(7, reason="written under the wrong job"))
    amended = note(job=BARE_JOB, text="a second note", entry=past(5)).movement
    assert amended is not None
    amend(movement=amended, changes={"text": "a second, better note"}, entry=past(5))


def picture() -> bytes:
    """Return a small picture that says where it was taken."""
    from PIL import Image

    picture = Image.new("RGB", (320, 200), (150, 90, 40))
    exif = Image.Exif()
    exif[0x8825] = {1: "N", 2: (48.0, 12.0, 0.0)}  # where it was taken
    exif[0x010E] = "taken on the hill"
    out = io.BytesIO()
    picture.save(out, "PNG", exif=exif)
    return out.getvalue()
