"""Who is in the pen on each day, how old, and how heavy."""

from __future__ import annotations

from datetime import date, timedelta
from operator import mul, sub

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.graph.stay import presence
from flockcheck.measures.growth_curves import (
    own_over_standard,
    own_over_standard_at,
    own_weighings,
    standard_curve,
    standard_weights_at,
)
from flockcheck.measures.stretches import for_all_birds, held, least, most, summed
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Group, Whole
from flockcheck.tables import Table


@measure("time")
def days_to_out(group: Group) -> int:
    """The days from hatching to the move out; below zero where the dates are out of order.

    >>> from types import SimpleNamespace as Of
    >>> days_to_out(Of(hatched=date(2027, 3, 25), out=date(2027, 4, 22)))
    28
    """
    return (group.out - group.hatched).days


@measure("time")
def age_at_out(days_to_out: int) -> int:
    """The age in days at which a group moves out; below zero where the dates are out of order.

    >>> age_at_out(28)
    28
    """
    return days_to_out


@measure("time")
def stay_length(group: Group) -> int:
    """The days from the move out to leaving; below zero where the dates are out of order.

    Not known while `leaves` is not written.

    >>> from types import SimpleNamespace as Of
    >>> stay_length(Of(out=date(2027, 4, 22), leaves=date(2027, 6, 10)))
    49
    """
    return (group.leaves - group.out).days


@measure("flag")
def end_is_written(group: Group) -> bool:
    """Whether the keeper wrote when a group leaves.

    >>> from types import SimpleNamespace as Of
    >>> end_is_written(Of(leaves=date(2027, 6, 10)))
    True
    """
    return value_or(group, "leaves", None) is not None


@measure("date")
def last_day(group: Group, setup: Whole) -> date:
    """The date of the last day of a group in the pen: when it leaves, or as far as is looked ahead.

    >>> from types import SimpleNamespace as Of
    >>> last_day(Of(out=date(2027, 4, 22), leaves=date(2027, 6, 10)), Of(look_ahead=56))
    datetime.date(2027, 6, 10)
    """
    return presence(group, setup)[1]


@measure("time", each="day")
def age(group: Group, day: date, last_day: date) -> int | None:
    """The age of the birds in days, never below zero. None while the group is not in the pen.

    Whole days since hatching.

    >>> from types import SimpleNamespace as Of
    >>> chicks = Of(hatched=date(2027, 3, 25), out=date(2027, 4, 22))
    >>> age(chicks, date(2027, 4, 23), date(2027, 6, 10))
    29
    >>> age(chicks, date(2027, 4, 21), date(2027, 6, 10))
    """
    if not group.out <= day <= last_day:
        return None
    return max(0, (day - group.hatched).days)


@at_once(age)
def ages(group: Group, day: list[date], last_day: date) -> list[int | None]:
    """`age` of many days that follow one another: counted on from the first of them."""
    first, days = day[0], len(day)
    begin = min(max(0, (group.out - first).days), days)
    end = max(begin, min((last_day - first).days + 1, days))
    on_first = (first - group.hatched).days
    found: list[int | None] = [None] * begin
    found += [max(0, old) for old in range(on_first + begin, on_first + end)]
    return found + [None] * (days - end)


@measure("count", each="day")
def birds_here(group: Group, day: date, last_day: date) -> int | None:
    """The number of birds of a group, its leaving day counted: for space and weight.

    None while the group is not in the pen.

    >>> from types import SimpleNamespace as Of
    >>> chicks = Of(out=date(2027, 4, 22), count=36)
    >>> birds_here(chicks, date(2027, 6, 10), date(2027, 6, 10))
    36
    """
    return group.count if group.out <= day <= last_day else None


@at_once(birds_here)
def birds_here_by_day(group: Group, day: list[date], last_day: date) -> list[int | None]:
    """`birds_here` of many days: the same from the move out to the last day."""
    changes = (group.out, last_day + timedelta(days=1))
    return held(day, changes, lambda on: birds_here(group, on, last_day))


@measure("count", each="day")
def birds_overnight(group: Group, day: date, last_day: date) -> int | None:
    """The number of birds of a group that stay the night: for feed, water, cold and droppings.

    None while the group is not in the pen and on the day it leaves. A group with no `leaves` is
    there to the last day that is looked at.

    >>> from types import SimpleNamespace as Of
    >>> chicks = Of(out=date(2027, 4, 22), leaves=date(2027, 6, 10), count=36)
    >>> birds_overnight(chicks, date(2027, 6, 9), date(2027, 6, 10))
    36
    >>> birds_overnight(chicks, date(2027, 6, 10), date(2027, 6, 10))
    """
    if not group.out <= day <= last_day:
        return None
    leaves: date | None = value_or(group, "leaves", None)
    return group.count if leaves is None or day < leaves else None


@at_once(birds_overnight)
def birds_by_night(group: Group, day: list[date], last_day: date) -> list[int | None]:
    """`birds_overnight` of many days: the same from the move out to the last night."""
    changes = (group.out, last_day, last_day + timedelta(days=1))
    return held(day, changes, lambda on: birds_overnight(group, on, last_day))


@measure("count", each="day", gather="group")
def birds_present(birds_here: list[int]) -> int:
    """The number of all birds in the pen, leaving days counted. None while there are none.

    >>> birds_present([36, 4])
    40
    """
    return sum(birds_here)


@at_once(birds_present)
def birds_present_by_day(birds_here: list[list[int]]) -> list[int]:
    """`birds_present` of many days."""
    return summed(birds_here)


