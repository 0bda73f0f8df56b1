"""How far the frame under the roof sags: by its own weight and the roof's, in snow and in time.

The longest stretch without a post is taken as a beam that rests on its two ends, evenly loaded.
"""

from __future__ import annotations

import math

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.standing import GRAVITY
from flockcheck.measures.stretches import alike
from flockcheck.measures.unwritten import NOT_WRITTEN, value_or
from flockcheck.setup.sections import Frame, Pen
from flockcheck.tables import Table


def beam_sag(load: float, span: float, stiffness: float) -> float:
    """The sag in m at the middle of a beam on two supports under an even load.

    5 w L^4 / (384 E I), every table of beams. `load` is the whole of it in N, `span` in m,
    `stiffness` E I in N m2. A beam calculator's page gives 0.83 mm for 500 N/m on 4 m of 200 GPa
    and 1e-5 m4.

    >>> round(1000 * beam_sag(500 * 4.0, 4.0, 200e9 * 1e-5), 2)
    0.83
    """
    return 5 * load * span**3 / (384 * stiffness)


def pipe_stiffness(modulus: float, outside: float, wall: float) -> float:
    """The stiffness of a pipe squeezed flat, in the unit of its modulus: 4.47 E / (D/t - 1)^3.

    ASTM D2729 and its kin: with 400000 psi a pipe of 4.215 in and 0.075 in has 11 psi.

    >>> round(pipe_stiffness(400000, 4.215, 0.075))
    11
    """
    return 4.47 * modulus / (outside / wall - 1) ** 3


def section(frame: Frame) -> tuple[float, float]:
    """The area in m2 and the second moment of area in m4 of the frame's section, upright.

    A wall alone makes it a pipe, a breadth alone a solid piece, both a rectangular tube. Raises
    Missing where neither is written, with the key that the material asks for.
    """
    outside = frame.outside
    wall: float = value_or(frame, "wall", NOT_WRITTEN)
    breadth: float = value_or(frame, "breadth", NOT_WRITTEN)
    if wall == NOT_WRITTEN and breadth == NOT_WRITTEN:
        if frame.material == "timber":
            breadth = frame.breadth
        else:
            wall = frame.wall
    hollow = max(0.0, outside - 2 * wall) if wall != NOT_WRITTEN else 0.0
    if breadth == NOT_WRITTEN:
        area = math.pi / 4 * (outside**2 - hollow**2)
        return area, math.pi / 64 * (outside**4 - hollow**4)
    inside = max(0.0, breadth - 2 * wall) if wall != NOT_WRITTEN else 0.0
    area = outside * breadth - hollow * inside
    return area, (breadth * outside**3 - inside * hollow**3) / 12


@measure("number")
def frame_stiffness(pen: Pen, frame_modulus: Table) -> float:
    """The number of N m2 by which the stretch resists bending: modulus times second moment.

    The modulus is that of the table `frame_modulus` for the material, at room temperature. A pipe
    of 2.375 in and 0.154 in has 0.6657 in4 (computed for ASTM D1785, 2 in, schedule 40), which with
    400000 psi is 266280 lbf sq in, and that 764.2 N m2.

    >>> from types import SimpleNamespace as Of
    >>> pipe = Of(material="pvc", outside=2.375 * 0.0254, wall=0.154 * 0.0254, breadth=NOT_WRITTEN)
    >>> round(frame_stiffness(Of(frame=pipe), lambda column, material: 400000 * 6894.757), 1)
    764.2
    """
    frame = pen.frame
    modulus: float = frame_modulus("modulus", material=frame.material)
    return modulus * section(frame)[1]


@measure("mass")
def frame_weight(pen: Pen, frame_density: Table) -> float:
    """The weight in kg of the stretch itself.

    By its section, its span and the table `frame_density`. The same pipe, of 1400 kg/m3 and 1 ft:
    0.653 lb by its least wall (0.68 lb in pipe makers' charts), which is 0.296 kg.

    >>> from types import SimpleNamespace as Of
    >>> pipe = Of(material="pvc", span=0.3048, breadth=NOT_WRITTEN)
    >>> pipe.outside, pipe.wall = 2.375 * 0.0254, 0.154 * 0.0254
    >>> round(frame_weight(Of(frame=pipe), lambda column, material: 1400.0), 3)
    0.296
    """
    frame = pen.frame
    density: float = frame_density("density", material=frame.material)
    return density * section(frame)[0] * frame.span


@measure("mass")
def own_roof_weight(pen: Pen) -> float:
    """The weight in kg of the roof, as the keeper knows it.

    >>> from types import SimpleNamespace as Of
    >>> own_roof_weight(Of(roof=Of(weight=45.0)))
    45.0
    """
    return pen.roof.weight


