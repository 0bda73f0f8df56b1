"""`flockcheck days` on whole setups: a meat batch, a winter without an end, two arrivals.

What is expected is added up here from the table that is printed, row by row.
"""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

from flockcheck.cli import cli

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = json.loads((ROOT / "src/flockcheck/reports/days.schema.json").read_text("utf-8"))
BATCH = "fixtures/good/hazel-lane.flock.yaml"
WINTER = "fixtures/good/sloe-bank-pullets.flock.yaml"
TWO = "fixtures/good/fern-hollow-two-arrivals.flock.yaml"
EVERY = (1, 7, 30)
ALL = pytest.mark.parametrize("path", [BATCH, WINTER, TWO])


def printed(path: str, *args: str) -> str:
    done = CliRunner().invoke(cli, ["days", str(ROOT / path), *args])
    assert done.exit_code == 0, done.output
    return done.stdout


def table(path: str, *args: str) -> list[dict[str, str]]:
    text = printed(path, "--format", "csv", "--units", "metric", *args)
    return list(csv.DictReader(io.StringIO(text)))


def data(path: str, *args: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(printed(path, "--format", "json", *args))
    return found


def added(rows: list[dict[str, str]], column: str) -> float:
    return sum(float(row[column] or 0) for row in rows)


@ALL
@pytest.mark.parametrize("every", EVERY)
def test_the_totals_are_what_the_rows_of_the_table_add_up_to(path: str, every: int) -> None:
    rows, batch = table(path, "--every", str(every)), data(path, "--every", str(every))["batch"]
    assert batch["feed"] == pytest.approx(added(rows, "feed (kg)"))
    assert 1000 * batch["water"] == pytest.approx(added(rows, "water (l)"))
    assert batch["nitrogen"] == pytest.approx(added(rows, "nitrogen (kg)"))
    assert sum(ration["feed"] for ration in batch["rations"]) == pytest.approx(batch["feed"])
    days = [
        (date.fromisoformat(row["to"]) - date.fromisoformat(row["from"])).days + 1 for row in rows
    ]
    assert sum(days) == batch["days"]
    assert days[:-1] == [every] * (len(days) - 1)


@ALL
def test_the_totals_do_not_hang_on_how_many_days_a_row_has(path: str) -> None:
    one, *others = (data(path, "--every", str(every))["batch"] for every in EVERY)
    for other in others:
        for key in ("feed", "water", "nitrogen", "ground"):
            assert other[key] == pytest.approx(one[key])
        assert (other["days"], other["patches"]) == (one["days"], one["patches"])


@ALL
def test_two_parts_of_a_stay_come_to_the_whole(path: str) -> None:
    whole = data(path)
    middle = date.fromisoformat(whole["from"]) + timedelta(days=20)
    early = data(path, "--to", middle.isoformat())["batch"]
    late = data(path, "--from", (middle + timedelta(days=1)).isoformat())["batch"]
    for key in ("feed", "water", "nitrogen", "ground", "days", "patches"):
        assert early[key] + late[key] == pytest.approx(whole["batch"][key])


@ALL
@pytest.mark.parametrize("every", EVERY)
def test_the_json_keeps_to_its_schema(path: str, every: int) -> None:
    Draft202012Validator(SCHEMA).validate(data(path, "--every", str(every)))


@ALL
@pytest.mark.parametrize("units", ["us", "metric", "written"])
@pytest.mark.parametrize("every", EVERY)
def test_the_text_stays_within_eighty_columns(path: str, units: str, every: int) -> None:
    text = printed(path, "--units", units, "--every", str(every))
    assert max(map(len, text.splitlines())) <= 80


@ALL
def test_us_and_metric_tables_tell_the_same(path: str) -> None:
    us = list(csv.DictReader(io.StringIO(printed(path, "--format", "csv", "--units", "us"))))
    # Pounds of 0.45359237 kg and gallons of 3.785411784 l.
    assert added(us, "feed (lb)") * 0.45359237 == pytest.approx(added(table(path), "feed (kg)"))
    assert added(us, "water (gal)") * 3.785411784 == pytest.approx(added(table(path), "water (l)"))


def test_a_stay_without_an_end_goes_as_far_as_it_is_looked_ahead() -> None:
    found = data(WINTER)
    # 170 days from 2 October 2027.
    assert (found["from"], found["to"]) == ("2027-10-02", "2028-03-20")
    assert (found["verdict"], found["ready_until"]) == ("ready until", "2028-03-20")
    assert (found["open_end"], found["batch"]["yields"][0]["leaves_written"]) == (True, False)
    assert found["rows"][-1]["feed"] > 0
    assert "as far as was looked; no day of leaving is written" in " ".join(
        printed(WINTER, "--every", "30").split()
    )


def test_two_arrivals_are_in_the_table_from_their_own_days_on() -> None:
    rows = {row["from"]: row for row in table(TWO)}
    assert rows["2027-05-29"]["birds, group 2"] == ""
    assert rows["2027-05-30"]["birds, group 2"] == "16"
    assert rows["2027-06-26"]["birds, group 1"] == "18"
    assert rows["2027-06-27"]["birds, group 1"] == ""
    # On the day on which all are there the floor of 4 m by 2.4 m carries both.
    day = rows["2027-06-10"]
    weight = 18 * float(day["weight (kg), group 1"]) + 16 * float(day["weight (kg), group 2"])
    assert float(day["floor load (kg/m2)"]) == pytest.approx(weight / (4 * 2.4))


def test_feed_falls_when_the_first_group_has_left() -> None:
    rows = {row["from"]: float(row["feed (kg)"] or 0) for row in table(TWO)}
    assert rows["2027-06-26"] < rows["2027-06-25"]
    assert rows["2027-07-04"] == 0


@pytest.mark.parametrize(
    "path", sorted((ROOT / "fixtures" / "sound").glob("*.flock.yaml")), ids=lambda path: path.stem
)
def test_a_number_of_the_batch_stays_on_one_line_with_its_unit(path: Path) -> None:
    text = printed(str(path.relative_to(ROOT)))
    batch = text[text.index("\nThe batch") :]
    assert not [line for line in batch.splitlines() if re.search(r" \d+(\.\d+)?$", line)]
