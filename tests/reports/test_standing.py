"""How setups stand: rows, what fails, and a table that fits any page."""

from __future__ import annotations

from typing import Any

import pytest

from flockcheck.checkup.model import StandardAnswer
from flockcheck.reports.standing import (
    VERDICTS,
    Standing,
    fails,
    middle_cut,
    not_read,
    standing_of,
    table,
    told,
)
from flockcheck.rulebook.model import GRADES
from tests.reports.report_cases import reports

LONG = "members/" + "/".join(["a-very-long-name-of-a-place"] * 4) + "/the-flock-itself.flock.yaml"


def one(**changes: Any) -> Standing:
    base = Standing("a.flock.yaml", "", "ready", "", (0, 0, 0, 0), "", "", (), ())
    return base._replace(**changes)


def plain(text: str, kind: str) -> str:
    return text


@pytest.mark.parametrize(
    ("standing", "failing"),
    [
        (one(), []),
        (one(open_worst="tip"), ["tip"]),
        (one(open_worst="watch"), ["tip", "watch"]),
        (one(open_worst="mend"), ["tip", "watch", "mend"]),
        (one(open_worst="stop"), ["tip", "watch", "mend", "stop"]),
        (one(verdict="over", open_worst="stop", unmet=("x",), required=("pen.weight",)), []),
        (one(verdict="unreadable"), list(GRADES)),
        (not_read("a", "it is gone"), list(GRADES)),
        (one(unmet=("little-hall",)), list(GRADES)),
        (one(required=("pen.weight",)), list(GRADES)),
        (one(verdict="cannot say"), []),
    ],
)
def test_a_setup_fails_for_what_is_as_bad_as_asked(standing: Standing, failing: list[str]) -> None:
    assert [grade for grade in GRADES if fails(standing, grade)] == failing
    unchecked = standing.verdict == "cannot say" or bool(failing)
    assert fails(standing, "tip", True) == unchecked


def test_the_worst_is_the_worst_that_counts() -> None:
    """What is accepted to its end does not; and of others only the days left open."""
    accepted = standing_of(reports()["accepted"])
    assert (accepted.open_worst, accepted.worst) == ("stop", "tight")
    bad = standing_of(reports()["not ready"])
    assert (bad.open_worst, bad.counts[0]) == ("stop", reports()["not ready"].counts["stop"])
    mild = reports()["mild"]._replace(
        standards=(StandardAnswer("x", False, ("tight",), ()), StandardAnswer("y", None, (), ())),
        required=("pen.weight",),
    )
    assert (standing_of(mild).unmet, standing_of(mild).required) == (("x",), ("pen.weight",))


def test_a_file_that_can_not_be_read_stands_with_its_first_error() -> None:
    report = reports()["unreadable"]
    assert standing_of(report).worst == f"line 4: {report.errors[0].says}"
    assert not_read("a", "it is gone").worst == "it is gone"


def rows() -> list[Standing]:
    found = [standing_of(report) for report in reports().values()]
    return [
        *found,
        one(file=LONG, verdict="ready until", until="2027-05-12", counts=(12, 345, 6, 7),
            open_worst="stop", worst="a-rule-with-a-name-that-goes-on-and-on-without-an-end"),
        one(file="x" * 200, verdict="unreadable", worst="line 7: " + "it is wrong " * 30),
        one(file="-", verdict="cannot say", required=("pen.weight", "mesh.wire") * 8),
        one(file="evil\x1b[31m\n.flock.yaml"),
    ]  # fmt: skip


@pytest.mark.parametrize("width", [40, 44, 60, 71, 72, 80, 100])
def test_no_line_is_longer_than_the_page_and_nothing_a_screen_obeys_is_shown(width: int) -> None:
    lines = table(rows(), plain, width)
    assert max(map(len, lines)) <= width
    assert all(line.isprintable() for line in lines)
    assert any("standard input" in line for line in lines)


def test_columns_stand_one_below_the_other() -> None:
    lines = table(rows(), plain, 80)
    head, rest = lines[0], lines[1 : len(rows()) + 1]
    at = head.index("Verdict")
    assert all(line[at - 1] == " " and line[at] != " " for line in rest)
    ends = [head.index(letter) for letter in (" S", " M", " W", " T")]
    assert all(line[end + 1] in ".0123456789" for line in rest for end in ends)


def test_stop_and_mend_are_painted_as_what_they_are() -> None:
    bad = one(open_worst="stop", worst="tight", counts=(1, 0, 0, 0))
    lines = table([one(), bad], lambda text, kind: f"<{kind}>{text}", 80)
    assert [line[: line.find(">") + 1] for line in lines[:3]] == ["<head>", "", "<stop>"]


@pytest.mark.parametrize(
    ("text", "width", "cut"),
    [
        ("abcdefghij", 10, "abcdefghij"),
        ("abcdefghij", 9, "abc...hij"),
        ("abcdefghij", 8, "ab...hij"),
    ],
)
def test_what_is_too_long_is_cut_in_its_middle(text: str, width: int, cut: str) -> None:
    assert middle_cut(text, width) == cut


def test_what_it_comes_to_counts_every_verdict_once() -> None:
    every = [one(verdict=verdict) for verdict in VERDICTS] * 2
    assert told(every) == (
        "12 setups: 2 ready, 2 ready until a day, 2 not ready, 2 cannot say, 2 over, "
        "2 can't be read."
    )
    assert told([one()]) == "1 setup: 1 ready."
    assert told([]) == "No setup."
