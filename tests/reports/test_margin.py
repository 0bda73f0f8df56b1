"""The margin format, read back by the rules that hosts read it by.

Source: GitHub's documentation "Workflow commands for GitHub Actions" (`::error file={name},
line={line},col={col},title={title}::{message}`), and the escapes of the toolkit it is written
with: in a message % CR LF, in a property : and , as well.
"""

from __future__ import annotations

import re
from urllib.parse import unquote

import pytest
from syrupy.assertion import SnapshotAssertion

from flockcheck.checkup.model import Problem
from flockcheck.reports.margin import write
from tests.little_cases import little
from tests.reports.report_cases import PROBLEMS, reports

NAMES = list(reports())
LINE = re.compile(r"::(error|warning|notice) ([^:]*)::(.*)")


def read(line: str) -> tuple[str, dict[str, str], str]:
    found = LINE.fullmatch(line)
    assert found, line
    level, told, text = found.groups()
    pairs = (part.split("=", 1) for part in told.split(","))
    return level, {name: unquote(value) for name, value in pairs}, unquote(text)


@pytest.mark.parametrize("name", NAMES)
def test_each_finding_that_counts_is_a_line_at_its_place(name: str) -> None:
    report = reports()[name]
    lines = [read(line) for line in write([report], little(), []).splitlines()]
    wanted = [] if report.verdict == "over" else [one for one in report.findings if one.counts]
    assert len(lines) == len(wanted) + len(report.errors)
    for (level, told, text), finding in zip(lines[len(report.errors) :], wanted, strict=True):
        grades = {"stop": "error", "mend": "error", "watch": "warning", "tip": "notice"}
        assert level == grades[finding.grade]
        assert told["file"] == report.file
        assert (told["line"], told["col"]) == (str(finding.place.line), str(finding.place.column))
        assert finding.title in told["title"] and finding.rule in told["title"]
        assert text.startswith(finding.says)


def test_an_unreadable_file_and_a_problem_of_the_run_are_errors() -> None:
    unreadable = next(one for one in reports().values() if one.errors)
    lines = [read(line) for line in write([unreadable], little(), PROBLEMS).splitlines()]
    assert [text for _, _, text in lines] == [
        *(fault.says for fault in unreadable.errors),
        *(problem.says for problem in PROBLEMS),
    ]
    assert {level for level, _, _ in lines} == {"error"}


def test_no_name_and_no_text_can_end_a_line_or_a_property() -> None:
    trick = Problem("a, b: c\n::notice file=x::hidden", "100 %\r\n::error ::one more")
    [line] = write([], little(), [trick]).splitlines()
    level, told, text = read(line)
    assert (level, told, text) == ("error", {"title": trick.about}, trick.says)


def test_the_lines_come_out_as_they_did(snapshot: SnapshotAssertion) -> None:
    assert write(list(reports().values()), little(), PROBLEMS) == snapshot


def test_what_comes_from_the_club_points_there_and_what_it_requires_is_an_error() -> None:
    report = reports()["not ready"]
    first = report.findings[0]
    place = first.place._replace(club=True)
    under = report._replace(
        club="club.yaml", required=("mesh.wire",), findings=(first._replace(place=place),)
    )
    found, lacking = (read(line) for line in write([under], little(), ()).splitlines())
    assert found[1]["file"] == "club.yaml"
    assert (lacking[0], lacking[1]["file"]) == ("error", report.file)
    assert lacking[2] == "`mesh.wire` is not written, and the club requires it."


def test_other_ways_are_told_by_or_and_advice_by_also() -> None:
    report = reports()["not ready"]
    finding = report.findings[0]._replace(advice=("roof it", "go elsewhere", "Look at noon."))
    [line] = write([report._replace(findings=(finding,))], little(), []).splitlines()
    assert read(line)[2].splitlines()[-3:] == [
        "Do: roof it.",
        "Or: go elsewhere.",
        "Also: Look at noon.",
    ]
