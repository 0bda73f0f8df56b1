"""The openings of a pen: which of them a predator meets, and how large they are."""

from __future__ import annotations

from flockcheck.measures.compare import at_least
from flockcheck.measures.graph.spec import measure
from flockcheck.measures.unwritten import NOT_WRITTEN, value_or
from flockcheck.setup.sections import Mesh, Pen, Site, Whole
from flockcheck.setup.view import Missing
from flockcheck.tables import Table


def largest_below(mesh: Mesh, height: float) -> float:
    """The largest opening in m of the mesh up to a height in m.

    A finer mesh along the bottom counts alone where it reaches that high; where it doesn't, or
    where none is written, so does the mesh above it.
    """
    lower: float = value_or(mesh, "lower_opening", NOT_WRITTEN)
    if lower != NOT_WRITTEN and at_least(mesh.lower_height, height):
        return lower
    return max(mesh.opening, lower)


@measure("length")
def mesh_opening_for(predator: str, mesh: Mesh, gets_through: Table, figures: Table) -> float:
    """The clear opening in m of the mesh that a predator meets.

    What climbs or flies meets the largest opening there is. What doesn't meets the finer mesh along
    the bottom where that reaches the figure `low_mesh_height`, here 30 cm:

    >>> from types import SimpleNamespace as Of
    >>> sides = Of(opening=0.025, lower_opening=0.013, lower_height=0.30)
    >>> climbs, no = (lambda column, predator: True), (lambda column, predator: False)
    >>> mesh_opening_for("raccoon", sides, climbs, lambda column, figure: 0.30)
    0.025
    >>> mesh_opening_for("skunk", sides, no, lambda column, figure: 0.30)
    0.013
    """
    if gets_through("climbs", predator=predator):
        return max(mesh.opening, value_or(mesh, "lower_opening", NOT_WRITTEN))
    return largest_below(mesh, figures("value", figure="low_mesh_height"))


@measure("length")
def opening_in_reach(mesh: Mesh, figures: Table) -> float:
    """The largest clear opening in m through which a paw can reach birds on the ground.

    It is looked for up to the figure `reach_height`, here the 45 cm that the Washington Department
    of Fish and Wildlife asks small mesh for against raccoons:

    >>> from types import SimpleNamespace as Of
    >>> low_band = Of(opening=0.050, lower_opening=0.013, lower_height=0.30)
    >>> opening_in_reach(low_band, lambda column, figure: 0.45)
    0.05
    """
    return largest_below(mesh, figures("value", figure="reach_height"))


@measure("length")
def lowest_opening(mesh: Mesh, figures: Table) -> float:
    """The largest clear opening in m that chicks on the ground meet.

    They don't climb: a finer mesh along the bottom is enough where it reaches the figure
    `low_mesh_height`, here 30 cm:

    >>> from types import SimpleNamespace as Of
    >>> low_band = Of(opening=0.050, lower_opening=0.013, lower_height=0.30)
    >>> lowest_opening(low_band, lambda column, figure: 0.30)
    0.013
    """
    return largest_below(mesh, figures("value", figure="low_mesh_height"))


@measure("time")
def days_since_inspection(mesh: Mesh, setup: Whole) -> int:
    """The days from the last inspection of the mesh to the day on which the first birds move in.

    Below zero where the keeper looked at it after that.

    >>> from datetime import date
    >>> from types import SimpleNamespace as Of
    >>> seen, group = Of(inspected=date(2027, 4, 18)), Of(out=date(2027, 4, 22))
    >>> days_since_inspection(seen, Of(birds=(group,)))
    4
    """
    return (min(group.out for group in setup.birds) - mesh.inspected).days


@measure("length")
def standing_gap(mesh: Mesh) -> float:
    """The largest gap in m under the rail where the pen stands now.

    >>> from types import SimpleNamespace as Of
    >>> standing_gap(Of(ground_gap=0.02))
    0.02
    """
    return mesh.ground_gap


@measure("length")
def hollow_gap(site: Site, pen: Pen) -> float:
    """The gap in m that opens under the longest rail when it bridges a hollow.

    The hollow under a straightedge grows with the square of its length (L^2 / 8R on ground of
    radius R), so the unevenness, measured over the pen's length, is scaled by
    (longest side / length)^2. A hollow of 33 m radius is 12.685 mm deep under 6 ft (1.83 m) and
    50.7 mm under 12 ft (3.66 m):

    >>> from types import SimpleNamespace as Of
    >>> round(hollow_gap(Of(unevenness=0.012685), Of(length=1.83, width=3.66)), 4)
    0.0507
    """
    longest = max(pen.length, pen.width)
    return site.unevenness * (longest / pen.length) ** 2


@measure("length")
def rail_gap(standing_gap: float = NOT_WRITTEN, hollow_gap: float = NOT_WRITTEN) -> float:
    """The gap in m under the rail: the larger of the one seen now and the one over hollows.

    Either may be left out; with neither `standing_gap` nor `hollow_gap` it is not known.

    >>> rail_gap(0.02, 0.03)
    0.03
    >>> rail_gap(standing_gap=0.02)
    0.02
    """
    gap = max(standing_gap, hollow_gap)
    if gap == NOT_WRITTEN:
        raise Missing("mesh.ground_gap", "site.unevenness")
    return gap
