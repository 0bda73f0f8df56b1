"""The SARIF report: valid against the OASIS schema, its places and fixes held against the text."""

from __future__ import annotations

import hashlib
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft4Validator
from syrupy.assertion import SnapshotAssertion

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Change, Finding, Fix, Problem, Report
from flockcheck.checkup.solve import solve
from flockcheck.reports.sarif import FINGERPRINT, write
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.rewrite import rewritten
from flockcheck.workshop import tools
from tests.little_cases import BASE, ROOT, birds, changed, found, little, report
from tests.reports.report_cases import BARE, BROKEN, CHANGES, PROBLEMS, reports

SCHEMA = Path(__file__).parents[1] / "data" / "sarif" / "sarif-schema-2.1.0.json"
DIGEST = "c3b4bb2d6093897483348925aaa73af03b3e3f4bd4ca38cef26dcb4212a2682e"
NAMES = list(reports())
# Lines as the run declares them.
LINES = re.compile("\r\n|[\n\r\x85\u2028\u2029]")


@cache
def judge() -> Draft4Validator:
    """The schema as a judge."""
    return Draft4Validator(json.loads(SCHEMA.read_text(encoding="utf-8")))


def text_of(file: str) -> str | None:
    """The texts of the reports' setups."""
    texts = {
        f"{name.replace(' ', '-')}.flock.yaml": changed(BASE, *CHANGES[name]) for name in CHANGES
    }
    return {**texts, "bare.flock.yaml": BARE, "broken.flock.yaml": BROKEN}.get(file)


def log_of(
    *of: Report,
    book: Rulebook | None = None,
    problems: tuple[Problem, ...] = (),
    text: Any = text_of,
) -> dict[str, Any]:
    """The run of some reports, which the schema must find valid."""
    log = json.loads(write(of, book or little(), problems, text_of=text))
    judge().validate(log)
    (run,) = log["runs"]
    assert isinstance(run, dict)
    return run


def at(text: str, line: int, column: int) -> int:
    """Where a line and a column of SARIF stand in a text."""
    starts = [0, *(found.end() for found in LINES.finditer(text))]
    return starts[line - 1] + column - 1


def stretch(text: str, region: dict[str, int]) -> tuple[int, int]:
    """Where a region begins and ends in a text."""
    return (
        at(text, region["startLine"], region["startColumn"]),
        at(text, region["endLine"], region["endColumn"]),
    )


def fixed(text: str, fix: dict[str, Any]) -> str:
    """A text with the replacements of a fix made, as a program that knows only SARIF does."""
    (change,) = fix["artifactChanges"]
    done = []
    for one in change["replacements"]:
        done.append((*stretch(text, one["deletedRegion"]), one["insertedContent"]["text"]))
    for start, end, new in sorted(done, reverse=True):
        text = text[:start] + new + text[end:]
    return text


def with_fixes(of: Report, *fixes: Fix) -> Report:
    """A report whose first finding has fixes."""
    first = of.findings[0]._replace(fixes=fixes)
    return of._replace(findings=(first, *of.findings[1:]))


def fix_of(*changes: Change, kind: str = "choice") -> Fix:
    """A fix with those changes."""
    return Fix("keep fewer birds", kind, 3.3, changes, ("tight",), (), ("lonely",), ())


FEWER = Change("birds.0.count", 100, 60, "100", "60")
NET = (("kind", "electric net"), ("count", "1"))


def test_the_schema_is_the_standards_own() -> None:
    assert hashlib.sha256(SCHEMA.read_bytes()).hexdigest() == DIGEST


@pytest.mark.parametrize("name", NAMES)
def test_every_report_is_valid(name: str) -> None:
    run = log_of(reports()[name], problems=PROBLEMS)
    assert len(run["results"]) == len(reports()[name].findings) + len(reports()[name].errors)


def test_a_whole_run_is_valid_and_the_same_bytes_each_time(snapshot: SnapshotAssertion) -> None:
    every = list(reports().values())
    text = write(every, little(), PROBLEMS, text_of=text_of)
    judge().validate(json.loads(text))
    assert text == write(list(every), little(), list(PROBLEMS), text_of=text_of)
    assert text.endswith("}\n")
    picked = [reports()[name] for name in ("ready until", "accepted", "unreadable")]
    shown = json.loads(write(picked, little(), PROBLEMS, text_of=text_of))
    shown["runs"][0]["tool"]["driver"]["version"] = "VERSION"
    shown["runs"][0]["tool"]["driver"]["properties"] = {}
    assert json.dumps(shown, indent=1, ensure_ascii=False) == snapshot


