"""`flockcheck new`: what it writes and where, when it asks, and that it harms no file."""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import IO

import pytest

from flockcheck.cli import new
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.template import BIRDS, UNITS
from tests.cli.cli_cases import environment
from tests.cli.conftest import Flockcheck

FROM = ("--from", "2027-04-05")


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """A run that believes itself at a terminal."""
    monkeypatch.setattr(new, "_at_terminal", lambda: True)


def test_it_prints_where_no_file_is_named(flockcheck: Flockcheck) -> None:
    result = flockcheck("new", *FROM)
    assert (result.exit_code, result.stderr) == (0, "")
    assert "hatched: 2027-04-05" in result.stdout
    assert flockcheck("new", "-", *FROM).stdout == result.stdout


@pytest.mark.parametrize(("birds", "units"), list(itertools.product(BIRDS, UNITS)))
def test_what_it_writes_is_checked_as_it_stands(
    here: Path, flockcheck: Flockcheck, birds: str, units: str
) -> None:
    name = f"{birds}.flock.yaml"
    assert flockcheck("new", name, "--birds", birds, "--units", units, *FROM).exit_code == 0
    result = flockcheck("check", name)
    assert result.exit_code in (0, 1)
    assert "CANNOT BE READ" not in result.stdout
    for command in (("why", "tight", name), ("round", name)):
        assert flockcheck(*command).exit_code == 0


def test_a_file_is_written_and_the_next_step_is_said(here: Path, flockcheck: Flockcheck) -> None:
    result = flockcheck("new", "my.flock.yaml", *FROM)
    assert (result.exit_code, result.stdout) == (0, "")
    assert "flockcheck check my.flock.yaml" in result.stderr
    text = (here / "my.flock.yaml").read_text(encoding="utf-8")
    assert "flockcheck check my.flock.yaml" in text
    assert "does not end in" not in result.stderr


def test_a_name_that_a_check_of_the_folder_passes_over_is_noted(flockcheck: Flockcheck) -> None:
    result = flockcheck("new", "my.yaml", *FROM)
    assert result.exit_code == 0
    assert "does not end in .flock.yaml" in result.stderr
    assert "does not end in" not in flockcheck("new", "flock.yaml", *FROM).stderr


def test_a_file_that_is_there_is_left_as_it_is(here: Path, flockcheck: Flockcheck) -> None:
    there = here / "my.flock.yaml"
    there.write_text("mine", encoding="utf-8")
    result = flockcheck("new", "my.flock.yaml", *FROM)
    assert result.exit_code == 2
    assert "my.flock.yaml is there already and is left as it is" in result.stderr
    assert there.read_text(encoding="utf-8") == "mine"


def test_a_link_that_leads_nowhere_is_left_as_it_is(here: Path, flockcheck: Flockcheck) -> None:
    (here / "my.flock.yaml").symlink_to(here / "gone.flock.yaml")
    assert flockcheck("new", "my.flock.yaml", *FROM).exit_code == 2
    assert not (here / "gone.flock.yaml").exists()


def test_a_file_that_comes_up_meanwhile_is_left_as_it_is(
    here: Path, flockcheck: Flockcheck, monkeypatch: pytest.MonkeyPatch
) -> None:
    def late(plan: object, name: str = "") -> str:
        (here / "my.flock.yaml").write_text("theirs", encoding="utf-8")
        return "ours"

    monkeypatch.setattr(new, "setup_text", late)
    result = flockcheck("new", "my.flock.yaml", *FROM)
    assert result.exit_code == 2 and "is there already" in result.stderr
    assert (here / "my.flock.yaml").read_text(encoding="utf-8") == "theirs"


def test_what_could_not_be_written_whole_is_taken_away(
    here: Path, flockcheck: Flockcheck, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not os.path.exists("/dev/full"):
        pytest.skip("this system has no device that is always full")
    real = open

    def full(path: str, mode: str, **more: str) -> IO[str]:
        real(path, mode, **more).close()  # type: ignore[call-overload]
        return real("/dev/full", "w", encoding="utf-8")

    monkeypatch.setattr(new, "open", full, raising=False)
    result = flockcheck("new", "my.flock.yaml", *FROM)
    assert result.exit_code == 2
    assert "can't be written: there is no room left" in result.stderr
    assert not (here / "my.flock.yaml").exists()


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["."], "is a folder; name the file to write"),
        (["none/my.flock.yaml"], "can't be written"),
        (["--from", "soon"], "`soon` is not a date"),
        (["--from", "2099-12-01"], "outside the years 2000 to 2099"),
        (["--from", "9999-12-30"], "the calendar ends soon after 9999-12-30"),
        (["--birds", "ducks"], "'ducks' is not one of"),
        (["--count", "0"], "0 is not in the range"),
    ],
)
def test_what_can_not_be_is_said_plainly(
    flockcheck: Flockcheck, args: list[str], said: str
) -> None:
    result = flockcheck("new", *args)
    assert result.exit_code == 2
    assert said in result.stderr


