"""The unit in which each column of the days is shown, and how many decimals it takes."""

from __future__ import annotations

from datetime import date
from typing import Any

from flockcheck.checkup.ledger import Column
from flockcheck.checkup.wording import Wording
from flockcheck.text.quantities import unit_factor

# By column: its units for a metric keeper and for one in US units, and the decimals of each.
UNITS: dict[str, tuple[tuple[str, int], tuple[str, int]]] = {
    "age": (("day", 0), ("day", 0)),
    "birds": (("", 0), ("", 0)),
    "weight": (("kg", 2), ("lb", 2)),
    "floor_load": (("kg/m2", 1), ("lb/sq ft", 2)),
    "feed": (("kg/day", 1), ("lb/day", 1)),
    "water": (("l/day", 1), ("gal/day", 1)),
    "nitrogen": (("kg/day", 3), ("lb/day", 3)),
    "droppings": (("kg/ha", 0), ("lb/acre", 0)),
    "night_margin": (("C", 1), ("F", 1)),
    "heat_index": (("C", 1), ("F", 1)),
}


def unit_of(column: Column, wording: Wording) -> tuple[str, int]:
    """The unit of a column in the keeper's family of units, and its decimals."""
    metric, us = UNITS[column.name]
    return us if wording.family(column.dimension) == "us" else metric


def in_unit(value: float, column: Column, unit: str) -> float:
    """A value in base units as a number of a unit."""
    factor, offset = unit_factor(unit, column.dimension)
    return (value - offset) / factor


def whole_unit(unit: str) -> str:
    """The unit of a sum over days: kg for kg/day."""
    return unit.removesuffix("/day")


def plain(value: Any) -> Any:
    """A value as JSON has it; numbers to twelve digits, so that the last bits never show."""
    if isinstance(value, float):
        return float(f"{value:.12g}")
    if isinstance(value, (list, tuple)):
        return [plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value
