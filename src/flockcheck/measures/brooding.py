"""How the chicks were kept warm before they came out, and whether they are hardened to the cold."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from flockcheck.measures.graph.spec import measure
from flockcheck.measures.unwritten import value_or
from flockcheck.measures.weather import of_day
from flockcheck.setup.sections import Brooder, Group, LogEntry, Weather, Whole
from flockcheck.setup.view import Missing
from flockcheck.tables import Table

WEEK = timedelta(weeks=1)
OTHERS = "the brooder in the file is that of the youngest birds"


def hardening_age(group: Group, figures: Table) -> float:
    """The age in days from which birds need no hardening: `hardening_age`, for turkeys more."""
    age: float = figures("value", figure="hardening_age")
    if group.kind == "turkey":
        age += figures("value", figure="turkeys_later")
    return age


def is_of_brooder(group: Group, flock: Sequence[Group], figures: Table) -> bool:
    """Whether the brooder in the file is this group's: the youngest's and that of its age mates."""
    youngest = max(one.hatched for one in flock)
    return bool((youngest - group.hatched).days <= figures("value", figure="brooded_together"))


@measure("flag")
def needs_hardening(group: Group, age_at_out: int, setup: Whole, figures: Table) -> bool:
    """Whether a group moves out so young that the brooder has to make it ready for the cold.

    So up to the figure `hardening_age`. Not known of young birds that are older than the youngest
    by more than the figure `brooded_together`, since the file tells of one brooder only.

    >>> from types import SimpleNamespace as Of
    >>> figure = {"hardening_age": 56.0, "brooded_together": 3.0}
    >>> table = lambda column, **who: figure[who["figure"]]
    >>> chicks = Of(kind="meat chicken", hatched=date(2027, 4, 1))
    >>> [needs_hardening(chicks, age, Of(birds=(chicks,)), table) for age in (28, 60)]
    [True, False]
    """
    if age_at_out >= hardening_age(group, figures):
        return False
    if not is_of_brooder(group, setup.birds, figures):
        raise Missing(why=OTHERS)
    return True


@measure("time")
def days_unheated(group: Group, brooder: Brooder) -> int:
    """The days that a group was without heat in the brooder before it moved out.

    From `heat_off` to `out`. Where that is not written and the last entry of the log is all there
    is, it is taken to be a heated one, and the days are 0. Chicks that never had a heater (under a
    hen) count from hatching.

    >>> from types import SimpleNamespace as Of
    >>> chicks = Of(hatched=date(2027, 3, 25), out=date(2027, 4, 22))
    >>> days_unheated(chicks, Of(heat_off=date(2027, 4, 16)))
    6
    """
    off: date | None = value_or(brooder, "heat_off", None)
    if off is None and value_or(brooder, "heat", "") == "none":
        off = group.hatched
    if off is None:
        said = value_or(brooder, "unheated_low", None) is not None
        if not said and value_or(brooder, "log", ()):
            return 0
        off = brooder.heat_off
    return max(0, (group.out - off).days)


@measure("temperature")
def lowest_indoors(group: Group, days_unheated: int, brooder: Brooder) -> float:
    """The lowest temperature in deg C that a group knew in the brooder before it moved out.

    Without heat: the least of `unheated_low` and of the log from `heat_off` on. With heat to the
    last: the last entry of the log.

    >>> from types import SimpleNamespace as Of
    >>> chicks = Of(out=date(2027, 4, 22))
    >>> warm = Of(date=date(2027, 4, 20), temperature=29.0)
    >>> lowest_indoors(chicks, 6, Of(log=(), unheated_low=9.0))
    9.0
    >>> lowest_indoors(chicks, 0, Of(log=(warm,)))
    29.0
    """
    entries: tuple[LogEntry, ...] = value_or(brooder, "log", ())
    log = sorted((one.date, one.temperature) for one in entries if one.date <= group.out)
    if not days_unheated:
        return log[-1][1] if log else min(one.temperature for one in brooder.log)
    off = group.out - timedelta(days=days_unheated)
    lows = [temperature for day, temperature in log if day >= off]
    low: float | None = value_or(brooder, "unheated_low", None)
    if low is not None:
        lows.append(low)
    return min(lows) if lows else brooder.unheated_low


@measure("temperature step")
def first_night_drop(group: Group, lowest_indoors: float, weather: Weather) -> float:
    """The degrees C by which the first night outside is colder than the coldest indoors.

    Below zero where it is warmer.

    >>> from types import SimpleNamespace as Of
    >>> first_night_drop(Of(out=date(2027, 4, 22)), 29.0, Of(night_low=2.0, periods=()))
    27.0
    """
    first: float = of_day(group.out, weather, "night_low")
    return lowest_indoors - first


def is_hardened(
    group: Group, brooder: Brooder, weather: Weather, setup: Whole, figures: Table
) -> bool:
    """Whether a group was long enough without heat, and its first night is no great drop.

    Three days (`hardening_days`) and 20 C (`hardening_drop`) are the figures.
    """
    if not is_of_brooder(group, setup.birds, figures):
        raise Missing(why=OTHERS)
    days = days_unheated(group, brooder)
    if days < figures("value", figure="hardening_days"):
        return False
    drop = first_night_drop(group, lowest_indoors(group, days, brooder), weather)
    return bool(drop <= figures("value", figure="hardening_drop"))


def right_warmth(age: timedelta, figures: Table) -> float:
    """The air temperature in deg C that chicks of an age want: a little less each day.

    From `brooder_start` at hatching down by `brooder_step` a week to `brooder_end`. 95 F at first
    and 5 F less each week (Penn State Extension) come to 85 F after two weeks:

    >>> figure = {"brooder_start": 35.0, "brooder_step": 5 / 1.8, "brooder_end": 21.0}
    >>> round(right_warmth(2 * WEEK, lambda column, **who: figure[who["figure"]]) * 1.8 + 32)
    85
    """
    start: float = figures("value", figure="brooder_start")
    step: float = figures("value", figure="brooder_step")
    end: float = figures("value", figure="brooder_end")
    return max(end, start - step * (age / WEEK))


@measure("date", gather="group")
def brooded_from(group: list[Group], figures: Table) -> date | None:
    """The date on which the youngest birds, those of the brooder, hatched.

    None where they move out past the age at which a brooder matters (`hardening_age`).

    >>> from types import SimpleNamespace as Of
    >>> hatched, out = date(2027, 3, 25), date(2027, 4, 22)
    >>> chicks = Of(kind="turkey", hatched=hatched, out=out)
    >>> brooded_from([chicks], lambda column, figure: 28.0)
    datetime.date(2027, 3, 25)
    """
    youngest = max(group, key=lambda one: one.hatched)
    age = (youngest.out - youngest.hatched).days
    return youngest.hatched if age < hardening_age(youngest, figures) else None


@measure("flag", gather="group")
def chicks_brooded(group: list[Group], figures: Table) -> bool:
    """Whether the youngest birds come out of a brooder that matters, and not past that age.

    >>> from types import SimpleNamespace as Of
    >>> hens = Of(kind="egg chicken", hatched=date(2027, 2, 13), out=date(2027, 9, 11))
    >>> chicks = Of(kind="egg chicken", hatched=date(2027, 8, 7), out=date(2027, 9, 11))
    >>> table = lambda column, figure: 56.0
    >>> chicks_brooded([hens], table), chicks_brooded([hens, chicks], table)
    (False, True)
    """
    return brooded_from(group, figures) is not None


Astray = tuple[float, date]


def too_cold(brooder: Brooder, hatched: date, figures: Table) -> Astray | None:
    """By how much, and when, the log was furthest below the curve while it counts; None unlogged.

    Past the figure `brooder_cold_side` chicks are hardened off, and less heat is meant.
    """
    ends = timedelta(days=figures("value", figure="brooder_cold_side"))
    short = [
        (right_warmth(one.date - hatched, figures) - one.temperature, one.date)
        for one in brooder.log
        if timedelta(0) <= one.date - hatched <= ends
    ]
    return max(short, key=lambda one: one[0]) if short else None


def too_hot(brooder: Brooder, hatched: date, figures: Table) -> Astray | None:
    """By how much, and when, the log was furthest above the curve; None unlogged."""
    over = [
        (one.temperature - right_warmth(one.date - hatched, figures), one.date)
        for one in brooder.log
        if one.date >= hatched
    ]
    return max(over, key=lambda one: one[0]) if over else None


@measure("temperature step")
def brooder_cold(brooder: Brooder, brooded_from: date, figures: Table) -> float | None:
    """The most degrees C by which the brooder was colder than the chicks wanted; never below zero.

    Held against `right_warmth` up to the figure `brooder_cold_side`. None without an entry in that
    time, and for birds that come out grown. Penn State's 95 F less 5 F a week is 90 F (32.2 C)
    after one:

    >>> from types import SimpleNamespace as Of
    >>> figure = {"brooder_start": 35.0, "brooder_step": 5 / 1.8, "brooder_end": 21.0}
    >>> table = lambda column, **who: figure.get(who["figure"], 14)
    >>> log = (Of(date=date(2027, 4, 1), temperature=34.0), Of(date=date(2027, 4, 8),
    ...     temperature=26.0))
    >>> round(brooder_cold(Of(log=log), date(2027, 4, 1), table), 1)
    6.2
    """
    found = too_cold(brooder, brooded_from, figures)
    return max(0.0, found[0]) if found else None


@measure("date")
def brooder_coldest_on(brooder: Brooder, brooded_from: date, figures: Table) -> date | None:
    """The date of the entry that lies furthest below what the chicks wanted.

    None where `brooder_cold` is.

    >>> from types import SimpleNamespace as Of
    >>> log = (Of(date=date(2027, 4, 8), temperature=26.0),)
    >>> brooder_coldest_on(Of(log=log), date(2027, 4, 1), lambda column, figure: 14.0)
    datetime.date(2027, 4, 8)
    """
    found = too_cold(brooder, brooded_from, figures)
    return found[1] if found else None


@measure("temperature step")
def brooder_hot(brooder: Brooder, brooded_from: date, figures: Table) -> float | None:
    """The most degrees C by which the brooder was hotter than the chicks wanted; never below zero.

    Held against `right_warmth` at every age. None without an entry, and for birds that come out
    grown.

    >>> from types import SimpleNamespace as Of
    >>> figure = {"brooder_start": 35.0, "brooder_step": 5 / 1.8, "brooder_end": 21.0}
    >>> log = (Of(date=date(2027, 4, 8), temperature=37.0),)
    >>> table = lambda column, **who: figure[who["figure"]]
    >>> round(brooder_hot(Of(log=log), date(2027, 4, 1), table), 1)
    4.8
    """
    found = too_hot(brooder, brooded_from, figures)
    return max(0.0, found[0]) if found else None


@measure("date")
def brooder_hottest_on(brooder: Brooder, brooded_from: date, figures: Table) -> date | None:
    """The date of the entry that lies furthest above what the chicks wanted.

    None where `brooder_hot` is.

    >>> from types import SimpleNamespace as Of
    >>> log = (Of(date=date(2027, 4, 8), temperature=37.0),)
    >>> brooder_hottest_on(Of(log=log), date(2027, 4, 1), lambda column, figure: 14.0)
    datetime.date(2027, 4, 8)
    """
    found = too_hot(brooder, brooded_from, figures)
    return found[1] if found else None


@measure("temperature")
def first_week_low(brooder: Brooder, brooded_from: date) -> float | None:
    """The lowest temperature in deg C logged in the chicks' first week.

    None without an entry in that week, and for birds that come out grown.

    >>> from types import SimpleNamespace as Of
    >>> log = (Of(date=date(2027, 4, 2), temperature=27.0), Of(date=date(2027, 4, 9),
    ...     temperature=25.0))
    >>> first_week_low(Of(log=log), date(2027, 4, 1))
    27.0
    """
    first = [
        one.temperature for one in brooder.log if timedelta(0) <= one.date - brooded_from < WEEK
    ]
    return min(first, default=None)
