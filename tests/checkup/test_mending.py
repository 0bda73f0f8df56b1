"""What of a plan is written: choices, work that is done, and never what makes the setup worse."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from flockcheck.checkup.mending import Mending, mending
from flockcheck.checkup.model import Change, Fix, Plan
from flockcheck.checkup.solve import solve
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.written import Setup
from flockcheck.text.layout import comments
from flockcheck.workshop import tools
from tests.little_cases import ROOT, birds, little, setup
from tests.setup.rewrite_cases import in_some_hand

GONE_WRONG = sorted((ROOT / "fixtures" / "gone-wrong").glob("*.flock.yaml"))
CROWD, WIDE = birds(100), ("opening: 20 mm", "opening: 60 mm")


def read(text: str) -> Setup:
    return read_setup_text(text, "little.flock.yaml")


def mended(of: Setup, *done: str, book: Rulebook | None = None) -> Mending:
    """A setup mended by its own plan."""
    book = book or little()
    plan = solve(of, book, plan=True).plan
    assert plan is not None
    return mending(of, plan, done, book, read)


def plan_of(*fixes: Fix) -> Plan:
    return Plan(fixes, 1.0, True, "ready", None, (), ())


def fix_of(kind: str, rule: str, *changes: Change) -> Fix:
    return Fix(f"change {rule}", kind, 1.0, changes, (rule,), (), (), ())


FEWER = fix_of("choice", "tight", Change("birds.0.count", 100, 50, "100", "50"))
FINER = fix_of("work", "gets-in", Change("mesh.opening", 0.06, 0.025, "60 mm", "25 mm"))
MORE = fix_of("choice", "lonely", Change("birds.0.count", 40, 400, "40", "400"))
ODD = fix_of("choice", "odd", Change("pen.length.roof", None, 1.0, "", "1 m"))


def test_choices_are_written_and_work_waits_for_the_keeper() -> None:
    found = mended(setup(CROWD, WIDE))
    assert [one.path for one in found.changes] == ["birds.0.count", "birds.0.leaves"]
    assert [one.says for one in found.work] == ["cover the sides with 25 mm mesh"]
    values = read(found.text).values
    assert (values["birds.0.count"].text, values["mesh.opening"].text) == ("86", "60 mm")


def test_work_that_is_named_as_done_is_written_too() -> None:
    found = mended(setup(CROWD, WIDE), "gets-in")
    assert (found.work, found.cannot, found.waits) == ((), (), ())
    assert read(found.text).values["mesh.opening"].text == "25 mm"
    assert solve(read(found.text), little()).verdict == "ready"


def test_mending_twice_changes_nothing_more() -> None:
    once = mended(setup(CROWD, WIDE))
    again = mended(read(once.text))
    assert (again.text, again.written) == (once.text, ())
    assert [one.says for one in again.work] == ["cover the sides with 25 mm mesh"]


def test_a_choice_that_does_harm_by_itself_waits() -> None:
    of = setup(WIDE)
    found = mending(of, plan_of(FINER, MORE), (), little(), read)
    assert (found.text, found.written, found.waits) == (of.text, (), (MORE,))


def test_one_change_that_cannot_be_written_does_not_hold_up_the_others() -> None:
    found = mending(setup(CROWD), plan_of(ODD, FEWER), (), little(), read)
    assert found.written == (FEWER,)
    ((fix, why),) = found.cannot
    assert fix == ODD
    assert "can't be changed here" in why


def test_a_value_that_its_key_does_not_take_is_told_and_not_written() -> None:
    wrong = fix_of("choice", "tight", Change("birds.0.count", 100, 0, "100", "none"))
    of = setup(CROWD)
    found = mending(of, plan_of(wrong), (), little(), read)
    assert found.text == of.text
    assert "is not a whole number" in found.cannot[0][1]


def test_a_standard_that_was_met_is_not_given_up() -> None:
    of = setup(birds(30))
    more = fix_of("choice", "lonely", Change("birds.0.count", 30, 40, "30", "40"))
    free = mending(of, plan_of(more), (), little(), read)
    bound = mending(of, plan_of(more), (), little(), read, little().standards)
    assert free.written == (more,)
    assert bound.waits == (more,)


@pytest.mark.parametrize("path", GONE_WRONG, ids=lambda path: path.name.partition(".")[0])
def test_what_went_wrong_is_mended_in_the_keepers_own_text(path: Path) -> None:
    book = built_in()
    of = read(path.read_text(encoding="utf-8"))
    plan = solve(of, book, plan=True).plan
    assert plan is not None
    done = tuple(rule for fix in plan.fixes for rule in fix.clears)
    found = mending(of, plan, done, book, read)
    assert (found.written, found.work, found.cannot, found.waits) == (plan.fixes, (), (), ())
    after = solve(read(found.text), book, plan=True)
    assert (after.verdict, after.ready_until) == (plan.verdict, plan.ready_until)
    assert [said for _, said in comments(found.text)] == [said for _, said in comments(of.text)]
    assert set(read(found.text).values) >= set(of.values)
    assert after.plan is not None
    assert mending(read(found.text), after.plan, done, book, read).text == found.text


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 10**9))
def test_in_whatever_hand_a_file_is_written_mending_loses_nothing(seed: int) -> None:
    path = GONE_WRONG[seed % len(GONE_WRONG)]
    of = read(in_some_hand(path.read_text(encoding="utf-8"), seed))
    plan = solve(of, built_in(), plan=True).plan
    assert plan is not None
    done = tuple(rule for fix in plan.fixes for rule in fix.clears)
    found = mending(of, plan, done, built_in(), read)
    assert found.written == plan.fixes
    after = read(found.text).values
    changed = {change.path for change in found.changes}
    for key, written in of.values.items():
        assert key in changed or after[key].text == written.text
    assert [said for _, said in comments(found.text)] == [said for _, said in comments(of.text)]


@cache
def built_in() -> Rulebook:
    """The built-in rulebook."""
    return tools(()).rulebook