@measure("mass")
def roof_weight(
    pen: Pen, roof_area: float, cover_weight: Table, own_roof_weight: float = NOT_WRITTEN
) -> float:
    """The weight in kg of the roof.

    Where the keeper doesn't say it in `own_roof_weight`, that of its material by the table
    `cover_weight`, which takes the heavy end. Half-inch plywood: a sheet of 4 ft by 8 ft (2.973 m2)
    weighs 40.6 lb in printed charts (common practice), which is 18.4 kg.

    >>> from types import SimpleNamespace as Of
    >>> roof_weight(Of(roof=Of(cover=1.0)), 8.0, None, 45.0)
    45.0
    >>> plywood = lambda column, material: 40.6 * 0.45359237 / 2.973
    >>> round(roof_weight(Of(roof=Of(material="plywood")), 2.973, plywood), 1)
    18.4
    """
    if own_roof_weight != NOT_WRITTEN:
        return own_roof_weight
    per_area: float = cover_weight("weight", material=pen.roof.material)
    return roof_area * per_area


@measure("load", each="day")
def snow_on_roof(snow: float, figures: Table) -> float:
    """The weight of snow in kg/m2 that lies on a flat roof.

    0.7 Ce Ct pg, ASCE/SEI 7, eq. 7.3-1, with the figures `roof_snow_share`,
    `roof_snow_exposure` and `roof_snow_thermal`; on the ground the depth weighs `snow_density`.
    Published for 40 lb/sq ft on the ground and both factors 1: 28 lb/sq ft.

    >>> figure = {"roof_snow_share": 0.7, "snow_density": 40.0}
    >>> round(snow_on_roof(1.0, lambda column, **who: figure.get(who["figure"], 1.0)), 9)
    28.0
    """
    names = ("snow_density", "roof_snow_share", "roof_snow_exposure", "roof_snow_thermal")
    return snow * math.prod(float(figures("value", figure=name)) for name in names)


@at_once(snow_on_roof)
def snows_on_roof(snow: list[float], figures: Table) -> list[float]:
    """`snow_on_roof` of many days, of which few kinds differ."""
    return alike(lambda deep: snow_on_roof(deep, figures), snow)


@measure("mass")
def standing_load(pen: Pen, roof_weight: float, frame_weight: float) -> float:
    """The weight in kg that always lies on the stretch: its share of the roof, and itself.

    >>> from types import SimpleNamespace as Of
    >>> standing_load(Of(frame=Of(carries=0.4)), 45.0, 2.0)
    20.0
    """
    return pen.frame.carries * roof_weight + frame_weight


@measure("mass", each="day")
def snow_load(pen: Pen, roof_area: float, snow_on_roof: float) -> float:
    """The weight in kg of the snow that lies on the stretch: its share of the roof's.

    >>> from types import SimpleNamespace as Of
    >>> snow_load(Of(frame=Of(carries=0.5)), 8.0, 10.0)
    40.0
    """
    return pen.frame.carries * roof_area * snow_on_roof


@at_once(snow_load)
def snow_loads(pen: Pen, roof_area: float, snow_on_roof: list[float]) -> list[float]:
    """`snow_load` of many days, of which few kinds differ."""
    return alike(lambda lies: snow_load(pen, roof_area, lies), snow_on_roof)


@measure("length", each="day")
def frame_sag(pen: Pen, standing_load: float, snow_load: float, frame_stiffness: float) -> float:
    """The depth in m by which the middle of the stretch sags, new, with the day's snow.

    5 w L^4 / (384 E I). A beam calculator's page gives 0.83 mm for 500 N/m on 4 m of 200 GPa and
    1e-5 m4.

    >>> from types import SimpleNamespace as Of
    >>> mass = 500 * 4 / GRAVITY
    >>> round(1000 * frame_sag(Of(frame=Of(span=4.0)), mass, 0.0, 200e9 * 1e-5), 2)
    0.83
    """
    return beam_sag((standing_load + snow_load) * GRAVITY, pen.frame.span, frame_stiffness)


@at_once(frame_sag)
def frame_sags(
    pen: Pen, standing_load: float, snow_load: list[float], frame_stiffness: float
) -> list[float]:
    """`frame_sag` of many days, of which few kinds differ."""
    return alike(lambda snow: frame_sag(pen, standing_load, snow, frame_stiffness), snow_load)


