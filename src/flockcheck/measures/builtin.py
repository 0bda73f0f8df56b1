"""The measures that come with the program, by topic."""

from __future__ import annotations

from types import ModuleType

from flockcheck.measures import (
<<<<<<< HEAD
    brooding,
    cold,
=======
    contacts,
>>>>>>> 92172d3 (wip)
    drinkers,
    drinking,
    feeders,
    feeding,
    fence,
    flock,
<<<<<<< HEAD
    ground,
=======
    frame,
>>>>>>> 92172d3 (wip)
    guarding,
    heat,
    hens,
    level,
    lips,
    moves,
    nets,
    nitrogen,
    pets,
<<<<<<< HEAD
    rain,
    rations,
=======
    pulling,
>>>>>>> 92172d3 (wip)
    space,
    standing,
    weather,
    wind,
    yields,
)

# In the order of the data: who is there, in what weather, what they need, what surrounds them.
MODULES: tuple[ModuleType, ...] = (
    flock,
    weather,
    brooding,
    cold,
    heat,
    rain,
    rations,
    feeding,
    feeders,
    drinking,
    drinkers,
    lips,
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
    standing,
    frame,
    pulling,
    contacts,
)
