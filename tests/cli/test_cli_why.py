"""`flockcheck why`: rules, words and keys by name, and what is said where there is none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.cli_cases import MENDED, SETUP, write
from tests.cli.conftest import Flockcheck


def test_a_rule_is_taught(flockcheck: Flockcheck) -> None:
    result = flockcheck("why", "tight")
    assert result.exit_code == 0
    assert result.stdout.startswith("Is there floor enough for their weight?\ntight: ")
    assert "In Little flock" not in result.stdout


@pytest.mark.parametrize("name", ["Mesh-Wide", "mesh_wide", "mesh wide"])
def test_a_rule_is_known_by_a_freer_spelling(flockcheck: Flockcheck, name: str) -> None:
    assert flockcheck("why", name).stdout.startswith("Is the mesh fine enough?")


def test_with_a_setup_its_own_answer_stands_below(here: Path, flockcheck: Flockcheck) -> None:
    write(here, MENDED)
    result = flockcheck("why", "words", SETUP)
    assert result.exit_code == 0
    assert f"In Little flock ({SETUP})" in result.stdout
    assert "Mend. The latches are simple, not two-step." in result.stdout


def test_a_setup_may_come_from_standard_input(here: Path, flockcheck: Flockcheck) -> None:
    text = write(here).read_text(encoding="utf-8")
    assert "Finds nothing." in flockcheck("why", "words", "-", text=text).stdout


def test_a_word_is_explained(flockcheck: Flockcheck) -> None:
    result = flockcheck("why", "chicken wire")
    assert result.exit_code == 0
    assert result.stdout.startswith("Hexagonal netting\n")


def test_a_word_of_two_needs_no_quotes(flockcheck: Flockcheck) -> None:
    assert flockcheck("why", "clear", "opening").stdout.startswith("Clear opening\n")


def test_a_key_of_the_setup_is_explained(flockcheck: Flockcheck) -> None:
    result = flockcheck("why", "pen.weight")
    assert result.stdout.startswith("pen.weight\n")
    assert "bathroom scales" in result.stdout


def test_without_a_name_the_words_are_listed(flockcheck: Flockcheck) -> None:
    result = flockcheck("why")
    assert result.exit_code == 0
    assert "freeboard" in result.stdout and "`flockcheck why WORD`" in result.stdout


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("mesh-wied", "rules like it: mesh-wide"),
        ("harden of", "words like it: hardening off"),
        ("zzzz", "`flockcheck rules` lists the rules, `flockcheck why` the words"),
        ("", "`flockcheck rules` lists the rules"),
    ],
)
def test_a_wrong_name_gets_the_nearest_ones(flockcheck: Flockcheck, name: str, hint: str) -> None:
    result = flockcheck("why", name)
    assert result.exit_code == 2
    assert f"there is no rule and no word `{name}`" in result.stderr
    assert hint in result.stderr
    assert result.stdout == ""


def test_a_word_takes_no_setup(here: Path, flockcheck: Flockcheck) -> None:
    write(here)
    result = flockcheck("why", "skirt", SETUP)
    assert result.exit_code == 2
    assert "is a word and needs no setup" in result.stderr


def test_a_rule_comes_as_json(here: Path, flockcheck: Flockcheck) -> None:
    write(here, MENDED)
    data = json.loads(flockcheck("why", "words", SETUP, "--format", "json").stdout)
    assert data["rule"] == "words"
    assert data["setup"]["answers"][0]["finding"]["grade"] == "mend"
    assert data["setup"]["working"]["result"]["holds"] is False


def test_a_word_and_the_list_of_words_come_as_json(flockcheck: Flockcheck) -> None:
    word = json.loads(flockcheck("why", "joule", "--format", "json").stdout)
    assert word["word"] == "joule" and word["sources"][0]["practice"] == "common"
    assert "joule" in json.loads(flockcheck("why", "--format", "json").stdout)["words"]


def test_it_can_be_written_to_a_file(here: Path, flockcheck: Flockcheck) -> None:
    result = flockcheck("why", "tight", "--output", "tight.txt")
    assert (result.exit_code, result.stdout) == (0, "")
    assert (here / "tight.txt").read_text(encoding="utf-8").startswith("Is there floor")


def test_the_keeper_may_choose_the_units(here: Path, flockcheck: Flockcheck) -> None:
    write(here, ("count: 40", "count: 70"))
    assert "lb/sq ft on 31 May" in flockcheck("why", "tight", SETUP, "--units", "us").stdout


def test_a_setup_with_faults_is_told_with_its_lines(here: Path, flockcheck: Flockcheck) -> None:
    write(here, ("length: 4 m", "length: 4"), ("width: 2.5 m", "width: wide"))
    result = flockcheck("why", "tight", SETUP)
    assert result.exit_code == 2
    assert f"{SETUP} can't be read; put this right first:" in result.stderr
    assert result.stderr.count("  line ") == 2


def test_faults_past_ten_are_left_to_check(here: Path, flockcheck: Flockcheck) -> None:
    (here / SETUP).write_text("flockcheck: 1\n" + "".join(f"colour{n}: red\n" for n in range(14)))
    result = flockcheck("why", "tight", SETUP)
    assert f"more; `flockcheck check {SETUP}` shows them all" in result.stderr


def test_names_that_only_a_rulebook_knows_are_faults_too(
    here: Path, flockcheck: Flockcheck
) -> None:
    write(here, ("care:", "standards: [little-hal]\ncare:"))
    result = flockcheck("why", "tight", SETUP)
    assert result.exit_code == 2
    assert "little-hall" in result.stderr


@pytest.mark.parametrize("name", ["nowhere.flock.yaml", "."])
def test_a_setup_that_is_no_file_is_said_so(flockcheck: Flockcheck, name: str) -> None:
    result = flockcheck("why", "tight", name)
    assert result.exit_code == 2
    assert result.stderr.startswith("flockcheck: ")
    assert "folder" in result.stderr