def test_a_run_of_nothing_is_valid() -> None:
    run = log_of()
    assert (run["results"], run["invocations"][0]["executionSuccessful"]) == ([], True)


@pytest.mark.parametrize(
    ("grade", "level"),
    [("stop", "error"), ("mend", "error"), ("watch", "warning"), ("tip", "note")],
)
def test_each_grade_has_its_level(grade: str, level: str) -> None:
    results = [one for name in NAMES for one in log_of(reports()[name])["results"]]
    levels = {one["level"] for one in results if one.get("properties", {}).get("grade") == grade}
    assert levels == {level}


def test_every_result_names_its_rule_its_place_and_what_it_is_about() -> None:
    for name in NAMES:
        run = log_of(reports()[name])
        rules = run["tool"]["driver"]["rules"]
        prints = [one["partialFingerprints"][FINGERPRINT] for one in run["results"]]
        assert len(set(prints)) == len(prints)
        for one in run["results"]:
            assert rules[one["ruleIndex"]]["id"] == one["ruleId"]
            assert rules[one["ruleIndex"]]["help"]["text"]
            assert len(one["locations"]) == 1


def test_a_region_holds_just_what_is_written_there() -> None:
    setup = read_setup_text(text_of("not-ready.flock.yaml") or "", "x")
    values = 0
    for one in log_of(reports()["not ready"])["results"]:
        (place,) = one["locations"]
        start, end = stretch(setup.text, place["physicalLocation"]["region"])
        path = place["logicalLocations"][0]["fullyQualifiedName"]
        if path in setup.values:
            values += 1
            assert setup.text[start:end].strip("[]") == setup.values[path].text
        else:
            assert start < end <= at(setup.text, setup.place(path)[1].line + 1, 1)
    assert values > 5


def test_without_a_text_places_have_a_beginning_and_fixes_are_left_out() -> None:
    of = with_fixes(reports()["ready until"], fix_of(FEWER))
    (one, *_) = log_of(of, text=lambda file: None)["results"]
    assert sorted(one["locations"][0]["physicalLocation"]["region"]) == ["startColumn", "startLine"]
    assert "fixes" not in one


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_the_replacements_of_a_fix_give_the_text_that_mending_writes(newline: str) -> None:
    text = changed(BASE, birds(100)).replace("\n", newline)
    of = check(read_setup_text(text, "a.flock.yaml"), little())
    there = read_setup_text(text, "x").lists["guardians"]
    changes: tuple[Change, ...] = (
        FEWER,
        Change("site.slope", None, 0.04, "", "4 %"),
        Change("weather.gust", None, 5.0, "", "5 m/s"),
        Change(f"guardians.{there}", None, None, "", "{kind: electric net}", NET),
    )
    of = with_fixes(of, fix_of(*changes))
    (result, *_) = log_of(of, text=lambda file: text)["results"]
    (fix,) = result["fixes"]
    assert fix["description"]["text"] == "keep fewer birds"
    assert fix["properties"] == {
        "kind": "choice",
        "effort": 3.3,
        "clears": ["tight"],
        "brings": ["lonely"],
    }
    new = fixed(text, fix)
    assert new == rewritten(text, changes)
    assert read_setup_text(new, "x").values["birds.0.count"].value == 60


def test_a_fix_that_cannot_be_written_is_left_out_and_the_others_stay() -> None:
    of = reports()["ready until"]
    odd = fix_of(Change("pen.length.roof", None, 1.0, "", "1 m"))
    (one, *_) = log_of(with_fixes(of, odd, fix_of(FEWER)))["results"]
    assert len(one["fixes"]) == 1
    (one, *_) = log_of(with_fixes(of, odd))["results"]
    assert "fixes" not in one


def test_a_text_that_changed_since_the_check_gives_no_fixes_and_no_trouble() -> None:
    of = with_fixes(reports()["ready until"], fix_of(FEWER))
    (one, *_) = log_of(of, text=lambda file: "flockcheck: [1\n")["results"]
    assert "fixes" not in one


