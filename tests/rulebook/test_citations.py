"""Every figure of the rulebook has a class: read, worked out, second hand, from memory, practice.

The count stands in `docs/figures-read.md`, which a test of `tests/gate` makes again. Here each
limit and each table row is looked at by itself; `pytest -s` prints the count.
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType

import pytest

from flockcheck.workshop import tools

ROOT = Path(__file__).resolve().parents[2]


@contextmanager
def made_by(name: str) -> Iterator[ModuleType]:
    """A script of `docs/make`, which are no package."""
    sys.path.insert(0, str(ROOT / "docs" / "make"))
    try:
        yield importlib.import_module(name)
    finally:
        sys.path.pop(0)


def test_every_limit_and_table_row_has_exactly_one_class() -> None:
    with made_by("citation_page") as script:
        found = script.counts(tools().rulebook)
        for mark in script.CLASSES:
            print(f"{mark:16}{found[mark, 'limits']:6} limits{found[mark, 'table rows']:6} rows")
    assert {mark for mark, _ in found} <= set(script.CLASSES)
    rules = tools().rulebook.rules.values()
    limits = sum(len(rule.limits) + sum(len(o.limits) for o in rule.otherwise) for rule in rules)
    rows = sum(len(table.rows) for table in tools().rulebook.tables.values())
    assert sum(found.values()) == limits + rows


@pytest.mark.parametrize(
    "cites",
    [
        {},
        {"practice": "other"},
        {"id": "eu-98-58", "practice": "common"},
        {"id": "eu-98-58", "where": "annex", "recalled": "yes", "seen": "second hand"},
    ],
)
def test_a_citation_without_a_class_or_with_two_is_an_error(cites: dict[str, str]) -> None:
    with made_by("citation_page") as script, pytest.raises(ValueError, match="a made-up limit"):
        _ = script.Cited("limits", "a made-up limit", cites).mark


@pytest.mark.parametrize(
    ("cites", "mark"),
    [
        ({"practice": "common"}, "common practice"),
        ({"id": "eu-98-58", "where": "annex"}, "read"),
        ({"id": "eu-98-58", "where": "annex", "derived": "a sum"}, "worked out"),
        ({"id": "eu-98-58", "where": "annex", "seen": "second hand"}, "second hand"),
        ({"id": "eu-98-58", "where": "annex", "recalled": "yes"}, "from memory"),
    ],
)
def test_a_citation_is_of_the_class_that_it_is_marked_with(
    cites: dict[str, str], mark: str
) -> None:
    with made_by("citation_page") as script:
        assert script.Cited("limits", "a made-up limit", cites).mark == mark


def test_something_is_written_of_every_standard_and_of_no_other() -> None:
    with made_by("standards_page") as script:
        told = script.told()
    assert set(told) == set(tools().rulebook.standards)
    for name, one in told.items():
        assert set(one) == {"is", "gaps"}, name
        assert one["gaps"], name
