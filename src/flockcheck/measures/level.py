"""Whether water stands level in the drinkers where the pen stands on a slope.

Slopes are tangents, and falls are taken square to the drinker's base: run times slope, which for
the slopes of pastures differs from the true fall by less than 1 %. A vacuum, float or valve holds
the water level where it comes out; water filled by hand turns about the middle of the run.
"""

from __future__ import annotations

import math

from flockcheck.measures.drinkers import BY_PLACE
from flockcheck.measures.graph.spec import measure
from flockcheck.setup.sections import Drinker, Pen, Site


@measure("slope")
def bump_slope(site: Site, pen: Pen) -> float:
    """The slope that hollows and bumps may add, as a tangent: unevenness over the pen's length.

    >>> from types import SimpleNamespace as Of
    >>> bump_slope(Of(unevenness=0.04), Of(length=4.0))
    0.01
    """
    return site.unevenness / pen.length


@measure("slope")
def slope_here(site: Site, bump_slope: float = 0.0) -> float:
    """The slope that a drinker may stand on, as a tangent: the ground's and what bumps add to it.

    `bump_slope` counts as 0 where the unevenness is not written.

    >>> from types import SimpleNamespace as Of
    >>> round(slope_here(Of(slope=0.05), 0.01), 6)
    0.06
    """
    return site.slope + bump_slope


@measure("length")
def fall_over_run(drinker: Drinker, slope_here: float) -> float | None:
    """The height in m between where the water level is held and the far end of the open water.

    Run times slope; half of it where the outlet lies across the slope or the water is filled by
    hand. None for nipples and cups. A run of 0.6 m on a slope of 5 %:

    >>> from types import SimpleNamespace as Of
    >>> round(fall_over_run(Of(form="trough", fill="float", outlet="uphill", run=0.6), 0.05), 4)
    0.03
    >>> round(fall_over_run(Of(form="trough", fill="none", run=0.6), 0.05), 4)
    0.015
    """
    if drinker.form in BY_PLACE:
        return None
    from_middle = drinker.fill == "none" or drinker.outlet == "across"
    return drinker.run * slope_here * (0.5 if from_middle else 1)


@measure("length")
def spill_margin(drinker: Drinker, fall_over_run: float) -> float | None:
    """The length in m of rim that stays above the water at the low end; below 0 the tank drains.

    Freeboard less `fall_over_run`, for water held level at an outlet uphill or across the slope.
    None for a downhill outlet, for water filled by hand, and for nipples and cups. A rim of 10 mm,
    a run of 0.3 m with the outlet uphill on a slope of 5 %:

    >>> from types import SimpleNamespace as Of
    >>> round(spill_margin(Of(fill="vacuum", outlet="uphill", freeboard=0.010), 0.015), 4)
    -0.005
    """
    if drinker.fill == "none" or drinker.outlet == "downhill":
        return None
    return drinker.freeboard - fall_over_run


@measure("length")
def level_margin(drinker: Drinker, fall_over_run: float) -> float | None:
    """The length in m of rim that stays above hand-filled water at the low side; below 0 it spills.

    Freeboard less half the run times the slope. None for water that an outlet holds level, and for
    nipples and cups. A rim of 20 mm, a trough of 0.6 m on 5 %:

    >>> from types import SimpleNamespace as Of
    >>> round(level_margin(Of(fill="none", freeboard=0.020), 0.015), 4)
    0.005
    """
    return drinker.freeboard - fall_over_run if drinker.fill == "none" else None


@measure("share")
def dry_share(drinker: Drinker, slope_here: float) -> float | None:
    """The share of the run that lies dry at the high side; 0 while water covers it all.

    With a downhill outlet the water ends where it is no longer deep: 1 - depth / (run slope). Water
    filled by hand keeps its volume: once half the run times the slope exceeds the depth it is a
    wedge, and 1 - sqrt(2 depth / (run slope)) lies dry. None for the other outlets, of which
    `spill_margin` speaks, and for nipples and cups. A trough of 0.6 m on 10 %, 20 mm deep:

    >>> from types import SimpleNamespace as Of
    >>> held = Of(form="trough", fill="valve", outlet="downhill", run=0.6, depth=0.020)
    >>> round(dry_share(held, 0.10), 3)
    0.667
    >>> round(dry_share(Of(form="trough", fill="none", run=0.6, depth=0.020), 0.10), 3)
    0.184
    """
    if drinker.form in BY_PLACE:
        return None
    by_hand = drinker.fill == "none"
    if not by_hand and drinker.outlet != "downhill":
        return None
    rise = drinker.run * slope_here
    if by_hand:
        return 1 - math.sqrt(2 * drinker.depth / rise) if rise > 2 * drinker.depth else 0.0
    return 1 - drinker.depth / rise if rise > drinker.depth else 0.0