def test_the_number_that_is_given_is_no_guess(flockcheck: Flockcheck) -> None:
    text = flockcheck("new", "--count", "44", *FROM).stdout
    assert "count: 44" in text
    (line,) = [line for line in text.splitlines() if "    count: 44" in line]
    assert "guess" not in line


def test_without_a_day_the_plan_begins_today(flockcheck: Flockcheck) -> None:
    before = date.today()
    read = read_setup_text(flockcheck("new").stdout, "new")
    assert before <= read.values["birds.0.hatched"].value <= date.today()


def test_at_a_terminal_it_asks_what_no_option_says(
    here: Path, flockcheck: Flockcheck, terminal: None
) -> None:
    answers = "hens\nus\n24\n2027-02-13\n2027-09-11\n2027-11-06\n"
    result = flockcheck("new", "my.flock.yaml", text=answers)
    assert result.exit_code == 0
    read = read_setup_text((here / "my.flock.yaml").read_text(encoding="utf-8"), "my")
    group = {key: read.values[f"birds.0.{key}"].value for key in ("kind", "count", "hatched")}
    assert group == {"kind": "egg chicken", "count": 24, "hatched": date(2027, 2, 13)}
    assert read.values["birds.0.leaves"].value == date(2027, 11, 6)
    assert read.families["length"] == "us"
    for question in ("Which birds", "Which units", "How many", "hatch", "move", "leave"):
        assert question in result.stderr


def test_the_questions_stay_out_of_what_is_printed(flockcheck: Flockcheck, terminal: None) -> None:
    result = flockcheck("new", *FROM, text="\n\n\n")
    assert result.exit_code == 0
    assert result.stdout.startswith("# A setup to fill in.")
    assert "Which" not in result.stdout
    read_setup_text(result.stdout, "new")


def test_options_are_not_asked_again(flockcheck: Flockcheck, terminal: None) -> None:
    result = flockcheck("new", "--birds", "meat", "--units", "us", "--count", "9", *FROM)
    assert (result.exit_code, result.stderr) == (0, "")


def test_dates_are_asked_until_they_follow_one_another(
    flockcheck: Flockcheck, terminal: None
) -> None:
    options = ("--birds", "meat", "--units", "metric", "--count", "9")
    answers = "next week\n2027-04-05\n2027-04-05\n2027-05-10\n2027-05-01\n\n"
    result = flockcheck("new", *options, text=answers)
    assert result.exit_code == 0
    assert "`next week` is not a date" in result.stderr
    assert "that is not after 2027-04-05" in result.stderr
    assert "that is not after 2027-05-10" in result.stderr
    # What is usual keeps its distance from what was said.
    assert "leaves: 2027-06-07" in result.stdout


def test_who_stops_at_a_question_has_no_file(
    here: Path, flockcheck: Flockcheck, terminal: None
) -> None:
    result = flockcheck("new", "my.flock.yaml", text="meat\n")
    assert result.exit_code == 2
    assert "stopped; nothing was written" in result.stderr
    assert list(here.iterdir()) == []


def test_it_asks_nothing_where_a_file_is_there(
    here: Path, flockcheck: Flockcheck, terminal: None
) -> None:
    (here / "my.flock.yaml").write_text("mine", encoding="utf-8")
    result = flockcheck("new", "my.flock.yaml")
    assert result.exit_code == 2 and "Which" not in result.stderr


@pytest.mark.parametrize("screen", [True, False], ids=["to a screen", "into a pipe"])
def test_only_a_terminal_on_both_sides_is_asked(here: Path, screen: bool) -> None:
    pty = pytest.importorskip("pty")
    keyboard, slave = pty.openpty()
    os.write(keyboard, b"turkeys\n\n\n\n\n\n")
    with subprocess.Popen(
        [sys.executable, "-m", "flockcheck", "new", "my.flock.yaml"],
        cwd=here,
        env=environment(),
        stdin=slave,
        stdout=slave if screen else subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as program:
        _, said = program.communicate(timeout=60)
    os.close(slave)
    os.close(keyboard)
    assert program.returncode == 0
    assert (b"Which birds" in said) == screen
    written = (here / "my.flock.yaml").read_text(encoding="utf-8")
    assert ("kind: turkey" in written) == screen
