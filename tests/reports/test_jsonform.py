"""The JSON report: what other programs read, held against its schema."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from syrupy.assertion import SnapshotAssertion

import flockcheck
from flockcheck.reports.jsonform import setup_data, write
from tests.little_cases import birds, little, report
from tests.reports.report_cases import PROBLEMS, reports

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = json.loads(
    (ROOT / "src" / "flockcheck" / "reports" / "report.schema.json").read_text(encoding="utf-8")
)
JUDGE = Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER)
NAMES = list(reports())


@pytest.mark.parametrize("name", NAMES)
def test_a_setup_comes_out_as_it_did(name: str, snapshot: SnapshotAssertion) -> None:
    assert json.dumps(setup_data(reports()[name]), indent=1, ensure_ascii=False) == snapshot


@pytest.mark.parametrize("name", NAMES)
def test_a_report_is_valid_against_its_schema(name: str) -> None:
    JUDGE.validate(json.loads(write([reports()[name]], little(), PROBLEMS)))


def test_a_whole_run_is_valid_and_tells_version_rulebooks_and_problems() -> None:
    run = json.loads(write(list(reports().values()), little(), PROBLEMS))
    JUDGE.validate(run)
    assert run["flockcheck"]["version"] == flockcheck.__version__
    assert run["flockcheck"]["report"] == 1
    assert [book["name"] for book in run["flockcheck"]["rulebooks"]] == ["figures", "little_book"]
    assert run["problems"] == [{"about": one.about, "says": one.says} for one in PROBLEMS]
    assert [one["file"] for one in run["setups"]] == [one.file for one in reports().values()]


def test_a_run_of_nothing_is_valid() -> None:
    JUDGE.validate(json.loads(write((), little(), ())))


def test_the_same_reports_give_the_same_bytes_ending_in_one_newline() -> None:
    every = list(reports().values())
    text = write(every, little(), PROBLEMS)
    assert text == write(list(every), little(), list(PROBLEMS))
    assert text.endswith("}\n")
    assert not text.endswith("\n\n")


def test_numbers_are_in_base_units_whatever_the_keeper_wrote() -> None:
    us = report(birds(100), units="us")
    (tight,) = setup_data(us)["findings"]
    assert tight["measured"] == {
        "name": "floor_load", "value": 30.0, "unit": "kg/m2", "shown": "6.14 lb/sq ft",
    }  # fmt: skip
    assert tight["limit"] == {"at_most": 25.0, "unit": "kg/m2", "shown": "5.12 lb/sq ft"}
    assert tight["worst"] == {"day": "2027-05-31", "value": 30.0}
    assert tight["from"] == "2027-05-02"
    assert tight["days"][0] == {"from": "2027-05-02", "to": "2027-05-11", "grade": "watch"}


@pytest.mark.parametrize(
    ("change", "limit"),
    [
        (("latches: two-step", "latches: simple"), {"is": "two-step", "shown": "two-step"}),
        (("lid_fastened: yes", "lid_fastened: no"), {"is": True, "shown": "yes"}),
        (("footwear: dedicated", "footwear: shared"),
         {"one_of": ["dedicated", "disinfected"], "shown": "dedicated and disinfected"}),
        (("store: sealed", "store: bag"), {"not": ["bag", "open"], "shown": "bag and open"}),
        (("source: mains", "source: surface"), {"not": "surface", "shown": "surface"}),
        (("guardians:", "pets: [dog]\nguardians:"), {"none": True, "shown": "none"}),
        (("heat_off: 2027-04-24", "heat_off: 2027-05-02"),
         {"at_most": "2027-05-01", "shown": "1 May"}),
    ],
)  # fmt: skip
def test_a_limit_of_every_kind_is_told_as_it_is_judged(
    change: tuple[str, str], limit: dict[str, Any]
) -> None:
    of = report(change)
    JUDGE.validate(json.loads(write([of], little(), ())))
    assert setup_data(of)["findings"][0]["limit"] == {**limit, "unit": None}


def test_an_unreadable_file_has_its_errors_and_nothing_else() -> None:
    data = setup_data(reports()["unreadable"])
    assert [one["line"] for one in data["errors"]] == [4, 6, 9, 11]
    assert (data["verdict"], data["asked"], data["findings"]) == ("unreadable", 0, [])
