"""The measures that come with the program, by topic."""

from __future__ import annotations

from types import ModuleType

from flockcheck.measures import (
    drinkers,
    drinking,
    feeders,
    feeding,
    fence,
    flock,
    ground,
    guarding,
    hens,
    level,
    moves,
    nets,
    nitrogen,
    pets,
    space,
    weather,
    wind,
    yields,
)

# In the order of the data: who is there, in what weather, what they need, what surrounds them.
MODULES: tuple[ModuleType, ...] = (
    flock,
    weather,
    feeding,
    feeders,
    drinking,
    drinkers,
    level,
    space,
    hens,
    yields,
    nitrogen,
    moves,
    ground,
    fence,
    guarding,
    nets,
    pets,
    wind,
)
