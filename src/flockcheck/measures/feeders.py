"""What the feeders hold, how long that lasts, and how much edge there is to eat from."""

from __future__ import annotations

import math
from operator import mul

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import alike, summed
from flockcheck.setup.sections import Feed, Feeder, Group
from flockcheck.tables import Table


@measure("mass")
def feed_held(feeder: Feeder) -> float:
    """The weight in kg of what all feeders of this form hold when full, as it is put out.

    >>> from types import SimpleNamespace as Of
    >>> feed_held(Of(holds=7.0, count=3))
    21.0
    """
    return feeder.holds * feeder.count


@measure("mass", gather="feeder")
def all_feed_held(feed_held: list[float]) -> float:
    """The weight in kg of what all feeders hold when full, as it is put out.

    >>> all_feed_held([21.0, 4.0])
    25.0
    """
    return sum(feed_held)


@measure("share")
def feed_that_is_dry(feed: Feed) -> float:
    """The share of the weight put out that is feed, the rest being water; 1 where it is fed dry.

    >>> from types import SimpleNamespace as Of
    >>> feed_that_is_dry(Of(form="dry"))
    1.0
    >>> feed_that_is_dry(Of(form="fermented", dry_share=0.4))
    0.4
    """
    return 1.0 if feed.form == "dry" else feed.dry_share


@measure("share", each="day")
def feed_lasts(
    all_feed_held: float, feed_that_is_dry: float, feed_per_day: float, feed: Feed
) -> float | None:
    """The share that full feeders hold of what the birds eat between two visits.

    Below 100 % they run empty. None on days when no bird stays the night. A hundred broilers of six
    weeks eat 26 to 30 lb a day (Ohio State University Extension, bulletin 804, table 1), so a tube
    of 30 lb that is filled once a day just serves those that eat most:

    >>> from types import SimpleNamespace as Of
    >>> pound = 0.45359237
    >>> round(feed_lasts(30 * pound, 1.0, 30 * pound, Of(visits_per_day=1)), 6)
    1.0
    """
    if not feed_per_day:
        return None
    return all_feed_held * feed_that_is_dry * feed.visits_per_day / feed_per_day


@at_once(feed_lasts)
def feed_lasts_by_day(
    all_feed_held: float, feed_that_is_dry: float, feed_per_day: list[float], feed: Feed
) -> list[float | None]:
    """`feed_lasts` of many days, filled as often on each of them."""
    if not any(feed_per_day):
        return [None] * len(feed_per_day)
    filled = all_feed_held * feed_that_is_dry * feed.visits_per_day
    return [filled / eaten if eaten else None for eaten in feed_per_day]


@measure("length")
def feeder_rim(feeder: Feeder) -> float:
    """The length in m of the edge that birds can eat from, of all feeders of this form.

    Troughs: length times the sides that birds reach; pans and tubes: the circumference.

    >>> from types import SimpleNamespace as Of
    >>> feeder_rim(Of(form="trough", count=2, length=1.2, sides=2))
    4.8
    >>> round(feeder_rim(Of(form="tube", count=1, diameter=0.30)), 2)
    0.94
    """
    if feeder.form == "trough":
        return feeder.length * feeder.sides * feeder.count
    return math.pi * feeder.diameter * feeder.count


@measure("length", gather="feeder")
def feeding_edge(feeder_rim: list[float]) -> float:
    """The length in m of the feeding edge of all feeders.

    >>> feeding_edge([4.8, 0.9])
    5.7
    """
    return sum(feeder_rim)


@measure("share", each="day", gather="group")
def feeder_serves(
    feeder: Feeder,
    feeder_rim: float,
    group: list[Group],
    age: list[int],
    birds_here: list[int],
    feeder_need: Table,
) -> float:
    """The share of the birds in the pen that one feeder has edge enough for; 1 is all of them.

    Its rim over what the birds need of its form at their ages. None while the pen is empty. A tube
    of 94 cm rim serves 12 hens that need 3 in (7.62 cm) each:

    >>> three_inches = lambda column, at, group, feeder: 0.0762
    >>> round(12 * feeder_serves(None, 0.9425, [None], [200], [12], three_inches), 1)
    12.4
    """
    need = sum(
        birds * feeder_need("rim", at=old, group=one, feeder=feeder)
        for one, old, birds in zip(group, age, birds_here, strict=True)
    )
    return float(feeder_rim / need)


@at_once(feeder_serves)
def feeder_serves_by_day(
    feeder: Feeder,
    feeder_rim: float,
    group: list[Group],
    age: list[list[int]],
    birds_here: list[list[int]],
    feeder_need: Table,
) -> list[float]:
    """`feeder_serves` of many days: the need of each group along one row."""
    needs = []
    for one, olds, birds in zip(group, age, birds_here, strict=True):
        need = feeder_need.curve("rim", group=one, feeder=feeder).each(olds)
        needs.append(list(map(mul, birds, need)))
    return [float(feeder_rim / need) for need in summed(needs)]


@measure("share", each="day", gather="feeder")
def feeder_share(feeder_serves: list[float]) -> float:
    """The share of the birds in the pen that all feeders together have edge enough for.

    Each form counts by its own need, so that a trough and a tube add up. None while the pen is
    empty.

    >>> feeder_share([0.75, 0.5])
    1.25
    """
    return sum(feeder_serves)


@at_once(feeder_share)
def feeder_share_by_day(feeder_serves: list[list[float]]) -> list[float]:
    """`feeder_share` of many days."""
    return summed(feeder_serves)


@measure("share", each="day", gather="group")
def feeder_serves_hens(
    feeder: Feeder,
    feeder_rim: float,
    is_hen: list[bool],
    birds_here: list[int],
    feeder_law: Table,
) -> float | None:
    """The share of the hens that one feeder has edge enough for by law; 1 is all of them.

    None on days without hens. A tube of 94 cm rim serves 23 hens at the 4 cm of Directive
    1999/74/EC, art. 4(1)(1)(a):

    >>> four_cm = lambda column, feeder: 0.04
    >>> int(23 * feeder_serves_hens(None, 0.9425, [True, False], [23, 40], four_cm))
    23
    """
    hens = sum(birds for hen, birds in zip(is_hen, birds_here, strict=True) if hen)
    if not hens:
        return None
    return float(feeder_rim / (hens * feeder_law("rim", feeder=feeder)))


@at_once(feeder_serves_hens)
def feeder_serves_hens_by_day(
    feeder: Feeder,
    feeder_rim: float,
    is_hen: list[list[bool]],
    birds_here: list[list[int]],
    feeder_law: Table,
) -> list[float | None]:
    """`feeder_serves_hens` of many days, of which few kinds differ."""
    if not any(map(any, is_hen)):
        return [None] * len(is_hen[0])
    return alike(
        lambda hens, birds: feeder_serves_hens(feeder, feeder_rim, hens, birds, feeder_law),
        list(zip(*is_hen, strict=True)),
        list(zip(*birds_here, strict=True)),
    )


@measure("share", each="day", gather="feeder")
def hens_feeder_share(feeder_serves_hens: list[float]) -> float:
    """The share of the hens that all feeders together have edge enough for by law.

    None on days without hens.

    >>> hens_feeder_share([0.75, 0.5])
    1.25
    """
    return sum(feeder_serves_hens)
