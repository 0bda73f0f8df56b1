"""What the birds eat in a day."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from datetime import date
from functools import cache
from operator import sub

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.growth_curves import (
    eaten_past_end,
    standard_curve,
    standard_weights_at,
)
from flockcheck.measures.stretches import for_all_birds, held
from flockcheck.measures.weather import day_high, night_low, weather_changes
from flockcheck.setup.sections import Group, Weather
from flockcheck.tables import Row, Table


@measure("feed rate", each="day")
def daily_gain(
    group: Group, age: int, own_weight_ratio: float, growth: Table, growth_fit: Table
) -> float:
    """The weight in kg/day that a bird gains from this day to the next, never below zero.

    None while the group is not in the pen. Birds that weigh a tenth more than a curve that rises by
    0.05 kg a day:

    >>> from flockcheck.tables import Row, Table
    >>> points = Row({}, [0, 63], {"weight": [0.04, 3.19]}, {})
    >>> straight = Table("growth", "", (), "age", "straight", "hold", {}, [points])
    >>> no_fit = Table("growth_fit", "", (), "", "straight", "hold", {}, [])
    >>> round(daily_gain(None, 28, 1.1, straight, no_fit), 6)
    0.055
    """
    curve = standard_curve(group, growth, growth_fit)
    return max(0.0, curve(age + 1) - curve(age)) * own_weight_ratio


@at_once(daily_gain)
def daily_gains(
    group: Group,
    age: list[int],
    own_weight_ratio: list[float],
    growth: Table,
    growth_fit: Table,
) -> list[float]:
    """`daily_gain` of many days: rises of one curve."""
    first = min(age)
    weights = standard_weights_at(group, growth, growth_fit, range(first, max(age) + 2))
    rises = [max(0.0, rise) for rise in map(sub, weights[1:], weights)]
    return [rises[one - first] * ratio for one, ratio in zip(age, own_weight_ratio, strict=True)]


@measure("feed rate", each="day")
def grower_feed(
    group: Group,
    age: int,
    is_hen: bool,
    own_weight_ratio: float,
    feed_eaten: Table,
    growth: Table,
    growth_fit: Table,
) -> float:
    """The feed in kg/day of a growing bird; 0 for hens, whose feed follows their energy.

    The rise over the day of the table `feed_eaten`, and past its end by feed conversion (see
    `eaten_past_end`), but no less a day than on the table's last: a heavier bird doesn't eat less,
    though the fitted curve that carries on gains more slowly. Birds that their keeper found heavier
    or lighter than published eat in proportion. None while the group is not in the pen. Mixed fast
    birds, of which Zhang et al. (2020, Poultry Science 99:3266-3279, table 3) found that they eat
    2.864 kg from day 41 to 55:

    >>> from flockcheck.tables import Row, Table
    >>> points = Row({}, [0, 41, 55], {"feed": [0, 4.427, 7.291]}, {})
    >>> eaten = Table("feed_eaten", "", (), "age", "straight", "refuse", {}, [points])
    >>> days = [grower_feed(None, age, False, 1.0, eaten, None, None) for age in range(41, 55)]
    >>> round(sum(days), 3)
    2.864
    """
    if is_hen:
        return 0.0
    return eaten_in_a_day(group, feed_eaten, growth, growth_fit)(age) * own_weight_ratio


def eaten_in_a_day(
    group: Group, feed_eaten: Table, growth: Table, growth_fit: Table
) -> Callable[[int], float]:
    """The feed in kg/day of a growing bird as published, by its age; see `grower_feed`."""
    row = feed_eaten.row({"group": group})
    last, published = row.xs[-1], feed_eaten.curve("feed", group=group)

    @cache
    def eaten(at: float) -> float:
        if at <= last:
            return float(published(at))
        return eaten_past_end(*_ends(row), standard_curve(group, growth, growth_fit))(at)

    def rise(age: int) -> float:
        found = eaten(age + 1) - eaten(age)
        if age >= last:
            found = max(found, eaten(last) - eaten(last - 1))
        return max(0.0, found)

    return rise


def _ends(row: Row) -> tuple[list[float], list[float]]:
    """The last two points of a row of `feed_eaten`: ages in days, and feed in kg."""
    return row.xs[-2:], row.ys["feed"][-2:]


@at_once(grower_feed)
def grower_feeds(
    group: Group,
    age: list[int],
    is_hen: list[bool],
    own_weight_ratio: list[float],
    feed_eaten: Table,
    growth: Table,
    growth_fit: Table,
) -> list[float]:
    """`grower_feed` of many days: rises of one curve while the birds are no hens."""
    growing = [one for one, hen in zip(age, is_hen, strict=True) if not hen]
    if not growing:
        return [0.0] * len(age)
    first = min(growing)
    rises = eaten_each_day(group, feed_eaten, growth, growth_fit, first, max(growing))
    days = zip(age, is_hen, own_weight_ratio, strict=True)
    return [0.0 if hen else rises[one - first] * ratio for one, hen, ratio in days]


def eaten_each_day(
    group: Group, feed_eaten: Table, growth: Table, growth_fit: Table, first: int, final: int
) -> list[float]:
    """What `eaten_in_a_day` gives for each age from the first to the final one."""
    row = feed_eaten.row({"group": group})
    last, published = row.xs[-1], feed_eaten.curve("feed", group=group)
    points = range(first, final + 2)
    within = points[: bisect_right(points, last)]
    beyond = points[len(within) :]
    eaten = list(map(float, published.each(within)))
    if beyond:
        ends, feed = _ends(row)
        weighed = [0, *ends, *beyond]
        weights = standard_weights_at(group, growth, growth_fit, weighed)
        standard = dict(zip(weighed, weights, strict=True))
        eaten += map(eaten_past_end(ends, feed, standard.__getitem__), beyond)
    rises = [max(0.0, rise) for rise in map(sub, eaten[1:], eaten)]
    if final >= last:
        least = float(published(last)) - float(published(last - 1))
        at = bisect_left(points, last)
        rises[at:] = [max(rise, least) for rise in rises[at:]]
    return rises


@measure("number", each="day")
def layer_feed_factor(is_hen: bool, day: date, weather: Weather, figures: Table) -> float:
    """The number of times as much that hens eat in the weather of the day as at 20 C.

    1, and the figure `layer_feed_slope` more for each degree C that the middle between the night's
    low and the day's high lies below `layer_feed_slope_at`, less for each above; from
    `layer_feed_coldest` to `layer_feed_hottest`. 1 for birds that are no hens, None while the group
    is not in the pen. A trial measured 20.5 % more feed at 5 C than at 20 C (British Poultry
    Science 24, 1983, 311-317), 1.37 % a degree:

    >>> from types import SimpleNamespace as Of
    >>> figure = {"layer_feed_slope": 0.0137, "layer_feed_slope_at": 20.0,
    ...     "layer_feed_coldest": 0.0, "layer_feed_hottest": 31.0}
    >>> table = lambda column, **who: figure[who["figure"]]
    >>> cold = Of(night_low=2.0, day_high=8.0, periods=())
    >>> round(layer_feed_factor(True, date(2027, 3, 1), cold, table), 3)
    1.206
    """
    if not is_hen:
        return 1.0
    middle = (night_low(day, weather) + day_high(day, weather)) / 2
    coldest = figures("value", figure="layer_feed_coldest")
    hottest = figures("value", figure="layer_feed_hottest")
    at: float = figures("value", figure="layer_feed_slope_at")
    slope: float = figures("value", figure="layer_feed_slope")
    return float(1 + slope * (at - min(max(middle, coldest), hottest)))


@at_once(layer_feed_factor)
def layer_feed_factors(
    is_hen: list[bool], day: list[date], weather: Weather, figures: Table
) -> list[float]:
    """`layer_feed_factor` of many days: once for each stretch of the same weather with hens."""
    if True not in is_hen:
        return [1.0] * len(day)
    first = is_hen.index(True)
    factors = held(
        day[first:],
        weather_changes(weather),
        lambda on: layer_feed_factor(True, on, weather, figures),
    )
    later = zip(is_hen[first:], factors, strict=True)
    return [1.0] * first + [factor if hen else 1.0 for hen, factor in later]


@measure("feed rate", each="day")
def feed_each(
    group: Group,
    birds_overnight: int,
    is_hen: bool,
    grower_feed: float,
    live_weight: float,
    daily_gain: float,
    figures: Table,
    layer_feed_factor: float = 1.0,
) -> float:
    """The feed in kg/day of one bird. None on days when its group does not stay the night.

    Growing birds follow `grower_feed`. Hens take the energy that the equation of the National
    Research Council asks for (Nutrient Requirements of Poultry, 1994, footnote of table 2-4;
    recalled),

        kcal a day = W^0.75 (173 - 1.95 T) + 5.5 gain + 2.07 eggs      (W in kg, gain and eggs in g)

    at T = 20 C, from a feed of so many kcal/kg, times `layer_feed_factor` (1 where the weather is
    not written). A hen of 1.8 kg with 50 g of egg a day on feed of 2850 kcal/kg:

    >>> from types import SimpleNamespace as Of
    >>> figure = {"layer_maintenance": 173, "layer_maintenance_per_degree": 1.95,
    ...     "layer_feed_slope_at": 20, "layer_gain_energy": 5.5, "layer_egg_energy": 2.07,
    ...     "layer_feed_energy": 2850}
    >>> table = lambda column, **who: figure[who["figure"]]
    >>> round(feed_each(Of(laying=1.0, egg_weight=0.050), 12, True, 0.0, 1.8, 0.0, table), 4)
    0.1094
    """
    if not is_hen:
        return grower_feed
    return feed_of_hen(group, figures)(live_weight, daily_gain, layer_feed_factor)


@at_once(feed_each)
def feed_each_by_day(
    group: Group,
    birds_overnight: list[int],
    is_hen: list[bool],
    grower_feed: list[float],
    live_weight: list[float],
    daily_gain: list[float],
    figures: Table,
    layer_feed_factor: list[float],
) -> list[float]:
    """`feed_each` of many days, the figures of the hens' equation looked up once."""
    if True not in is_hen:
        return grower_feed
    of_hen = feed_of_hen(group, figures)
    days = zip(is_hen, grower_feed, live_weight, daily_gain, layer_feed_factor, strict=True)
    return [of_hen(kg, gain, factor) if hen else eats for hen, eats, kg, gain, factor in days]


