"""The text report: plain, calm, within its width, complete without colour."""

from __future__ import annotations

import re
from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from flockcheck.checkup.model import Report
from flockcheck.checkup.wording import day_words
from flockcheck.reports.sources import cite_words
from flockcheck.reports.text import WIDTH, write
from tests.little_cases import found, little
from tests.reports.report_cases import PROBLEMS, reports

NAMES = list(reports())
COLOUR = re.compile(r"<[a-z]+>|</>")


def text(*of: Report, **options: Any) -> str:
    return write(of, little(), (), **options)


def painted(said: str, kind: str) -> str:
    return f"<{kind}>{said}</>"


@pytest.mark.parametrize("name", NAMES)
def test_a_report_reads_as_it_did(name: str, snapshot: SnapshotAssertion) -> None:
    assert text(reports()[name]) == snapshot


def test_a_run_with_problems_and_several_setups_reads_as_it_did(
    snapshot: SnapshotAssertion,
) -> None:
    some = [reports()[name] for name in ("ready", "ready until", "unreadable", "cannot say")]
    assert write(some, little(), PROBLEMS) == snapshot


@pytest.mark.parametrize("width", [40, 57, WIDTH, 200])
@pytest.mark.parametrize("name", NAMES)
def test_every_line_keeps_within_the_width(name: str, width: int) -> None:
    lines = text(reports()[name], width=width).splitlines()
    for line in lines:
        # A file's name can't be broken, however narrow the page.
        assert len(line) <= min(width, WIDTH) or " " not in line.strip()
    assert all(line == line.rstrip() for line in lines)


@pytest.mark.parametrize("width", [40, WIDTH])
@pytest.mark.parametrize("name", NAMES)
def test_paint_changes_no_word_and_no_place(name: str, width: int) -> None:
    plain = text(reports()[name], width=width)
    colours = text(reports()[name], width=width, paint=painted)
    assert COLOUR.sub("", colours) == plain
    assert colours != plain


@pytest.mark.parametrize("name", NAMES)
def test_the_first_words_are_the_setup_and_its_verdict(name: str) -> None:
    report = reports()[name]
    head, verdict, *_ = text(report).split("\n\n")
    assert head.startswith(report.name or report.file)
    word = "cannot be read" if report.verdict == "unreadable" else report.verdict
    assert verdict.startswith(word.upper())


@pytest.mark.parametrize("name", NAMES)
def test_every_finding_is_told_with_its_grade_its_place_and_its_source(name: str) -> None:
    report = reports()[name]
    words = " ".join(text(report).split())
    for finding in report.findings:
        assert f"{finding.grade.capitalize()} {finding.title}" in words
        assert finding.says in words
        assert f"{report.file}:{finding.place.line} ({finding.rule})" in words
        for cite in finding.cites:
            assert cite_words(cite, little().sources, brief=True) in words


@pytest.mark.parametrize("name", NAMES)
def test_no_code_no_caret_and_no_raw_value_is_shown(name: str) -> None:
    said = text(reports()[name])
    assert not re.search(r"\^|\bNone\b|\bTrue\b|\bFalse\b|\{|\}|\.0\.|'\)|datetime", said)
    assert ".." not in said.replace(" ...", "")
    assert not re.search(r"[?!]\.", said)


def test_findings_with_one_cause_stand_side_by_side_under_one_title() -> None:
    said = text(reports()["not ready"])
    assert said.count("The nights are too cold for their age") == 1 + said.count("(stop)") - 1
    assert "- Group 1 (meat chickens): 8 C on 1 May" in said
    assert "- Group 2 (meat chickens): 8 C on 1 May" in said


def test_an_acceptance_says_why_until_when_and_why_not_longer() -> None:
    words = " ".join(text(reports()["accepted"]).split())
    lamp = found(reports()["accepted"], "lamp-loose")
    assert lamp.accepted is not None
    assert (
        "Accepted until 31 May, no longer since someone can get hurt: the new chains come on "
        "Monday." in words
    )
    assert "Accepted until 15 May: half of them go to a neighbour." in words


def test_what_to_measure_next_stands_in_the_order_of_what_it_would_settle() -> None:
    said = text(reports()["cannot say"])
    counts = [int(n) for n in re.findall(r"  (\d+) question", said[said.index("Measure next") :])]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > 1


def test_the_same_reports_give_the_same_text() -> None:
    every = list(reports().values())
    assert write(every, little(), PROBLEMS) == write(list(every), little(), list(PROBLEMS))


def test_a_run_without_any_setup_still_says_what_went_wrong() -> None:
    assert write((), little(), PROBLEMS) == (
        "Trouble with plugin bees: ImportError: no module. It is left out of this run.\n"
        "Trouble with ../hives: it may not be read or written by you.\n"
    )


def test_days_that_were_looked_at_and_are_gone_are_said_to_be() -> None:
    report = reports()["cannot say"]
    until = report.looked_until
    assert report.open_end
    assert until is not None
    later = until.replace(year=until.year + 1)
    words = " ".join(text(report, on=later).split())
    assert f"is gone on {day_words(later, year=True)}, and nothing after it was looked at" in words
    assert "as `leaves`, or a longer `look_ahead`" in words
    for other in (text(report), text(report, on=until), text(reports()["ready"], on=later)):
        assert "is gone on" not in other
