"""`flockcheck round`: the page for a setup and for any pen, and what is said where it can't be."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.cli_cases import SETUP, write
from tests.cli.conftest import Flockcheck


def test_a_page_is_printed_for_a_setup(here: Path, flockcheck: Flockcheck) -> None:
    write(here)
    result = flockcheck("round", SETUP)
    assert result.exit_code == 0
    assert "Little flock (little.flock.yaml): 40 meat chickens" in result.stdout
    # The only look of the little book.
    assert "[ ] Look at noon whether all can lie down at once." in result.stdout


def test_without_a_setup_it_is_for_any_pen(flockcheck: Flockcheck) -> None:
    result = flockcheck("round")
    assert result.exit_code == 0
    assert "Pen ____" in result.stdout and "[ ]" in result.stdout


def test_a_setup_may_come_from_standard_input(here: Path, flockcheck: Flockcheck) -> None:
    text = write(here).read_text(encoding="utf-8")
    assert "Little flock" in flockcheck("round", "-", text=text).stdout


def test_it_can_be_written_to_a_file(here: Path, flockcheck: Flockcheck) -> None:
    assert flockcheck("round", "--output", "round.txt").stdout == ""
    assert (here / "round.txt").read_text(encoding="utf-8").startswith("The walk round the pen")


def test_the_rules_of_a_folder_are_walked_too(here: Path, flockcheck: Flockcheck) -> None:
    rule = here / "more" / "plan" / "gate-shut.yaml"
    rule.parent.mkdir(parents=True)
    rule.write_text(
        "rule: gate-shut\nasks: Is the gate shut?\ntitle: The gate stands open\n"
        "key: care.closed_at_night\nlimits: [{is: yes, grade: watch, practice: common}]\n"
        "says: The gate stands open.\nwhy: Things walk in.\nlook: Lean on the gate.\n"
        "examples: [{with: {care.closed_at_night: no}, finds: watch}]\n",
        encoding="utf-8",
    )
    assert "[ ] Lean on the gate." in flockcheck("round", "--rulebook", "more").stdout


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ([("length: 4 m", "length: 4")], "line 7"),
        ([("care:", "standards: [little-hal]\ncare:")], "little-hall"),
    ],
)
def test_a_setup_with_faults_has_no_round(
    here: Path, flockcheck: Flockcheck, changes: list[tuple[str, str]], said: str
) -> None:
    write(here, *changes)
    result = flockcheck("round", SETUP)
    assert result.exit_code == 2
    assert "put this right first" in result.stderr and said in result.stderr
    assert result.stdout == ""


def test_a_file_that_is_not_there_is_said_so(flockcheck: Flockcheck) -> None:
    result = flockcheck("round", "nowhere.flock.yaml")
    assert result.exit_code == 2
    assert "there is no such file" in result.stderr
