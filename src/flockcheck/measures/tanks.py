"""What the drinkers hold, and how long that lasts."""

from __future__ import annotations

from flockcheck.measures.drinkers import BY_PLACE
from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.setup.sections import Drinker, Water


@measure("volume")
def water_held(drinker: Drinker) -> float | None:
    """The volume in m3 of all drinkers of this form when full. None for piped ones, which refill.

    Nipples and cups are counted by places, so their one tank is counted once.

    >>> from types import SimpleNamespace as Of
    >>> water_held(Of(supply="tank", form="trough", holds=0.019, count=2))
    0.038
    >>> water_held(Of(supply="tank", form="nipple", holds=0.019, count=8))
    0.019
    >>> water_held(Of(supply="piped", form="bell", count=2))
    """
    if drinker.supply == "piped":
        return None
    return drinker.holds if drinker.form in BY_PLACE else drinker.holds * drinker.count


@measure("volume", gather="drinker")
def all_water_held(water_held: list[float]) -> float:
    """The volume in m3 of all tanks when full. None where every drinker is piped.

    >>> all_water_held([0.019, 0.004])
    0.023
    """
    return sum(water_held)


@measure("flag", gather="drinker")
def piped(drinker: list[Drinker]) -> bool:
    """Whether any drinker is piped, so that the birds don't hang on the tanks alone.

    >>> from types import SimpleNamespace as Of
    >>> piped([Of(supply="tank"), Of(supply="piped")])
    True
    """
    return any(one.supply == "piped" for one in drinker)


def lasts(held: float, need: float, water: Water) -> float | None:
    """The share that the tanks hold of the water between two visits. None where nobody drinks."""
    return held * water.visits_per_day / need if need else None


def lasts_by_day(held: float, needs: list[float], water: Water) -> list[float | None]:
    """What `lasts` gives for each of many days, filled as often on each of them."""
    if not any(needs):
        return [None] * len(needs)
    filled = held * water.visits_per_day
    return [filled / need if need else None for need in needs]


@measure("share", each="day")
def water_lasts(all_water_held: float, water_need: float, water: Water) -> float | None:
    """The share that full tanks hold of what the birds usually drink between two visits.

    Below 100 % they run dry. None where every drinker is piped and on days when no bird stays the
    night. Tanks of 19 l, filled twice a day, for birds that drink 30 l a day:

    >>> from types import SimpleNamespace as Of
    >>> round(water_lasts(0.019, 0.030, Of(visits_per_day=2)), 2)
    1.27
    """
    return lasts(all_water_held, water_need, water)


@at_once(water_lasts)
def water_lasts_by_day(
    all_water_held: float, water_need: list[float], water: Water
) -> list[float | None]:
    """`water_lasts` of many days."""
    return lasts_by_day(all_water_held, water_need, water)


@measure("share", each="day")
def water_lasts_high(all_water_held: float, water_need_high: float, water: Water) -> float | None:
    """The share that full tanks hold of what to allow the birds between two visits.

    None where every drinker is piped and on days when no bird stays the night.

    >>> from types import SimpleNamespace as Of
    >>> water_lasts_high(0.02, 0.04, Of(visits_per_day=1))
    0.5
    """
    return lasts(all_water_held, water_need_high, water)


@at_once(water_lasts_high)
def water_lasts_high_by_day(
    all_water_held: float, water_need_high: list[float], water: Water
) -> list[float | None]:
    """`water_lasts_high` of many days."""
    return lasts_by_day(all_water_held, water_need_high, water)


@measure("share", each="day")
def mild_water_lasts(all_water_held: float, mild_water_need: float, water: Water) -> float | None:
    """The share that full tanks hold of the usual water between two visits, in mild weather.

    None where every drinker is piped and on days when no bird stays the night.

    >>> from types import SimpleNamespace as Of
    >>> mild_water_lasts(0.02, 0.04, Of(visits_per_day=3))
    1.5
    """
    return lasts(all_water_held, mild_water_need, water)


@at_once(mild_water_lasts)
def mild_water_lasts_by_day(
    all_water_held: float, mild_water_need: list[float], water: Water
) -> list[float | None]:
    """`mild_water_lasts` of many days."""
    return lasts_by_day(all_water_held, mild_water_need, water)


@measure("share", each="day")
def mild_water_lasts_high(
    all_water_held: float, mild_water_need_high: float, water: Water
) -> float | None:
    """The share that full tanks hold of what to allow between two visits, in mild weather.

    None where every drinker is piped and on days when no bird stays the night.

    >>> from types import SimpleNamespace as Of
    >>> mild_water_lasts_high(0.02, 0.04, Of(visits_per_day=2))
    1.0
    """
    return lasts(all_water_held, mild_water_need_high, water)


@at_once(mild_water_lasts_high)
def mild_water_lasts_high_by_day(
    all_water_held: float, mild_water_need_high: list[float], water: Water
) -> list[float | None]:
    """`mild_water_lasts_high` of many days."""
    return lasts_by_day(all_water_held, mild_water_need_high, water)
