"""How far a pen is closed to each predator, way by way.

A way is closed by one full barrier or by two partial ones; what counts as which stands in
`barriers.py` and in the table of that name. Barriers that are not written count as if they stood
there, and where that would close the way the answer is not known.
"""

from __future__ import annotations

from collections.abc import Container, Iterable

from flockcheck.measures.barriers import (
    Barrier,
    Defence,
    added,
    best,
    cover,
    electric_net,
    floor,
    graded,
    kept,
    night_house,
    over,
    presence,
    reach,
    through,
    under,
)
from flockcheck.measures.compare import at_least, at_most
from flockcheck.measures.fence import opening_in_reach
from flockcheck.measures.graph.spec import measure
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Whole
from flockcheck.setup.view import Missing
from flockcheck.tables import Table

OWN = {"over": over, "through": through, "under": under, "reach": reach}
WITHOUT_HEIGHT = {**OWN, "over": cover}


def ways(here: Defence, leave_out: Container[str] = (), only: str = "") -> dict[str, Barrier]:
    """How far each way of a predator is closed, all barriers in it added up to 1 at most.

    `leave_out` names what is not to be counted: company (of people and dogs), night (a house at
    night), net, which stand in every way, or height, which keeps out what jumps. `only` names the
    one way that is asked for, if not all are.
    """
    everywhere: list[Barrier] = []
    if "company" not in leave_out:
        everywhere.append(kept(here, presence))
    if "night" not in leave_out and here.comes("nights"):
        everywhere.append(kept(here, night_house))
    if "net" not in leave_out and here.comes("walks"):
        everywhere.append(kept(here, electric_net))
    own = WITHOUT_HEIGHT if "height" in leave_out else OWN
    return {
        way: added([kept(here, own[way]), *everywhere])
        for way in ((only,) if only else own)
        if here.comes(way)
    }


def least_closed(found: Iterable[Barrier]) -> float | None:
    """How far the least closed of some ways is closed: as far as holds whatever is not written.

    None where there is no way at all. Raises Missing with the keys that would decide, where a way
    may be closed or not.
    """
    all_ways = list(found)
    if not all_ways:
        return None
    high = min(one.high for one in all_ways)
    if high < 1:
        return high
    if all(one.low >= 1 for one in all_ways):
        return 1.0
    raise Missing(*(key for one in all_ways if one.low < 1 for key in one.unknown))


def closed(way: str, here: Defence) -> float | None:
    """How far one way of a predator is closed; None where it doesn't come that way."""
    return least_closed(ways(here, only=way).values())


@measure("number")
def top_closed(
    predator: str,
    setup: Whole,
    ways_in: Table,
    barriers: Table,
    gets_through: Table,
    figures: Table,
) -> float | None:
    """The number, 0 to 1, that says how far the way over the top is closed to a predator.

    1: it meets one full barrier or two partial ones; 0.5: a single partial one; 0: none. None for
    one that doesn't come over the top. A hawk over a pen with an open top, the next house 300 m
    away:

    >>> from types import SimpleNamespace as Of
    >>> pen = Of(roof=Of(cover=0.6, over_rest="open"))
    >>> setup = Of(pen=pen, site=Of(house=300.0), guardians=())
    >>> ways_of_hawk = lambda column, predator: column == "over"
    >>> stops = lambda column, predator: {"roof": 1, "netting": 1, "house": 0.5}[column]
    >>> hundred_m, any_hole = (lambda column, figure: 100.0), (lambda column, predator: 0.05)
    >>> top_closed("hawk", setup, ways_of_hawk, stops, any_hole, hundred_m)
    0.0
    """
    return closed("over", Defence(predator, setup, ways_in, barriers, gets_through, figures))


@measure("number")
def sides_closed(
    predator: str,
    setup: Whole,
    ways_in: Table,
    barriers: Table,
    gets_through: Table,
    figures: Table,
) -> float | None:
    """The number, 0 to 1, that says how far the sides are closed to a predator.

    1: it meets one full barrier or two partial ones; 0.5: a single partial one; 0: none. None for
    one that doesn't come through sides. A skunk at hexagonal netting of 25 mm, which stops it in
    part, the next house 300 m away:

    >>> from types import SimpleNamespace as Of
    >>> mesh = Of(weave="hexagonal", opening=0.025, lower_opening=0.025, lower_height=1.0)
    >>> setup = Of(mesh=mesh, site=Of(house=300.0), guardians=())
    >>> ways_of_skunk = lambda column, predator: column == "through"
    >>> stops = lambda column, predator: {"hex": 0.5, "plastic": 0.5}.get(column, 1.0)
    >>> passes = lambda column, predator: 0.075 if column == "passes" else False
    >>> metre = lambda column, figure: 1.0
    >>> sides_closed("skunk", setup, ways_of_skunk, stops, passes, metre)
    0.5
    """
    return closed("through", Defence(predator, setup, ways_in, barriers, gets_through, figures))


