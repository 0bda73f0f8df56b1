"""What the birds drink in a day."""

from __future__ import annotations

from operator import mul

from flockcheck.measures.drinkers import KG_IN_M3
from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import alike, for_all_birds
from flockcheck.setup.sections import Group
from flockcheck.tables import Table, TableSilent


def drinks(group: Group, age: float, table: Table, per_feed: float, feed: float) -> float:
    """The water in m3 a day of a bird at an age: from the table, else in proportion to its feed.

    `per_feed` is kg of water for one of feed, `feed` kg a day. Raises TableSilent where the table
    has no row and the bird no feed of its own kind.

    >>> from flockcheck.tables import Table
    >>> empty = Table("water_typical", "", (), "age", "straight", "hold", {}, [])
    >>> drinks(None, 28, empty, 2.0, 0.1)
    0.0002
    """
    try:
        return float(table("water", at=age, group=group))
    except TableSilent:
        if not feed:
            raise
        return per_feed * feed / KG_IN_M3


def drinks_by_day(
    group: Group, ages: list[int], table: Table, per_feed: float, feeds: list[float]
) -> list[float]:
    """What `drinks` gives for each of many days."""
    try:
        row = table.curve("water", group=group)
    except TableSilent:
        if not all(feeds):
            raise
        return [per_feed * feed / KG_IN_M3 for feed in feeds]
    try:
        return list(map(float, row.each(ages)))
    except TableSilent:
        days = zip(ages, feeds, strict=True)
        return [drinks(group, age, table, per_feed, feed) for age, feed in days]


@measure("water rate", each="day")
def mild_water_typical(
    group: Group, age: int, grower_feed: float, water_typical_table: Table, figures: Table
) -> float:
    """The water in m3/day that a bird usually drinks in mild weather (about 20 C).

    From the table `water_typical`; kinds without a row drink the figure `water_per_feed_typical`
    times their feed. None while the group is not in the pen. Fast birds drink 5.28 ml a day for
    each day of age (Pesti, Amato and Minear 1985, Poultry Science 64:803-808):

    >>> line = lambda column, at, group: 5.28e-6 * at
    >>> round(mild_water_typical(None, 42, 0.0, line, lambda column, figure: 1.77) * 1e6)
    222
    """
    per_feed = figures("value", figure="water_per_feed_typical")
    return drinks(group, age, water_typical_table, per_feed, grower_feed)


@at_once(mild_water_typical)
def mild_waters_typical(
    group: Group,
    age: list[int],
    grower_feed: list[float],
    water_typical_table: Table,
    figures: Table,
) -> list[float]:
    """`mild_water_typical` of many days, the figure looked up once."""
    per_feed = figures("value", figure="water_per_feed_typical")
    return drinks_by_day(group, age, water_typical_table, per_feed, grower_feed)


@measure("water rate", each="day")
def mild_water_high(
    group: Group, age: int, grower_feed: float, water_high_table: Table, figures: Table
) -> float:
    """The water in m3/day to allow a bird when a tank is sized, in mild weather (about 20 C).

    From the table `water_high`; kinds without a row get the figure `water_per_feed_high` times
    their feed. None while the group is not in the pen. A bird with no row that eats 0.12 kg a day:

    >>> from flockcheck.tables import Table
    >>> empty = Table("water_high", "", (), "age", "straight", "hold", {}, [])
    >>> round(mild_water_high(None, 28, 0.12, empty, lambda column, figure: 2.0) * 1e6)
    240
    """
    per_feed = figures("value", figure="water_per_feed_high")
    return drinks(group, age, water_high_table, per_feed, grower_feed)


@at_once(mild_water_high)
def mild_waters_high(
    group: Group, age: list[int], grower_feed: list[float], water_high_table: Table, figures: Table
) -> list[float]:
    """`mild_water_high` of many days, the figure looked up once."""
    per_feed = figures("value", figure="water_per_feed_high")
    return drinks_by_day(group, age, water_high_table, per_feed, grower_feed)


@measure("number", each="day")
def water_heat_factor(day_high: float, figures: Table) -> float:
    """The number of times as much that birds drink on a day as in mild weather; never below 1.

    1 + `heat_water` for each degree C over `heat_water_from`, added and not compounded. Source:
    National Research Council, Nutrient Requirements of Poultry, 1994, chapter 1 (7 % over 21 C;
    recalled).

    >>> seven = {"heat_water": 0.07, "heat_water_from": 21.0}
    >>> round(water_heat_factor(32.0, lambda column, figure: seven[figure]), 2)
    1.77
    """
    a_degree: float = figures("value", figure="heat_water")
    above: float = day_high - figures("value", figure="heat_water_from")
    return 1 + a_degree * max(0.0, above)


