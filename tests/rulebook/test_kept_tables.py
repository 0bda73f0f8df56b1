"""A table asks the same words whether it was compiled just now or comes from the kept form."""

from __future__ import annotations

import json
from types import SimpleNamespace

from flockcheck.rulebook.book import table_from
from flockcheck.setup.view import Missing
from flockcheck.tables import Table

COMPILED = {
    "name": "growth",
    "says": "live weight",
    "by": ["group.kind", "group.growth"],
    "along": "",
    "between": "straight",
    "beyond": "hold",
    "units": {"weight": "mass"},
    "rows": [
        {
            "where": {"group.kind": ["meat chicken"], "group.growth": ["fast"]},
            "xs": [],
            "ys": {"weight": [2.0]},
            "cites": {},
        },
        {"where": {"group.kind": ["turkey"]}, "xs": [], "ys": {"weight": [5.0]}, "cites": {}},
    ],
}


class Turkey(SimpleNamespace):
    """A group whose `growth` was left out."""

    @property
    def growth(self) -> str:
        raise Missing("birds.0.growth")


def weight_of_a_turkey(table: Table) -> float:
    return float(table("weight", group=Turkey(kind="turkey")))


def test_a_table_compiled_just_now_asks_no_growth_of_turkeys() -> None:
    assert weight_of_a_turkey(table_from(COMPILED)) == 5.0


def test_a_table_that_was_kept_with_its_keys_sorted_asks_no_growth_of_turkeys() -> None:
    kept = json.loads(json.dumps(COMPILED, sort_keys=True))
    assert weight_of_a_turkey(table_from(kept)) == 5.0
