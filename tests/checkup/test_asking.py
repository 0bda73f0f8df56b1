"""A rulebook made ready once serves every setup, and forgets each of them."""

from __future__ import annotations

import pickle
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from flockcheck.checkup.asking import sheet_of
from flockcheck.checkup.check import check, report_of
from flockcheck.measures.graph.run import Run
from flockcheck.setup.reader import SetupError, read_setup_text
from flockcheck.setup.written import Setup
from flockcheck.workshop import load_rulebook, tools
from tests.little_cases import birds, little, rules_found, setup

ROOT = Path(__file__).parents[2]
BOOK = tools().rulebook
STANDARDS = BOOK.standards


def shipped() -> dict[str, Setup]:
    """Every shipped setup that can be read."""
    found = {}
    for path in sorted((ROOT / "fixtures").rglob("*.flock.yaml")):
        try:
            found[path.stem] = read_setup_text(path.read_text(encoding="utf-8"), path.name)
        except SetupError:
            continue
    return found


SETUPS = shipped()


@pytest.mark.parametrize("name", SETUPS)
def test_what_is_read_need_not_be_noted_to_come_to_the_same_report(name: str) -> None:
    noted = report_of(sheet_of(SETUPS[name], BOOK, STANDARDS), BOOK)
    assert check(SETUPS[name], BOOK, standards=STANDARDS) == noted


def test_a_run_that_notes_nothing_has_no_run_for_a_changed_setup() -> None:
    known = little()
    run = Run(setup(), known.registry, known.tables, tracks=False)
    with pytest.raises(ValueError, match="took no note"):
        run.changed(setup(birds(50)), ["birds.0.count"])


def test_one_setup_leaves_no_trace_in_the_report_on_the_next() -> None:
    known = little()
    few, many = setup(), setup(birds(100))
    first, second = check(few, known), check(many, known)
    assert rules_found(first) == []
    assert "tight" in rules_found(second)
    assert [check(one, known) for one in (few, many, few)] == [first, second, first]
    assert check(many, little()) == second


def test_setups_checked_side_by_side_in_threads_come_out_like_each_by_itself() -> None:
    known = load_rulebook()
    every = [*SETUPS.values()] * 2
    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(lambda one: check(one, known), every))
    assert found == [check(one, BOOK) for one in every]


def test_a_rule_of_the_same_name_with_another_limit_is_another_rule() -> None:
    known = little()
    assert "tight" in rules_found(check(setup(birds(100)), known))
    rule = known.rules["tight"]
    loose = [limit._replace(value=["literal", 1e6]) for limit in rule.limits]
    known.rules["tight"] = rule._replace(limits=tuple(loose))
    assert "tight" not in rules_found(check(setup(birds(100)), known))
    known.rules["tight"] = rule
    assert "tight" in rules_found(check(setup(birds(100)), known))


def test_a_rulebook_that_was_used_can_be_sent_to_another_process() -> None:
    many = SETUPS["steep-and-crowded.flock"]
    report = check(many, BOOK)
    copy = pickle.loads(pickle.dumps(BOOK))
    assert check(many, copy) == report
