"""How high the backs of the birds are, for the lips that they eat and drink over."""

from __future__ import annotations

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.setup.sections import Group
from flockcheck.tables import Table


@measure("length", each="day")
def back_height(group: Group, live_weight: float, bird_height: Table) -> float:
    """The height in m of the back of a bird that stands at ease, by its weight.

    From the table `bird_height`. None while the group is not in the pen. A hen of 2 kg there:

    >>> back_height(None, 2.0, lambda column, at, group: {"stands": 0.38, "back": 0.24}[column])
    0.24
    """
    return float(bird_height("back", at=live_weight, group=group))


@at_once(back_height)
def back_heights(group: Group, live_weight: list[float], bird_height: Table) -> list[float]:
    """`back_height` of many days: points of one row."""
    return list(map(float, bird_height.curve("back", group=group).each(live_weight)))


@measure("length", each="day", gather="group")
def lowest_back(back_height: list[float]) -> float:
    """The height in m of the back of the smallest birds in the pen. None while it is empty.

    >>> lowest_back([0.24, 0.14])
    0.14
    """
    return min(back_height)


@measure("length", each="day", gather="group")
def highest_back(back_height: list[float]) -> float:
    """The height in m of the back of the largest birds in the pen. None while it is empty.

    >>> highest_back([0.24, 0.14])
    0.24
    """
    return max(back_height)
