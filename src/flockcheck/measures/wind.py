"""What the wind does to the roof."""

from __future__ import annotations

import math

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import alike
from flockcheck.measures.unwritten import NOT_WRITTEN, value_or
from flockcheck.setup.sections import Pen
from flockcheck.tables import Table


@measure("length")
def roof_top(pen: Pen) -> float:
    """The height in m of the roof above the ground where the wind meets it.

    The middle of a single slope, or the ridge of two. A pen of 2.4 m by 4 m, 60 cm high under a
    roof of 10 %:

    >>> from types import SimpleNamespace as Of
    >>> roof_top(Of(height=0.6, length=4.0, width=2.4, roof=Of(pitch=0.1)))
    0.72
    """
    return pen.height + pen.roof.pitch * min(pen.length, pen.width) / 2


@measure("number")
def air_left(wind_near_ground: Table, figures: Table, roof_top: float = NOT_WRITTEN) -> float:
    """The number, 0 to 1, that says what is left at the roof of a gust's pressure 10 m up.

    By the table `wind_near_ground` at the height `roof_top`; where nobody wrote how high the pen
    is, the figure `air_height_factor`, which ASCE/SEI 7 takes for everything below 15 ft.

    >>> air_left(lambda column, at: {0.6: 0.36}[at], None, 0.6)
    0.36
    >>> air_left(None, lambda column, figure: 0.85)
    0.85
    """
    if roof_top == NOT_WRITTEN:
        return float(figures("value", figure="air_height_factor"))
    return float(wind_near_ground("left", at=roof_top))


@measure("pressure", each="day")
def wind_pressure(gust: float, air_left: float, figures: Table) -> float:
    """The velocity pressure in Pa of the day's gust at the height of the roof.

    0.613 Kz Kd V^2, with V in m/s: ASCE/SEI 7, eq. 26.10-1 in SI units, on flat ground. Kz is
    `air_left`; the figures are `velocity_pressure_factor` and `air_direction_factor`. Published for
    115 mph (51.41 m/s) with 0.85 for both: 24.461 lb/sq ft, which is 1171 Pa.

    >>> figure = {"velocity_pressure_factor": 0.613}
    >>> pressure = wind_pressure(51.41, 0.85, lambda column, **who: figure.get(who["figure"], 0.85))
    >>> abs(pressure / 1171 - 1) < 0.001
    True
    """
    factor: float = figures("value", figure="velocity_pressure_factor")
    direction: float = figures("value", figure="air_direction_factor")
    return factor * air_left * direction * gust**2


@at_once(wind_pressure)
def wind_pressures(gust: list[float], air_left: float, figures: Table) -> list[float]:
    """`wind_pressure` of many days, of which few kinds differ."""
    return alike(lambda speed: wind_pressure(speed, air_left, figures), gust)


@measure("area")
def roof_area(pen: Pen, floor_area: float) -> float:
    """The area in m2 of solid roof, as seen from above.

    >>> from types import SimpleNamespace as Of
    >>> roof_area(Of(roof=Of(cover=0.6)), 10.0)
    6.0
    """
    return floor_area * pen.roof.cover


@measure("number")
def edge_uplift_coefficient(pen: Pen, roof_uplift: Table, ridge_uplift: Table) -> float:
    """The number of times the velocity pressure that lifts the edges of the roof.

    Straight between the table's columns for an empty space under the roof and for a blocked one, by
    the share of the sides that is solid; the tables, `roof_uplift` for a single slope and
    `ridge_uplift` for two, go along the pitch in degrees. Published for a single pitch of 5 degrees
    (BS 6399-2:1997, table 13): 1.8 empty, 2.6 blocked.

    >>> from types import SimpleNamespace as Of
    >>> five = {"edge_empty": 1.8, "edge_blocked": 2.6}
    >>> pen = Of(windbreak=0.25, roof=Of(shape="single", pitch=math.tan(math.radians(5))))
    >>> round(edge_uplift_coefficient(pen, lambda column, at: five[column], None), 3)
    2.0
    """
    uplift = ridge_uplift if ridged(pen) else roof_uplift
    pitch = math.degrees(math.atan(pen.roof.pitch))
    empty: float = uplift("edge_empty", at=pitch)
    blocked: float = uplift("edge_blocked", at=pitch)
    return empty + pen.windbreak * (blocked - empty)


def ridged(pen: Pen) -> bool:
    """Whether two slopes or a hoop meet in a ridge; a single slope, which lifts more, if unwritten.

    >>> from types import SimpleNamespace as Of
    >>> ridged(Of(roof=Of(shape="ridge")))
    True
    """
    return value_or(pen.roof, "shape", "single") == "ridge"


@measure("force", each="day")
def lid_uplift(wind_pressure: float, edge_uplift_coefficient: float, roof_area: float) -> float:
    """The force in N with which the day's gust lifts the roof.

    The coefficient of the edges is taken for the whole of a small roof, which is the careful side.

    >>> lid_uplift(100.0, 2.0, 6.0)
    1200.0
    """
    return wind_pressure * edge_uplift_coefficient * roof_area


@at_once(lid_uplift)
def lid_uplifts(
    wind_pressure: list[float], edge_uplift_coefficient: float, roof_area: float
) -> list[float]:
    """`lid_uplift` of many days, of which few kinds differ."""
    return alike(
        lambda pressure: lid_uplift(pressure, edge_uplift_coefficient, roof_area), wind_pressure
    )


@measure("force")
def own_fixing_hold(pen: Pen) -> float:
    """The force in N that one roof fixing holds, as the keeper knows it.

    >>> from types import SimpleNamespace as Of
    >>> own_fixing_hold(Of(roof=Of(fixing_hold=300.0)))
    300.0
    """
    return pen.roof.fixing_hold


@measure("force")
def lid_hold(pen: Pen, figures: Table, own_fixing_hold: float = NOT_WRITTEN) -> float:
    """The force in N that all fixings of the roof hold together.

    Where the keeper doesn't say it in `own_fixing_hold`, one holds the cautious figure
    `fixing_hold`.

    >>> from types import SimpleNamespace as Of
    >>> lid_hold(Of(roof=Of(fixings=14)), None, 300.0)
    4200.0
    >>> lid_hold(Of(roof=Of(fixings=14)), lambda column, figure: 200.0)
    2800.0
    """
    hold = own_fixing_hold
    if hold == NOT_WRITTEN:
        hold = figures("value", figure="fixing_hold")
    return pen.roof.fixings * hold


@measure("number", each="day")
def lid_safety(lid_hold: float, lid_uplift: float) -> float | None:
    """The number of times that the fixings hold what the day's gust lifts; below 1 the roof goes.

    None on days without wind and where there is no solid roof.

    >>> lid_safety(2800.0, 1400.0)
    2.0
    """
    return lid_hold / lid_uplift if lid_uplift else None


@at_once(lid_safety)
def lid_safeties(lid_hold: float, lid_uplift: list[float]) -> list[float | None]:
    """`lid_safety` of many days, of which few kinds differ."""
    return alike(lambda lift: lid_safety(lid_hold, lift), lid_uplift)
