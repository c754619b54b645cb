"""The tables of the record.

Three kinds: what was observed (`Movement`, `Line`, `Request`: append-only), what is described
(`Lot`, `Jar`, ...: changed by movements of kind "describe" alone), and indexes that can be
rebuilt from them at any time (`Event`, `Flow`, `Balance`). Times are whole microseconds since 1970
in UTC, masses whole micrograms (millionths of a piece for what is counted), so that every database
holds and compares them alike.
"""

from __future__ import annotations

from typing import Any

from django.db import models

from lacwright.shop.seals import Canonical

KEY = 80
"""Longest name of anything."""


class AppendOnly(models.Model):
    """Rows that are written once."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a new row.

        Raises
        ------
        TypeError
            For a row that is there already: a fault of the program.
        """
        if not self._state.adding:
            raise TypeError(f"{type(self).__name__} is append-only")
        kwargs["force_insert"] = True
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse.

        Raises
        ------
        TypeError
            Always.
        """
        raise TypeError(f"{type(self).__name__} is append-only")


class Setting(models.Model):
    """A setting of the shop: zone, currency, its own number."""

    key = models.CharField(max_length=KEY, primary_key=True)
    value = models.JSONField()


class Movement(AppendOnly):
    """What a person observed, as it was written down; never changed.

    `root` is the first version of the same observation (itself, if it is the first). The last
    version counts; of kind "void" it takes the observation back.
    """

    id = models.BigAutoField(primary_key=True)
    token = models.CharField(max_length=KEY, unique=True)
    kind = models.CharField(max_length=24)
    at_us = models.BigIntegerField()
    written_us = models.BigIntegerField()
    author = models.CharField(max_length=KEY, blank=True)
    reason = models.TextField(blank=True)
    root = models.ForeignKey(
        "self", models.PROTECT, null=True, related_name="versions", db_index=False
    )
    body = models.JSONField(encoder=Canonical)
    seal = models.CharField(max_length=64)

    class Meta:
        indexes = [models.Index(fields=["root", "id"], name="movement_root")]


class Request(AppendOnly):
    """A request that was carried out: the same token again gets the first answer again."""

    token = models.CharField(max_length=KEY, primary_key=True)
    sha = models.CharField(max_length=64)
    what = models.CharField(max_length=40)
    movement = models.ForeignKey(Movement, models.PROTECT, null=True)
    answer = models.JSONField()


class Place(models.Model):
    """Where something can be: lot store, jar, pad or brush, piece, panel, and outside."""

    id = models.BigAutoField(primary_key=True)
    key = models.CharField(max_length=KEY + 12, unique=True)
    kind = models.CharField(max_length=12)


class Described(models.Model):
    """What all described things share: a name that never changes, and the movement that made it."""

    key = models.CharField(max_length=KEY, unique=True)
    opened = models.ForeignKey(Movement, models.PROTECT, null=True, related_name="+")
    note = models.TextField(blank=True)

    class Meta:
        abstract = True


class Customer(Described):
    """Who a piece belongs to."""

    contact = models.TextField(blank=True)


class Lot(Described):
    """A bag, can or box: flakes, alcohol, dye, wax, abrasive."""

    kind = models.CharField(max_length=12)
    unit = models.CharField(max_length=4)  # "g", or "pc" for what is counted
    supplier = models.CharField(max_length=KEY, blank=True)
    batch = models.CharField(max_length=KEY, blank=True)
    grade = models.CharField(max_length=KEY, blank=True)
    waxed = models.BooleanField(null=True)
    bleached = models.BooleanField(null=True)
    parts = models.JSONField(null=True)  # {substance: share by weight}; null = not known
    density_g_ml = models.FloatField(null=True)  # as weighed by him; null = by its composition
    bought = models.DateField(null=True)
    price = models.DecimalField(max_digits=14, decimal_places=4, null=True)
    price_for_u = models.BigIntegerField(null=True)  # ug, or millionths of a piece
    order_below_u = models.BigIntegerField(null=True)  # what he wants to have at least
    said = models.BooleanField(default=True)  # False: nobody said which lot it was
    place = models.OneToOneField(Place, models.PROTECT, related_name="lot")


class Jar(Described):
    """One filling of a jar (or tin, or bottle); washed out and filled again it is another."""

    place = models.OneToOneField(Place, models.PROTECT, related_name="jar")
    purpose = models.CharField(max_length=KEY, blank=True)
    tare_g = models.FloatField(null=True)
    mouth_mm = models.FloatField(null=True)
    claimed_cut = models.FloatField(null=True)  # lb/gal on the label of a bought liquid


class Applicator(Described):
    """A pad, a brush, a gun: what goes through it can carry on until it is washed out."""

    kind = models.CharField(max_length=12)
    place = models.OneToOneField(Place, models.PROTECT, related_name="applicator")


class Piece(Described):
    """A piece of work, or a panel (a board to try or show a finish on)."""

    kind = models.CharField(max_length=12)  # "piece" or "panel"
    title = models.CharField(max_length=200, blank=True)
    customer = models.ForeignKey(Customer, models.PROTECT, null=True, related_name="pieces")
    wood = models.CharField(max_length=KEY, blank=True)
    areas_m2 = models.JSONField(default=dict)  # {part: m2}
    place = models.OneToOneField(Place, models.PROTECT, related_name="piece")


class Job(Described):
    """Work on a piece, with the plan it was started with."""

    piece = models.ForeignKey(Piece, models.PROTECT, related_name="jobs")
    title = models.CharField(max_length=200, blank=True)
    plan = models.JSONField(null=True)
    piece_file = models.TextField(blank=True)
    promised = models.DateField(null=True)


class File(models.Model):
    """A photo or paper, stored under the hash of its content."""

    sha256 = models.CharField(max_length=64, primary_key=True)
    size = models.BigIntegerField()
    media = models.CharField(max_length=KEY)
    name = models.CharField(max_length=200, blank=True)


class Line(AppendOnly):
    """A posting: what a movement changed in a place, by lot, `about` an observation."""

    id = models.BigAutoField(primary_key=True)
    # Nobody asks by movement, and an index is paid for with every line.
    movement = models.ForeignKey(Movement, models.PROTECT, related_name="lines", db_index=False)
    about = models.ForeignKey(Movement, models.PROTECT, related_name="about_lines")
    place = models.ForeignKey(Place, models.PROTECT)
    lot = models.ForeignKey(Lot, models.PROTECT)
    ug = models.BigIntegerField()


class Event(models.Model):
    """Index: what counts. The last version of every observation, with what it concerns."""

    root = models.OneToOneField(Movement, models.PROTECT, primary_key=True, related_name="event")
    movement = models.ForeignKey(Movement, models.PROTECT, related_name="+", db_index=False)
    at_us = models.BigIntegerField()
    kind = models.CharField(max_length=24)
    void = models.BooleanField(default=False)
    job = models.ForeignKey(Job, models.PROTECT, null=True, related_name="events")
    piece = models.ForeignKey(Piece, models.PROTECT, null=True, related_name="events")
    jar = models.ForeignKey(Jar, models.PROTECT, null=True, related_name="events")
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, related_name="events")
    applicator = models.ForeignKey(Applicator, models.PROTECT, null=True, related_name="events")
    customer = models.ForeignKey(Customer, models.PROTECT, null=True, related_name="events")

    class Meta:
        indexes = [
            models.Index(fields=["kind", "at_us"], name="event_kind"),
            models.Index(fields=["at_us", "root"], name="event_order"),
        ]


class Flow(models.Model):
    """Index: something went from a place to another, whether or not its amount is known."""

    id = models.BigAutoField(primary_key=True)
    event = models.ForeignKey(Event, models.CASCADE, related_name="flows")
    at_us = models.BigIntegerField()
    step = models.SmallIntegerField()
    # The indexes below begin with them.
    source = models.ForeignKey(Place, models.PROTECT, related_name="out", db_index=False)
    to = models.ForeignKey(Place, models.PROTECT, related_name="into", db_index=False)
    lot = models.ForeignKey(Lot, models.PROTECT, null=True)
    washed = models.BooleanField(default=False)

    class Meta:
        indexes = [
            models.Index(fields=["source", "at_us", "event", "step"], name="flow_source"),
            models.Index(fields=["to", "at_us", "event", "step"], name="flow_to"),
        ]


class Balance(models.Model):
    """Index: what a place holds now, by lot."""

    id = models.BigAutoField(primary_key=True)
    place = models.ForeignKey(Place, models.PROTECT)
    lot = models.ForeignKey(Lot, models.PROTECT)
    ug = models.BigIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["place", "lot"], name="balance_once")]
