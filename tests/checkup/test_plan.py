"""Plans: together they do what they say, and with the least effort or said not to be."""

from __future__ import annotations

from itertools import product

import pytest

from flockcheck.checkup.model import Plan
from flockcheck.checkup.solve import solve
from flockcheck.setup.written import Setup
from tests.checkup.fix_cases import book, checked, done, fixtures, setup_with


def plan(setup: Setup, *, keep: tuple[str, ...] = ()) -> Plan:
    found = solve(setup, book(), keep=keep, plan=True).plan
    assert found is not None
    return found


@pytest.mark.parametrize("setup", fixtures(), ids=lambda one: one.file)
def test_the_verdict_of_a_plan_is_that_of_a_check_with_all_of_it_done(setup: Setup) -> None:
    told = plan(setup)
    changes = [change for fix in told.fixes for change in fix.changes]
    assert len({change.path for change in changes}) == len(changes)
    after = checked(done(setup, changes)).report if changes else checked(setup).report
    assert (after.verdict, after.ready_until) == (told.verdict, told.ready_until)
    left = {one.rule for one in after.findings if one.counts and one.grade in ("stop", "mend")}
    assert left == set(told.remains)
    assert told.effort == pytest.approx(sum(fix.effort for fix in told.fixes))
    if not told.remains and after.verdict != "cannot say":
        assert after.verdict == "ready" or after.open_end
    # What no number mends is told beside it, with what to do.
    assert {rule for rule, _ in told.advice} <= set(told.remains)
    assert all(words for _, words in told.advice)


def test_a_setup_that_is_ready_needs_no_plan() -> None:
    told = plan(setup_with())
    assert (told.fixes, told.effort, told.least, told.verdict) == ((), 0, True, "ready")


# Setups with few ways out: for each key the values that its lever can take, and what each costs by
# levers.yaml (once, and for each step), written out by hand.
Choices = dict[str, list[tuple[str, float]]]
HOLES: Choices = {"mesh.holes": [("0", 2.0)]}
ANCHORS: Choices = {"pen.anchors.count": [(str(n), 2 + 0.3 * n) for n in range(1, 13)]}
FASTENED: Choices = {"mesh.fixing_every": [(f"{30 - 2 * n} cm", 2 + 0.1 * n) for n in range(1, 15)]}
SMALL: list[tuple[dict[str, str], Choices]] = [
    ({"mesh__holes": "3", "weather__gust": "30 m/s", "pen__anchors__count": "0"}, HOLES | ANCHORS),
    ({"mesh__fixing_every": "30 cm", "mesh__holes": "3"}, FASTENED | HOLES),
    (
        {"drinkers__0__count": "1", "drinkers__0__holds": "2 l", "water__visits_per_day": "1"},
        {
            "water.visits_per_day": [(str(1 + n), 3.0 * n) for n in range(1, 4)],
            "drinkers.0.holds": [(f"{5 * n} l", 3 + 0.2 * n) for n in range(1, 5)],
            "drinkers.0.count": [(str(1 + n), 3.0 * n) for n in range(1, 7)],
        },
    ),
]


@pytest.mark.parametrize(("values", "choices"), SMALL, ids=lambda one: "+".join(one))
def test_no_combination_costs_less_or_the_plan_says_that_it_was_not_shown(
    values: dict[str, str], choices: Choices
) -> None:
    setup = setup_with(**values)
    bad = checked(setup).report
    assert bad.verdict == "not ready"
    told = plan(setup)
    assert told.verdict == "ready"
    cheapest = told.effort
    for picked in product(*([None, *options] for options in choices.values())):
        moved = {key: one for key, one in zip(choices, picked, strict=True) if one is not None}
        cost = sum(effort for _, effort in moved.values())
        if cost < cheapest - 1e-6:
            changed = {key.replace(".", "__"): text for key, (text, _) in moved.items()}
            after = checked(setup_with(**{**values, **changed})).report
            if after.verdict == "ready":
                cheapest = cost
    assert not told.least or told.effort == pytest.approx(cheapest)
    # Small cases are searched to the end.
    assert told.least


def test_a_plan_leaves_alone_what_the_keeper_keeps() -> None:
    values = {"birds__0__count": "75"}
    free = plan(setup_with(**values))
    assert free.fixes
    for keep in ("birds", "pen", "pen.length"):
        for fix in plan(setup_with(**values), keep=(keep,)).fixes:
            assert not [one for one in fix.changes if f"{one.path}.".startswith(f"{keep}.")]


def test_fixes_that_meet_in_one_plan_are_no_more_than_it_takes_together() -> None:
    values = {"mesh__holes": "3", "weather__gust": "30 m/s", "pen__anchors__count": "0"}
    told = plan(setup_with(**values))
    for fix in told.fixes:
        others = [one for other in told.fixes if other != fix for one in other.changes]
        assert checked(done(setup_with(**values), others)).report.verdict == "not ready"
