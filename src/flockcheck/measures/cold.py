"""How cold the nights are for birds of an age, and what freezes in them."""

from __future__ import annotations

from operator import sub

from flockcheck.measures.brooding import hardening_age, is_hardened
from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import alike
from flockcheck.setup.sections import Brooder, Drinker, Group, Weather, Whole
from flockcheck.tables import Table


def critical_by_age(days: float) -> float:
    """The air temperature in deg C below which a lone chick burns feed to stay warm, by its age.

    For 1 to 70 days: 35 - 0.286 x to 21 days, 63.3 x^-0.254 from there. Source: Meltzer, Goodman
    and Fistool 1982, British Poultry Science 23:383-391 (White Leghorn type, still air). Grouped
    birds bear some ten degrees less. The two lines should meet at 21 days:

    >>> round(critical_by_age(21) - 63.3 * 21**-0.254, 1)
    -0.2
    """
    if days <= 21:
        return 35 - 0.286 * days
    return float(63.3 * days**-0.254)


def critical_by_weight(grams: float) -> float:
    """The same temperature by the weight of the chick in g, for 40 to 800 g.

    42 - 1.18 w^0.480 to 163 g, 42 - 3.60 w^0.260 from there. Source: as `critical_by_age`. The two
    lines should meet at 163 g:

    >>> round(critical_by_weight(163) - (42 - 3.60 * 163**0.260), 1)
    -0.1
    """
    if grams <= 163:
        return float(42 - 1.18 * grams**0.480)
    return float(42 - 3.60 * grams**0.260)


@measure("temperature", each="day")
def night_outside(night_low: float, birds_overnight: int) -> float:
    """The lowest temperature in deg C of a night that a group spends in the pen.

    None on days when it does not stay the night.

    >>> night_outside(3.0, 36)
    3.0
    """
    return night_low


@at_once(night_outside)
def nights_outside(night_low: list[float], birds_overnight: list[int]) -> list[float]:
    """`night_outside` of many days."""
    return night_low


@measure("temperature", each="day", gather="group")
def night_here(night_low: float, birds_overnight: list[int]) -> float:
    """The lowest temperature in deg C of a night that any bird spends in the pen.

    None on days when none stays the night.

    >>> night_here(3.0, [36, 12])
    3.0
    """
    return night_low


@at_once(night_here)
def nights_here(night_low: list[float], birds_overnight: list[list[int]]) -> list[float]:
    """`night_here` of many days."""
    return night_low


@measure("temperature", each="day")
def lowest_night(group: Group, age: int, night_warmth: Table) -> float:
    """The lowest night temperature in deg C that birds of this kind and age should meet.

    The column `mend` of the table `night_warmth`. None while the group is not in the pen. Chickens
    of four weeks there:

    >>> lowest_night(None, 28, lambda column, at, group: 4.0)
    4.0
    """
    return float(night_warmth("mend", at=age, group=group))


@at_once(lowest_night)
def lowest_nights(group: Group, age: list[int], night_warmth: Table) -> list[float]:
    """`lowest_night` of many days: points of one row."""
    return list(map(float, night_warmth.curve("mend", group=group).each(age)))


@measure("temperature step", each="day")
def night_margin(night_outside: float, lowest_night: float) -> float:
    """The degrees C by which a night is warmer than birds of this age need; below zero, colder.

    None on days when the group does not stay the night.

    >>> night_margin(2.0, 4.0)
    -2.0
    """
    return night_outside - lowest_night


@at_once(night_margin)
def night_margins(night_outside: list[float], lowest_night: list[float]) -> list[float]:
    """`night_margin` of many days."""
    return list(map(sub, night_outside, lowest_night))


@measure("flag", each="day")
def cold_unhardened(
    group: Group,
    age: int,
    night_margin: float,
    brooder: Brooder,
    weather: Weather,
    setup: Whole,
    figures: Table,
) -> bool:
    """Whether a group meets a night that is too cold for its age without being hardened to cold.

    False for nights that are warm enough, and for birds past the figure `hardening_age` (turkeys:
    `turkeys_later` more): the brooder is not asked about then. None on days when the group does not
    stay the night.

    >>> from types import SimpleNamespace as Of
    >>> figure = {"hardening_age": 56.0}
    >>> table = lambda column, **who: figure[who["figure"]]
    >>> chicks = Of(kind="meat chicken")
    >>> cold_unhardened(chicks, 28, 1.0, None, None, None, table)
    False
    >>> cold_unhardened(chicks, 60, -3.0, None, None, None, table)
    False
    """
    if night_margin >= 0 or age >= hardening_age(group, figures):
        return False
    return not is_hardened(group, brooder, weather, setup, figures)


@at_once(cold_unhardened)
def cold_unhardened_by_day(
    group: Group,
    age: list[int],
    night_margin: list[float],
    brooder: Brooder,
    weather: Weather,
    setup: Whole,
    figures: Table,
) -> list[bool]:
    """`cold_unhardened` of many days: whether the birds are hardened is asked once, if at all."""
    cold = [margin < 0 for margin in night_margin]
    if True in cold:
        grown = hardening_age(group, figures)
        cold = [too_cold and old < grown for too_cold, old in zip(cold, age, strict=True)]
    if True not in cold or not is_hardened(group, brooder, weather, setup, figures):
        return cold
    return [False] * len(cold)


@measure("temperature", each="day")
def unheated_night(drinker: Drinker, night_here: float) -> float | None:
    """The lowest temperature in deg C of a night that a drinker stands through without heat.

    Whether it is heated is asked only of nights with frost. None on frosty nights for one that is
    heated, and on days when no bird stays the night.

    >>> from types import SimpleNamespace as Of
    >>> unheated_night(Of(heated=False), -5.0)
    -5.0
    >>> unheated_night(Of(heated=True), -5.0)
    """
    return None if night_here < 0 and drinker.heated else night_here


@at_once(unheated_night)
def unheated_nights(drinker: Drinker, night_here: list[float]) -> list[float | None]:
    """`unheated_night` of many days, of which few kinds differ."""
    return alike(lambda night: unheated_night(drinker, night), night_here)
