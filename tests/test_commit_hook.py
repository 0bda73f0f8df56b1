"""The definition for the commit-hook runner, tried with the runner itself on a repository."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).resolve().parents[1]
HOOKS = {
    hook["id"]: hook
    for hook in yaml.safe_load(ROOT.joinpath(".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
}
GOOD = ROOT / "fixtures" / "good" / "hazel-lane.flock.yaml"
BAD = ROOT / "fixtures" / "bad" / "steep-and-crowded.flock.yaml"


@pytest.mark.parametrize(
    ("path", "meant"),
    [
        ("flock.yaml", True),
        ("members/hazel.flock.yaml", True),
        ("members/hazel/flock.yaml", True),
        ("club.yaml", False),
        ("members/notes.yaml", False),
        ("members/hazel.flock.yaml.orig", False),
        ("workflock.yaml", False),
    ],
)
def test_the_hook_takes_what_a_check_of_the_folder_would(path: str, meant: bool) -> None:
    assert bool(re.search(HOOKS["flockcheck"]["files"], path)) == meant


@pytest.mark.parametrize(
    ("path", "meant"),
    [("club.yaml", True), ("rules/feed/our-feeder.yaml", True), ("members/club.md", False)],
)
def test_what_is_everybodys_has_all_setups_checked(path: str, meant: bool) -> None:
    assert bool(re.search(HOOKS["flockcheck-club"]["files"], path)) == meant


@pytest.mark.skipif(not ROOT.joinpath(".git").exists(), reason="the runner clones a repository")
def test_a_commit_with_a_bad_setup_is_held_up_and_one_with_a_good_setup_is_not(
    tmp_path: Path,
) -> None:
    club = tmp_path / "club"
    club.mkdir()
    # A local place for what the runner installs, and none of the user's own git settings.
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith("GIT_")},
        "PRE_COMMIT_HOME": str(tmp_path / "runner"),
        "GIT_CONFIG_GLOBAL": str(tmp_path / "none"),
    }
    environment.pop("PYTHONPATH", None)
    _run(["git", "init", "-q"], club, environment)

    shutil.copy(GOOD, club / "good.flock.yaml")
    good = _hook(["good.flock.yaml"], club, environment)
    assert good.returncode == 0, good.stdout
    assert "Passed" in good.stdout

    shutil.copy(BAD, club / "bad.flock.yaml")
    bad = _hook(["good.flock.yaml", "bad.flock.yaml"], club, environment)
    assert bad.returncode == 1, bad.stdout
    assert "Failed" in bad.stdout
    assert "exit code: 1" in bad.stdout
    assert "Too much live weight for the floor" in bad.stdout


def _hook(
    files: list[str], club: Path, environment: dict[str, str]
) -> subprocess.CompletedProcess[str]:
    _run(["git", "add", *files], club, environment)
    runner = [sys.executable, "-m", "pre_commit", "try-repo", str(ROOT), "flockcheck"]
    return subprocess.run(
        [*runner, "--files", *files],
        cwd=club,
        env=environment,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def _run(command: list[str], cwd: Path, environment: dict[str, str]) -> None:
    subprocess.run(command, cwd=cwd, env=environment, check=True, capture_output=True)
