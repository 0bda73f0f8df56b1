"""The weather of each day: the period that covers it, else the outlook for the whole stay."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import held
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Period, Weather


def of_day(day: date, weather: Weather, key: str) -> Any:
    """What is written under a key for a day; the outlook's where its period leaves the key out.

    Raises Missing with the outlook's key where neither says it.
    """
    periods: tuple[Period, ...] = value_or(weather, "periods", ())
    for period in periods:
        if period.from_ <= day <= period.to:
            found = value_or(period, key, None)
            if found is not None:
                return found
    return getattr(weather, key)


def weather_changes(weather: Weather) -> list[date]:
    """The days on which the weather may change: a period begins, or has ended the day before."""
    periods: tuple[Period, ...] = value_or(weather, "periods", ())
    begin = [period.from_ for period in periods]
    return begin + [period.to + timedelta(days=1) for period in periods]


def of_days(days: list[date], weather: Weather, key: str) -> list[Any]:
    """What `of_day` gives for each of some days that follow one another."""
    changes = weather_changes(weather)
    if not changes:
        return [getattr(weather, key)] * len(days)
    return held(days, changes, lambda day: of_day(day, weather, key))


@measure("temperature", each="day")
def day_high(day: date, weather: Weather) -> float:
    """The temperature of the hottest hour of a day like this, in deg C.

    >>> from types import SimpleNamespace as Of
    >>> heat = Of(from_=date(2027, 6, 10), to=date(2027, 6, 25), day_high=33.0)
    >>> outlook = Of(day_high=19.0, periods=(heat,))
    >>> [day_high(date(2027, 6, n), outlook) for n in (9, 10, 25, 26)]
    [19.0, 33.0, 33.0, 19.0]
    """
    found: float = of_day(day, weather, "day_high")
    return found


@at_once(day_high)
def day_highs(day: list[date], weather: Weather) -> list[float]:
    """`day_high` of many days: once for each stretch of the same weather."""
    return of_days(day, weather, "day_high")


@measure("temperature", each="day")
def night_low(day: date, weather: Weather) -> float:
    """The temperature of the coldest hour of the night after a day, in deg C.

    >>> from types import SimpleNamespace as Of
    >>> night_low(date(2027, 6, 9), Of(night_low=3.0, periods=()))
    3.0
    """
    found: float = of_day(day, weather, "night_low")
    return found


@at_once(night_low)
def night_lows(day: list[date], weather: Weather) -> list[float]:
    """`night_low` of many days: once for each stretch of the same weather."""
    return of_days(day, weather, "night_low")


@measure("share", each="day")
def humidity(day: date, weather: Weather) -> float:
    """The relative humidity at the day's high, as a share of saturation.

    >>> from types import SimpleNamespace as Of
    >>> humidity(date(2027, 6, 9), Of(humidity=0.55, periods=()))
    0.55
    """
    found: float = of_day(day, weather, "humidity")
    return found


@at_once(humidity)
def humidities(day: list[date], weather: Weather) -> list[float]:
    """`humidity` of many days: once for each stretch of the same weather."""
    return of_days(day, weather, "humidity")


@measure("speed", each="day")
def gust(day: date, weather: Weather) -> float:
    """The speed of the strongest three-second gust as forecast (10 m above the ground), in m/s.

    >>> from types import SimpleNamespace as Of
    >>> gust(date(2027, 6, 9), Of(gust=15.0, periods=()))
    15.0
    """
    found: float = of_day(day, weather, "gust")
    return found


@at_once(gust)
def gusts(day: list[date], weather: Weather) -> list[float]:
    """`gust` of many days: once for each stretch of the same weather."""
    return of_days(day, weather, "gust")


@measure("length", each="day")
def snow(day: date, weather: Weather) -> float:
    """The depth of snow that may lie, in m.

    >>> from types import SimpleNamespace as Of
    >>> snow(date(2027, 6, 9), Of(snow=0.0, periods=()))
    0.0
    """
    found: float = of_day(day, weather, "snow")
    return found


@at_once(snow)
def snows(day: list[date], weather: Weather) -> list[float]:
    """`snow` of many days: once for each stretch of the same weather."""
    return of_days(day, weather, "snow")


@measure("flag", each="day")
def rain(day: date, weather: Weather) -> bool:
    """Whether rain is to be expected.

    >>> from types import SimpleNamespace as Of
    >>> rain(date(2027, 6, 9), Of(rain=True, periods=()))
    True
    """
    found: bool = of_day(day, weather, "rain")
    return found


@at_once(rain)
def rains(day: list[date], weather: Weather) -> list[bool]:
    """`rain` of many days: once for each stretch of the same weather."""
    return of_days(day, weather, "rain")