def feed_of_hen(group: Group, figures: Table) -> Callable[[float, float, float], float]:
    """The feed in kg/day of a hen by its weight, gain and the weather; see `feed_each`."""

    def figure(name: str) -> float:
        return float(figures("value", figure=name))

    at_rest = figure("layer_maintenance") - (
        figure("layer_maintenance_per_degree") * figure("layer_feed_slope_at")
    )
    eggs = group.laying * group.egg_weight if group.laying else 0.0
    grams = 1000.0
    for_gain, for_eggs = figure("layer_gain_energy"), figure("layer_egg_energy") * eggs * grams
    in_feed = figure("layer_feed_energy")

    def feed(live_weight: float, daily_gain: float, layer_feed_factor: float) -> float:
        energy = live_weight**0.75 * at_rest + for_gain * daily_gain * grams + for_eggs
        return float(energy / in_feed * layer_feed_factor)

    return feed


@measure("feed rate", each="day", gather="group")
def feed_per_day(feed_each: list[float], birds_overnight: list[int]) -> float:
    """The feed in kg/day of all birds that stay the night. None while there are none.

    >>> feed_per_day([0.1, 0.12], [30, 10])
    4.2
    """
    return sum(feed * birds for feed, birds in zip(feed_each, birds_overnight, strict=True))


@at_once(feed_per_day)
def feed_per_day_by_day(
    feed_each: list[list[float]], birds_overnight: list[list[int]]
) -> list[float]:
    """`feed_per_day` of many days, each summed by itself."""
    return for_all_birds(feed_each, birds_overnight)
