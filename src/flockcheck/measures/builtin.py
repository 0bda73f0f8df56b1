"""The measures that come with the program, by topic."""

from __future__ import annotations

from types import ModuleType

from flockcheck.measures import (
    drinkers,
    drinking,
    feeding,
    fence,
    flock,
    guarding,
    level,
    space,
    weather,
    wind,
)

# In the order of the data: who is there, in what weather, what they need, what surrounds them.
MODULES: tuple[ModuleType, ...] = (
    flock,
    weather,
    feeding,
    drinking,
    drinkers,
    level,
    space,
    fence,
    guarding,
    wind,
)
