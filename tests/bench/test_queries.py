"""However many rows there are, a list asks the database the same number of times."""

from __future__ import annotations

import importlib.util
import shutil
import sys
from pathlib import Path
from typing import Any

import pytest

FEW, MANY = 10, 100
STEPS = 3
"""Jars are blended from each other over three steps, perhaps from one that stands on another page:
a recall asks once a step, not once a row."""
SHOWN = 36
"""Of what a list shows no more than a page: so many are written down one by one."""


def furnish(many: int) -> None:
    """Write down so many of everything, in a record that is open and empty."""
    from lacwright.shop import clock
    from lacwright.shop.services import events, pieces, readings
    from lacwright.shop.services.agreements import agree
    from lacwright.shop.services.people import add_customer
    from lacwright.shop.services.proving import record_test
    from lacwright.shop.verdict import Times
    from lacwright.shop.writing import Entry

    big_shop = _big_shop()
    big_shop.BEGIN = clock.now_us() - big_shop.SPAN - clock.DAY  # it ends yesterday
    big_shop.fill(jars=many, jobs=many, coats=3 * many)
    entry = Entry()
    for n in range(many - min(many, SHOWN), many):
        add_customer(name=f"C{n}", contact="c", entry=entry)
        pieces.add_piece(name=f"S{n}", kind="panel", customer=f"C{n}", entry=entry)
        record_test(
            of_kind="jar",
            of=f"J{n}",
            test="drying",
            jar=Times(seen_min=45) if n % 3 == 0 else Times(10, 90, 1200),
            control=Times(8, 80, 1000),
            temp_c=21,
            rh=0.5,
            entry=entry,
        )
        events.fault(job=f"T{n}", what="haze", entry=entry)
        events.spot(job=f"T{n}", where="rim", entry=entry)
        events.note(job=f"T{n}", text=f"word {n}", entry=entry)
        agree(job=f"T{n}", what="change", text="darker", entry=entry)
        readings.add_reading(temp_c=20 + n / 100, rh=0.5, where="bench", entry=entry)


def _big_shop() -> Any:
    path = Path(__file__).parents[2] / "benchmarks" / "big_shop.py"
    spec = importlib.util.spec_from_file_location("big_shop_of_tests", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # its dataclasses look there for their names
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def shops(empty_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[int, Path]:
    """Return two shops that differ in size alone."""
    from lacwright.shop import close_record, find_home, open_record

    out = {}
    for many in (FEW, MANY):
        folder = tmp_path_factory.mktemp("sized") / "home"
        shutil.copytree(empty_folder, folder)
        open_record(find_home(folder))
        furnish(many)
        close_record()
        out[many] = folder
    return out


ASKED = {"search": ("?q=word", "?q=J1"), "log": ("?kind=coat", "?q=J1", ""),
         "settings-figures": ("?show=all", ""),
         "air-keep": ("?coats=250+ml&cut=2&alcohol=ethanol-190&volume=60+m3&air=0.5",),
         "colour-drawn": ("?wood=cherry&grade=amber&coats=4",),
         "colour-swatch": ("?wished=8a5a34&so=9a6a44",),
         "colour-wish": ("", "?wood=cherry&target=45,18,30&coats=4&grades=amber"),
         "air-drawn": ("?coats=9+ml&cut=2&alcohol=ethanol-190&volume=60+m3&air=2",)}  # fmt: skip


def test_lists_do_not_ask_more_often_for_more_rows(
    plain_address: str, shops: dict[int, Path], client: Any, home: Any, queries: Any
) -> None:
    from django.urls import reverse

    from lacwright.shop import find_home, open_record

    counts: dict[str, list[int]] = {}
    for many, folder in shops.items():
        open_record(find_home(folder))
        for asked in ASKED.get(plain_address, ("",)):
            client.get(reverse(plain_address) + asked)  # what is read once and kept
            with queries() as told:
                assert client.get(reverse(plain_address) + asked).status_code == 200, many
            counts.setdefault(asked, []).append(len(told))
    for asked, (few, more) in counts.items():
        assert more <= few + STEPS, f"{asked}: {few} queries with {FEW} rows, {more} with {MANY}"


def test_one_thing_does_not_ask_more_often_for_more_that_concerns_it(
    shops: dict[int, Path], client: Any, home: Any, queries: Any
) -> None:
    """The same pages of a small and a large shop."""
    from lacwright.shop import find_home, open_record

    pages = ("/jars/one/J5", "/shelf/one/F1", "/jobs/one/T5", "/pieces/one/W5", "/pads",
             "/settings/figures/of/spread.pad", "/log/one/20")  # fmt: skip
    counts: dict[str, list[int]] = {}
    for folder in shops.values():
        open_record(find_home(folder))
        for page in pages:
            client.get(page)
            with queries() as told:
                assert client.get(page).status_code == 200, page
            counts.setdefault(page, []).append(len(told))
    grown = {page: told for page, told in counts.items() if told[1] > told[0] + STEPS}
    assert not grown
