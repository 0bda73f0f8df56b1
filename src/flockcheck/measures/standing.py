"""Whether the pen itself stays where it is in the wind: at which gust it lifts, slides or tips.

Statics of a rigid box on the ground. The roof is lifted with its overall coefficient, the solid
part of the longer side is pushed downwind, and weight and anchors hold. Birds don't count: they
hold nothing down.
"""

from __future__ import annotations

import math

from flockcheck.measures.graph.spec import measure
from flockcheck.measures.wind import ridged, wind_pressure
from flockcheck.setup.sections import Pen, Site
from flockcheck.tables import Table

# The standard acceleration of gravity in m/s2 (3rd CGPM, 1901): newtons for a kilogram.
GRAVITY = 9.80665


@measure("number")
def pen_uplift_coefficient(pen: Pen, roof_uplift: Table, ridge_uplift: Table) -> float | None:
    """The number of times the velocity pressure that lifts the whole roof.

    Straight between the table's columns for an empty space under the roof and for a blocked one, by
    the share of the sides that is solid; the tables, `roof_uplift` for a single slope and
    `ridge_uplift` for two, go along the pitch in degrees. None without a solid roof. Published for
    a single pitch of 5 degrees (BS 6399-2:1997, table 13, overall): 0.7 empty, 1.4 blocked.

    >>> from types import SimpleNamespace as Of
    >>> five = {"overall_empty": 0.7, "overall_blocked": 1.4}
    >>> roof = Of(cover=1.0, shape="single", pitch=math.tan(math.radians(5)))
    >>> pen = Of(windbreak=0.25, roof=roof)
    >>> round(pen_uplift_coefficient(pen, lambda column, at: five[column], None), 3)
    0.875
    """
    if not pen.roof.cover:
        return None
    pitch = math.degrees(math.atan(pen.roof.pitch))
    uplift = ridge_uplift if ridged(pen) else roof_uplift
    empty: float = uplift("overall_empty", at=pitch)
    blocked: float = uplift("overall_blocked", at=pitch)
    return empty + pen.windbreak * (blocked - empty)


@measure("area")
def lifted_area(roof_area: float, pen_uplift_coefficient: float = 0.0) -> float:
    """The area in m2 on which the velocity pressure would lift as the wind does the whole roof.

    0 without a solid roof, where `pen_uplift_coefficient` does not apply.

    >>> lifted_area(6.0, 0.875)
    5.25
    """
    return roof_area * pen_uplift_coefficient


@measure("force")
def anchors_hold(pen: Pen) -> float:
    """The force in N with which all anchors of the pen hold it down.

    >>> from types import SimpleNamespace as Of
    >>> anchors_hold(Of(anchors=Of(count=4, hold=400.0)))
    1600.0
    >>> anchors_hold(Of(anchors=Of(count=0)))
    0.0
    """
    count = pen.anchors.count
    return count * pen.anchors.hold if count else 0.0


@measure("area")
def pushed_area(pen: Pen, figures: Table) -> float:
    """The area in m2 on which the velocity pressure would push as the wind does one long side.

    The solid part of the longer side, times the figure `drag_coefficient`; what passes the mesh is
    left out. A side of 4 m by 70 cm of which 30 % is solid:

    >>> from types import SimpleNamespace as Of
    >>> pen = Of(length=4.0, width=2.4, height=0.7, windbreak=0.3)
    >>> round(pushed_area(pen, lambda column, figure: 1.2), 3)
    1.008
    """
    drag: float = figures("value", figure="drag_coefficient")
    return drag * max(pen.length, pen.width) * pen.height * pen.windbreak


@measure("area")
def drawn_area(pen: Pen, roof_area: float, lifted_area: float, figures: Table) -> float:
    """The area in m2 on which the velocity pressure would push as a pitched roof draws downwind.

    The lift of a single slope stands square to the roof, so that a share of it, the tangent of the
    pitch, goes downwind while the wind meets the high side. On two slopes that cancels, and the
    wind pushes on what is seen of the roof from the side, times the figure `drag_coefficient`.

    >>> from types import SimpleNamespace as Of
    >>> drawn_area(Of(roof=Of(pitch=0.1, shape="single")), 6.0, 5.0, None)
    0.5
    >>> hoop = Of(roof=Of(pitch=0.5, shape="ridge"))
    >>> drawn_area(hoop, 8.0, 5.0, lambda column, figure: 1.2)
    2.4
    """
    if not lifted_area:
        return 0.0
    if ridged(pen):
        drag: float = figures("value", figure="drag_coefficient")
        return drag * roof_area * pen.roof.pitch / 2
    return lifted_area * pen.roof.pitch


