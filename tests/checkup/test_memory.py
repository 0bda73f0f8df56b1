"""What a check leaves in memory: nothing that goes only when circles are searched for."""

from __future__ import annotations

import gc

import pytest

from flockcheck.checkup.check import check
from tests.checkup.fix_cases import book, fixtures


def circles_after_checks(without: str) -> int:
    """How many objects the collector has to free after checking each fixture without something."""
    rulebook = book()
    setups = []
    for setup in fixtures():
        kept = {key: one for key, one in setup.values.items() if not key.startswith(without)}
        lists = {key: count for key, count in setup.lists.items() if key != without}
        setups.append(setup._replace(values=kept, lists=lists))
    for setup in setups:
        check(setup, rulebook)
    gc.collect()
    gc.disable()
    try:
        for setup in setups:
            check(setup, rulebook)
        return gc.collect()
    finally:
        gc.enable()


@pytest.mark.parametrize(
    "without", ["feeders", "drinkers", "predators", "weather", "birds.0.leaves"]
)
def test_a_check_leaves_no_circles(without: str) -> None:
    """A run over a folder would slow down for the search, and memory is used anew in its stead."""
    assert circles_after_checks(without) == 0