def test_what_the_keeper_accepted_is_suppressed_with_the_reason() -> None:
    of = reports()["accepted"]
    results = {one["ruleId"]: one for one in log_of(of)["results"]}
    (kept,) = results["lamp-loose"]["suppressions"]
    assert kept == {
        "kind": "inSource",
        "status": "accepted",
        "justification": f"the new chains come on Monday. Accepted until {until(of)}.",
    }
    # Accepted for some of its days only: it counts again, and a viewer must not hide it.
    assert found(of, "tight").counts
    assert "suppressions" not in results["tight"]
    assert results["tight"]["properties"]["accepted"]["because"] == "half of them go to a neighbour"


def until(of: Report) -> str:
    accepted = found(of, "lamp-loose").accepted
    assert accepted is not None
    return accepted.until.isoformat()


def test_what_is_wrong_with_a_file_is_a_result_and_a_failed_run() -> None:
    run = log_of(reports()["unreadable"], reports()["ready"])
    (invocation,) = run["invocations"]
    assert invocation["executionSuccessful"] is False
    (told,) = invocation["toolExecutionNotifications"]
    assert told["message"]["text"] == "broken.flock.yaml was not checked: 4 mistakes in it."
    assert {one["ruleId"] for one in run["results"]} == {"setup/unreadable"}
    first = run["results"][0]
    assert first["message"]["text"].startswith("`length`: `12` has no unit")
    start, end = stretch(BROKEN, first["locations"][0]["physicalLocation"]["region"])
    assert BROKEN[start:end] == "12"


def lacking(*keys: str, **more: Any) -> Report:
    """The report of a ready setup that lacks what its club requires."""
    return reports()["ready"]._replace(required=keys, **more)


def test_each_key_that_the_club_requires_is_a_result_where_it_would_stand() -> None:
    text = text_of("ready.flock.yaml") or ""
    run = log_of(lacking("mesh.wire", "drinkers.heater", "scales"), reports()["unreadable"])
    results = [one for one in run["results"] if one["ruleId"] == "club/required"]
    assert [one["properties"]["key"] for one in results] == [
        "mesh.wire",
        "drinkers.heater",
        "scales",
    ]
    assert {one["level"] for one in results} == {"error"}
    assert results[0]["message"]["text"] == "`mesh.wire` is not written, and the club requires it."
    rules = run["tool"]["driver"]["rules"]
    assert {rules[one["ruleIndex"]]["id"] for one in results} == {"club/required"}
    assert len({one["partialFingerprints"][FINGERPRINT] for one in results}) == 3
    places = [one["locations"][0] for one in results]
    for place, name in zip(places, ("mesh", "drinkers"), strict=False):
        assert place["logicalLocations"][0]["fullyQualifiedName"] == name
        start, end = stretch(text, place["physicalLocation"]["region"])
        (head,) = [line for line in LINES.split(text) if line.startswith(f"{name}:")]
        assert text.index(f"\n{name}:") < start < end
        inline = head.partition(": ")[2]
        assert not inline or text[start:end] == inline
    assert places[2]["physicalLocation"]["region"] == {
        "startLine": 1, "startColumn": 1, "endLine": 1, "endColumn": len("flockcheck: 1") + 1,
    }  # fmt: skip


def test_what_the_club_requires_is_a_note_once_the_birds_have_left() -> None:
    # Then it fails nothing; see `fails`.
    run = log_of(lacking("mesh.wire", verdict="over"))
    assert [one["level"] for one in run["results"] if one["ruleId"] == "club/required"] == ["note"]


def test_without_a_text_what_is_required_points_to_the_beginning() -> None:
    (one,) = [
        one
        for one in log_of(lacking("mesh.wire"), text=lambda file: None)["results"]
        if one["ruleId"] == "club/required"
    ]
    assert one["locations"][0]["physicalLocation"]["region"] == {"startLine": 1, "startColumn": 1}


def test_where_nothing_is_required_the_run_has_no_such_rule() -> None:
    rules = log_of(reports()["ready"])["tool"]["driver"]["rules"]
    assert "club/required" not in {one["id"] for one in rules}


def test_what_went_wrong_with_the_run_is_a_notification() -> None:
    (invocation,) = log_of(reports()["ready"], problems=PROBLEMS)["invocations"]
    assert invocation["executionSuccessful"] is False
    assert [one["message"]["text"] for one in invocation["toolExecutionNotifications"]] == [
        f"{one.about}: {one.says}." for one in PROBLEMS
    ]


