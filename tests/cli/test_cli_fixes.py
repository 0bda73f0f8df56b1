"""`flockcheck check` with fixes, a plan, what the keeper keeps, and what if."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator
from syrupy.assertion import SnapshotAssertion

from flockcheck.cli import cli
from tests.checkup.fix_cases import ROOT

UPHILL = "fixtures/trade/fact-4-outlet-uphill.flock.yaml"
LOOSE = "fixtures/trade/fact-8-lid-lies-loose.flock.yaml"
SCHEMA: dict[str, Any] = json.loads(
    (ROOT / "src/flockcheck/reports/report.schema.json").read_text(encoding="utf-8")
)


@pytest.fixture(autouse=True)
def at_home(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


def run(*args: str) -> Result:
    return CliRunner().invoke(cli, ["check", *args])


def data(*args: str) -> dict[str, Any]:
    """The only setup of a JSON report, which the schema takes."""
    report = json.loads(run(*args, "--format", "json").stdout)
    Draft202012Validator(SCHEMA).validate(report)
    (setup,) = report["setups"]
    assert isinstance(setup, dict)
    return setup


def paragraph(text: str, begin: str) -> str:
    """The lines from one that begins so to the next that is not indented further."""
    lines = text.splitlines()
    at = next(n for n, line in enumerate(lines) if line.lstrip().startswith(begin))
    indent = len(lines[at]) - len(lines[at].lstrip())
    end = at + 1
    while end < len(lines) and lines[end].startswith(" " * (indent + 1)):
        end += 1
    return "\n".join(lines[at:end])


def test_a_fix_is_told_with_what_was_tried(snapshot: SnapshotAssertion) -> None:
    assert paragraph(run(UPHILL).stdout, "Do:") == snapshot


def test_several_fixes_are_told_as_one_order(snapshot: SnapshotAssertion) -> None:
    text = run("fixtures/trade/fact-1-fifty-birds-moved-daily.flock.yaml").stdout
    assert paragraph(text[text.index("Too much live weight") :], "Do:") == snapshot


def test_a_plan_is_told_with_its_effort(snapshot: SnapshotAssertion) -> None:
    assert paragraph(run(LOOSE, "--plan").stdout, "Plan") == snapshot


def test_a_plan_for_what_no_number_mends_gives_advice(snapshot: SnapshotAssertion) -> None:
    text = run("fixtures/trade/fact-3-straight-from-the-brooder.flock.yaml", "--plan").stdout
    assert paragraph(text, "Plan") == snapshot


def test_a_what_if_is_told_against_the_file_as_written(snapshot: SnapshotAssertion) -> None:
    text = run(UPHILL, "--with", "drinkers.outlet=downhill", "--with", "birds.0.count=60").stdout
    assert text[text.index("What if") :].split("\n\n")[0] == snapshot


def test_json_has_fixes_plan_and_what_if_as_the_schema_says() -> None:
    plain = data(UPHILL, "--plan")
    (fix,) = plain["findings"][0]["fixes"]
    assert fix["changes"] == [{"path": "drinkers.0.outlet", "from": "uphill", "to": "downhill"}]
    assert fix["clears"] == ["outlet-uphill"]
    assert plain["plan"]["fixes"][0]["changes"] == fix["changes"]
    assert (plain["plan"]["verdict"], plain["plan"]["least"]) == ("ready", True)
    assert plain["with"] is None
    other = data(UPHILL, "--with", "drinkers.0.outlet=downhill")
    assert other["verdict"] == "ready"
    assert other["plan"] is None
    assert other["with"]["was"]["verdict"] == "not ready"
    assert other["with"]["gone"] == [
        {"rule": "outlet-uphill", "about": "drinkers.0", "grade": "stop"}
    ]


def test_fixes_are_for_files_that_are_named_unless_asked_for(tmp_path: Path) -> None:
    copy = tmp_path / "a.flock.yaml"
    copy.write_bytes((ROOT / UPHILL).read_bytes())
    folder = str(tmp_path)

    def fixes(*args: str) -> list[object]:
        return [fix for finding in data(*args)["findings"] for fix in finding["fixes"]]

    assert fixes(str(copy))
    assert fixes(folder, "--fixes")
    assert fixes(folder) == []
    assert fixes(str(copy), "--no-fixes") == []


def test_the_status_is_that_of_the_changed_setup() -> None:
    assert run(UPHILL).exit_code == 1
    assert run(UPHILL, "--with", "drinkers.0.outlet=downhill").exit_code == 0
    assert run(UPHILL, "--plan").exit_code == 1


def test_what_the_keeper_keeps_is_in_no_fix() -> None:
    told = data(LOOSE, "--plan", "--keep", "birds", "--keep", "pen.width")
    changes = [
        change["path"]
        for fixes in (*[one["fixes"] for one in told["findings"]], told["plan"]["fixes"])
        for fix in fixes
        for change in fix["changes"]
    ]
    assert changes
    assert not [path for path in changes if re.match(r"birds\b|pen\.width\b", path)]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--with", "pen.lenght=3 m"], "did you mean `length`"),
        (["--with", "pen.length=3"], "has no unit"),
        (["--with", "pen.length"], "write it as KEY=VALUE"),
        (["--keep", "brids"], "did you mean `birds`"),
        (["--keep", "pen.colour"], "there is no key `pen.colour` to keep"),
    ],
)
def test_what_does_not_do_ends_the_run_with_what_would(options: list[str], says: str) -> None:
    result = run(UPHILL, *options)
    assert result.exit_code == 2
    assert says in result.stderr
    assert result.stdout == ""


def test_what_if_is_for_one_setup() -> None:
    result = run(UPHILL, LOOSE, "--with", "birds.0.count=3")
    assert result.exit_code == 2
    assert "--with is for one setup, and here are 2" in result.stderr


def test_what_if_of_a_file_that_cannot_be_read_says_what_is_wrong_with_the_file() -> None:
    result = run("fixtures/broken/typing-errors.flock.yaml", "--with", "birds.0.count=3")
    assert result.exit_code == 2
    assert "CANNOT BE READ" in result.stdout
