"""What is left of a live bird on the table."""

from __future__ import annotations

from flockcheck.measures.graph.spec import measure
from flockcheck.setup.sections import Group
from flockcheck.tables import Table


@measure("mass", each="day")
def dressed_least(group: Group, live_weight: float, dressing: Table) -> float:
    """The weight in kg that a bird dresses to at least: plucked, drawn, without neck and giblets.

    The lower share of the table `dressing`. None while the group is not in the pen. A fast bird of
    3 kg that is chilled in air loses 28 % (grower processing guidelines of 2007):

    >>> round(dressed_least(None, 3.0, lambda column, group: 0.72), 2)
    2.16
    """
    return float(live_weight * dressing("least", group=group))


@measure("mass", each="day")
def dressed_most(group: Group, live_weight: float, dressing: Table) -> float:
    """The weight in kg that a bird dresses to at most: the higher share of the table `dressing`.

    None while the group is not in the pen. A fast bird of 3 kg that is chilled in water loses 25 %
    (grower processing guidelines of 2007):

    >>> round(dressed_most(None, 3.0, lambda column, group: 0.75), 2)
    2.25
    """
    return float(live_weight * dressing("most", group=group))
