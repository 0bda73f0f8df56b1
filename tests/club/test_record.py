"""A report kept as a text comes back as it was, under any name."""

from __future__ import annotations

import json
import zlib
from datetime import date
from typing import Any

import pytest

from flockcheck.checkup.model import Acceptance, Change, Fix, Place, Plan
from flockcheck.club.record import (
    Record,
    Unfit,
    line_in,
    packed,
    record_of,
    report_in,
    standing_in,
)
from flockcheck.reports.jsonform import setup_data, setup_line
from flockcheck.reports.standing import standing_of
from tests.club.club_cases import judged
from tests.little_cases import may
from tests.reports.report_cases import reports

FIX = Fix(
    "make it longer", "work", 2.5,
    (Change("pen.length", 4.0, 4.5, "4 m", "4.5 m"),
     Change("guardians.1", None, None, "", "", (("kind", "dog"), ("count", "1"))),
     Change("birds.0.out", may(1), may(3), "2027-05-01", "2027-05-03"),
     Change("predators", ("fox", "mink"), ("fox",), "[fox, mink]", "[fox]")),
    ("tight",), (), ("pull-too-heavy",), ("pen.weight",),
)  # fmt: skip
PLAN = Plan((FIX,), 2.5, True, "ready until", may(20), ("tight",), (("tight", "fewer birds"),))


NAMES = list(reports())


def holding(whole: str) -> Record:
    return Record("[]", b"", zlib.compress(f"{{}}\n{whole}".encode()))


def whole_of(record: Record) -> str:
    return zlib.decompress(record.line + record.whole).decode().partition("\n")[2]


@pytest.mark.parametrize("name", NAMES)
def test_a_report_comes_back_as_it_was(name: str) -> None:
    report = reports()[name]
    record = packed(report)
    assert record_of(record.data) == record
    assert report_in(record, report.file, report.club) == report
    assert line_in(record, report.file, report.club) == setup_line(report)
    assert standing_in(record, report.file) == standing_of(report)


@pytest.mark.parametrize("name", NAMES)
def test_it_comes_back_under_another_name(name: str) -> None:
    moved = 'elsewhere/"quoted" \\ päth\t.flock.yaml'
    report = reports()[name]._replace(file=moved)
    record = packed(reports()[name])
    assert report_in(record, moved, "") == report
    assert json.loads(line_in(record, moved, "")) == json.loads(json.dumps(setup_data(report)))
    own = reports()[name].file
    assert own == "-" or own.encode() not in zlib.decompress(record.line + record.whole)


def test_the_clubs_file_is_put_in_too() -> None:
    report = judged("name: x\npredators: [weasel]", ("opening: 20 mm", "opening: 60 mm"))
    record = packed(report)
    assert b"club.yaml" not in zlib.decompress(record.line + record.whole)
    back = report_in(record, report.file, "../club.yaml")
    assert back == report._replace(club="../club.yaml")
    assert line_in(record, report.file, "../club.yaml") == setup_line(back)
    assert '"../club.yaml"' in setup_line(back)


def test_fixes_plans_and_every_field_come_back() -> None:
    report = reports()["not ready"]
    first = report.findings[0]._replace(
        fixes=(FIX,), accepted=Acceptance("so", may(3), "club"), place=Place("a", 1, 2, True)
    )
    full = report._replace(
        findings=(first, *report.findings[1:]), plan=PLAN, failures=("a: b",), required=("pen",)
    )
    assert report_in(packed(full), report.file, "") == full


def test_values_keep_their_kinds() -> None:
    report = reports()["not ready"]
    for value in (1, 1.0, True, None, "1", 0.1 + 0.2, may(1), ("a", "b"), ["a", 1.5], 1e300):
        change = Change("a", value, value, "", "")
        fixed = report.findings[0]._replace(fixes=(FIX._replace(changes=(change,)),))
        back = report_in(packed(report._replace(findings=(fixed,))), "x", "")
        old = back.findings[0].fixes[0].changes[0].old
        assert (old, type(old)) == (value, type(value))


@pytest.mark.parametrize("standing", [
    "", "x", "[]", '["a"]', "null", "{}", "7", '"eight by", "chance"', '"eightish"',
    '["n","fine","",[0,0,0,0],"","",[],[]]', '["n","ready",1,[0,0,0,0],"","",[],[]]',
    '["n","ready","",[0,0,0],"","",[],[]]', '["n","ready","",[0,0,0,"x"],"","",[],[]]',
])  # fmt: skip
def test_what_tells_no_standing_is_refused(standing: str) -> None:
    with pytest.raises(Unfit):
        standing_in(Record(standing, b"", b""), "x")


@pytest.mark.parametrize(
    "data",
    [
        b"", b"x", zlib.compress(b"{}\n[]")[:-9], zlib.compress(b"\xff"), zlib.compress(b"{}"),
        bytes(1000),
    ],
)  # fmt: skip
def test_what_is_not_squeezed_text_is_refused(data: bytes) -> None:
    with pytest.raises(Unfit):
        line_in(Record("[]", data, b""), "x", "")
    with pytest.raises(Unfit):
        report_in(Record("[]", b"", data), "x", "")


def test_what_is_cut_short_is_refused() -> None:
    record = packed(reports()["not ready"])
    # The last bytes of the line are only the mark that it ends.
    for left in range(0, len(record.line) - 10, 7):
        with pytest.raises(Unfit):
            line_in(record._replace(line=record.line[:left]), "x", "")
    for left in range(0, len(record.whole), 7):
        with pytest.raises(Unfit):
            report_in(record._replace(whole=record.whole[:left]), "x", "")


@pytest.mark.parametrize("whole", ["", "[]", "{}", "null", "[1,2]", "x", '"report"'])
def test_a_whole_report_of_another_form_is_refused(whole: str) -> None:
    with pytest.raises(Unfit):
        report_in(holding(whole), "x", "")


def test_what_swells_without_end_is_not_followed() -> None:
    """A hundred megabytes of nothing squeeze into a hundred kilobytes."""
    with pytest.raises(Unfit):
        line_in(Record("[]", zlib.compress(bytes(100_000_000)), b""), "x", "")


@pytest.mark.parametrize("data", [b"", b"x", b"\t\n", b"x\ty\n", b"3\t\xff\n"])
def test_bytes_that_are_no_record_are_refused(data: bytes) -> None:
    with pytest.raises(Unfit):
        record_of(data)


def test_a_record_with_a_value_of_another_kind_is_refused() -> None:
    report = reports()["ready"]
    data: list[Any] = json.loads(whole_of(packed(report)))
    for at, wrong in ((2, 5), (3, "soon"), (11, {"stop": "many"}), (12, "none"), (8, None)):
        spoiled = [*data[:at], wrong, *data[at + 1 :]]
        with pytest.raises(Unfit):
            report_in(holding(json.dumps(spoiled)), "x", "")
    assert report_in(holding(json.dumps(data)), report.file, "") == report
    assert date.fromisoformat(data[5]) == report.looked_until