@pytest.mark.parametrize(
    ("file", "uri"),
    [
        ("members/alder-bank.flock.yaml", "members/alder-bank.flock.yaml"),
        ("old pens/über #2 50%.flock.yaml", "old%20pens/%C3%BCber%20%232%2050%25.flock.yaml"),
        ("a:b.flock.yaml", "a%3Ab.flock.yaml"),
        ("../home.flock.yaml", "../home.flock.yaml"),
        ("/home/me/a b.flock.yaml", "file:///home/me/a%20b.flock.yaml"),
    ],
)
def test_a_file_name_becomes_an_address(file: str, uri: str) -> None:
    run = log_of(report(birds(100))._replace(file=file))
    assert run["artifacts"][0]["location"]["uri"] == uri
    (place,) = run["results"][0]["locations"]
    assert place["physicalLocation"]["artifactLocation"] == {"uri": uri, "index": 0}


def test_standard_input_has_no_address() -> None:
    run = log_of(report(birds(100))._replace(file="-"))
    (artifact,) = run["artifacts"]
    assert artifact["description"]["text"] == "standard input"
    assert "location" not in artifact
    (place,) = run["results"][0]["locations"]
    assert place["physicalLocation"]["artifactLocation"] == {"index": 0}


def test_a_rule_comes_with_its_question_reasons_caution_and_linked_sources() -> None:
    run = log_of(*reports().values())
    book = little()
    rules = {one["id"]: one for one in run["tool"]["driver"]["rules"]}
    assert set(rules) >= {finding.rule for one in reports().values() for finding in one.findings}
    linked = 0
    for name, told in rules.items():
        if name not in book.rules:
            continue
        rule = book.rules[name]
        assert told["shortDescription"]["text"] == rule.title
        assert told["fullDescription"]["text"] == rule.asks
        assert told["properties"]["tags"] == [rule.topic]
        assert rule.why.strip() in told["help"]["text"]
        assert rule.caution.strip() in told["help"]["text"]
        linked += "](<https://" in told["help"]["markdown"]
        places = [book.sources[one.cites["id"]].at for one in rule.limits if "id" in one.cites]
        for place in filter(None, places):
            assert f"](<https://{place}>)" in told["help"]["markdown"]
    assert linked


def test_days_numbers_and_sources_go_along() -> None:
    of = reports()["ready until"]
    finding: Finding = of.findings[0]
    (one, *_) = log_of(of)["results"]
    assert finding.measured and finding.limit and finding.first
    assert one["properties"]["measured"]["shown"] == finding.measured.shown
    assert one["properties"]["limit"]["shown"] == finding.limit.shown
    assert one["properties"]["from"] == finding.first.isoformat()
    assert len(one["properties"]["days"]) == len(finding.spans)
    assert one["properties"]["sources"] == [dict(cite) for cite in finding.cites]
    assert one["message"]["text"] == f"{finding.title}. {finding.says}"


GONE_WRONG = sorted((ROOT / "fixtures" / "gone-wrong").glob("*.flock.yaml"))


@pytest.mark.parametrize("path", GONE_WRONG, ids=lambda path: path.name.partition(".")[0])
def test_a_program_that_knows_only_sarif_can_mend_what_went_wrong(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    of = solve(read_setup_text(text, path.name), built_in())
    results = log_of(of, book=built_in(), text=lambda file: text)["results"]
    offered = 0
    for finding, result in zip(of.findings, results, strict=True):
        fixes = result.get("fixes", [])
        assert len(fixes) == len(finding.fixes)
        for fix, told in zip(finding.fixes, fixes, strict=True):
            offered += 1
            after = check(read_setup_text(fixed(text, told), path.name), built_in())
            left = [one.grade for one in after.findings if which(one) == which(finding)]
            milder = ["watch", "tip"] if finding.grade in ("stop", "mend") else []
            assert set(left) <= set(milder if finding.rule in fix.remains else [])
    assert offered or path.name.startswith("chilled-chicks")


def which(finding: Finding) -> tuple[str, str | None]:
    """What a finding is known by."""
    return finding.rule, finding.about


@cache
def built_in() -> Rulebook:
    """The built-in rulebook."""
    return tools(()).rulebook
