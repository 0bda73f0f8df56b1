"""What may stand between a predator and the birds, each barrier as far as it is known.

A barrier that stops a predator counts 1, one that stops it in part 0.5 (table `barriers`). One that
the keeper did not write about may be there or not, so each is carried as a range.
"""

from __future__ import annotations

from collections.abc import Callable

from flockcheck.measures.compare import at_least, at_most
from flockcheck.measures.fence import mesh_opening_for, opening_in_reach
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Guardian, Rhythm, Whole
from flockcheck.setup.view import Missing
from flockcheck.tablereader import TableReader
from flockcheck.tables import Table
from flockcheck.text.records import NamedTuple

# What a partial barrier counts (common practice), a pen that is gone within a day among them; no
# presence of dogs or people counts more.
PARTIAL = 0.5
# The canids that llamas and donkeys drive off as dogs do (common practice).
DRIVEN_OFF = ("fox", "coyote", "dog", "jackal")
Test = Callable[[], bool]


class Barrier(NamedTuple):
    """How far a barrier stops a predator: at least `low`, at most `high`, by keys not written."""

    low: float
    high: float
    unknown: tuple[str, ...] = ()


NONE = Barrier(0.0, 0.0)


def graded(grade: float, *tests: Test) -> Barrier:
    """A barrier that counts `grade` if every test holds; a range if what some need is not written.

    >>> graded(0.5, lambda: True)
    Barrier(low=0.5, high=0.5, unknown=())
    """
    if not grade:
        return NONE
    unknown: tuple[str, ...] = ()
    for test in tests:
        try:
            if not test():
                return NONE
        except Missing as missing:
            unknown += missing.keys
    return Barrier(0.0 if unknown else grade, grade, unknown)


def best(*barriers: Barrier) -> Barrier:
    """The best of several barriers of which only one counts.

    >>> best(Barrier(0.5, 0.5), Barrier(0.0, 1.0, ("pen.floor",)))
    Barrier(low=0.5, high=1.0, unknown=('pen.floor',))
    """
    low, high = 0.0, 0.0
    for one_low, one_high, _ in barriers:
        low, high = max(low, one_low), max(high, one_high)
    if high <= low:
        return Barrier(low, high)
    open_keys = [key for one in barriers if one.high > low for key in one.unknown]
    return Barrier(low, high, tuple(dict.fromkeys(open_keys)))


def added(barriers: list[Barrier]) -> Barrier:
    """Several barriers in one way, each counting, to 1 at most.

    >>> added([Barrier(0.5, 0.5), Barrier(0.0, 0.5, ("site.house",))])
    Barrier(low=0.5, high=1.0, unknown=('site.house',))
    """
    low, high = 0.0, 0.0
    keys: dict[str, None] = {}
    for one_low, one_high, unknown in barriers:
        low, high = low + one_low, high + one_high
        if unknown:
            keys.update(dict.fromkeys(unknown))
    return Barrier(min(1.0, low), min(1.0, high), tuple(keys))


class Defence(NamedTuple):
    """What stands between a predator and the birds, and the tables that judge it."""

    predator: str
    setup: Whole
    ways_in: Table
    barriers: Table
    gets_through: Table
    figures: Table

    def comes(self, how: str) -> bool:
        """Whether this predator comes so: a column of the table of ways in."""
        return bool(self.ways_in(how, predator=self.predator))

    def climbs(self) -> bool:
        """Whether it reaches any height of a side, by climbing or flying."""
        return bool(self.gets_through("climbs", predator=self.predator))

    def grade(self, barrier: str) -> float:
        """How far a barrier stops this predator, by the table."""
        return float(self.barriers(barrier, predator=self.predator))

    def figure(self, name: str) -> float:
        """A chosen figure, in base units."""
        return float(self.figures("value", figure=name))

    def held_by(self, opening: float) -> bool:
        """Whether an opening in m is too small for this predator."""
        return at_most(opening, float(self.gets_through("passes", predator=self.predator)))


def over(here: Defence) -> Barrier:
    """What covers the pen; or the height of its sides, against what jumps and can't climb."""
    return best(kept(here, cover), high_sides(here))


def high_sides(here: Defence) -> Barrier:
    """Sides that are too high to jump."""

    def high() -> bool:
        return at_least(here.setup.mesh.height, here.figure("fence_height"))

    return graded(float(here.comes("jumps") and not here.climbs()), high)


def cover(here: Defence) -> Barrier:
    """What covers the pen: a whole roof or mesh that holds the predator, netting, or nothing."""
    roof = here.setup.pen.roof

    def strong() -> bool:
        return roof.over_rest == "mesh" and here.held_by(roof.over_rest_opening)

    def netted() -> bool:
        # The grade is for nets as they are sold; an opening is looked at where one is written.
        return roof.over_rest == "netting" and here.held_by(
            value_or(roof, "over_rest_opening", 0.0)
        )

    return best(
        graded(here.grade("roof"), lambda: at_least(roof.cover, 1.0)),
        graded(here.grade("roof"), strong),
        graded(here.grade("netting"), netted),
    )


