"""A book gives the same whether it was compiled just now or comes from where it is kept."""

from __future__ import annotations

import json
from pathlib import Path

from flockcheck.rulebook.book import compile_files, read_files
from tests.measures.measure_cases import real_tables
from tests.measures.measure_cases import registry as built_in

RULES = Path(__file__).parents[2] / "rules"


def test_a_fresh_book_has_the_order_of_a_kept_one() -> None:
    registry = built_in().close(real_tables())
    fresh = compile_files([("rules", str(RULES), read_files(str(RULES)))], registry)
    assert json.dumps(fresh) == json.dumps(fresh, sort_keys=True)
