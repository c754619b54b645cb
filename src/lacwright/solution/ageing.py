"""Ageing: when to test a mix or flakes, not when they die; a dated test goes before the date."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache, cached_property

from lacwright.figures import Figure, Refusal, computed, exact
from lacwright.trade import table

DAYS_PER_MONTH = 365.25 / 12
REFERENCE_C = 20.0
COLDEST_C, WARMEST_C = -30.0, 60.0
DUST = 1e-6  # of a day: only rounding


@dataclass(frozen=True)
class Period:
    """A time that a jar spent at a temperature.

    Parameters
    ----------
    start, end : date
        First day, and the day it ended.
    temp_c : float
        Mean temperature [C].
    """

    start: date
    end: date
    temp_c: float


@dataclass(frozen=True)
class DatedTest:
    """A test on a day: a drop on glass for a mix, the dissolve test for flakes."""

    on: date
    passed: bool


@dataclass(frozen=True)
class Age:
    """What the calendar and the tests say about a jar.

    Parameters
    ----------
    on : date
        The day it is asked for.
    calendar_days : int
        Days since mixing.
    share_of_time : float
        The central case of `share`. [1]
    word : str
        Advice about testing; never a verdict.
    test_by : date
        The day from which a test before any use is advised, never before mixing: the periods
        count where they lie, the store's temperature everywhere else.
    good_until : date or None
        To which day a passed test counts.
    told : Told
        From what it was worked out. The figures with their bands and workings are made when they
        are asked for: a shelf of thousands of jars asks for words and days alone.
    """

    on: date
    calendar_days: int
    share_of_time: float
    word: str
    test_by: date
    good_until: date | None
    told: Told

    @cached_property
    def equivalent_days(self) -> Figure:
        """The calendar days as days at 20 C."""
        told, q10 = self.told, table("ageing")["q10"].figure()
        ends = [q for q in (q10.value, q10.low, q10.high) if q is not None]
        days = [told.equivalent_days(q10=q) for q in ends]
        return _equivalent_figure(days, q10, told.mixed, self.on, told.temp_c, told.periods)

    @cached_property
    def time_to_test(self) -> Figure:
        """Months at 20 C until a test is due, with its wide band."""
        return table("ageing")[self.told.kind].figure()

    @cached_property
    def share(self) -> Figure:
        """Equivalent age as a share of the time to a test."""
        spans, life = self.equivalent_days, self.time_to_test
        share = computed(
            "equivalent_days / days_per_month / time_to_test", "1",
            {"equivalent_days": spans, "time_to_test": life,
             "days_per_month": exact(DAYS_PER_MONTH, "d")},
        )  # fmt: skip
        return _with_both_bands(share, spans, life)


@dataclass(frozen=True)
class Told:
    """What an age is worked out from; see `age`."""

    kind: str
    mixed: date
    on: date
    temp_c: float
    periods: tuple[Period, ...]

    def equivalent_days(self, *, q10: float) -> float:
        """Return the age as days at 20 C for one Q10."""
        return equivalent_days(mixed=self.mixed, on=self.on, temp_c=self.temp_c,
                               periods=self.periods, q10=q10)  # fmt: skip


YOUNG = "young"
MATTERS = "test if the surface matters"
BEFORE_USE = "test before any use"
EXPECT_FAILURE = "too old to trust untested"
PASSED = "passed its test"
FAILED = "failed its test"


def ageing_factor(*, temp_c: float, q10: float | None = None) -> float:
    """Return how many times faster a jar ages than at 20 C.

    Parameters
    ----------
    temp_c : float
        Temperature [C], -30 to 60.
    q10 : float, optional
        Times faster for 10 K more; the table's if not given.

    Raises
    ------
    Refusal
        Outside the range.

    Examples
    --------
    >>> round(ageing_factor(temp_c=25.0, q10=2.2), 2)
    1.48
    """
    if not COLDEST_C <= temp_c <= WARMEST_C:
        raise Refusal("temperature", f"{temp_c:g} C is no place for a jar of shellac",
                      "write the mean temperature of the store in C, or with F")  # fmt: skip
    if q10 is None:
        q10 = _number("q10")
    if not q10 > 0:
        raise Refusal("q10", f"{q10:g} times faster for 10 K more cannot be", "write e.g. 2.2")
    return float(q10 ** ((temp_c - REFERENCE_C) / 10.0))


def equivalent_days(
    *, mixed: date, on: date, temp_c: float = REFERENCE_C, periods: Sequence[Period] = (),
    q10: float | None = None,
) -> float:  # fmt: skip
    """Return the age as days at 20 C.

    Parameters
    ----------
    mixed, on : date
        Day of mixing and day that is asked for.
    temp_c : float
        Temperature of all days that no period covers [C].
    periods : sequence of Period
        Times at another temperature; days outside mixed-to-on do not count.
    q10 : float, optional
        Times faster for 10 K more.

    Raises
    ------
    Refusal
        For a jar mixed after the day asked for, periods that overlap or lie before mixing.
    """
    if on < mixed:
        raise Refusal("--on", f"on {on} the jar of {mixed} was not mixed yet", "check both dates")
    covered, total, last = 0, 0.0, None
    for period in sorted(periods, key=lambda p: p.start):
        if period.end < period.start:
            raise Refusal("--period", f"it ends on {period.end} before it starts",
                          "write the earlier date first")  # fmt: skip
        if period.end <= mixed:
            raise Refusal("--period", f"it ends on {period.end}, before the mixing on {mixed}",
                          "check its dates, or leave it out")  # fmt: skip
        if last is not None and period.start < last:
            raise Refusal("--period", f"two periods overlap at {period.start}",
                          "let one end where the next begins")  # fmt: skip
        last = period.end
        days = (min(period.end, on) - max(period.start, mixed)).days
        if days > 0:
            covered += days
            total += days * ageing_factor(temp_c=period.temp_c, q10=q10)
    rest = (on - mixed).days - covered
    return total + rest * ageing_factor(temp_c=temp_c, q10=q10)


def age(
    *, kind: str, mixed: date, on: date, temp_c: float = REFERENCE_C,
    periods: Sequence[Period] = (), test: DatedTest | None = None,
) -> Age:  # fmt: skip
    """Return what the calendar and a dated test say about a jar on a day.

    Parameters
    ----------
    kind : str
        "bleached", "dewaxed" or "waxed" for a mix; "flakes-bleached" and so on for dry flakes.
    mixed : date
        Day of mixing (or of buying, for flakes).
    on : date
        Day that is asked for.
    temp_c : float
        Temperature where no period says otherwise [C].
    periods : sequence of Period
        Times at another temperature.
    test : DatedTest, optional
        The last test. Passed, it goes before the calendar for a stated time; failed, always.

    Raises
    ------
    Refusal
        For dates in the wrong order, an unknown kind, or temperatures out of range.

    Notes
    -----
    Equivalent age = sum of days times Q10^((T - 20)/10). No rate for lac in alcohol is
    published: the months are common practice and the band is their spread.
    """
    months = _months_to_test()
    if kind not in months:
        from lacwright.figures import nearest

        raise Refusal("--kind", f"'{kind}' is not a kind of shellac", nearest(kind, months))
    told, life = Told(kind, mixed, on, temp_c, tuple(periods)), months[kind]
    # As the formula of the figure has it, to the last bit.
    share = told.equivalent_days(q10=_number("q10")) / DAYS_PER_MONTH / life
    good_until = None
    if test is not None:
        if not mixed <= test.on <= on:
            raise Refusal("--tested", f"{test.on} does not lie between mixing and {on}",
                          "check the dates")  # fmt: skip
        if test.passed:
            here = _temp_on(test.on, temp_c, periods)
            good = _number("pass_good") / ageing_factor(temp_c=here)
            good_until = test.on + timedelta(days=int(good))
    test_by = _day_of_age(life * DAYS_PER_MONTH, mixed, temp_c, periods)
    word = _word(share, test, on, good_until)
    return Age(on, (on - mixed).days, share, word, test_by, good_until, told)


def _word(share: float, test: DatedTest | None, on: date, good_until: date | None) -> str:
    if test is not None and not test.passed:
        return FAILED
    if good_until is not None:
        if on <= good_until:
            return PASSED
        # A pass that has run out: the clock runs again, but an old jar is not a young one.
        return MATTERS if share < _number("matters_below") else BEFORE_USE
    if share < _number("young_below"):
        return YOUNG
    if share < _number("matters_below"):
        return MATTERS
    if share <= _number("failure_above"):
        return BEFORE_USE
    return EXPECT_FAILURE


@cache
def _number(key: str) -> float:
    return table("ageing")[key].number("value")


@cache
def _months_to_test() -> dict[str, float]:
    return {row.key: row.number("value") for row in table("ageing") if row.text("unit") == "months"}


def _with_both_bands(share: Figure, spans: Figure, life: Figure) -> Figure:
    """Return the share with the bands of Q10 and of the time to test: their logs add squared."""
    middle = share.number()
    if middle <= 0:
        return share
    assert spans.low is not None
    assert spans.high is not None
    assert life.low is not None
    assert life.high is not None
    age, due = spans.number(), life.number()
    down = math.hypot(math.log(age / spans.low), math.log(life.high / due))
    up = math.hypot(math.log(spans.high / age), math.log(due / life.low))
    return share.with_band(middle * math.exp(-down), middle * math.exp(up))


def _day_of_age(
    equivalent: float, mixed: date, temp_c: float, periods: Sequence[Period]
) -> date:  # fmt: skip
    """Return the day on which the jar is so many days at 20 C old, walking from the mixing on."""
    day, left = mixed, equivalent
    for period in sorted(periods, key=lambda p: p.start):
        for end, at in ((period.start, temp_c), (period.end, period.temp_c)):
            days = max((end - day).days, 0)
            factor = ageing_factor(temp_c=at)
            if days * factor >= left:
                return day + timedelta(days=int(left / factor + DUST))
            day, left = day + timedelta(days=days), left - days * factor
    days = int(left / ageing_factor(temp_c=temp_c) + DUST)
    return day + timedelta(days=min(days, (date.max - day).days))


def _temp_on(day: date, temp_c: float, periods: Sequence[Period]) -> float:
    return next((p.temp_c for p in periods if p.start <= day < p.end), temp_c)


def _equivalent_figure(
    days: Sequence[float], q10: Figure, mixed: date, on: date, temp_c: float,
    periods: Sequence[Period],
) -> Figure:  # fmt: skip
    """Return the equivalent days with a working that sums the periods."""
    terms, inputs, covered = [], {"q10": q10}, 0
    for n, period in enumerate(sorted(periods, key=lambda p: p.start), start=1):
        span = max((min(period.end, on) - max(period.start, mixed)).days, 0)
        covered += span
        inputs[f"days_{n}"] = exact(span, "d", "calendar")
        inputs[f"temp_{n}"] = exact(period.temp_c, "C", "given")
        terms.append(f"days_{n} * q10 ** ((temp_{n} - 20) / 10)")
    inputs["days"] = exact((on - mixed).days - covered, "d", "calendar")
    inputs["temp"] = exact(temp_c, "C", "given")
    terms.append("days * q10 ** ((temp - 20) / 10)")
    figure = computed(" + ".join(terms), "d", inputs)
    return figure.with_band(min(days), max(days))