@measure("length", each="day")
def frame_sag_in_time(
    pen: Pen,
    standing_load: float,
    snow_load: float,
    frame_stiffness: float,
    frame_creep: Table,
) -> float:
    """The depth in m by which it sags once the material has given way in time.

    What always lies on it counts as many times as the table `frame_creep` says; snow, which passes,
    once. A plastic whose modulus falls from 400000 to 140000 psi (AASHTO LRFD, recalled) sags 2.857
    times as far.

    >>> from types import SimpleNamespace as Of
    >>> pen = Of(frame=Of(span=4.0, material="pvc"))
    >>> table = lambda column, material: 400000 / 140000
    >>> round(1000 * frame_sag_in_time(pen, 500 * 4 / GRAVITY, 0.0, 200e9 * 1e-5, table), 2)
    2.38
    """
    creep: float = frame_creep("creep", material=pen.frame.material)
    load = (creep * standing_load + snow_load) * GRAVITY
    return beam_sag(load, pen.frame.span, frame_stiffness)


@at_once(frame_sag_in_time)
def frame_sags_in_time(
    pen: Pen,
    standing_load: float,
    snow_load: list[float],
    frame_stiffness: float,
    frame_creep: Table,
) -> list[float]:
    """`frame_sag_in_time` of many days, of which few kinds differ."""
    return alike(
        lambda snow: frame_sag_in_time(pen, standing_load, snow, frame_stiffness, frame_creep),
        snow_load,
    )


@measure("number", each="day")
def frame_sag_share(pen: Pen, frame_sag: float) -> float:
    """The number that says which part of the stretch its sag is, new; a 180th is 0.0056.

    >>> from types import SimpleNamespace as Of
    >>> frame_sag_share(Of(frame=Of(span=3.6)), 0.02) == 1 / 180
    True
    """
    return frame_sag / pen.frame.span


@at_once(frame_sag_share)
def frame_sag_shares(pen: Pen, frame_sag: list[float]) -> list[float]:
    """`frame_sag_share` of many days, of which few kinds differ."""
    return alike(lambda sag: frame_sag_share(pen, sag), frame_sag)


@measure("number", each="day")
def frame_sag_share_in_time(pen: Pen, frame_sag_in_time: float) -> float:
    """The number that says which part of the stretch its sag is, in time.

    >>> from types import SimpleNamespace as Of
    >>> frame_sag_share_in_time(Of(frame=Of(span=3.6)), 0.02) == 1 / 180
    True
    """
    return frame_sag_in_time / pen.frame.span


@at_once(frame_sag_share_in_time)
def frame_sag_shares_in_time(pen: Pen, frame_sag_in_time: list[float]) -> list[float]:
    """`frame_sag_share_in_time` of many days, of which few kinds differ."""
    return alike(lambda sag: frame_sag_share_in_time(pen, sag), frame_sag_in_time)


@measure("length")
def bare_sag(pen: Pen, standing_load: float, frame_stiffness: float) -> float:
    """The depth in m by which the middle of the stretch sags, new and without snow.

    >>> from types import SimpleNamespace as Of
    >>> mass = 500 * 4 / GRAVITY
    >>> round(1000 * bare_sag(Of(frame=Of(span=4.0)), mass, 200e9 * 1e-5), 2)
    0.83
    """
    return beam_sag(standing_load * GRAVITY, pen.frame.span, frame_stiffness)


@measure("number")
def bare_sag_share(pen: Pen, bare_sag: float) -> float:
    """The number that says which part of the stretch its sag is, new and without snow.

    >>> from types import SimpleNamespace as Of
    >>> bare_sag_share(Of(frame=Of(span=3.6)), 0.02) == 1 / 180
    True
    """
    return bare_sag / pen.frame.span


@measure("temperature", each="day")
def pipe_temperature(day_high: float, figures: Table) -> float:
    """The temperature in deg C of a pipe under the roof in the hottest hour of a sunny day.

    The air's, and the figure `pipe_sun` on top.

    >>> pipe_temperature(30.0, lambda column, figure: 25.0)
    55.0
    """
    warmer: float = figures("value", figure="pipe_sun")
    return day_high + warmer


@measure("share", each="day")
def stiffness_left(pen: Pen, pipe_temperature: float, heat_softens: Table) -> float | None:
    """The share of its stiffness at 23 deg C that a plastic pipe keeps in the hottest hour.

    From the table `heat_softens`, along the temperature in deg C. None for other materials. At 120
    F, 48.9 deg C, PVC keeps 0.79, by the table (recalled).

    >>> from types import SimpleNamespace as Of
    >>> pvc = Of(frame=Of(material="pvc"))
    >>> stiffness_left(pvc, 48.9, lambda column, at, material: 0.79)
    0.79
    """
    if pen.frame.material not in ("pvc", "hdpe"):
        return None
    left: float = heat_softens("left", at=pipe_temperature, material=pen.frame.material)
    return left
