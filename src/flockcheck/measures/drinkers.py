"""How many birds the drinkers have room for, by edge (troughs, bells) or place (nipples, cups)."""

from __future__ import annotations

import math
from operator import mul, truediv

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import summed
from flockcheck.setup.sections import Drinker, Group
from flockcheck.tables import Table

# Drinkers that are counted by places, not measured by edge.
BY_PLACE = ("nipple", "cup")
# By the definition of the litre; near enough for water at any temperature that birds drink it at.
KG_IN_M3 = 1000.0


@measure("length")
def drinker_edge(drinker: Drinker) -> float | None:
    """The length in m of the edge that birds can drink from, of all drinkers of this form.

    Troughs: length times the sides that birds reach; bells: the circumference. None for nipples and
    cups, which are counted by places.

    >>> from types import SimpleNamespace as Of
    >>> drinker_edge(Of(form="trough", count=2, length=0.3, sides=1))
    0.6
    >>> round(drinker_edge(Of(form="bell", count=1, diameter=0.35)), 2)
    1.1
    >>> drinker_edge(Of(form="nipple", count=8))
    """
    if drinker.form in BY_PLACE:
        return None
    if drinker.form == "trough":
        return drinker.length * drinker.sides * drinker.count
    return math.pi * drinker.diameter * drinker.count


@measure("count")
def drinking_places(drinker: Drinker) -> int | None:
    """The number of nipples or cups. None for troughs and bells, which are measured by their edge.

    >>> from types import SimpleNamespace as Of
    >>> drinking_places(Of(form="nipple", count=8))
    8
    >>> drinking_places(Of(form="bell", count=1))
    """
    return drinker.count if drinker.form in BY_PLACE else None


@measure("share", each="day", gather="group")
def drinker_serves(
    drinker: Drinker,
    group: list[Group],
    age: list[int],
    birds_here: list[int],
    drinker_need: Table,
    drinker_places: Table,
) -> float:
    """The share of the birds in the pen that one drinker has room for; 1 is all of them.

    Troughs and bells: edge over what the birds need of its form at their ages; nipples and cups:
    places times the birds that one serves. None while the pen is empty. Eight nipples at ten birds
    each, for 60 and 100 birds:

    >>> from types import SimpleNamespace as Of
    >>> ten = lambda column, **who: 10
    >>> line = Of(form="nipple", count=8)
    >>> [round(drinker_serves(line, [None], [28], [n], None, ten), 2) for n in (60, 100)]
    [1.33, 0.8]
    """
    flock = zip(group, age, birds_here, strict=True)
    edge = drinker_edge(drinker)
    if edge is None:
        need = sum(
            birds / drinker_places("birds", at=old, group=one, drinker=drinker)
            for one, old, birds in flock
        )
        return float(drinker.count / need)
    need = sum(
        birds * drinker_need("edge", at=old, group=one, drinker=drinker)
        for one, old, birds in flock
    )
    return float(edge / need)


@at_once(drinker_serves)
def drinker_serves_by_day(
    drinker: Drinker,
    group: list[Group],
    age: list[list[int]],
    birds_here: list[list[int]],
    drinker_need: Table,
    drinker_places: Table,
) -> list[float]:
    """`drinker_serves` of many days: the need of each group along one row."""
    edge = drinker_edge(drinker)
    needs: list[list[float]] = []
    for one, olds, birds in zip(group, age, birds_here, strict=True):
        if edge is None:
            served = drinker_places.curve("birds", group=one, drinker=drinker).each(olds)
            needs.append(list(map(truediv, birds, served)))
        else:
            need = drinker_need.curve("edge", group=one, drinker=drinker).each(olds)
            needs.append(list(map(mul, birds, need)))
    has = drinker.count if edge is None else edge
    return [float(has / today) for today in summed(needs)]


@measure("share", each="day", gather="drinker")
def drinker_share(drinker_serves: list[float]) -> float:
    """The share of the birds in the pen that all drinkers together have room for.

    None while the pen is empty.

    >>> drinker_share([0.75, 0.5])
    1.25
    """
    return sum(drinker_serves)


@at_once(drinker_share)
def drinker_share_by_day(drinker_serves: list[list[float]]) -> list[float]:
    """`drinker_share` of many days."""
    return summed(drinker_serves)


@measure("share", each="day", gather="group")
def drinker_serves_hens(
    drinker: Drinker,
    group: list[Group],
    age: list[int],
    is_hen: list[bool],
    birds_here: list[int],
    drinker_law: Table,
    drinker_places: Table,
) -> float | None:
    """The share of the hens that one drinker has room for by law; 1 is all of them.

    None on days without hens. A trough of 50 cm serves 20 hens at the 2.5 cm of Directive
    1999/74/EC, art. 4(1)(1)(b):

    >>> from types import SimpleNamespace as Of
    >>> trough, law = Of(form="trough", count=1, length=0.5, sides=1), lambda column, drinker: 0.025
    >>> drinker_serves_hens(trough, [None, None], [200, 30], [True, False], [20, 9], law, None)
    1.0
    """
    flock = zip(group, age, birds_here, is_hen, strict=True)
    hens = [(one, old, birds) for one, old, birds, hen in flock if hen]
    if not hens:
        return None
    edge = drinker_edge(drinker)
    if edge is None:
        need = sum(
            birds / drinker_places("birds", at=old, group=one, drinker=drinker)
            for one, old, birds in hens
        )
        return float(drinker.count / need)
    count = sum(birds for _, _, birds in hens)
    return float(edge / (count * drinker_law("edge", drinker=drinker)))


@measure("share", each="day", gather="drinker")
def hens_drinker_share(drinker_serves_hens: list[float]) -> float:
    """The share of the hens that all drinkers together have room for by law.

    None on days without hens.

    >>> hens_drinker_share([0.75, 0.5])
    1.25
    """
    return sum(drinker_serves_hens)


@measure("mass")
def full_drinker(drinker: Drinker) -> float:
    """The weight in kg of one drinker when full: its water and its own.

    A litre of water weighs a kilogram, by the old definition of the litre:

    >>> from types import SimpleNamespace as Of
    >>> round(full_drinker(Of(holds=0.019, empty_weight=2.0)), 1)
    21.0
    """
    return drinker.holds * KG_IN_M3 + drinker.empty_weight


@measure("count", gather="drinker")
def separate_drinkers(drinker: list[Drinker]) -> int:
    """The number of drinkers that fail one by one: each trough or bell, each line of nipples.

    >>> from types import SimpleNamespace as Of
    >>> separate_drinkers([Of(form="bell", count=2), Of(form="nipple", count=8)])
    3
    """
    return sum(1 if one.form in BY_PLACE else one.count for one in drinker)