@measure("speed")
def lift_gust(
    pen: Pen,
    site: Site,
    lifted_area: float,
    anchors_hold: float,
    air_left: float,
    figures: Table,
) -> float | None:
    """The gust in m/s, as forecast, that lifts the pen off the ground.

    Where uplift, the velocity pressure times `lifted_area`, comes up to the weight square to the
    slope and what the anchors hold. None where nothing is lifted. A pen of 200 lb (90.7 kg) under
    60 sq ft (5.57 m2) of roof with a coefficient of 1.2, by V^2 = W / (0.00256 Cf A) with both code
    factors 1: 32.9 mph, which is 14.7 m/s.

    >>> from types import SimpleNamespace as Of
    >>> figure = {"velocity_pressure_factor": 0.613}
    >>> table = lambda column, **who: figure.get(who["figure"], 1.0)
    >>> round(lift_gust(Of(weight=90.7), Of(slope=0.0), 1.2 * 5.57, 0.0, 1.0, table), 1)
    14.7
    """
    weight = pen.weight * GRAVITY * math.cos(math.atan(site.slope))
    return _gust((weight + anchors_hold) / lifted_area, air_left, figures) if lifted_area else None


@measure("speed")
def slide_gust(
    pen: Pen,
    site: Site,
    lifted_area: float,
    pushed_area: float,
    drawn_area: float,
    anchors_hold: float,
    air_left: float,
    figures: Table,
) -> float | None:
    """The gust in m/s, as forecast, that pushes the pen along the ground.

    Where the push on the side and the draw of the roof, downhill, come up to friction under what
    weight is left and to what the anchors hold: F <= mu (W - U) + H, with the figure
    `friction_in_wind` for mu. It stands on its rail, or on chocked wheels. 0 where it slides by
    itself; None where wind neither pushes nor lifts. A weight of 1000 N on level ground with mu 0.3
    and 2 m2 that are pushed only: 150 Pa, which is 15.64 m/s by 0.613 V^2.

    >>> from types import SimpleNamespace as Of
    >>> figure = {"velocity_pressure_factor": 0.613, "friction_in_wind": 0.3}
    >>> table = lambda column, **who: figure.get(who["figure"], 1.0)
    >>> pen = Of(weight=1000 / GRAVITY)
    >>> round(slide_gust(pen, Of(slope=0.0), 0.0, 2.0, 0.0, 0.0, 1.0, table), 2)
    15.64
    """
    friction: float = figures("value", figure="friction_in_wind")
    angle = math.atan(site.slope)
    weight = pen.weight * GRAVITY
    holds = weight * (friction * math.cos(angle) - math.sin(angle)) + anchors_hold
    area = pushed_area + drawn_area + friction * lifted_area
    return _gust(holds / area, air_left, figures) if area else None


@measure("speed")
def tip_gust(
    pen: Pen,
    site: Site,
    lifted_area: float,
    pushed_area: float,
    drawn_area: float,
    anchors_hold: float,
    air_left: float,
    figures: Table,
) -> float | None:
    """The gust in m/s, as forecast, that turns the pen over about its longer rail.

    Where the moments of the side's push at half the height, of the roof's draw at the whole of it
    (halfway up to a ridge) and of uplift at half the breadth come up to that of the weight, at half
    the breadth and half the height, and of the anchors round the rail. Wind and slope go the same
    way. None where wind neither pushes nor lifts. A box 2 m broad and 1 m high of 1000 N, pushed on
    4 m2 only: 1000 N m against 2 m3, which is 500 Pa and 28.56 m/s by 0.613 V^2.

    >>> from types import SimpleNamespace as Of
    >>> figure = {"velocity_pressure_factor": 0.613}
    >>> table = lambda column, **who: figure.get(who["figure"], 1.0)
    >>> pen = Of(weight=1000 / GRAVITY, length=3.0, width=2.0, height=1.0)
    >>> round(tip_gust(pen, Of(slope=0.0), 0.0, 4.0, 0.0, 0.0, 1.0, table), 2)
    28.56
    """
    angle = math.atan(site.slope)
    half_breadth, height = min(pen.length, pen.width) / 2, pen.height
    arm = half_breadth * math.cos(angle) - height / 2 * math.sin(angle)
    holds = pen.weight * GRAVITY * arm + anchors_hold * half_breadth
    drawn_at = height
    if drawn_area and ridged(pen):
        drawn_at += pen.roof.pitch * half_breadth / 2
    turns = pushed_area * height / 2 + drawn_area * drawn_at + lifted_area * half_breadth
    return _gust(holds / turns, air_left, figures) if turns else None


def _gust(pressure: float, air_left: float, figures: Table) -> float:
    """The gust in m/s with a velocity pressure in Pa; 0 where the pressure is not above 0."""
    return math.sqrt(max(0.0, pressure) / wind_pressure(1.0, air_left, figures))
