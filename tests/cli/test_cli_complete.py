"""What a shell is told when it completes a line."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.shell_completion import ShellComplete

from flockcheck.cli import cli
from tests.cli.cli_cases import run, write
from tests.cli.conftest import Flockcheck


def completed(*words: str) -> list[str]:
    """What a shell would offer for the last of some words."""
    complete = ShellComplete(cli, {}, "flockcheck", "_FLOCKCHECK_COMPLETE")
    return [item.value for item in complete.get_completions(list(words[:-1]), words[-1])]


@pytest.fixture
def setups(here: Path) -> Path:
    """A folder with two setups, something else, and a folder below."""
    write(here, name="a.flock.yaml")
    write(here, name="flock.yaml")
    write(here, name="members/b.flock.yaml")
    (here / "notes.yaml").write_text("", encoding="utf-8")
    (here / ".hidden").mkdir()
    return here


@pytest.mark.parametrize(
    "command", [["check"], ["round"], ["why", "tight"], ["check", "a.flock.yaml"]]
)
def test_setups_and_folders_are_offered_and_nothing_else(
    setups: Path, flockcheck: Flockcheck, command: list[str]
) -> None:
    assert completed(*command, "") == ["a.flock.yaml", "flock.yaml", "members/"]
    assert completed(*command, "fl") == ["flock.yaml"]


def test_a_folder_alone_is_offered_with_what_is_in_it(setups: Path, flockcheck: Flockcheck) -> None:
    assert completed("check", "mem") == ["members/", "members/b.flock.yaml"]
    assert completed("check", "members/") == ["members/b.flock.yaml"]
    assert completed("check", "nowhere/") == []


def test_rules_and_words_are_offered_with_dashes(flockcheck: Flockcheck) -> None:
    assert {"tight", "mesh-wide", "hardening-off"} <= set(completed("why", ""))
    assert completed("why", "mesh") == ["mesh-wide"]
    assert completed("why", "hard") == ["hardening-off", "hardware-cloth"]


@pytest.mark.parametrize("command", ["check", "rules"])
def test_standards_are_offered(flockcheck: Flockcheck, command: str) -> None:
    assert completed(command, "--standard", "little-h") == ["little-hall"]


def test_commands_and_choices_are_offered_by_click_itself(flockcheck: Flockcheck) -> None:
    assert completed("r") == ["round", "rules"]
    assert completed("new", "--birds", "") == ["meat", "hens", "turkeys"]


def test_a_spoiled_rulebook_leaves_the_words(here: Path, flockcheck: Flockcheck) -> None:
    (here / "bad" / "plan").mkdir(parents=True)
    (here / "bad" / "plan" / "x.yaml").write_text("rule: [", encoding="utf-8")
    offered = completed("why", "--rulebook", "bad", "")
    assert "hardening-off" in offered and "tight" not in offered


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_gets_its_script(here: Path, shell: str) -> None:
    if shell == "bash" and not Path("/bin/bash").exists():
        pytest.skip("this system has no bash, whose version click asks for")
    done = run(cwd=here, env={"_FLOCKCHECK_COMPLETE": f"{shell}_source"})
    assert done.returncode == 0
    assert "_FLOCKCHECK_COMPLETE" in done.stdout
