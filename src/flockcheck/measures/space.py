"""The room inside: floor for how much weight and how many birds, height for how tall ones."""

from __future__ import annotations

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import most
from flockcheck.setup.sections import Group, Pen
from flockcheck.tables import Table


@measure("area")
def floor_area(pen: Pen) -> float:
    """The area of the pen's floor in m2: length times width.

    >>> from types import SimpleNamespace as Of
    >>> floor_area(Of(length=4.0, width=2.5))
    10.0
    """
    return pen.length * pen.width


@measure("load", each="day")
def floor_load(flock_weight: float, floor_area: float) -> float:
    """The live weight on the floor, in kg/m2. None while the pen is empty.

    A 5 lb bird (2.268 kg) on 2 sq ft (0.1858 m2) is 2.5 lb on each sq ft, or 12.2 kg/m2:

    >>> round(floor_load(2.268, 0.1858), 1)
    12.2
    """
    return flock_weight / floor_area


@at_once(floor_load)
def floor_loads(flock_weight: list[float], floor_area: float) -> list[float]:
    """`floor_load` of many days."""
    return [weight / floor_area for weight in flock_weight]


@measure("area", each="day")
def floor_each(birds_present: int, floor_area: float) -> float:
    """The floor for each bird, in m2. None while the pen is empty.

    Nine hens on one square metre, the most that Directive 1999/74/EC allows (art. 4(1)(4)):

    >>> round(floor_each(9, 1.0), 3)
    0.111
    """
    return floor_area / birds_present


@measure("length", each="day")
def standing_height(group: Group, live_weight: float, bird_height: Table) -> float:
    """The height in m of the head of a bird that stands at ease, by its weight.

    From the table `bird_height`. None while the group is not in the pen. A hen of 2 kg there:

    >>> standing_height(None, 2.0, lambda column, at, group: 0.38)
    0.38
    """
    return float(bird_height("stands", at=live_weight, group=group))


@at_once(standing_height)
def standing_heights(group: Group, live_weight: list[float], bird_height: Table) -> list[float]:
    """`standing_height` of many days: points of one row."""
    return list(map(float, bird_height.curve("stands", group=group).each(live_weight)))


@measure("length", each="day", gather="group")
def tallest_stands(standing_height: list[float]) -> float:
    """The height in m of the head of the tallest birds in the pen. None while it is empty.

    >>> tallest_stands([0.38, 0.57])
    0.57
    """
    return max(standing_height)


@at_once(tallest_stands)
def tallest_stand_by_day(standing_height: list[list[float]]) -> list[float]:
    """`tallest_stands` of many days."""
    return most(standing_height)
