"""What the tests of barriers and of ways share: small tables and a pen that is closed to a fox."""

from __future__ import annotations

from typing import Any

from flockcheck.measures.barriers import Barrier, Defence
from flockcheck.measures.graph.run import Run
from flockcheck.measures.guarding import least_closed, ways
from flockcheck.setup.view import Missing
from tests.measures.measure_cases import figures, plain_table, real_tables, run_of

FULL, HALF, OPEN = 1.0, 0.5, 0.0
# Small tables: the fox comes every way but reaching and tears mesh, the owl comes over the top at
# night, the cat reaches in, the mongoose digs by day, the skunk comes through only, the dog jumps
# and can't climb, and the snake has no way in.
_GRADES = {
    "roof": 1.0,
    "netting": 0.5,
    "hex": 0.5,
    "cloth": 0.5,
    "heavy": 1.0,
    "plastic": 0.0,
    "skirt": 0.5,
    "wide_skirt": 1.0,
    "net": 0.5,
    "dog": 0.5,
    "night": 1.0,
    "house": 0.5,
}


def _ways(**comes: bool) -> dict[str, bool]:
    words = ("over", "through", "under", "reach", "walks", "nights", "tears", "jumps")
    return {word: comes.get(word, False) for word in words}


TABLES = {
    "ways_in": plain_table(
        "ways_in",
        (
            {"predator": "fox"},
            _ways(over=True, through=True, under=True, walks=True, nights=True, tears=True),
        ),
        ({"predator": "owl"}, _ways(over=True, nights=True)),
        ({"predator": "cat"}, _ways(reach=True, walks=True, nights=True)),
        ({"predator": "mongoose"}, _ways(under=True, walks=True)),
        ({"predator": "skunk"}, _ways(through=True, walks=True, nights=True)),
        ({"predator": "dog"}, _ways(over=True, walks=True, nights=True, jumps=True)),
        ({"predator": "snake"}, _ways()),
    ),
    "barriers": plain_table(
        "barriers",
        *(
            ({"predator": name}, _GRADES)
            for name in ("fox", "owl", "cat", "mongoose", "skunk", "dog", "snake")
        ),
    ),
    "gets_through": plain_table(
        "gets_through",
        ({"predator": "fox"}, {"passes": 0.075, "climbs": True}),
        ({"predator": "owl"}, {"passes": 0.075, "climbs": True}),
        ({"predator": "cat"}, {"passes": 0.050, "climbs": True}),
        ({"predator": "skunk"}, {"passes": 0.075, "climbs": False}),
        ({"predator": "dog"}, {"passes": 0.100, "climbs": False}),
    ),
    "figures": figures(
        low_mesh_height=0.30,
        reach_height=0.45,
        reach_opening=0.025,
        skirt_narrow=0.30,
        skirt_wide=0.60,
        net_live=4000.0,
        dog_grown=730.5,
        dog_hears=100.0,
        near_house=100.0,
        finest_cloth=0.006,
        wire_light=0.001,
        wire_heavy=0.002,
        fence_height=1.8,
    ),
}
# A pen closed on every side to a fox, far from any house, that stands for two days on each patch.
SOUND = {
    "pen.roof.cover": "100 %",
    "pen.moves.every": "2 days",
    "mesh.weave": "welded",
    "mesh.wire": "2 mm",
    "mesh.skirt": "60 cm",
    "site.house": "300 m",
}
NET = {"guardians.0.kind": "electric net", "guardians.0.voltage": "6 kV"}
GUARD = {
    "guardians.0.kind": "dog",
    "guardians.0.role": "livestock",
    "guardians.0.bonded": "yes",
    "guardians.0.age": "3 years",
}
YARD = {
    "guardians.0.kind": "dog",
    "guardians.0.role": "yard",
    "guardians.0.distance": "40 m",
}


def defence(run: Run, predator: str) -> Defence:
    """What stands against a predator in a setup, by the tables of this run."""
    names = ("ways_in", "barriers", "gets_through", "figures")
    return Defence(predator, run.whole, *(run.tables[name] for name in names))


def all_ways(
    changes: dict[str, Any], without: tuple[str, ...] = (), predator: str = "fox"
) -> dict[str, Barrier]:
    run = run_of({**SOUND, **changes}, without=without, tables={**real_tables(), **TABLES})
    return ways(defence(run, predator))


def closed(
    changes: dict[str, Any], *, without: tuple[str, ...] = (), predator: str = "fox"
) -> float:
    """How far the least closed way is closed."""
    found = least_closed(all_ways(changes, without, predator).values())
    assert found is not None
    return found


def open_ways(changes: dict[str, Any], *, predator: str = "fox") -> tuple[str, ...]:
    """The ways that are closed the least; none where all are closed."""
    found = all_ways(changes, predator=predator)
    least = least_closed(found.values())
    assert least is not None
    return tuple(way for way, one in found.items() if one.high <= least < 1)


def unknown(changes: dict[str, Any], *without: str, predator: str = "fox") -> set[str]:
    """The keys that would say how far the least closed way is closed; none where that is known."""
    try:
        least_closed(all_ways(changes, without, predator).values())
    except Missing as missing:
        return set(missing.keys)
    return set()
