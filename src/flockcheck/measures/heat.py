"""How hot the days are for the birds: humidity, sun and roof counted in."""

from __future__ import annotations

from math import atan, sqrt

from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.measures.stretches import alike
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Group, Pen
from flockcheck.tables import Table


def stull(dry: float, percent: float) -> float:
    """The wet-bulb temperature in deg C from the air's in deg C and its relative humidity in %.

    The one-line fit of Stull 2011, Journal of Applied Meteorology and Climatology 50:2267-2269,
    equation 1, for 5 to 99 % and -20 to 50 deg C at sea level. Its own example:

    >>> round(stull(20, 50), 1)
    13.7
    """
    return float(
        dry * atan(0.151977 * sqrt(percent + 8.313659))
        + atan(dry + percent)
        - atan(percent - 1.676331)
        + 0.00391838 * percent**1.5 * atan(0.023101 * percent)
        - 4.686035
    )


@measure("temperature", each="day")
def wet_bulb(day_high: float, humidity: float) -> float:
    """The wet-bulb temperature of the hottest hour of a day, in deg C; see `stull`.

    >>> round(wet_bulb(20.0, 0.50), 1)
    13.7
    """
    return stull(day_high, 100 * humidity)


@at_once(wet_bulb)
def wet_bulbs(day_high: list[float], humidity: list[float]) -> list[float]:
    """`wet_bulb` of many days, of which few kinds differ."""
    return alike(wet_bulb, day_high, humidity)


@measure("temperature", each="day", gather="group")
def high_here(day_high: float, birds_overnight: list[int]) -> float:
    """The temperature of the hottest hour of a day that birds spend in the pen, in deg C.

    None on days when none stays the night.

    >>> high_here(31.0, [36])
    31.0
    """
    return day_high


@at_once(high_here)
def highs_here(day_high: list[float], birds_overnight: list[list[int]]) -> list[float]:
    """`high_here` of many days."""
    return day_high


@measure("temperature step")
def sun_allowance(pen: Pen, figures: Table) -> float:
    """The degrees C that the sun adds to the air where the birds are, by what covers them.

    The figures `sun_under_half_roof` and `sun_part_roof` by the share of the floor under roof;
    under a whole roof nothing where it is insulated or of wood, else `sun_bare_metal`: plastic
    sheet and tarpaulin let as much through.

    >>> from types import SimpleNamespace as Of
    >>> table = lambda column, figure: {"sun_part_roof": 3.0, "sun_bare_metal": 3.0}[figure]
    >>> sun_allowance(Of(roof=Of(cover=0.6)), table)
    3.0
    >>> sun_allowance(Of(roof=Of(cover=1.0, material="plywood", insulated=False)), table)
    0.0
    """
    if pen.roof.cover < 0.5:
        return float(figures("value", figure="sun_under_half_roof"))
    if pen.roof.cover < 1:
        return float(figures("value", figure="sun_part_roof"))
    if value_or(pen.roof, "insulated", False) or pen.roof.material == "plywood":
        return 0.0
    return 0.0 if pen.roof.insulated else float(figures("value", figure="sun_bare_metal"))


@measure("temperature", each="day")
def heat_index(
    group: Group,
    birds_overnight: int,
    day_high: float,
    wet_bulb: float,
    sun_allowance: float,
    heat_weights: Table,
) -> float:
    """The temperature in deg C that the hottest hour comes to for birds of a kind.

    So much of the air's (with what the sun adds) and so much of the wet bulb's, by the table
    `heat_weights`. None on days when the group does not stay the night. Market broilers feel 0.85
    of the dry bulb and 0.15 of the wet (Tao and Xin 2003, Transactions of the ASAE 46), so
    at 35 deg C and a wet bulb of 25 in the shade:

    >>> broilers = lambda column, group: {"dry": 0.85, "wet": 0.15}[column]
    >>> round(heat_index(None, 36, 35.0, 25.0, 0.0, broilers), 2)
    33.5
    """
    dry: float = heat_weights("dry", group=group)
    wet: float = heat_weights("wet", group=group)
    return dry * (day_high + sun_allowance) + wet * wet_bulb


@at_once(heat_index)
def heat_indices(
    group: Group,
    birds_overnight: list[int],
    day_high: list[float],
    wet_bulb: list[float],
    sun_allowance: float,
    heat_weights: Table,
) -> list[float]:
    """`heat_index` of many days, the weights of the kind looked up once."""
    dry: float = heat_weights("dry", group=group)
    wet: float = heat_weights("wet", group=group)
    days = zip(day_high, wet_bulb, strict=True)
    return [dry * (high + sun_allowance) + wet * bulb for high, bulb in days]
