"""Electric nets and high fences: how high, against whom, and what rests on them alone."""

from __future__ import annotations

from collections.abc import Callable

from flockcheck.measures.barriers import (
    PARTIAL,
    Barrier,
    Defence,
    best,
    live_net,
    watching,
)
from flockcheck.measures.graph.spec import measure
from flockcheck.measures.guarding import least_closed, ways
from flockcheck.setup.sections import Whole
from flockcheck.setup.view import Missing
from flockcheck.tables import Table


def stands(net: Barrier) -> bool:
    """Whether a barrier is there at all. Raises Missing where that is not known."""
    if net.low > 0 or net.high == 0:
        return net.low > 0
    raise Missing(*net.unknown)


def those(predators: tuple[str, ...], how: Callable[[str], bool]) -> tuple[str, ...]:
    """The predators of which something holds, by name.

    Where it is known of some, those are enough to say so; Missing is raised only where it is known
    of none and unknown of one.
    """
    found: list[str] = []
    unknown: list[str] = []
    for predator in predators:
        try:
            if how(predator):
                found.append(predator)
        except Missing as missing:
            unknown += missing.keys
    if unknown and not found:
        raise Missing(*unknown)
    return tuple(found)


@measure("flag")
def live_net_round(setup: Whole, figures: Table) -> bool:
    """Whether a live electric net stands round the pen, by the figure `net_live`.

    >>> from types import SimpleNamespace as Of
    >>> net = Of(kind="electric net", voltage=5000.0)
    >>> live_net_round(Of(guardians=(net,)), lambda column, figure: 4000.0)
    True
    """
    return stands(live_net(setup, figures("value", figure="net_live")))


@measure("flag")
def live_net_against(predator: str, setup: Whole, barriers: Table, figures: Table) -> bool:
    """Whether a live electric net stands round the pen and stops this predator, in part at least.

    A weasel runs under or through one:

    >>> from types import SimpleNamespace as Of
    >>> net = Of(kind="electric net", voltage=5000.0)
    >>> grade = lambda column, predator: {"weasel": 0.0, "fox": 0.5}[predator]
    >>> four_kv = lambda column, figure: 4000.0
    >>> [live_net_against(who, Of(guardians=(net,)), grade, four_kv) for who in ("weasel", "fox")]
    [False, True]
    """
    live = figures("value", figure="net_live")
    return stands(live_net(setup, live, barriers("net", predator=predator)))


@measure("flag")
def guarded_against(
    predator: str,
    setup: Whole,
    ways_in: Table,
    barriers: Table,
    gets_through: Table,
    figures: Table,
) -> bool:
    """Whether a live net or a dog at hand stops this predator, in part at least.

    A dog counts as it does everywhere: grown and bonded where it lives with the flock, within
    hearing where it sleeps in the yard. A house near by is not enough. Two yard dogs 40 m away:

    >>> from types import SimpleNamespace as Of
    >>> dogs = Of(kind="dog", role="yard", distance=40.0)
    >>> half = lambda column, predator: 0.5
    >>> hears = lambda column, figure: 100.0
    >>> guarded_against("coyote", Of(guardians=(dogs,)), None, half, None, hears)
    True
    """
    here = Defence(predator, setup, ways_in, barriers, gets_through, figures)
    net = live_net(setup, here.figure("net_live"), here.grade("net"))
    dogs = [watching(one, here) for one in setup.guardians if one.kind == "dog"]
    return stands(best(net, *dogs))


@measure("length")
def net_height(setup: Whole) -> float | None:
    """The height of the lowest electric net in m. None without a net.

    >>> from types import SimpleNamespace as Of
    >>> net_height(Of(guardians=(Of(kind="electric net", height=1.06), Of(kind="dog"))))
    1.06
    """
    heights = [one.height for one in setup.guardians if one.kind == "electric net"]
    return min(heights, default=None)


@measure("names")
def jumpers(setup: Whole, ways_in: Table) -> tuple[str, ...]:
    """The names of the listed predators that clear a low fence at a jump.

    >>> from types import SimpleNamespace as Of
    >>> jumpers(Of(predators=("fox", "rat")), lambda column, predator: predator == "fox")
    ('fox',)
    """
    return those(setup.predators, lambda predator: bool(ways_in("jumps", predator=predator)))


@measure("names")
def resting_on_net(
    setup: Whole,
    ways_in: Table,
    barriers: Table,
    gets_through: Table,
    figures: Table,
) -> tuple[str, ...]:
    """The names of the listed predators to whom a way stands open where no electric net closes it.

    On such a way nothing stands at all, not even in part, but the net, if it is live. Predators
    that a net doesn't stop are not among them. A bear, which no mesh stops, with no dog or person
    near:

    >>> from types import SimpleNamespace as Of
    >>> mesh = Of(opening=0.05, weave="welded", wire=0.002, lower_opening=0.05, lower_height=1.0)
    >>> setup = Of(predators=("bear",), mesh=mesh, site=Of(house=300.0), guardians=())
    >>> ways_of_bear = lambda column, predator: column in ("through", "walks", "tears")
    >>> only_a_net = lambda column, predator: 0.5 if column == "net" else 0.0
    >>> metre = lambda column, figure: 1.0
    >>> resting_on_net(setup, ways_of_bear, only_a_net, None, metre)
    ('bear',)
    """

    def rests(predator: str) -> bool:
        here = Defence(predator, setup, ways_in, barriers, gets_through, figures)
        if not (here.comes("walks") and here.grade("net")):
            return False
        found = ways(here, leave_out=("net",)).values()
        if any(one.high < PARTIAL for one in found):
            return True
        unsure = [key for one in found if one.low < PARTIAL for key in one.unknown]
        if unsure:
            raise Missing(*unsure)
        return False

    return those(setup.predators, rests)


@measure("names")
def jumpers_at_net(jumpers: tuple[str, ...], resting_on_net: tuple[str, ...]) -> tuple[str, ...]:
    """The names of the listed predators that jump and that little but the net keeps out.

    >>> jumpers_at_net(("fox", "dog"), ("fox", "mink"))
    ('fox',)
    """
    return tuple(name for name in jumpers if name in resting_on_net)


@measure("names")
def fence_jumpers(
    setup: Whole,
    ways_in: Table,
    barriers: Table,
    gets_through: Table,
    figures: Table,
) -> tuple[str, ...]:
    """The names of the listed predators that only the height of the mesh keeps from jumping in.

    They jump and can't climb, and no roof, house, net or company closes the top to them. A dog at a
    pen that lies open above:

    >>> from types import SimpleNamespace as Of
    >>> pen, mesh = Of(roof=Of(cover=0.0, over_rest="open")), Of(height=0.9)
    >>> setup = Of(predators=("dog",), pen=pen, mesh=mesh, site=Of(house=300.0), guardians=())
    >>> jumps_over = lambda column, predator: column in ("jumps", "over")
    >>> roof_only = lambda column, predator: 1.0 if column == "roof" else 0.0
    >>> no, metre = (lambda column, predator: False), (lambda column, figure: 1.8)
    >>> fence_jumpers(setup, jumps_over, roof_only, no, metre)
    ('dog',)
    """

    def jumps_in(predator: str) -> bool:
        here = Defence(predator, setup, ways_in, barriers, gets_through, figures)
        if not here.comes("jumps") or here.climbs():
            return False
        over = ways(here, leave_out=("height",)).get("over")
        return over is not None and least_closed([over]) != 1

    return those(setup.predators, jumps_in)
