"""Measures that have a quick way for many days give there what they give day by day."""

from __future__ import annotations

from pathlib import Path

import pytest

from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.run import Run
from flockcheck.measures.graph.values import unlike
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.view import Missing
from tests.measures.measure_cases import real_tables
from tests.measures.measure_cases import registry as built_in

ROOT = Path(__file__).parents[2]
SETUPS = {
    path.name: path.read_text(encoding="utf-8")
    for folder in ("good", "mixed", "trade", "bad")
    for path in sorted((ROOT / "fixtures" / folder).glob("*.flock.yaml"))
}
# Weather, rations and moves that change, own weighings, hens that come of age during the stay.
SETUPS["changing"] = """
flockcheck: 1
site: {slope: 4 %, ground: 900 m2, rest: 30 days}
weather:
  night_low: 6 C
  day_high: 21 C
  humidity: 60 %
  periods:
    - {from: 2027-05-10, to: 2027-05-12, night_low: 1 C, gust: 20 m/s}
    - {from: 2027-05-13, to: 2027-06-20, day_high: 33 C, night_low: 15 C, rain: yes}
pen:
  length: 4 m
  width: 2 m
  moves: {every: 3 days, later: [{from: 2027-05-20, every: 1 day}]}
birds:
  - kind: egg chicken
    growth: medium
    count: 8
    hatched: 2027-01-20
    out: 2027-05-12
    leaves: 2027-07-01
    purpose: eggs
    sexes: female
    laying: 70 %
    egg_weight: 55 g
  - kind: meat chicken
    growth: fast
    count: 30
    hatched: 2027-04-06
    out: 2027-05-04
    leaves: 2027-06-20
    weights: {21 days: 0.9 kg, 35 days: 2.2 kg}
  - {kind: turkey, count: 5, hatched: 2027-04-02, out: 2027-05-20}
feed:
  protein: 22 %
  later:
    - {from: 2027-05-15, protein: 19 %}
    - {from: 2027-06-01, protein: 18 %, calcium: 3.5 %}
feeders:
  - {form: trough, count: 2, length: 1 m, sides: 2}
  - {form: tube, count: 1, diameter: 40 cm}
drinkers:
  - {form: bell, count: 1, diameter: 35 cm, supply: tank, holds: 19 l}
  - {form: nipple, count: 8, supply: tank, holds: 19 l}
"""
# Several patches a day, on too little ground, empty between two flocks, with cold nights.
SETUPS["moving"] = """
flockcheck: 1
site: {slope: 4 %, ground: 120 m2, rest: 4 days, nitrogen_used: 30 kg/ha}
weather:
  night_low: -2 C
  day_high: 12 C
  humidity: 60 %
  gust: 18 m/s
  snow: 0 cm
  periods: [{from: 2027-05-06, to: 2027-05-07, snow: 20 cm, day_high: 2 C}]
pen:
  length: 4 m
  width: 2 m
  height: 60 cm
  windbreak: 25 %
  roof: {cover: 60 %, material: plywood, pitch: 10 %, shape: single, fixings: 8}
  frame: {material: pvc, outside: 60 mm, wall: 4 mm, span: 3 m, carries: 50 %}
  moves:
    every: 8 hours
    later: [{from: 2027-05-09, every: 30 hours}, {from: 2027-05-16, every: 5 days}]
birds:
  - {kind: meat chicken, growth: slow, count: 30, hatched: 2027-04-12, out: 2027-05-04,
     leaves: 2027-05-12}
  - {kind: meat chicken, growth: fast, count: 20, hatched: 2027-04-20, out: 2027-05-18,
     leaves: 2027-06-03}
brooder: {heat: lamp, heat_off: 2027-05-03, unheated_low: 8 C}
feed: {protein: 21 %, form: dry, visits_per_day: 2}
feeders: [{form: trough, count: 2, length: 1 m, sides: 2, holds: 6 kg}]
water: {visits_per_day: 1}
drinkers: [{form: trough, count: 1, length: 1 m, sides: 2, supply: tank, holds: 19 l, heated: no}]
"""
# What the quick ways ask for, left out: they have to name the same keys.
SETUPS["bare"] = """
flockcheck: 1
pen: {length: 4 m, width: 2 m}
birds:
  - {kind: egg chicken, growth: light, count: 8, hatched: 2027-01-20, out: 2027-05-12}
"""


def slow(quick: Registry) -> Registry:
    """The same measures without any quick way."""
    plain = Registry()
    for node in quick.nodes.values():
        plain.add(node.spec._replace(at_once=None), "here")
    return plain.close(real_tables())


def worked_out(run: Run, name: str, item: int | None) -> tuple[object, ...]:
    done = run.done(name, item)
    return done.value, done.missing and (done.missing.keys, done.missing.why), done.sharper


def test_there_are_quick_ways() -> None:
    assert sum(node.spec.at_once is not None for node in built_in().nodes.values()) > 10


@pytest.mark.parametrize("name", SETUPS)
def test_many_days_at_once_come_out_like_each_day_by_itself(name: str) -> None:
    setup = read_setup_text(SETUPS[name], name)
    quick, plain = built_in(), slow(built_in())
    run, by_day = (Run(setup, registry, real_tables()) for registry in (quick, plain))
    for node in quick.nodes.values():
        try:
            items = list(range(len(run.items(node.item)))) if node.item else [None]
        except Missing:
            continue
        for item in items:
            name = node.spec.name
            assert worked_out(run, name, item) == worked_out(by_day, name, item), name
            # It may have read more by the time that it finds something missing, never less.
            assert run.reads(name, item) >= by_day.reads(name, item), name
    assert run.failures == by_day.failures == []


@pytest.mark.parametrize("name", SETUPS)
def test_what_a_measure_gives_is_of_the_kind_that_it_says(name: str) -> None:
    """A run looks at this for a plugin's measures alone."""
    registry = built_in()
    run = Run(read_setup_text(SETUPS[name], name), registry, real_tables())
    for node in registry.nodes.values():
        try:
            items = list(range(len(run.items(node.item)))) if node.item else [None]
        except Missing:
            continue
        for item in items:
            done = run.done(node.spec.name, item)
            if done.missing is None and done.value is not None:
                assert unlike(done.value, node.spec.gives, daily=node.daily) == "", node.spec.name
    assert run.failures == []