@measure("length")
def reached_opening(
    predator: str,
    setup: Whole,
    ways_in: Table,
    barriers: Table,
    gets_through: Table,
    figures: Table,
) -> float | None:
    """The largest opening in m through which a predator can reach birds that sleep by the mesh.

    None for one that doesn't reach through, and where a paw would pass but other barriers (a night
    house, a live net with people near by) keep it away. A cat at a band of 13 mm cloth that is 45
    cm high:

    >>> from types import SimpleNamespace as Of
    >>> mesh = Of(opening=0.050, lower_opening=0.013, lower_height=0.45)
    >>> height_or_opening = lambda column, figure: 0.45 if figure == "reach_height" else 0.025
    >>> yes = lambda column, predator: True
    >>> reached_opening("cat", Of(mesh=mesh), yes, None, None, height_or_opening)
    0.013
    """
    here = Defence(predator, setup, ways_in, barriers, gets_through, figures)
    if not here.comes("reach"):
        return None
    opening = opening_in_reach(setup.mesh, figures)
    if at_most(opening, here.figure("reach_opening")) or closed("reach", here) != 1:
        return opening
    return None


@measure("length")
def skirt_met(
    predator: str,
    setup: Whole,
    ways_in: Table,
    barriers: Table,
    gets_through: Table,
    figures: Table,
) -> float | None:
    """The length in m of skirt that a predator meets which digs or squeezes under the rail.

    None for one that doesn't come that way, and where a floor or a house at night keeps it out
    although the skirt is less than wide. A badger at a skirt of 70 cm:

    >>> from types import SimpleNamespace as Of
    >>> yes = lambda column, predator: True
    >>> skirt_met("badger", Of(mesh=Of(skirt=0.70)), yes, None, None, lambda column, figure: 0.60)
    0.7
    """
    here = Defence(predator, setup, ways_in, barriers, gets_through, figures)
    if not here.comes("under"):
        return None
    skirt = setup.mesh.skirt
    if at_least(skirt, here.figure("skirt_wide")):
        return skirt
    others = (
        [floor(here, 1.0), kept(here, night_house)] if here.comes("nights") else [floor(here, 1.0)]
    )
    return None if least_closed([best(*others)]) == 1 else skirt


@measure("flag")
def comes_from_above(predator: str, ways_in: Table, gets_through: Table) -> bool:
    """Whether a predator comes over the top by flying or climbing, so that no height stops it.

    >>> yes = lambda column, predator: True
    >>> comes_from_above("hawk", yes, yes)
    True
    """
    over_it = ways_in("over", predator=predator)
    return bool(over_it and gets_through("climbs", predator=predator))


@measure("flag")
def tears_mesh(predator: str, ways_in: Table) -> bool:
    """Whether a predator bites, claws or pulls mesh open.

    >>> tears_mesh("dog", lambda column, predator: column == "tears")
    True
    """
    return bool(ways_in("tears", predator=predator))


@measure("flag")
def pen_shuts_itself(setup: Whole, figures: Table) -> bool:
    """Whether the pen by itself, without a house in it, is roofed, meshed and skirted.

    Roofed: a whole roof, or mesh or netting over the rest. Meshed: no opening over the figure
    `reach_opening`. Skirted: as wide as the figure `skirt_narrow`, or with a floor.

    >>> from types import SimpleNamespace as Of
    >>> pen = Of(roof=Of(cover=1.0, over_rest="open"), floor="open")
    >>> mesh = Of(opening=0.013, lower_opening=0.013, skirt=0.0)
    >>> sizes = {"reach_opening": 0.025, "skirt_narrow": 0.30}
    >>> pen_shuts_itself(Of(pen=pen, mesh=mesh), lambda column, figure: sizes[figure])
    False
    """
    pen, mesh = setup.pen, setup.mesh

    def figure(name: str) -> float:
        return float(figures("value", figure=name))

    def small_meshed() -> bool:
        largest = max(mesh.opening, value_or(mesh, "lower_opening", 0.0))
        return at_most(largest, figure("reach_opening"))

    roofed = best(
        graded(1.0, lambda: at_least(pen.roof.cover, 1.0)),
        graded(1.0, lambda: pen.roof.over_rest in ("mesh", "netting")),
    )
    skirted = best(
        graded(1.0, lambda: at_least(mesh.skirt, figure("skirt_narrow"))),
        graded(1.0, lambda: pen.floor != "open"),
    )
    return least_closed([roofed, graded(1.0, small_meshed), skirted]) == 1


@measure("count")
def predators_listed(setup: Whole) -> int:
    """The number of predators that the keeper lists; 0 where none are written.

    >>> from types import SimpleNamespace as Of
    >>> predators_listed(Of(predators=("fox", "mink", "hawk")))
    3
    """
    listed: tuple[str, ...] = value_or(setup, "predators", ())
    return len(listed)
