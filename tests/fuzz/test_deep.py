"""A small share of what comes after a check, and that the storm would notice what goes wrong."""

from __future__ import annotations

from pathlib import Path
from random import Random
from typing import Any

import pytest

from flockcheck.checkup.model import Change, Fix, Plan
from flockcheck.cli.mend import _named
from flockcheck.setup.reader import SetupError, read_setup_bytes
from flockcheck.setup.written import Setup
from flockcheck.text.document import decode
from flockcheck.text.layout import comments
from tests.fuzz import deep as deeps
from tests.fuzz.deep import assignment, lost
from tests.fuzz.keepers import keepers_text
from tests.fuzz.storm import Outcome, outcome, storm, told

TEXT = """flockcheck: 1
pen: {length: 4 m, width: 3 m}  # by the barn
birds:
  # from the hatchery
  - {kind: meat chicken, growth: medium, count: 40, hatched: 2027-04-01, out: 2027-05-01}
predators: [fox]
"""


def setup_of(text: str) -> Setup:
    return read_setup_bytes(text.encode(), "storm.flock.yaml")


def plan_for(*paths: str) -> Plan:
    changes = tuple(Change(path, None, None, "", "") for path in paths)
    return Plan(
        (Fix("x", "choice", 1.0, changes, (), (), (), ()),), 1.0, True, "ready", None, (), ()
    )


def test_fixes_plans_what_ifs_and_mends_of_keepers_setups_go_well() -> None:
    tally = storm("keepers", 5, seed=5, deep=1)
    assert not tally.wrong, told(tally)
    assert not tally.slow, told(tally)
    assert 2 < tally.deep <= tally.read
    assert f"{tally.deep} solved, planned, tried and mended; the slowest took " in told(tally)


def test_only_one_in_so_many_goes_deep() -> None:
    assert storm("keepers", 4, seed=5).deep == 0
    assert not any(outcome("keepers", number, 5, deep=50).deep for number in range(1, 4))


def test_most_of_the_keepers_setups_can_be_read_and_many_have_comments() -> None:
    read, remarks = 0, 0
    for number in range(60):
        data = keepers_text(number, 1)
        assert data == keepers_text(number, 1)
        try:
            read_setup_bytes(data, "x.flock.yaml")
        except SetupError:
            continue
        read += 1
        remarks += any("measured twice" in said for _, said in comments(decode(data)))
    assert read > 30
    assert remarks > 10


def test_many_of_the_values_that_are_tried_do() -> None:
    setup = setup_of(TEXT)
    random = Random("values")
    made = [assignment(setup, random) for _ in range(200)]
    assert len(set(made)) > 100
    assert all("=" in one for one in made)
    assert {"pen.length", "birds.0.kind"} <= {one.partition("=")[0] for one in made}


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("  # by the barn", "", "made comments"),
        ("# from the hatchery", "# from the hatcher", "made comments"),
        ("predators: [fox]\n", "", "lost or changed predators: fox"),
        ("width: 3 m", "width: 3.0 m", "lost or changed pen.width: 3 m"),
        ("predators:", "mesh: {opening: 20 mm}\npredators:", "wrote mesh.opening"),
        ("\n", "\r\n", "changed line ends"),
    ],
)
def test_what_a_mend_loses_is_noticed(old: str, new: str, says: str) -> None:
    text, after = TEXT.encode(), TEXT.replace(old, new).encode()
    assert says in lost(text, after, setup_of(TEXT), plan_for("birds.0.count"))


def test_what_the_plan_names_may_change() -> None:
    after = TEXT.replace("count: 40", "count: 30").replace(
        "predators:", "guardians:\n  - {kind: dog, count: 1}\npredators:"
    )
    plan = plan_for("birds.0.count", "guardians.0")
    assert lost(TEXT.encode(), after.encode(), setup_of(TEXT), plan) == ""
    assert "birds.0.count" in lost(TEXT.encode(), after.encode(), setup_of(TEXT), plan_for())
    assert lost(TEXT.encode(), TEXT.encode(), setup_of(TEXT), None) == ""


def reading() -> int:
    """The number of an input that can be read and goes deep."""
    return next(at for at in range(100) if outcome("keepers", at, 1).exit < 2)


def broken(*args: Any, **options: Any) -> Any:
    raise KeyError("beak")


@pytest.mark.parametrize("name", ["solve", "what_if", "_command", "lost"])
def test_what_goes_wrong_is_noticed(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(deeps, name, broken)
    assert "KeyError: 'beak'" in outcome("keepers", reading(), 1, deep=1).wrong


def test_a_file_that_is_written_into_without_being_asked_is_noticed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def spoiling(path: Path, *args: Any) -> str:
        path.write_text("flockcheck: 1\n", encoding="utf-8")
        return ""

    monkeypatch.setattr(deeps, "_asked", spoiling)
    assert outcome("keepers", reading(), 1, deep=1).wrong == "a check changed the file"


def test_what_takes_too_long_is_noticed() -> None:
    assert not Outcome(1, True, 0, 0.5, "", 3.0).slow
    assert Outcome(1, True, 0, 0.5, "", 60.0).slow


def test_a_plan_whose_ways_all_lead_back_gives_up_what_is_left() -> None:
    # Past its bound in nodes a search had no set of fixes left to go on from.
    found = outcome("keepers", 27, 12, deep=1)
    assert (found.read, found.wrong) == (True, "")


def test_work_that_clears_nothing_by_itself_is_told_without_a_rule_to_name() -> None:
    fix = Fix("turn it", "work", 1.0, (), (), (), (), ())
    assert _named(fix) == ""
    assert _named(fix._replace(remains=("tight",))) == " (--done tight)"
    assert _named(fix._replace(clears=("lonely",), remains=("tight",))) == " (--done lonely)"