def through(here: Defence) -> Barrier:
    """The mesh of the sides: netting or cloth by its weave, if the predator can't pass it.

    Against one that bites or tears, wire counts as well: too thin it is no better than netting, and
    heavy it stops more. The finest cloth is whole against all others.
    """
    mesh = here.setup.mesh

    known: list[float] = []

    def opening() -> float:
        if not known:
            known.append(mesh_opening_for(here.predator, mesh, here.gets_through, here.figures))
        return known[0]

    def held() -> bool:
        return here.held_by(opening())

    def woven(*weaves: str) -> Test:
        return lambda: mesh.weave in weaves

    def wire(figure: str) -> Test:
        return lambda: at_least(mesh.wire, here.figure(figure))

    cloth = woven("welded", "woven")
    if here.comes("tears"):
        metal = [
            graded(here.grade("hex"), held, cloth),
            graded(here.grade("cloth"), held, cloth, wire("wire_light")),
            graded(here.grade("heavy"), held, cloth, wire("wire_heavy")),
        ]
    else:
        metal = [
            graded(here.grade("cloth"), held, cloth),
            graded(1.0, held, cloth, lambda: at_most(opening(), here.figure("finest_cloth"))),
        ]
    return best(
        graded(here.grade("hex"), held, woven("hexagonal")),
        graded(here.grade("plastic"), held, woven("plastic")),
        *metal,
    )


def under(here: Defence) -> Barrier:
    """The skirt, narrow or wide, or the floor; a half more where the pen is gone in a day."""
    skirt = here.setup.mesh.skirt
    return added(
        [
            best(
                graded(here.grade("skirt"), lambda: at_least(skirt, here.figure("skirt_narrow"))),
                graded(
                    here.grade("wide_skirt"), lambda: at_least(skirt, here.figure("skirt_wide"))
                ),
                floor(here, here.grade("wide_skirt")),
            ),
            graded(PARTIAL, lambda: moves_daily(here.setup)),
        ]
    )


def floor(here: Defence, wide_skirt: float) -> Barrier:
    """The floor of the pen: wire or slats are as good as a wide skirt, solid closes all."""
    pen = here.setup.pen
    return best(
        graded(wide_skirt, lambda: pen.floor in ("wire", "slats")),
        graded(1.0, lambda: pen.floor == "solid"),
    )


def moves_daily(setup: Whole) -> bool:
    """Whether the pen never stands longer than a day on one patch."""
    later: tuple[Rhythm, ...] = value_or(setup.pen.moves, "later", ())
    rhythms = [setup.pen.moves.every, *(one.every for one in later)]
    return all(at_most(every, 1.0) for every in rhythms)


def reach(here: Defence) -> Barrier:
    """The mesh beside sleeping birds, if no paw goes through it."""
    most = here.figure("reach_opening")
    return graded(1.0, lambda: at_most(opening_in_reach(here.setup.mesh, here.figures), most))


def presence(here: Defence) -> Barrier:
    """The best of dogs, llamas, donkeys and people near by: half a barrier in every way at most."""
    found = [graded(here.grade("house"), lambda: near_house(here.setup.site.house, here))]
    for guardian in here.setup.guardians:
        found.append(watching(guardian, here))
    low, high, unknown = best(*found)
    return Barrier(min(low, PARTIAL), min(high, PARTIAL), unknown)


def near_house(distance: float, here: Defence) -> bool:
    """Whether people live so near, in m, that a predator is shy of them."""
    return at_most(distance, here.figure("near_house"))


def watching(guardian: Guardian, here: Defence) -> Barrier:
    """What one guardian counts by its presence; nets are barriers instead, and geese are prey."""
    kind = guardian.kind
    if kind == "dog":
        grade = here.grade("dog")
        return best(
            graded(
                grade,
                lambda: guardian.role == "livestock",
                lambda: guardian.bonded,
                lambda: at_least(guardian.age, here.figure("dog_grown")),
            ),
            graded(
                grade,
                lambda: guardian.role == "yard",
                lambda: at_most(guardian.distance, here.figure("dog_hears")),
            ),
        )
    if kind in ("llama", "donkey") and here.predator in DRIVEN_OFF:
        return graded(here.grade("dog"))
    if kind == "person":
        return graded(here.grade("house"), lambda: near_house(guardian.distance, here))
    return NONE


def night_house(here: Defence) -> Barrier:
    """A house in which the birds are shut for the night."""
    care = here.setup.care
    return graded(here.grade("night"), lambda: care.night_house, lambda: care.closed_at_night)


def electric_net(here: Defence) -> Barrier:
    """An electric net that is live at its far end."""
    return live_net(here.setup, here.figure("net_live"), here.grade("net"))


def live_net(setup: Whole, live: float, grade: float = 1.0) -> Barrier:
    """The best of the electric nets, which count where they have the voltage in V to be live."""
    nets = [guardian for guardian in setup.guardians if guardian.kind == "electric net"]
    return best(*(graded(grade, net_is_live(net, live)) for net in nets))


def net_is_live(net: Guardian, live: float) -> Test:
    """The test whether a net has the voltage in V that it takes to be live."""
    return lambda: at_least(net.voltage, live)


def kept(here: Defence, barrier: Callable[[Defence], Barrier]) -> Barrier:
    """What a barrier comes to for a predator, worked out once for all measures of a run."""
    if not isinstance(here.barriers, TableReader):
        return barrier(here)
    return here.barriers.once((barrier, here.predator), lambda: barrier(here))
