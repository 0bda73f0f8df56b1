"""What it takes to move the pen by hand."""

from __future__ import annotations

import math

from flockcheck.measures.graph.spec import measure
from flockcheck.measures.standing import GRAVITY
from flockcheck.setup.sections import Pen, Site
from flockcheck.tables import Table


@measure("number")
def pull_friction(pen: Pen, figures: Table) -> float:
    """The number of newtons that it takes to pull one newton of pen over level ground.

    The figure for sleds (runners of plastic, timber or steel) or for wheels. Of a pen with a dolly
    under one end the share `dolly_carries` rolls and the rest drags.

    >>> from types import SimpleNamespace as Of
    >>> half = {"dolly_carries": 0.5, "friction_dolly": 0.1, "friction_sled": 0.4}
    >>> table = lambda column, figure: half[figure]
    >>> pull_friction(Of(moves=Of(runners="timber")), table)
    0.4
    >>> pull_friction(Of(moves=Of(runners="dolly")), table)
    0.25
    """
    runners = pen.moves.runners
    if runners == "wheels":
        return float(figures("value", figure="friction_wheels"))
    sled: float = figures("value", figure="friction_sled")
    if runners != "dolly":
        return sled
    rolls: float = figures("value", figure="dolly_carries")
    return rolls * float(figures("value", figure="friction_dolly")) + (1 - rolls) * sled


@measure("slope")
def slope_pulled(pen: Pen, site: Site) -> float:
    """The slope up which the pen is pulled, as a tangent; 0 where no move goes uphill.

    >>> from types import SimpleNamespace as Of
    >>> slope_pulled(Of(moves=Of(uphill=True)), Of(slope=0.05))
    0.05
    >>> slope_pulled(Of(moves=Of(uphill=False)), None)
    0.0
    """
    return site.slope if pen.moves.uphill else 0.0


@measure("force")
def pull_force(pen: Pen, pull_friction: float, slope_pulled: float) -> float:
    """The force in N that it takes to pull the pen: W (mu cos a + sin a).

    Published for a trolley of 400 kg up 1 in 12: over 30 kgf for the slope alone (HSE INDG143; 33
    by this). A stoneboat of 1000 lb took 491 lbf on level pasture.

    >>> from types import SimpleNamespace as Of
    >>> round(pull_force(Of(weight=400.0), 0.0, 1 / 12) / GRAVITY)
    33
    >>> round(pull_force(Of(weight=1000.0), 0.491, 0.0) / GRAVITY)
    491
    """
    angle = math.atan(slope_pulled)
    return pen.weight * GRAVITY * (pull_friction * math.cos(angle) + math.sin(angle))


@measure("force")
def pull_each(pen: Pen, pull_force: float) -> float:
    """The force in N that falls to each person who pulls.

    >>> from types import SimpleNamespace as Of
    >>> pull_each(Of(moves=Of(people=2)), 300.0)
    150.0
    """
    return pull_force / pen.moves.people
