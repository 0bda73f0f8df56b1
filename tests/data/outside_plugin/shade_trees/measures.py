"""What the rules about shade trees measure."""

from typing import Any

from flockcheck import measure


@measure("m2", each="day", gather="group")
def tree_shade(site: Any, birds_here: list[int]) -> float:
    """The shade at noon in m2 for each bird: the shaded part of the ground, shared by all.

    >>> from types import SimpleNamespace as Of
    >>> tree_shade(Of(ground=500.0, shade=0.2), [40, 10])
    2.0
    """
    return float(site.ground * site.shade / sum(birds_here))
