"""Tables that come back from the compiled cache."""

from __future__ import annotations

import json
from types import SimpleNamespace

from flockcheck.rulebook.book import table_from

COMPILED = {
    "name": "growth",
    "says": "live weight by age",
    "by": ["group.kind", "group.growth"],
    "along": "",
    "between": "straight",
    "beyond": "hold",
    "units": {"weight": "mass"},
    "rows": [
        {
            "where": {"group.kind": ["meat chicken"], "group.growth": ["fast"]},
            "xs": [],
            "ys": {"weight": [1.0]},
            "cites": {"practice": "common"},
        },
        {
            "where": {"group.kind": ["turkey"]},
            "xs": [],
            "ys": {"weight": [2.0]},
            "cites": {"practice": "common"},
        },
    ],
}


def test_words_are_asked_in_the_order_of_by_whatever_the_cache_made_of_it() -> None:
    # A turkey has no `growth`; it must not be asked for, since the first row is for chickens.
    kept = json.loads(json.dumps(COMPILED, sort_keys=True))
    turkey = SimpleNamespace(kind="turkey")
    assert [table_from(data)("weight", group=turkey) for data in (COMPILED, kept)] == [2.0, 2.0]
