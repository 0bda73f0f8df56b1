"""The days of a stay: from the first group that goes out to the last that leaves."""

from __future__ import annotations

from datetime import date, timedelta

from flockcheck.setup.sections import Group, Whole
from flockcheck.setup.spans import MOST_DAYS
from flockcheck.setup.view import Missing


def stay(whole: Whole) -> list[date]:
    """Every day of the stay. Raises Missing."""
    spans = [presence(group, whole) for group in whole.birds]
    first = min(span[0] for span in spans)
    last = max(span[1] for span in spans)
    length = min((last - first).days, MOST_DAYS)
    return [first + timedelta(days=at) for at in range(length + 1)]


def presence(group: Group, whole: Whole) -> tuple[date, date]:
    """The first and last day of a group in the pen, as far as it is looked at.

    Without `leaves` it is there as long as any group is: until the last of the others leaves, or
    `look_ahead` days after the last `out` that has no end. Dates out of order leave one day, on
    which the rule for them speaks.
    """
    out = group.out
    try:
        leaves = group.leaves
    except Missing:
        leaves = max(_looked_until(one, whole.look_ahead) for one in whole.birds)
    return out, max(out, leaves)


def _looked_until(group: Group, look_ahead: float) -> date:
    try:
        return group.leaves
    except Missing:
        return group.out + timedelta(days=int(look_ahead))
