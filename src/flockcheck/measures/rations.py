"""What is in the feed on each day."""

from __future__ import annotations

from datetime import date

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import held
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Feed, Ration


def in_ration(day: date, feed: Feed, key: str) -> float:
    """The share of something in the feed of a day: protein or calcium.

    The latest change of ration that has begun and says it counts, else what the feed says at first,
    which raises Missing where that is not written.
    """
    later: tuple[Ration, ...] = value_or(feed, "later", ())
    begun = sorted((one for one in later if one.from_ <= day), key=lambda one: one.from_)
    for ration in reversed(begun):
        share: float | None = value_or(ration, key, None)
        if share is not None:
            return share
    first: float = getattr(feed, key)
    return first


def in_rations(days: list[date], feed: Feed, key: str) -> list[float]:
    """What `in_ration` gives for each of some days that follow one another."""
    later: tuple[Ration, ...] = value_or(feed, "later", ())
    return held(days, [one.from_ for one in later], lambda day: in_ration(day, feed, key))


@measure("share", each="day")
def feed_calcium(day: date, feed: Feed) -> float:
    """The share of calcium in the feed of a day, by its label; shell offered apart not counted.

    The latest change of ration that has begun and says its calcium counts.

    >>> from types import SimpleNamespace as Of
    >>> layer_feed = Of(from_=date(2027, 9, 1), calcium=0.038)
    >>> feed = Of(calcium=0.009, later=(layer_feed,))
    >>> [feed_calcium(date(2027, on, 1), feed) for on in (8, 9)]
    [0.009, 0.038]
    """
    return in_ration(day, feed, "calcium")


@at_once(feed_calcium)
def feed_calciums(day: list[date], feed: Feed) -> list[float]:
    """`feed_calcium` of many days: once for each ration."""
    return in_rations(day, feed, "calcium")
