"""What grown hens need besides floor: somewhere to sit at night, somewhere to lay."""

from __future__ import annotations

from operator import mul

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import summed
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Group, Pen


@measure("count", each="day", gather="group")
def hens_present(is_hen: list[bool], birds_here: list[int]) -> int | None:
    """The number of hens in the pen, cockerels of their age among them. None on days without any.

    >>> hens_present([True, False, True], [24, 40, 6])
    30
    >>> hens_present([False], [40])
    """
    return sum(birds for hen, birds in zip(is_hen, birds_here, strict=True) if hen) or None


@at_once(hens_present)
def hens_present_by_day(is_hen: list[list[bool]], birds_here: list[list[int]]) -> list[int | None]:
    """`hens_present` of many days."""
    hens = zip(is_hen, birds_here, strict=True)
    return [one or None for one in summed(map(mul, who, birds) for who, birds in hens)]


@measure("count", each="day", gather="group")
def laying_hens(group: list[Group], is_hen: list[bool], birds_here: list[int]) -> int | None:
    """The number of hens that may lay: all but males and groups said not to lay yet.

    None on days without any. Pullets of 18 weeks that the keeper says lay nothing want no nest.

    >>> from types import SimpleNamespace as Of
    >>> laying = Of(sexes="female", laying=0.8)
    >>> laying_hens([laying, Of(sexes="male", laying=0.0)], [True, True], [24, 6])
    24
    >>> laying_hens([Of(sexes="female", laying=0.0)], [True], [30])
    >>> laying_hens([Of(sexes="mixed")], [False], [40])
    """
    flock = zip(group, is_hen, birds_here, strict=True)
    return sum(birds for one, hen, birds in flock if hen and may_lay(one)) or None


@at_once(laying_hens)
def laying_hens_by_day(
    group: list[Group], is_hen: list[list[bool]], birds_here: list[list[int]]
) -> list[int | None]:
    """`laying_hens` of many days; whether they lay is asked of hens only."""
    flock = zip(group, is_hen, birds_here, strict=True)
    laying = [map(mul, hens, birds) for one, hens, birds in flock if any(hens) and may_lay(one)]
    return [one or None for one in summed(laying)] if laying else [None] * len(is_hen[0])


def may_lay(group: Group) -> bool:
    """Whether hens of a group may lay: not where they are males or said to lay nothing."""
    laying: float | None = value_or(group, "laying", None)
    return group.sexes != "male" and laying != 0


@measure("length", each="day")
def perch_each(pen: Pen, hens_present: int) -> float:
    """The length in m of perch for each hen. None on days without hens.

    Twenty hens on 3 m of perch have the 15 cm of Directive 1999/74/EC, art. 4(1)(1)(d):

    >>> from types import SimpleNamespace as Of
    >>> perch_each(Of(perches=3.0), 20)
    0.15
    """
    return pen.perches / hens_present


@measure("number", each="day")
def hens_each_nest(pen: Pen, laying_hens: int) -> float | None:
    """The number of hens that share one nest. None on days without hens, and without any nest.

    Directive 1999/74/EC, art. 4(1)(1)(c), lets seven hens share one, so three serve 21:

    >>> from types import SimpleNamespace as Of
    >>> hens_each_nest(Of(nests=3), 21)
    7.0
    >>> hens_each_nest(Of(nests=0), 21)
    """
    return laying_hens / pen.nests if pen.nests else None
