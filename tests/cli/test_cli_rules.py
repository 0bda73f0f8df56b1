"""`flockcheck rules` and `flockcheck schema`, the list of commands and the version."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from syrupy.assertion import SnapshotAssertion

from flockcheck import __version__
from flockcheck.cli import COMMANDS
from flockcheck.cli.schema import SCHEMAS
from tests.cli.conftest import Flockcheck
from tests.little_cases import little


def test_the_rules_are_listed_by_topic_with_question_grades_and_sources(
    flockcheck: Flockcheck, snapshot: SnapshotAssertion
) -> None:
    result = flockcheck("rules")
    assert result.exit_code == 0
    assert result.stdout == snapshot
    assert max(map(len, result.stdout.splitlines())) <= 80


@pytest.mark.parametrize(
    ("args", "rules"),
    [
        (["--topic", "plan"], {
            "heat-off-late", "lamp-loose", "law-only", "leaves-old", "local-rules", "moves-young",
            "shots-missing",
        }),
        (["--source", "little-paper"], {"tight"}),
        (["--standard", "little-hall"], {"tight", "law-only"}),
        (["--topic", "plan", "--standard", "little-hall"], {"law-only"}),
        (["--topic", "kit", "--standard", "little-hall"], set()),
    ],
)  # fmt: skip
def test_rules_are_picked_by_topic_source_and_standard(
    flockcheck: Flockcheck, args: list[str], rules: set[str]
) -> None:
    data = json.loads(flockcheck("rules", "--format", "json", *args).stdout)
    assert {rule["rule"] for rule in data["rules"]} == rules
    text = flockcheck("rules", *args).stdout
    assert all(rule in text for rule in rules)
    assert rules or text == "No rule fits.\n"


def test_every_rule_is_told_to_other_programs(flockcheck: Flockcheck) -> None:
    data = json.loads(flockcheck("rules", "--format", "json").stdout)
    rules = {rule["rule"]: rule for rule in data["rules"]}
    assert set(rules) == set(little().rules)
    tight = rules["tight"]
    assert (tight["topic"], tight["book"], tight["grades"], tight["standards"]) == (
        "room", "little_book", ["stop", "mend", "watch"], ["little-hall"],
    )  # fmt: skip
    assert tight["sources"][0]["says"] == "Common practice, no source."
    assert rules["local-rules"]["reminder"] is True


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["--topic", "rom"], "there is no topic `rom`; did you mean `room`?"),
        (["--source", "x"], "there is no source `x`; `flockcheck rules` shows them"),
        (["--standard", "little-hal"],
         "there is no standard `little-hal`; did you mean `little-hall`?"),
    ],
)  # fmt: skip
def test_an_unknown_pick_gets_the_nearest_name(
    flockcheck: Flockcheck, args: list[str], says: str
) -> None:
    result = flockcheck("rules", *args)
    assert (result.exit_code, result.stderr) == (2, f"flockcheck: {says}\n")


def test_the_list_of_rules_goes_to_a_file(flockcheck: Flockcheck, here: Path) -> None:
    result = flockcheck("rules", "--output", "rules.txt")
    assert result.stdout == ""
    assert (here / "rules.txt").read_text() == flockcheck("rules").stdout


@pytest.mark.parametrize("name", list(SCHEMAS))
def test_every_schema_is_printed_and_valid(flockcheck: Flockcheck, name: str) -> None:
    result = flockcheck("schema", name)
    assert result.exit_code == 0
    Draft202012Validator.check_schema(json.loads(result.stdout))


def test_the_schema_is_that_of_setups_unless_asked(flockcheck: Flockcheck) -> None:
    assert flockcheck("schema").stdout == flockcheck("schema", "setup").stdout
    assert flockcheck("schema", "setups").exit_code == 2


def test_the_version_is_printed(flockcheck: Flockcheck) -> None:
    assert flockcheck("--version").stdout == f"flockcheck {__version__}\n"


def test_the_help_lists_every_command(flockcheck: Flockcheck) -> None:
    for args in (("--help",), ("-h",)):
        shown = flockcheck(*args).stdout
        for name, says in COMMANDS.items():
            assert re.search(rf"^  {name} +{re.escape(says[:30])}", shown, re.MULTILINE)


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_explains_itself(flockcheck: Flockcheck, name: str) -> None:
    result = flockcheck(name, "--help")
    assert result.exit_code == 0
    assert result.stdout.startswith(f"Usage: flockcheck {name} ")
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_no_command_shows_the_help(flockcheck: Flockcheck) -> None:
    result = flockcheck()
    assert "Commands:" in result.output
