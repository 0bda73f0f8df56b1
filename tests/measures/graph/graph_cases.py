"""Setups and runs of a few measures, for the tests of the graph."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.run import Run
from flockcheck.measures.graph.spec import measure
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.sections import Group, Whole
from flockcheck.setup.view import Missing
from flockcheck.setup.written import Setup
from flockcheck.tables import Table

ROOT = Path(__file__).parents[3]
MINIMAL = (ROOT / "fixtures" / "minimal.flock.yaml").read_text(encoding="utf-8")
# Two groups: the first for three days, the second from the third of them for three more.
TWO = """
flockcheck: 1
pen: {length: 4 m, width: 2 m}
birds:
  - {kind: meat chicken, growth: fast, count: 30, hatched: 2027-04-01, out: 2027-05-01,
     leaves: 2027-05-03}
  - {kind: turkey, count: 5, hatched: 2027-04-02, out: 2027-05-03, leaves: 2027-05-05}
feeders:
  - {form: trough, count: 2, length: 1 m}
  - {form: tube, count: 1, diameter: 40 cm}
predators: [fox, owl]
"""


def run_of(text: str, *functions: Callable[..., Any], **tables: Table) -> Run:
    """A run of some measures on a setup."""
    return run_on(read_setup_text(text, "a.flock.yaml"), *functions, **tables)


def run_on(setup: Setup, *functions: Callable[..., Any], **tables: Table) -> Run:
    registry = Registry()
    for function in functions:
        registry.add(function.__dict__["__measure__"], "here")
    return Run(setup, registry.close(tables), tables)


def missing(run: Run, name: str, item: int | None = None) -> Missing:
    with pytest.raises(Missing) as caught:
        run.value(name, item)
    return caught.value


@measure("count", each="day")
def here(group: Group, day: date, setup: Whole) -> int | None:
    leaves = group.leaves
    return group.count if group.out <= day <= leaves else None
