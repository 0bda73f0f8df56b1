"""How birds grow and eat by age: the mathematics of the curves, with no bird in it.

Ages are in days, weights and feed in kg. The figures come from the tables `growth`, `growth_fit`
and `feed_eaten`; here stands only what is done with them.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from functools import cache, lru_cache

from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Group
from flockcheck.tables import Table, TableSilent, interpolate

Curve = Callable[[float], float]


def gompertz(asymptote: float, rate: float, inflection: float, age: float) -> float:
    """The weight in kg of a bird of an age in days: A exp(-exp(-k (t - ti))).

    `asymptote` A in kg, `rate` k per day, `inflection` ti in days. Source: the form used by
    Michalczuk, Damaziak and Goryl (2016), Annals of Animal Science 16(1):65, whose medium-growing
    males (A 5.9 kg, ti 47 d) gain 69.0 g a day at the inflection, where they have A / e:

    >>> at = [gompertz(5.9, 0.0318, 47, age) for age in (46.5, 47, 47.5)]
    >>> round(1000 * (at[2] - at[0]), 1), round(at[1] / 5.9, 3)
    (69.0, 0.368)
    """
    return asymptote * math.exp(-math.exp(-rate * (age - inflection)))


# Birds of one kind and age weigh the same in every setup.
_gompertz = lru_cache(maxsize=2048)(gompertz)


def standard_curve(group: Group, growth: Table, growth_fit: Table) -> Curve:
    """The weight in kg by age that the tables give for birds of this kind.

    Where `growth` has a row it is followed, and past its end the gain of the fitted curve is added
    (with no fit, the last weight holds); without a row the fitted curve stands alone. Raises
    TableSilent where neither table has one.
    """
    last = growth.last(group=group)

    @cache
    def fit() -> tuple[float, float, float]:
        asymptote: float = growth_fit("asymptote", group=group)
        rate: float = growth_fit("rate", group=group)
        return asymptote, rate, growth_fit("inflection", group=group)

    def fitted(age: float) -> float:
        return gompertz(*fit(), age)

    if last is None:
        return fitted

    @cache
    def fitted_at_last() -> float:
        return fitted(last)

    weight = growth.curve("weight", group=group)

    def joined(age: float) -> float:
        if age <= last:
            return float(weight(age))
        try:
            beyond = fitted(age) - fitted_at_last()
        except TableSilent:
            return float(weight(age))
        return float(weight(last)) + beyond

    return joined


def standard_weights_at(
    group: Group, growth: Table, growth_fit: Table, ages: Sequence[float]
) -> list[float]:
    """What `standard_curve` gives at each of many ages, which rise."""
    last = growth.last(group=group)
    at, within = 0, []
    if last is not None:
        weight = growth.curve("weight", group=group)
        at = bisect_right(ages, last)
        within = list(map(float, weight.each(ages[:at])))
        if at == len(ages):
            return within
    try:
        asymptote: float = growth_fit("asymptote", group=group)
        rate: float = growth_fit("rate", group=group)
        inflection: float = growth_fit("inflection", group=group)
    except TableSilent:
        if last is None:
            raise
        return within + list(map(float, weight.each(ages[at:])))
    fitted = [_gompertz(asymptote, rate, inflection, age) for age in ages[at:]]
    if last is None:
        return fitted
    end, at_last = float(weight(last)), gompertz(asymptote, rate, inflection, last)
    return within + [end + (one - at_last) for one in fitted]


def own_weighings(group: Group) -> tuple[tuple[float, float], ...]:
    """The keeper's own weighings, (age in days, kg) by age; none where none are written."""
    weighings: tuple[tuple[float, float], ...] = value_or(group, "weights", ())
    return weighings


def own_over_standard(
    weighings: Sequence[tuple[float, float]], standard: Curve, age: float
) -> float:
    """How many times as heavy as the standard the weighed birds are at an age; 1 where unweighed.

    The ratio runs straight from one weighing to the next and holds before the first and after the
    last, so the curve goes through the keeper's points and keeps its shape between them.

    >>> own_over_standard([(10, 1.0), (20, 3.0)], lambda age: age / 10, 15)
    1.25
    >>> own_over_standard([(10, 1.0), (20, 3.0)], lambda age: age / 10, 40)
    1.5
    """
    return own_over_standard_at(weighings, standard, [age])[0]


def own_over_standard_at(
    weighings: Sequence[tuple[float, float]], standard: Curve, many: Sequence[float]
) -> list[float]:
    """What `own_over_standard` gives at each of many ages."""
    if not weighings:
        return [1.0] * len(many)
    ages = [at for at, _ in weighings]
    ratios = [weight / standard(at) for at, weight in weighings]
    return [interpolate(ages, ratios, age, "straight") for age in many]


def eaten_past_end(ages: Sequence[float], eaten: Sequence[float], standard: Curve) -> Curve:
    """The feed in kg that a bird has eaten by age, past the end of its table.

    By feed conversion (feed eaten over weight gained since hatching), which goes on rising as it
    did between the last two points, `ages` with `eaten`; the last slope of the feed itself would be
    too steep for birds whose growth slows down. For birds that gain 1 kg in every 10 days and have
    eaten 2 kg and 6 kg at 10 and 20 days, conversion is 2 and 3, hence 4 at 30 days:

    >>> eaten_past_end((10, 20), (2, 6), lambda age: 0.04 + age / 10)(30)
    12.0
    """
    hatched = standard(0)
    first, last = (feed / (standard(at) - hatched) for at, feed in zip(ages, eaten, strict=True))
    slope = (last - first) / (ages[1] - ages[0])
    return lambda age: (last + slope * (age - ages[1])) * (standard(age) - hatched)
