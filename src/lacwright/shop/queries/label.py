"""What stands on the label of a jar: what is in it, since when, and the words of its alcohol."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lacwright.room import Label, label_of
from lacwright.shop import clock
from lacwright.shop.models import Jar
from lacwright.shop.plan_link import plan_jar
from lacwright.shop.queries.shelf import jar_line
from lacwright.solution import Alcohol


@dataclass(frozen=True)
class JarLabel:
    """The label of a jar.

    Parameters
    ----------
    name : str
    cut : float or None
        [lb/gal], None where it is not known.
    grade : str
        "" where several or none are known.
    mixed : date
        When it was mixed or filled.
    failed : bool
        Whether it failed its test.
    alcohol : Alcohol
        Together, as far as it is known.
    words : Label
    """

    name: str
    cut: float | None
    grade: str
    mixed: dt.date
    failed: bool
    alcohol: Alcohol
    words: Label


def jar_label(
    jar: Jar, *, at_us: int | None = None, codes: str = "", signal: str = ""
) -> JarLabel:  # fmt: skip
    """Return the label of a jar.

    Parameters
    ----------
    jar : Jar
    at_us : int, optional
        The moment it is looked at; now if left out.
    codes, signal : str
        As they were copied from the supplier's safety data sheet.

    Raises
    ------
    Refusal
        For a code that is not on file, or another signal word.
    """
    line = jar_line(jar, at_us=at_us)
    lot = plan_jar(line)
    alcohol = lot.alcohol or Alcohol("", None)
    return JarLabel(jar.key, lot.cut_lb_per_gal, lot.grade or "",
                    clock.day_of(line.opened_us, line.zone), line.failed, alcohol,
                    label_of(alcohol, codes=codes, signal=signal))  # fmt: skip
