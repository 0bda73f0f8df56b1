"""The README: every command line in it runs, and every page of the docs is named in it."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest
from click import Context
from click.testing import CliRunner

from flockcheck.cli import cli
from tests.little_cases import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^    flockcheck (.*?)(?:\s{2,}#.*)?$", README, re.M)
SETUP = re.findall(r"^```yaml\n(.*?)^```$", README, re.M | re.S)[0]
NEW_RULES = "tests/data/club_book"


@pytest.fixture
def at_hand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A keeper's folder with all that the commands speak of, under git."""
    (tmp_path / "my.flock.yaml").write_text(SETUP, encoding="utf-8")
    shutil.copytree(ROOT / "fixtures" / "club" / "members", tmp_path / "members")
    shutil.copytree(ROOT / NEW_RULES, tmp_path / "my-rules")
    monkeypatch.chdir(tmp_path)
    who = ["-c", "user.name=Test", "-c", "user.email=test@example.org"]
    for words in (["init", "-q", "-b", "main"], ["add", "."], [*who, "commit", "-qm", "All"]):
        subprocess.run(["git", *words], check=True, capture_output=True)


def test_the_readme_shows_every_command() -> None:
    assert {line.split()[0] for line in COMMANDS} == set(cli.list_commands(Context(cli)))


@pytest.mark.parametrize("line", COMMANDS)
def test_a_command_of_the_readme_runs(
    line: str, at_hand: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    if "fixtures/" in line:
        monkeypatch.chdir(ROOT)
    words = shlex.split(line.partition(" > ")[0])
    result = CliRunner().invoke(cli, words, input=SETUP)
    assert result.exit_code in (0, 1), result.output
    assert result.output


def test_every_page_of_the_docs_is_named_in_the_readme() -> None:
    pages = {path.name for path in (ROOT / "docs").glob("*.md")}
    assert pages == {name for name in pages if f"](docs/{name})" in README}
