"""`flockcheck days`: formats, days shown, and what is said where it can't be done."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from flockcheck.cli import cli

ROOT = Path(__file__).resolve().parents[2]
BATCH = str(ROOT / "rules" / "base.flock.yaml")
LATE = str(ROOT / "fixtures" / "mixed" / "two-batches.flock.yaml")


def days(*args: str) -> Result:
    return CliRunner().invoke(cli, ["days", *args])


def test_the_days_of_a_batch_are_printed() -> None:
    done = days(BATCH)
    assert done.exit_code == 0
    assert "17 May" in done.output
    assert "The batch, 36 days" in done.output


def test_json_is_in_base_units_whatever_units_are_asked_for() -> None:
    us, metric = (days(BATCH, "--format", "json", "--units", family) for family in ("us", "metric"))
    assert us.output == metric.output
    assert json.loads(us.output)["rows"][0]["age"] == [35]


def test_days_and_rows_are_chosen() -> None:
    done = days(
        BATCH, "--from", "2027-06-01", "--to", "2027-06-14", "--every", "7", "--format", "json"
    )
    rows = json.loads(done.output)["rows"]
    assert [(row["from"], row["to"]) for row in rows] == [
        ("2027-06-01", "2027-06-07"),
        ("2027-06-08", "2027-06-14"),
    ]


def test_a_table_says_beside_itself_what_it_lacks() -> None:
    done = days(LATE, "--format", "csv")
    assert done.exit_code == 0
    assert "flockcheck: droppings needs feed.protein" in done.stderr
    assert done.stdout.startswith("from,to,")


def test_the_days_go_to_a_file(tmp_path: Path) -> None:
    file = tmp_path / "days.csv"
    done = days(BATCH, "--format", "csv", "--output", str(file))
    assert (done.exit_code, done.stdout) == (0, "")
    assert len(file.read_text(encoding="utf-8").splitlines()) == 37


@pytest.mark.parametrize(
    ("args", "says"),
    [
        ((BATCH, "--from", "2028-01-01"), "the stay runs from 2027-05-17 to 2027-06-21"),
        ((BATCH, "--from", "1 June"), "`1 June` is not a date"),
        (("nowhere.flock.yaml",), "there is no such file or folder"),
        ((str(ROOT / "fixtures/broken/typing-errors.flock.yaml"),), "can't be read"),
    ],
)
def test_what_can_not_be_shown_is_said_in_plain_words(args: tuple[str, ...], says: str) -> None:
    done = days(*args)
    assert done.exit_code == 2
    assert says in done.stderr
    assert "Traceback" not in done.output


def test_the_schema_of_the_days_is_printed() -> None:
    done = CliRunner().invoke(cli, ["schema", "days"])
    assert json.loads(done.output)["$id"] == "urn:flockcheck:schema:days"
