"""Telling the story of the invented shop from its first day to its last."""

from __future__ import annotations

import hashlib
from typing import Any

from django.db import transaction

from lacwright.shop import clock
from lacwright.shop.demo import Demo
from lacwright.shop.demo.bench import Bench
from lacwright.shop.demo.colours import Colours
from lacwright.shop.demo.diary import Diary
from lacwright.shop.demo.drying import DAMP, Drying
from lacwright.shop.demo.folder import MARK
from lacwright.shop.demo.jobs import Jobs
from lacwright.shop.demo.proofs import Proofs
from lacwright.shop.demo.shelf import Shelf
from lacwright.shop.demo.stock import Stock
from lacwright.shop.demo.trouble import BAD, Trouble
from lacwright.shop.disk import Progress
from lacwright.shop.home import Home
from lacwright.shop.models import Customer, Event, Jar, Job, Lot, Movement, Piece, Setting
from lacwright.shop.queries.preferences import zone as shop_zone


def tell(home: Home, *, now_us: int, seed: int, progress: Progress) -> Demo:
    """Write the whole story into the record that is open, all of it or nothing."""
    with transaction.atomic():
        _mark(seed, now_us)
        diary = Diary(now_us=now_us, zone=shop_zone(), seed=seed)
        bench = Bench(diary)
        stock, proofs = Stock(diary, bench), Proofs(diary, bench)
        jobs = Jobs(diary, bench, stock, proofs)
        stock.plan_all()
        jobs.plan_all()
        proofs.others()
        Shelf(diary, bench, jobs).plan_all()
        Trouble(diary, bench, jobs, proofs).plan_all()
        drying = Drying(diary)
        drying.plan_all()
        Colours(diary).plan_all()
        jobs.wait_for.setdefault(DAMP, []).append(drying.damp_day)
        diary.run(progress)
    planned = Job.objects.exclude(plan=None).order_by("key").values_list("key", flat=True)
    return Demo(home, seed, now_us, _counts(), bench.jar_of[BAD], tuple(planned))


def _mark(seed: int, now_us: int) -> None:
    """Write down that this is a demo, and what makes it repeatable."""
    day = clock.day_of(now_us, shop_zone()).isoformat()
    name = hashlib.sha256(f"demo {seed} {day}".encode()).hexdigest()[:32]
    settings: dict[str, Any] = {MARK: {"seed": seed, "now": day}, "shop": name, "currency": "EUR"}
    for key, value in settings.items():
        Setting.objects.update_or_create(key=key, defaults={"value": value})


def _counts() -> dict[str, int]:
    counting = Event.objects.filter(void=False)
    return {
        "lots": Lot.objects.filter(said=True, place__kind="store").exclude(
            opened__kind="fill").count(),
        "jars": Jar.objects.count(), "jobs": Job.objects.count(),
        "pieces": Piece.objects.filter(kind="piece").count(),
        "customers": Customer.objects.count(),
        "panels": Piece.objects.filter(kind="panel").count(),
        "coats": counting.filter(kind="coat").count(),
        "readings": counting.filter(kind="reading").count(),
        "tests": counting.filter(kind="test").count(),
        "faults": counting.filter(kind="fault").count(),
        "movements": Movement.objects.count(),
    }  # fmt: skip
