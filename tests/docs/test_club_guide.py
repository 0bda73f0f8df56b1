"""The stewards' guide is run on the small club: its commands, and those in its examples."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner, Result

from flockcheck.cli import cli
from flockcheck.club.settings import club_schema, read_club
from tests.docs.test_keeper_guide import fits
from tests.little_cases import CLUB, ROOT

PAGE = (ROOT / "docs" / "club-guide.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"(?:^<!-- (.*?) -->\n)?^```(console|yaml|)\n(.*?)^```$", re.M | re.S)
YAMLS = {name: text for name, kind, text in BLOCK.findall(PAGE) if kind == "yaml"}
GITHUB = ".github/workflows/flocks.yml"
MARGIN = ".github/workflows/margin.yml"
AZURE = "azure-pipelines.yml"
# Every command of the page that is not in a console block, with its exit status on the club.
STATUS = {
    "flockcheck check --format jsonl .": {1},
    "flockcheck check --format margin --since origin/main .": {0},
    "flockcheck check --format sarif --output $OUT/sarif/flocks.sarif .": {1},
    "flockcheck check --format sarif --output flocks.sarif .": {1},
    "flockcheck check --least stop .": {1},
    "flockcheck check --since main .": {0},
    # One day all of the club's flocks will be over.
    "flockcheck check --summary --on today .": {0, 1},
    "flockcheck check members/": {1},
    "flockcheck check members/cairn-foot.flock.yaml": {1},
    "flockcheck club": {0},
    "flockcheck club --format csv --output club.csv .": {0},
    "flockcheck club --format json --output club.json .": {0},
    "flockcheck club --on today .": {0},
    "flockcheck club .": {0},
    "flockcheck prove rules/": {0},
    "flockcheck round members/alder-croft.flock.yaml": {0},
    "flockcheck schema club": {0},
    "flockcheck schema club-report": {0},
}


@pytest.fixture
def club(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small club as a repository, with a rulebook beside it and a branch to compare with."""
    folder = tmp_path / "club"
    shutil.copytree(ROOT / "fixtures" / "club", folder)
    (tmp_path / "out").mkdir()
    shutil.copytree(CLUB, folder / "rules")
    monkeypatch.chdir(folder)
    for args in (
        ["init", "-q", "-b", "main"],
        ["add", "."],
        ["-c", "user.name=A", "-c", "user.email=a@example.org", "commit", "-q", "-m", "All"],
        ["update-ref", "refs/remotes/origin/main", "HEAD"],
    ):
        subprocess.run(["git", *args], check=True, env={**os.environ, "GIT_CONFIG_GLOBAL": "none"})
    return folder


def run(command: str) -> Result:
    name, *args = shlex.split(command)
    assert name == "flockcheck"
    result = CliRunner().invoke(cli, args, prog_name="flockcheck")
    assert "Traceback" not in result.output
    return result


def found_commands() -> Iterator[str]:
    """The commands in tables, text, indented lines and YAML."""
    prose = BLOCK.sub("", PAGE)
    yield from re.findall(r"^    (flockcheck .*)$", prose, re.M)
    yield from (one for one in re.findall(r"`(flockcheck [^`]*)`", prose))
    for name in (GITHUB, MARGIN, AZURE):
        for step in steps(name):
            script = step.get("run") or step.get("script") or ""
            yield from re.findall(r"(?:^|&& *)(flockcheck .*)", script)


def commands() -> set[str]:
    """The same, with a place of the host's own as `$OUT` and without a redirection."""
    cleaned = (
        re.sub(r"\$\(Build\.ArtifactStagingDirectory\)", "$OUT", one.partition(" > ")[0])
        for one in found_commands()
    )
    return {one.replace('"', "").strip() for one in cleaned}


def steps(name: str) -> list[dict[str, Any]]:
    data = yaml.safe_load(YAMLS[name])
    found: list[dict[str, Any]] = (
        data["steps"] if "steps" in data else data["jobs"]["check"]["steps"]
    )
    return found


