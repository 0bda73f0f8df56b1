"""What the tests of measures share: setups of a few changed keys, small tables, the real ones."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from flockcheck.measures.builtin import MODULES
from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.book import table_from
from flockcheck.rulebook.tablefile import compile_table
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.view import Missing
from flockcheck.tables import Row, Table
from flockcheck.text.document import Mapping as TextMapping
from flockcheck.text.document import read_document

RULES = Path(__file__).parents[2] / "rules"

# Thirty fast meat birds in a pen of 4 m x 2.5 m, with everything that a measure here can ask for.
BASE: dict[str, Any] = {
    "flockcheck": 1,
    "site.slope": "5 %",
    "site.unevenness": "4 cm",
    "site.house": "300 m",
    "weather.night_low": "10 C",
    "weather.day_high": "21 C",
    "weather.humidity": "55 %",
    "weather.gust": "15 m/s",
    "weather.snow": "0 cm",
    "weather.rain": "yes",
    "pen.length": "4 m",
    "pen.width": "2.5 m",
    "pen.floor": "open",
    "pen.windbreak": "25 %",
    "pen.roof.pitch": "5 deg",
    "pen.roof.cover": "60 %",
    "pen.roof.over_rest": "mesh",
    "pen.roof.over_rest_opening": "25 mm",
    "pen.roof.fixings": 14,
    "pen.roof.fixing_hold": "300 N",
    "birds.0.kind": "meat chicken",
    "birds.0.growth": "fast",
    "birds.0.count": 30,
    "birds.0.hatched": "2027-04-01",
    "birds.0.out": "2027-04-22",
    "birds.0.leaves": "2027-05-20",
    "feeders.0.form": "trough",
    "feeders.0.count": 2,
    "feeders.0.length": "1.2 m",
    "feeders.0.sides": 2,
    "water.visits_per_day": 1,
    "drinkers.0.form": "trough",
    "drinkers.0.supply": "tank",
    "drinkers.0.count": 1,
    "drinkers.0.length": "60 cm",
    "drinkers.0.sides": 2,
    "drinkers.0.holds": "19 l",
    "drinkers.0.run": "30 cm",
    "drinkers.0.depth": "30 mm",
    "drinkers.0.freeboard": "10 mm",
    "drinkers.0.fill": "vacuum",
    "drinkers.0.outlet": "downhill",
    "mesh.weave": "hexagonal",
    "mesh.opening": "25 mm",
    "mesh.skirt": "0 cm",
    "mesh.ground_gap": "2 cm",
    "predators": ["fox"],
    "care.closed_at_night": "yes",
    "care.night_house": "no",
}
HENS = {
    "birds.0.kind": "egg chicken",
    "birds.0.growth": "medium",
    "birds.0.hatched": "2026-04-01",
    "birds.0.laying": "80 %",
    "birds.0.egg_weight": "60 g",
}
# A second group, which comes later and stays on: pullets of two weeks.
PULLETS = {
    "birds.1.kind": "egg chicken",
    "birds.1.growth": "light",
    "birds.1.count": 10,
    "birds.1.hatched": "2027-04-20",
    "birds.1.out": "2027-05-04",
    "birds.1.leaves": "2027-06-01",
}


@cache
def real_tables() -> dict[str, Table]:
    """The tables of the built-in rulebook, by name."""
    found: dict[str, Table] = {}
    for file in sorted((RULES / "tables").glob("*.yaml")):
        node = read_document(file.read_text(encoding="utf-8"))
        assert isinstance(node, TextMapping)
        found[file.stem] = table_from(compile_table(node, f"tables/{file.name}"))
    return found


@cache
def registry() -> Registry:
    """All built-in measures, checked against the built-in tables."""
    known = Registry()
    for module in MODULES:
        known.take(module)
    return known.close(real_tables())


def run_of(
    changes: Mapping[str, Any] | None = None,
    *,
    without: Iterable[str] = (),
    tables: Mapping[str, Table] | None = None,
) -> Run:
    """The measures of the base setup with some keys changed, added or (`without`) left out."""
    keys = {**BASE, **(changes or {})}
    gone = tuple(without)
    kept = {
        key: value
        for key, value in keys.items()
        if not any(key == one or key.startswith(f"{one}.") for one in gone)
    }
    setup = read_setup_text(json.dumps(_nested(kept)), "test.flock.yaml")
    return Run(setup, registry(), {**real_tables(), **(tables or {})})


def missing_keys(run: Run, measure: str, item: int | None = None) -> set[str]:
    """The keys that a measure lacks; empty where it has a value."""
    try:
        run.value(measure, item)
    except Missing as missing:
        return set(missing.keys)
    return set()


def plain_table(name: str, *rows: tuple[dict[str, str], dict[str, Any]]) -> Table:
    """A table without an axis: rows of (words, values)."""
    made = [
        Row({word: (wanted,) for word, wanted in where.items()}, [], _lists(values), {})
        for where, values in rows
    ]
    return Table(name, "", tuple(made[0].where), "", "straight", "hold", {}, made)


def line_table(name: str, column: str, *points: tuple[float, float], beyond: str = "hold") -> Table:
    """A table of one row for all, straight between (age, value) points."""
    row = Row({}, [x for x, _ in points], {column: [y for _, y in points]}, {})
    return Table(name, "", (), "age", "straight", beyond, {}, [row])


def no_table(name: str) -> Table:
    """A table that has nothing to say."""
    return Table(name, "", (), "age", "straight", "hold", {}, [])


def figures(**chosen: float) -> Table:
    """The table of chosen figures, with these in it."""
    return plain_table("figures", *(({"figure": name}, {"value": x}) for name, x in chosen.items()))


def _lists(values: dict[str, Any]) -> dict[str, list[Any]]:
    return {column: [value] for column, value in values.items()}


def _nested(keys: dict[str, Any]) -> Any:
    """`{"a.0.b": 1}` as `{"a": [{"b": 1}]}`."""
    heads: dict[str, dict[str, Any]] = {}
    whole: dict[str, Any] = {}
    for key, value in keys.items():
        head, _, rest = key.partition(".")
        if rest:
            heads.setdefault(head, {})[rest] = value
        else:
            whole[head] = value
    whole |= {head: _nested(below) for head, below in heads.items()}
    if whole and all(key.isdigit() for key in whole):
        return [whole[key] for key in sorted(whole, key=int)]
    return whole
