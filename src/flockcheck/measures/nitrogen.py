"""The nitrogen that goes in with the feed, stays in birds and eggs, and falls as droppings."""

from __future__ import annotations

from datetime import date
from itertools import accumulate

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.rations import in_ration, in_rations
from flockcheck.measures.stretches import alike, for_all_birds
from flockcheck.setup.sections import Feed, Group
from flockcheck.tables import Table

# Kilograms of protein that hold one of nitrogen: protein is 16 % nitrogen by convention.
PROTEIN_IN_NITROGEN = 6.25


@measure("share", each="day")
def feed_protein(day: date, feed: Feed) -> float:
    """The share of protein in the feed of a day.

    The latest change of ration that has begun and says its protein counts.

    >>> from types import SimpleNamespace as Of
    >>> finisher = Of(from_=date(2027, 5, 6), protein=0.18)
    >>> feed = Of(protein=0.20, later=(finisher,))
    >>> [feed_protein(date(2027, 5, on), feed) for on in (5, 6)]
    [0.2, 0.18]
    """
    return in_ration(day, feed, "protein")


@at_once(feed_protein)
def feed_proteins(day: list[date], feed: Feed) -> list[float]:
    """`feed_protein` of many days: once for each ration."""
    return in_rations(day, feed, "protein")


@measure("feed rate", each="day")
def nitrogen_eaten(feed_each: float, feed_protein: float) -> float:
    """The nitrogen in kg/day that a bird eats: its feed, times the protein, over 6.25.

    None on days when its group does not stay the night. A hen that eats 0.3156 lb a day of feed
    with 2.66 % of nitrogen (Heckman 2012) takes 0.0084 lb, or 3.81 g:

    >>> round(1000 * nitrogen_eaten(0.3156 * 0.45359237, 0.0266 * 6.25), 2)
    3.81
    """
    return feed_each * feed_protein / PROTEIN_IN_NITROGEN


@at_once(nitrogen_eaten)
def nitrogens_eaten(feed_each: list[float], feed_protein: list[float]) -> list[float]:
    """`nitrogen_eaten` of many days."""
    return list(map(nitrogen_eaten, feed_each, feed_protein))


@measure("feed rate", each="day")
def nitrogen_in_growth(daily_gain: float, birds_overnight: int, figures: Table) -> float:
    """The nitrogen in kg/day that a bird's growth holds back: its gain times `nitrogen_in_gain`.

    None on days when its group does not stay the night. 60 g of gain at 29 g in the kilogram:

    >>> round(1000 * nitrogen_in_growth(0.060, 30, lambda column, figure: 0.029), 2)
    1.74
    """
    return float(daily_gain * figures("value", figure="nitrogen_in_gain"))


@at_once(nitrogen_in_growth)
def nitrogens_in_growth(
    daily_gain: list[float], birds_overnight: list[int], figures: Table
) -> list[float]:
    """`nitrogen_in_growth` of many days, the figure looked up once."""
    in_gain = figures("value", figure="nitrogen_in_gain")
    return [float(gain * in_gain) for gain in daily_gain]


@measure("feed rate", each="day")
def nitrogen_in_eggs(group: Group, is_hen: bool, birds_overnight: int, figures: Table) -> float:
    """The nitrogen in kg/day that leaves with a hen's eggs: their weight times `nitrogen_in_egg`.

    0 for birds that are no hens, None on days when their group does not stay the night. One egg of
    0.165 lb every second day, of 1.92 % nitrogen (Heckman 2012), is 0.00158 lb or 0.72 g a day:

    >>> from types import SimpleNamespace as Of
    >>> hen = Of(laying=0.5, egg_weight=0.165 * 0.45359237)
    >>> round(1000 * nitrogen_in_eggs(hen, True, 10, lambda column, figure: 0.0192), 2)
    0.72
    """
    if not is_hen or not group.laying:
        return 0.0
    return float(group.laying * group.egg_weight * figures("value", figure="nitrogen_in_egg"))


@at_once(nitrogen_in_eggs)
def nitrogens_in_eggs(
    group: Group, is_hen: list[bool], birds_overnight: list[int], figures: Table
) -> list[float]:
    """`nitrogen_in_eggs` of many days: the same on all on which they are hens."""
    return alike(lambda hen: nitrogen_in_eggs(group, hen, birds_overnight[0], figures), is_hen)


@measure("feed rate", each="day")
def nitrogen_dropped(
    nitrogen_eaten: float, nitrogen_in_growth: float, nitrogen_in_eggs: float
) -> float:
    """The nitrogen in kg/day in the droppings of a bird: what it eats and does not keep or lay.

    Never below zero. None on days when its group does not stay the night. The balance is that of
    ASAE D384.2 (section 9) and of the IPCC (2019, vol. 4, ch. 10, eq. 10.31 to 10.33). A hen that
    eats 3.81 g and lays 0.72 g (Heckman 2012, who has 24.8 lb from ten hens in a year, 3.08 g):

    >>> round(1000 * nitrogen_dropped(0.00381, 0.0, 0.00072), 2)
    3.09
    """
    return max(0.0, nitrogen_eaten - nitrogen_in_growth - nitrogen_in_eggs)


@at_once(nitrogen_dropped)
def nitrogens_dropped(
    nitrogen_eaten: list[float], nitrogen_in_growth: list[float], nitrogen_in_eggs: list[float]
) -> list[float]:
    """`nitrogen_dropped` of many days."""
    return list(map(nitrogen_dropped, nitrogen_eaten, nitrogen_in_growth, nitrogen_in_eggs))


@measure("feed rate", each="day", gather="group")
def nitrogen_per_day(nitrogen_dropped: list[float], birds_overnight: list[int]) -> float:
    """The nitrogen in kg/day in the droppings of all birds that stay the night.

    None while there are none.

    >>> round(nitrogen_per_day([0.002, 0.001], [30, 10]), 6)
    0.07
    """
    return sum(n * birds for n, birds in zip(nitrogen_dropped, birds_overnight, strict=True))


@at_once(nitrogen_per_day)
def nitrogen_per_day_by_day(
    nitrogen_dropped: list[list[float]], birds_overnight: list[list[int]]
) -> list[float]:
    """`nitrogen_per_day` of many days, each summed by itself."""
    return for_all_birds(nitrogen_dropped, birds_overnight)


@measure("mass", gather="day")
def nitrogen_so_far(nitrogen_per_day: list[float | None]) -> list[float]:
    """The weight in kg of the nitrogen dropped since the stay began, for each of its days.

    None of the days adds anything while no birds stay the night.

    >>> nitrogen_so_far([0.25, None, 0.5])
    [0.25, 0.25, 0.75]
    """
    return list(accumulate(one or 0.0 for one in nitrogen_per_day))