def test_the_console_blocks_say_what_the_program_says(club: Path) -> None:
    blocks = [text for _, kind, text in BLOCK.findall(PAGE) if kind == "console"]
    assert len(blocks) >= 3
    for block in blocks:
        command, _, expected = block.removeprefix("$ ").partition("\n")
        result = run(command)
        assert fits(expected, result.output), f"{command}\n\n{result.output}"


def test_every_command_of_the_page_is_tried() -> None:
    assert commands() == set(STATUS)


@pytest.mark.parametrize("command", sorted(STATUS))
def test_a_command_ends_as_the_page_says(club: Path, tmp_path: Path, command: str) -> None:
    (tmp_path / "out" / "sarif").mkdir()
    result = run(command.replace("$OUT", (tmp_path / "out").as_posix()))
    assert result.exit_code in STATUS[command], result.output


def test_what_is_uploaded_is_what_was_written(club: Path) -> None:
    (upload,) = [one for one in steps(GITHUB) if "upload-sarif" in one.get("uses", "")]
    (check,) = [one for one in steps(GITHUB) if "sarif" in one.get("run", "")]
    assert upload["if"] == "always()"
    assert f"--output {upload['with']['sarif_file']} " in check["run"]
    run(check["run"])
    written = json.loads(club.joinpath(upload["with"]["sarif_file"]).read_text(encoding="utf-8"))
    assert written["version"] == "2.1.0"
    assert {one["ruleId"] for one in written["runs"][0]["results"]} >= {"outlet-uphill"}


def test_the_job_may_upload_and_nothing_else() -> None:
    workflow = yaml.safe_load(YAMLS[GITHUB])
    assert workflow["permissions"] == {
        "contents": "read", "actions": "read", "security-events": "write",
    }  # fmt: skip
    assert yaml.safe_load(YAMLS[MARGIN])["permissions"] == {"contents": "read"}


def test_the_artifact_has_the_name_that_the_scans_tab_looks_for() -> None:
    (publish,) = [one for one in steps(AZURE) if "publish" in one]
    assert publish["artifact"] == "CodeAnalysisLogs"
    assert publish["condition"] == "succeededOrFailed()"
    (check,) = [one for one in steps(AZURE) if "--format sarif" in one.get("script", "")]
    assert f'--output "{publish["publish"]}/flocks.sarif"' in check["script"]


def test_lines_in_the_margin_need_the_history() -> None:
    (checkout,) = [one for one in steps(MARGIN) if "checkout" in one.get("uses", "")]
    assert checkout["with"] == {"fetch-depth": 0}


def test_the_hooks_named_are_those_that_are_shipped() -> None:
    (repo,) = yaml.safe_load(YAMLS[".pre-commit-config.yaml"])["repos"]
    shipped = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert {one["id"] for one in repo["hooks"]} == {one["id"] for one in shipped}


def test_the_settings_shown_are_taken_and_use_every_key(tmp_path: Path) -> None:
    (tmp_path / "rules").mkdir()
    tmp_path.joinpath("club.yaml").write_text(YAMLS["club.yaml"], encoding="utf-8")
    settings = read_club(str(tmp_path / "club.yaml"))
    assert settings.name == "Three Becks keepers"
    keys = set(club_schema()["properties"])
    assert set(yaml.safe_load(YAMLS["club.yaml"])) == keys
    assert set(re.findall(r"^\| `([a-z_]+)` \| [A-Z`]", PAGE, re.M)) == keys - {"club"}


def test_nothing_of_the_page_is_a_real_place() -> None:
    addresses = re.findall(r"https?://([^/\s\"]+)", PAGE)
    assert set(addresses) == {"example.org"}


def test_the_page_is_plain() -> None:
    assert max(len(line) for line in PAGE.splitlines() if not line.startswith("|")) <= 125
