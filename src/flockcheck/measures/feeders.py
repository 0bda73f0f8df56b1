"""What the feeders hold, and how long that lasts."""

from __future__ import annotations

from flockcheck.measures.graph.spec import measure
from flockcheck.setup.sections import Feed, Feeder


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


@measure("number", each="day")
def feed_lasts(
    all_feed_held: float, feed_that_is_dry: float, feed_per_day: float, feed: Feed
) -> float | None:
    """The number of times that full feeders hold what the birds eat between two visits.

    Below 1 they run empty. None on days when no bird stays the night. A hundred broilers of six
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
