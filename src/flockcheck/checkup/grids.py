"""Round amounts: the grids and sizes on which a lever moves, in the keeper's family of units."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Any

from flockcheck.checkup.changes import value_of
from flockcheck.setup.form import Shape
from flockcheck.text.quantities import parse_quantity, show
from flockcheck.text.records import NamedTuple

# A number is on the grid within this share of a step.
ON_GRID = 1e-6
# A guard for levers without bounds of their own: a search never gets this far.
MOST_STEPS = 4096


class Spot(NamedTuple):
    """A lever's key: its lever's data, the way it moves, and what is written there.

    `old` is the value now and `origin` the keeper's own, where a plan has moved it already.
    """

    data: dict[str, Any]
    way: str
    path: str
    kind: str
    shape: Shape
    old: Any
    origin: Any
    family: str


class Grid(NamedTuple):
    """Round amounts one way from what is written: `first` is the nearest, then by `step`."""

    first: Any
    step: Any
    steps: int

    def at(self, step: int) -> Any:
        """The amount that a step comes to."""
        if isinstance(self.first, date):
            return self.first + timedelta(days=self.step * (step - 1))
        # Counted in whole steps, so that a long way brings no dust of its own.
        return (round(self.first / abs(self.step)) + math.copysign(step - 1, self.step)) * abs(
            self.step
        )

    def steps_from(self, origin: Any, amount: Any) -> float:
        """How many steps an amount is from another, a part of one counted whole."""
        if isinstance(amount, date):
            return float(abs((amount - origin).days / self.step))
        return float(math.ceil(abs(amount - float(origin)) / abs(self.step) - ON_GRID))


def grid_of(spot: Spot) -> Grid:
    """The grid one way from what is written: multiples of the step, or days."""
    data, way = spot.data, spot.way
    sign = -1 if way in ("less", "earlier") else 1
    if spot.kind == "date":
        days = int(_number(data["step"], "time"))
        most = _number(data["at_most_change"], "time") if "at_most_change" in data else 0.0
        first = spot.old + timedelta(days=sign * days)
        moved = 0 if spot.origin is None else sign * (spot.old - spot.origin).days
        return Grid(first, sign * days, max(0, int((most - moved) // days)))
    dimension = spot.shape.get("dimension", "number")
    text = data["step"]
    size = _number(text if isinstance(text, str) else text[spot.family], dimension)
    old = float(spot.old)
    least, most = _bounds(spot, dimension)
    place = old / size
    near = math.floor(place + ON_GRID) + 1 if sign > 0 else math.ceil(place - ON_GRID) - 1
    end = most / size + ON_GRID if sign > 0 else least / size - ON_GRID
    steps = math.floor(end) - near + 1 if sign > 0 else near - math.ceil(end) + 1
    return Grid(near * size, sign * size, max(0, min(steps, MOST_STEPS)))


def _bounds(spot: Spot, dimension: str) -> tuple[float, float]:
    """The least and the most that a number may become: the lever's bounds and the format's."""
    data, shape, old = spot.data, spot.shape, float(spot.old)
    least, most = [-MOST_STEPS * 1e6], [MOST_STEPS * 1e6]
    if "floor" in data:
        least.append(_number(data["floor"], dimension))
    if "ceiling" in data:
        most.append(_number(data["ceiling"], dimension))
    for key, bounds in (("least", least), ("most", most)):
        if key in shape:
            bounds.append(parse_quantity(shape[key], dimension).value)
    least += [shape["minimum"]] if "minimum" in shape else []
    most += [shape["maximum"]] if "maximum" in shape else []
    change = data.get("at_most_change")
    if change is not None:
        start = old if spot.origin is None else float(spot.origin)
        share = change.endswith("%")
        far = _number(change, "share") * abs(start) if share else _number(change, dimension)
        least.append(start - far)
        most.append(start + far)
    return max(least), min(most)


def _number(text: str, dimension: str) -> float:
    """A number of the levers file in base units."""
    return float(text) if dimension == "number" else parse_quantity(text, dimension).value


class Size(NamedTuple):
    """A size that can be had: its value, its text, what it is sold as, and its weave."""

    value: float
    text: str
    name: str
    weave: str


def sizes_of(spot: Spot) -> list[Size]:
    """The sizes that can be had one way from what is written, the nearest first."""
    listed = spot.data["sizes"]
    if isinstance(listed, dict):
        listed = listed[spot.family]
    found = []
    for one in listed:
        text = one if isinstance(one, str) else one["clear"]
        value, _ = value_of(text, spot.path, spot.shape)
        name, weave = ("", "") if isinstance(one, str) else (one["name"], one.get("weave", ""))
        found.append(Size(value, text, name, weave))
    less = spot.way == "less"
    if spot.old is not None:
        slack = ON_GRID * abs(spot.old)
        found = [
            one
            for one in found
            if (one.value < spot.old - slack if less else one.value > spot.old + slack)
        ]
    return sorted(found, key=lambda one: -one.value if less else one.value)


def quantity_text(value: float, dimension: str, family: str) -> str:
    """A quantity as a keeper would write it, with as many digits as it takes to be that one."""
    for digits in range(3, 9):
        text = show(value, dimension, family, digits)
        if math.isclose(parse_quantity(text, dimension).value, value, rel_tol=1e-9):
            break
    return text
