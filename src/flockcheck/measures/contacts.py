"""Who carries disease to whom: newcomers, those who stood here before, wild birds."""

from __future__ import annotations

from datetime import date

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.setup.sections import Group, Mesh, Pen, Site


@measure("count", each="day", gather="group")
def groups_here(birds_here: list[int]) -> int:
    """The number of groups in the pen, leaving days counted. None while there are none.

    >>> groups_here([36, 4])
    2
    """
    return len(birds_here)


@at_once(groups_here)
def groups_here_by_day(birds_here: list[list[int]]) -> list[int]:
    """`groups_here` of many days on which the same ones are there."""
    return [len(birds_here)] * len(birds_here[0])


@measure("flag", each="day", gather="group")
def chickens_with_turkeys(group: list[Group], birds_here: list[int]) -> bool:
    """Whether chickens and turkeys share the pen. None while it is empty.

    >>> from types import SimpleNamespace as Of
    >>> chickens_with_turkeys([Of(kind="turkey"), Of(kind="egg chicken")], [10, 4])
    True
    >>> chickens_with_turkeys([Of(kind="turkey")], [10])
    False
    """
    # The numbers only say who is there on the day.
    turkeys = [one.kind == "turkey" for one in group]
    return any(turkeys) and not all(turkeys)


@measure("time")
def ground_rested(first_out: date, site: Site) -> int:
    """The days from when birds last stood here to the first move out; 0 where they still do.

    >>> from types import SimpleNamespace as Of
    >>> ground_rested(date(2027, 4, 22), Of(last_poultry=date(2026, 9, 30)))
    204
    """
    return max(0, (first_out - site.last_poultry).days)


@measure("time")
def own_kind_rested(group: Group, site: Site) -> int | None:
    """The days from when birds of the same kind last stood here to a group's move out.

    Coccidia keep to their kind of bird: egg and meat chickens share theirs, turkeys and waterfowl
    have others. None after birds of another kind.

    >>> from types import SimpleNamespace as Of
    >>> site = Of(last_poultry=date(2026, 9, 30), last_poultry_kind="chicken")
    >>> own_kind_rested(Of(kind="meat chicken", out=date(2027, 4, 22)), site)
    204
    >>> own_kind_rested(Of(kind="turkey", out=date(2027, 4, 22)), site)
    """
    if not group.kind.endswith(site.last_poultry_kind):
        return None
    return max(0, (group.out - site.last_poultry).days)


@measure("time")
def rested_from_chickens(group: Group, site: Site) -> int | None:
    """The days from when chickens last stood here to the day a group of turkeys moves out.

    None for chickens, and where the last birds here were no chickens.

    >>> from datetime import date
    >>> from types import SimpleNamespace as Of
    >>> site = Of(last_poultry=date(2026, 4, 22), last_poultry_kind="chicken")
    >>> rested_from_chickens(Of(kind="turkey", out=date(2027, 4, 22)), site)
    365
    >>> rested_from_chickens(Of(kind="egg chicken"), site)
    """
    if group.kind != "turkey" or site.last_poultry_kind != "chicken":
        return None
    return max(0, (group.out - site.last_poultry).days)


@measure("time", gather="group")
def least_rest_from_chickens(rested_from_chickens: list[int]) -> int:
    """The days from when chickens last stood here to when the first turkeys move out.

    None where there are none.

    >>> least_rest_from_chickens([500, 365])
    365
    """
    return min(rested_from_chickens)


@measure("length")
def wild_bird_opening(pen: Pen, mesh: Mesh) -> float:
    """The largest clear opening in m of the mesh, on the sides and over what the roof leaves open.

    What lies open above has no mesh, and is not counted here.

    >>> from types import SimpleNamespace as Of
    >>> above = Of(cover=0.6, over_rest="netting", over_rest_opening=0.05)
    >>> wild_bird_opening(Of(roof=above), Of(opening=0.025))
    0.05
    >>> wild_bird_opening(Of(roof=Of(cover=1.0)), Of(opening=0.025))
    0.025
    """
    roof = pen.roof
    if roof.cover < 1 and roof.over_rest != "open":
        return max(mesh.opening, roof.over_rest_opening)
    return mesh.opening
