"""The weather of each day: the period that covers it, else the outlook for the whole stay."""

from __future__ import annotations

from datetime import date
from typing import Any

from flockcheck.measures.graph.spec import measure
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


@measure("temperature", each="day")
def night_low(day: date, weather: Weather) -> float:
    """The temperature of the coldest hour of the night after a day, in deg C.

    >>> from types import SimpleNamespace as Of
    >>> night_low(date(2027, 6, 9), Of(night_low=3.0, periods=()))
    3.0
    """
    found: float = of_day(day, weather, "night_low")
    return found


@measure("share", each="day")
def humidity(day: date, weather: Weather) -> float:
    """The relative humidity at the day's high, as a share of saturation.

    >>> from types import SimpleNamespace as Of
    >>> humidity(date(2027, 6, 9), Of(humidity=0.55, periods=()))
    0.55
    """
    found: float = of_day(day, weather, "humidity")
    return found


@measure("speed", each="day")
def gust(day: date, weather: Weather) -> float:
    """The speed of the strongest three-second gust as forecast (10 m above the ground), in m/s.

    >>> from types import SimpleNamespace as Of
    >>> gust(date(2027, 6, 9), Of(gust=15.0, periods=()))
    15.0
    """
    found: float = of_day(day, weather, "gust")
    return found


@measure("length", each="day")
def snow(day: date, weather: Weather) -> float:
    """The depth of snow that may lie, in m.

    >>> from types import SimpleNamespace as Of
    >>> snow(date(2027, 6, 9), Of(snow=0.0, periods=()))
    0.0
    """
    found: float = of_day(day, weather, "snow")
    return found


@measure("flag", each="day")
def rain(day: date, weather: Weather) -> bool:
    """Whether rain is to be expected.

    >>> from types import SimpleNamespace as Of
    >>> rain(date(2027, 6, 9), Of(rain=True, periods=()))
    True
    """
    found: bool = of_day(day, weather, "rain")
    return found
