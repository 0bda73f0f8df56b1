"""How far a pen is closed to each predator, way by way.

A way is closed by one full barrier or by two partial ones; what counts as which stands in
`barriers.py` and in the table of that name.
"""

from __future__ import annotations

from flockcheck.measures.barriers import (
    Barrier,
    Defence,
    electric_net,
    night_house,
    over,
    presence,
    reach,
    through,
    under,
)
from flockcheck.measures.graph.spec import measure
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Care, Mesh, Missing, Pen, Site, Whole
from flockcheck.tables import Table

WAYS = {
    "over": "over the top",
    "through": "through the mesh",
    "under": "under the rail",
    "reach": "by reaching through",
}


def ways(here: Defence, ways_in: Table) -> dict[str, Barrier]:
    """How far each way of a predator is closed, all barriers in it added up to 1 at most."""
    own = {"over": over, "through": through, "under": under, "reach": reach}

    def comes(how: str) -> bool:
        return bool(ways_in(how, predator=here.predator))

    everywhere = [presence(here)]
    if comes("nights"):
        everywhere.append(night_house(here))
    if comes("walks"):
        everywhere.append(electric_net(here))
    found: dict[str, Barrier] = {}
    for way, barrier in own.items():
        if comes(way):
            all_in_it = [barrier(here), *everywhere]
            low = min(1.0, sum(one.low for one in all_in_it))
            high = min(1.0, sum(one.high for one in all_in_it))
            keys = [key for one in all_in_it for key in one.unknown]
            found[way] = Barrier(low, high, tuple(dict.fromkeys(keys)))
    return found


def least_closed(found: dict[str, Barrier]) -> float:
    """How far the least closed way is closed: as far as it holds whatever is not written.

    Raises Missing with the keys that would decide, where it may be closed or not.
    """
    high = min(one.high for one in found.values())
    if high < 1:
        return high
    if all(one.low >= 1 for one in found.values()):
        return 1.0
    raise Missing(*(key for one in found.values() if one.low < 1 for key in one.unknown))


@measure("number")
def way_closed(
    predator: str,
    pen: Pen,
    mesh: Mesh,
    site: Site,
    care: Care,
    setup: Whole,
    ways_in: Table,
    barriers: Table,
    gets_through: Table,
    figures: Table,
) -> float | None:
    """The number, 0 to 1, that says how far a predator's least closed way in is closed.

    1: every way meets one full barrier or two partial ones; 0.5: one meets a single partial one; 0:
    one is open. Barriers that are not written count as if they stood there, and where that would
    close every way the answer is not known. None for a predator with no way in. A hawk over a pen
    with an open top, the next house 300 m away:

    >>> from types import SimpleNamespace as Of
    >>> pen = Of(roof=Of(cover=0.6, over_rest="open"))
    >>> ways_of_hawk = lambda column, predator: column == "over"
    >>> stops = lambda column, predator: {"roof": 1, "netting": 1, "house": 0.5}[column]
    >>> hundred_m, any_hole = (lambda column, figure: 100.0), (lambda column, predator: 0.05)
    >>> way_closed("hawk", pen, None, Of(house=300.0), None, Of(guardians=()),
    ...     ways_of_hawk, stops, any_hole, hundred_m)
    0.0
    """
    here = Defence(
        predator, pen, mesh, site, care, setup.guardians, barriers, gets_through, figures
    )
    found = ways(here, ways_in)
    return least_closed(found) if found else None


@measure("names")
def open_ways(
    predator: str,
    pen: Pen,
    mesh: Mesh,
    site: Site,
    care: Care,
    setup: Whole,
    ways_in: Table,
    barriers: Table,
    gets_through: Table,
    figures: Table,
) -> tuple[str, ...] | None:
    """The names of a predator's least closed ways in; none where all are closed.

    They are `over the top`, `through the mesh`, `under the rail`, `by reaching through`. None for a
    predator with no way in. A hawk over the pen of `way_closed`:

    >>> from types import SimpleNamespace as Of
    >>> pen = Of(roof=Of(cover=0.6, over_rest="open"))
    >>> ways_of_hawk = lambda column, predator: column == "over"
    >>> stops = lambda column, predator: {"roof": 1, "netting": 1, "house": 0.5}[column]
    >>> hundred_m, any_hole = (lambda column, figure: 100.0), (lambda column, predator: 0.05)
    >>> open_ways("hawk", pen, None, Of(house=300.0), None, Of(guardians=()),
    ...     ways_of_hawk, stops, any_hole, hundred_m)
    ('over the top',)
    """
    here = Defence(
        predator, pen, mesh, site, care, setup.guardians, barriers, gets_through, figures
    )
    found = ways(here, ways_in)
    if not found:
        return None
    closed = least_closed(found)
    return tuple(WAYS[way] for way, one in found.items() if one.high <= closed < 1)


@measure("count")
def predators_listed(setup: Whole) -> int:
    """The number of predators that the keeper lists; 0 where none are written.

    >>> from types import SimpleNamespace as Of
    >>> predators_listed(Of(predators=("fox", "mink", "hawk")))
    3
    """
    listed: tuple[str, ...] = value_or(setup, "predators", ())
    return len(listed)
