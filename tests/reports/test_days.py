"""The days as text, CSV and JSON."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from flockcheck.checkup.check import check
from flockcheck.checkup.ledger import Ledger, ledger
from flockcheck.checkup.wording import Wording
from flockcheck.reports.daysdata import days_data, write_csv, write_json
from flockcheck.reports.daystext import write
from flockcheck.reports.daysunits import UNITS
from flockcheck.setup.written import Setup
from tests.outside.cases import book, changed, setup_of

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = json.loads((ROOT / "src/flockcheck/reports/days.schema.json").read_text("utf-8"))
THIRD = {
    "birds.1.kind": "egg chicken",
    "birds.1.growth": "medium",
    "birds.1.count": "120",
    "birds.1.hatched": "2027-01-10",
    "birds.1.out": "2027-06-10",
    "birds.1.laying": "80 %",
    "birds.1.egg_weight": "60 g",
    "birds.2.kind": "turkey",
    "birds.2.count": "15",
    "birds.2.hatched": "2027-04-01",
    "birds.2.out": "2027-05-20",
    "birds.2.leaves": "2027-09-01",
    "look_ahead": "230 days",
}


def stay(
    changes: dict[str, Any], without: tuple[str, ...] = (), **how: Any
) -> tuple[Setup, Ledger]:
    setup = setup_of(changed(changes, without))
    return setup, ledger(setup, book(), check(setup, book()), **how)


def text(
    changes: dict[str, Any], without: tuple[str, ...] = (), units: str = "written", **how: Any
) -> str:
    setup, found = stay(changes, without, **how)
    return write(found, Wording(setup, units), book().sources)


CASES: list[tuple[dict[str, Any], tuple[str, ...], dict[str, Any]]] = [
    ({}, (), {}),
    ({}, ("feed", "weather", "pen.moves"), {"every": 10}),
    ({}, ("birds.0.leaves", "name"), {"every": 7}),
    (THIRD, (), {}),
    (THIRD, (), {"every": 30}),
    ({"birds.0.count": "100"}, (), {"every": 3}),
]


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize(("changes", "without", "how"), CASES)
def test_the_text_stays_within_eighty_columns(
    changes: dict[str, Any], without: tuple[str, ...], how: dict[str, Any], units: str
) -> None:
    said = text(changes, without, units, **how)
    assert max(map(len, said.splitlines())) <= 80
    assert said.endswith("\n")
    assert "None" not in said
    assert not any(line != line.rstrip() for line in said.splitlines())


@pytest.mark.parametrize(("changes", "without", "how"), CASES)
def test_the_json_keeps_to_its_schema(
    changes: dict[str, Any], without: tuple[str, ...], how: dict[str, Any]
) -> None:
    Draft202012Validator.check_schema(SCHEMA)
    _, found = stay(changes, without, **how)
    Draft202012Validator(SCHEMA).validate(json.loads(write_json(found)))


def test_every_key_of_a_row_is_in_the_schema_and_in_the_columns() -> None:
    data = days_data(stay({})[1])
    known = set(SCHEMA["$defs"]["row"]["properties"])
    columns = {column["name"] for column in data["columns"]}
    for row in data["rows"]:
        assert set(row) == known
        assert set(row) - {"from", "to", "begins"} == columns
    assert columns == set(UNITS)


def test_the_text_shows_each_day_and_the_batch() -> None:
    said = text({}, every=35).splitlines()
    assert said[0] == "Chapel field, May batch: 30 meat chickens, 17 May to 21 June 2027"
    assert said[2].split() == [
        "Age",
        "Birds",
        "Each",
        "Floor",
        "Feed",
        "Water",
        "Patch",
        "Night",
        "Heat",
    ]
    assert said[3].split() == ["kg", "kg/m2", "kg", "l", "kg/ha", "C", "C"]
    assert said[4].split()[:5] == ["17", "May", "35", "30", "1.18"]
    assert "The batch, 36 days" in said


def test_the_text_names_what_a_column_lacks() -> None:
    said = text({}, ("weather.day_high", "weather.periods"))
    assert "Water is not worked out: it needs weather.day_high." in said
    assert "Water  " not in said.splitlines()[2]


def test_findings_stand_under_the_day_on_which_they_begin() -> None:
    lines = text({"birds.0.count": "46"}).splitlines()
    at = lines.index("        watch: Too much live weight for the floor (floor-crowded)")
    assert lines[at - 1].startswith("20 June")


def test_us_units_are_shown_where_they_are_asked_for() -> None:
    said = text({}, units="us")
    assert said.splitlines()[3].split() == ["lb", "lb/ft2", "lb", "gal", "lb/acre", "F", "F"]


def test_the_lines_of_the_csv_have_one_cell_for_each_head() -> None:
    setup, found = stay(THIRD)
    lines = list(csv.reader(io.StringIO(write_csv(found, Wording(setup)))))
    assert {len(line) for line in lines} == {len(lines[0])}
    assert len(lines) == 1 + len(found.rows)
    assert lines[0][:5] == [
        "from",
        "to",
        "age (day), group 1",
        "age (day), group 2",
        "age (day), group 3",
    ]


def test_csv_and_json_tell_the_same_feed() -> None:
    setup, found = stay({}, every=5)
    lines = list(csv.DictReader(io.StringIO(write_csv(found, Wording(setup, "metric")))))
    told = [row["feed"] or 0.0 for row in days_data(found)["rows"]]
    assert [float(line["feed (kg)"] or 0) for line in lines] == pytest.approx(told)