@measure("time", each="day", gather="group")
def youngest_age(age: list[int]) -> int:
    """The age in days of the youngest birds in the pen. None while there are none.

    >>> youngest_age([28, 140])
    28
    """
    return min(age)


@at_once(youngest_age)
def youngest_ages(age: list[list[int]]) -> list[int]:
    """`youngest_age` of many days."""
    return least(age)


@measure("time", each="day", gather="group")
def oldest_age(age: list[int]) -> int:
    """The age in days of the oldest birds in the pen. None while there are none.

    >>> oldest_age([28, 140])
    140
    """
    return max(age)


@measure("time", each="day", gather="group")
def age_spread(age: list[int]) -> int | None:
    """The days between the hatching of the youngest and the oldest birds in the pen.

    None on days with fewer than two groups.

    >>> age_spread([28, 140])
    112
    >>> age_spread([28])
    """
    return max(age) - min(age) if len(age) > 1 else None


@at_once(age_spread)
def age_spreads(age: list[list[int]]) -> list[int | None]:
    """`age_spread` of many days."""
    if len(age) == 1:
        return [None] * len(age[0])
    return list(map(sub, most(age), least(age)))


@measure("flag", each="day")
def is_hen(group: Group, age: int, figures: Table) -> bool:
    """Whether the birds of a group are hens: egg chickens of 18 weeks (126 days) and over.

    The age is the figure `hen_age`. None while the group is not in the pen.

    >>> from types import SimpleNamespace as Of
    >>> eighteen_weeks = lambda column, figure: 126.0
    >>> [is_hen(Of(kind="egg chicken"), age, eighteen_weeks) for age in (125, 126)]
    [False, True]
    """
    return group.kind == "egg chicken" and age >= figures("value", figure="hen_age")


@at_once(is_hen)
def are_hens(group: Group, age: list[int], figures: Table) -> list[bool]:
    """`is_hen` of many days, with one look at the kind and the figure."""
    if group.kind != "egg chicken":
        return [False] * len(age)
    hen_age = figures("value", figure="hen_age")
    return [one >= hen_age for one in age]


@measure("mass", each="day")
def standard_weight(group: Group, age: int, growth: Table, growth_fit: Table) -> float:
    """The weight in kg of a bird of this kind and age, as published. None while not in the pen.

    The table `growth` is followed to its end, and the gain of the curve in `growth_fit` beyond it;
    kinds that have no table follow the curve alone. The curve here is of medium meat chickens,
    fitted to the National Research Council's table of 1984 (mean of the sexes 2.638 kg at 63 days):

    >>> fit = {"asymptote": 3.563, "rate": 0.0408, "inflection": 36.7}
    >>> from types import SimpleNamespace as Of
    >>> none = Of(last=lambda group: None)
    >>> weight = standard_weight(Of(kind="meat chicken"), 63, none, lambda name, group: fit[name])
    >>> abs(weight / 2.638 - 1) < 0.05
    True
    """
    return standard_curve(group, growth, growth_fit)(age)


@at_once(standard_weight)
def standard_weights(group: Group, age: list[int], growth: Table, growth_fit: Table) -> list[float]:
    """`standard_weight` of many days: points of one curve."""
    return standard_weights_at(group, growth, growth_fit, age)


@measure("number", each="day")
def own_weight_ratio(group: Group, age: int, growth: Table, growth_fit: Table) -> float:
    """The number of times that the keeper's birds are as heavy as the published ones.

    1 where no weighing is written; straight between two weighings, held beyond them. None while the
    group is not in the pen. Birds of 0.6 kg at 28 days, where the table says 0.5 kg:

    >>> from types import SimpleNamespace as Of
    >>> table = Of(last=lambda group: None)
    >>> fit = {"asymptote": 0.5, "rate": 1.0, "inflection": -1000.0}
    >>> own = own_weight_ratio(Of(weights=((28, 0.6),)), 35, table, lambda name, group: fit[name])
    >>> round(own, 6)
    1.2
    """
    weighings = own_weighings(group)
    if not weighings:
        return 1.0
    return own_over_standard(weighings, standard_curve(group, growth, growth_fit), age)


@at_once(own_weight_ratio)
def own_weight_ratios(
    group: Group, age: list[int], growth: Table, growth_fit: Table
) -> list[float]:
    """`own_weight_ratio` of many days, the weighings held against the table once."""
    weighings = own_weighings(group)
    if not weighings:
        return [1.0] * len(age)
    return own_over_standard_at(weighings, standard_curve(group, growth, growth_fit), age)


@measure("mass", each="day")
def live_weight(standard_weight: float, own_weight_ratio: float) -> float:
    """The live weight of a bird in kg: as published, times what the keeper's weighings show.

    None while the group is not in the pen.

    >>> round(live_weight(0.5, 1.2), 6)
    0.6
    """
    return standard_weight * own_weight_ratio


@at_once(live_weight)
def live_weights(standard_weight: list[float], own_weight_ratio: list[float]) -> list[float]:
    """`live_weight` of many days."""
    return list(map(mul, standard_weight, own_weight_ratio))


@measure("mass", each="day", gather="group")
def flock_weight(live_weight: list[float], birds_here: list[int]) -> float:
    """The live weight of all birds in the pen, in kg. None while there are none.

    >>> flock_weight([0.5, 2.0], [40, 5])
    30.0
    """
    return sum(weight * birds for weight, birds in zip(live_weight, birds_here, strict=True))


@at_once(flock_weight)
def flock_weight_by_day(live_weight: list[list[float]], birds_here: list[list[int]]) -> list[float]:
    """`flock_weight` of many days, each summed by itself."""
    return for_all_birds(live_weight, birds_here)
