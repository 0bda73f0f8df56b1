"""What no schema can say of a setup: that its periods run forward, and that its stay has an end."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from flockcheck.text.document import Mark

if TYPE_CHECKING:
    from flockcheck.setup.written import Written

# Nobody plans a batch further ahead; a slip in a year must not cost minutes.
MOST_DAYS = 1100
# Days, times groups, times the kit that each needs a share of and all else that is worked out for
# it: far more than any keeper has, and a few seconds.
MOST_WORK = 100_000
OTHER_WORK = 16

# A place, the path of a key, and what is wrong with it.
Told = tuple[Mark, str, str]


def wrong_periods(values: dict[str, Written], lists: dict[str, int]) -> Iterator[Told]:
    """Periods of weather that run backward, or overlap."""
    spans: list[tuple[date, date, int]] = []
    for index in range(lists.get("weather.periods", 0)):
        path = f"weather.periods.{index}"
        first, last = (values.get(f"{path}.{key}") for key in ("from", "to"))
        if first is None or last is None:
            continue
        if last.value < first.value:
            says = f"this period ends on {last.text}, before it begins on {first.text}"
            yield last.start, f"{path}.to", says
        else:
            spans.append((first.value, last.value, index))
    until = date.min
    for start, end, index in sorted(spans):
        if start <= until:
            path = f"weather.periods.{index}.from"
            says = f"this period begins on {start}, inside another that ends on {until}"
            yield values[path].start, path, says
        until = max(until, end)


def wrong_stay(
    values: dict[str, Written], lists: dict[str, int], marks: dict[str, Mark]
) -> Iterator[Told]:
    """Days more than three years after the first birds go out, and more work than a file may ask.

    A slip in a year is told, and so are so many groups, days and kit that a check would take long.
    """
    groups = lists.get("birds", 0)
    out = [values.get(f"birds.{at}.out") for at in range(groups)]
    first = min((one.value for one in out if one is not None), default=date.max)
    longest = 0
    for at in range(groups):
        for key in ("out", "leaves"):
            day = values.get(f"birds.{at}.{key}")
            after = (day.value - first).days if day is not None else 0
            longest = max(longest, after)
            if day is not None and after > MOST_DAYS:
                says = f"`{day.text}` is {after} days after the first birds go out"
                says = f"`{key}`: {says}; a file covers {MOST_DAYS} days at most"
                yield day.start, f"birds.{at}.{key}", says
    kit = lists.get("feeders", 0) + lists.get("drinkers", 0)
    days = min(longest, MOST_DAYS)
    if groups * (kit + OTHER_WORK) * days > MOST_WORK:
        flock = f"{groups} group{'s' if groups > 1 else ''} of birds"
        says = f"{days} days with {flock} and {kit} entries of feeders and drinkers are more"
        says += " than one file can hold. Give some of them a file of their own"
        yield marks["birds"], "birds", says