@at_once(water_heat_factor)
def water_heat_factors(day_high: list[float], figures: Table) -> list[float]:
    """`water_heat_factor` of many days, of which few kinds differ."""
    return alike(lambda high: water_heat_factor(high, figures), day_high)


@measure("water rate", each="day")
def water_typical(mild_water_typical: float, water_heat_factor: float) -> float:
    """The water in m3/day that a bird usually drinks in the weather of the day.

    None while the group is not in the pen.

    >>> water_typical(0.0002, 1.5)
    0.00030000000000000003
    """
    return mild_water_typical * water_heat_factor


@at_once(water_typical)
def waters_typical(mild_water_typical: list[float], water_heat_factor: list[float]) -> list[float]:
    """`water_typical` of many days."""
    return list(map(mul, mild_water_typical, water_heat_factor))


@measure("water rate", each="day")
def water_high(mild_water_high: float, water_heat_factor: float) -> float:
    """The water in m3/day to allow a bird when a tank is sized, in the weather of the day.

    None while the group is not in the pen.

    >>> round(water_high(0.00025, 1.2), 6)
    0.0003
    """
    return mild_water_high * water_heat_factor


@at_once(water_high)
def waters_high(mild_water_high: list[float], water_heat_factor: list[float]) -> list[float]:
    """`water_high` of many days."""
    return list(map(mul, mild_water_high, water_heat_factor))


def total(each: list[float], birds: list[int]) -> float:
    """The sum over groups of what each bird takes times its birds."""
    return sum(one * count for one, count in zip(each, birds, strict=True))


@measure("water rate", each="day", gather="group")
def water_need(water_typical: list[float], birds_overnight: list[int]) -> float:
    """The water in m3/day that all birds usually drink. None on days when none stays the night.

    >>> round(water_need([0.0002, 0.0003], [40, 10]), 6)
    0.011
    """
    return total(water_typical, birds_overnight)


@at_once(water_need)
def water_need_by_day(
    water_typical: list[list[float]], birds_overnight: list[list[int]]
) -> list[float]:
    """`water_need` of many days, each summed by itself."""
    return for_all_birds(water_typical, birds_overnight)


@measure("water rate", each="day", gather="group")
def water_need_high(water_high: list[float], birds_overnight: list[int]) -> float:
    """The water in m3/day to allow all birds. None on days when none stays the night.

    >>> round(water_need_high([0.00025, 0.0003], [40, 10]), 6)
    0.013
    """
    return total(water_high, birds_overnight)


@at_once(water_need_high)
def water_need_high_by_day(
    water_high: list[list[float]], birds_overnight: list[list[int]]
) -> list[float]:
    """`water_need_high` of many days, each summed by itself."""
    return for_all_birds(water_high, birds_overnight)


@measure("water rate", each="day", gather="group")
def mild_water_need(mild_water_typical: list[float], birds_overnight: list[int]) -> float:
    """The water in m3/day that all birds usually drink in mild weather.

    None on days when none stays the night.

    >>> round(mild_water_need([0.0002, 0.0003], [40, 10]), 6)
    0.011
    """
    return total(mild_water_typical, birds_overnight)


@at_once(mild_water_need)
def mild_water_need_by_day(
    mild_water_typical: list[list[float]], birds_overnight: list[list[int]]
) -> list[float]:
    """`mild_water_need` of many days, each summed by itself."""
    return for_all_birds(mild_water_typical, birds_overnight)


@measure("water rate", each="day", gather="group")
def mild_water_need_high(mild_water_high: list[float], birds_overnight: list[int]) -> float:
    """The water in m3/day to allow all birds in mild weather.

    None on days when none stays the night.

    >>> round(mild_water_need_high([0.00025, 0.0003], [40, 10]), 6)
    0.013
    """
    return total(mild_water_high, birds_overnight)


@at_once(mild_water_need_high)
def mild_water_need_high_by_day(
    mild_water_high: list[list[float]], birds_overnight: list[list[int]]
) -> list[float]:
    """`mild_water_need_high` of many days, each summed by itself."""
    return for_all_birds(mild_water_high, birds_overnight)
