"""What the tests of barriers and of ways share: small tables and a pen that is closed to a fox."""

from __future__ import annotations

from typing import Any

from tests.measures.measure_cases import figures, missing_keys, plain_table, run_of

FULL, HALF, OPEN = 1.0, 0.5, 0.0
# Small tables: the fox comes every way but reaching, the owl over the top by night, the cat reaches
# in, the mongoose digs by day, and the snake has no way in.
_GRADES = {
    "roof": 1.0,
    "netting": 0.5,
    "hex": 0.5,
    "cloth": 1.0,
    "skirt": 0.5,
    "wide_skirt": 1.0,
    "net": 0.5,
    "dog": 0.5,
    "night": 1.0,
    "house": 0.5,
}


def _ways(**comes: bool) -> dict[str, bool]:
    words = ("over", "through", "under", "reach", "walks", "nights")
    return {word: comes.get(word, False) for word in words}


TABLES = {
    "ways_in": plain_table(
        "ways_in",
        ({"predator": "fox"}, _ways(over=True, through=True, under=True, walks=True, nights=True)),
        ({"predator": "owl"}, _ways(over=True, nights=True)),
        ({"predator": "cat"}, _ways(reach=True, walks=True, nights=True)),
        ({"predator": "mongoose"}, _ways(under=True, walks=True)),
        ({"predator": "snake"}, _ways()),
    ),
    "barriers": plain_table(
        "barriers",
        *(({"predator": name}, _GRADES) for name in ("fox", "owl", "cat", "mongoose", "snake")),
    ),
    "gets_through": plain_table(
        "gets_through",
        ({"predator": "fox"}, {"passes": 0.075, "climbs": True}),
        ({"predator": "owl"}, {"passes": 0.075, "climbs": True}),
        ({"predator": "cat"}, {"passes": 0.050, "climbs": True}),
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
    ),
}
# A pen closed on every side to a fox, far from any house.
SOUND = {
    "pen.roof.cover": "100 %",
    "mesh.weave": "welded",
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


def closed(
    changes: dict[str, Any], *, without: tuple[str, ...] = (), predator: str = "fox"
) -> float:
    run = run_of({**SOUND, "predators": [predator], **changes}, without=without, tables=TABLES)
    found: float = run.value("way_closed", 0)
    return found


def open_ways(changes: dict[str, Any], *, predator: str = "fox") -> tuple[str, ...]:
    run = run_of({**SOUND, "predators": [predator], **changes}, tables=TABLES)
    found: tuple[str, ...] = run.value("open_ways", 0)
    return found


def unknown(changes: dict[str, Any], *without: str, predator: str = "fox") -> set[str]:
    run = run_of({**SOUND, "predators": [predator], **changes}, without=without, tables=TABLES)
    keys = missing_keys(run, "way_closed", 0)
    assert missing_keys(run, "open_ways", 0) == keys
    return keys
