"""The SARIF 2.1.0 report, for editors, code hosts and other tools that read that standard.

One run, relative paths, the same bytes for the same input. What a rule finds is a result; so is
what is wrong with a file itself, since most viewers show nothing else. What went wrong with the run
is a notification. Fixes are replacements in the keeper's own text.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from flockcheck import __version__
from flockcheck.checkup.model import Finding, Problem, Report
from flockcheck.reports.jsonform import setup_data
from flockcheck.reports.sarifplaces import Places, Texts
from flockcheck.reports.sarifrules import (
    LEVELS,
    REQUIRED,
    UNREADABLE,
    required_rule,
    rule_of,
    unreadable_rule,
)
from flockcheck.rulebook.book import Rulebook
from flockcheck.text.document import Fault

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
# By what results of two runs are known to be the same: the file, the rule and what it was asked of.
FINGERPRINT = "flockcheckQuestion/v1"
# What of the JSON report goes along: with a file, with what was found, with a fix of it.
ANSWER = ("name", "verdict", "ready_until", "looked_until", "asked", "checked", "partly", "counts")
MORE = (
    *("grade", "about", "measured", "limit", "from", "worst", "days"),
    *("sources", "caution", "advice", "accepted"),
)
OF_FIX = ("kind", "effort", "clears", "remains", "brings", "not_proved_for")


def write(
    reports: Sequence[Report],
    rulebook: Rulebook,
    problems: Sequence[Problem],
    *,
    text_of: Texts = lambda _: None,
    **options: Any,
) -> str:
    """The whole run as one SARIF text, ending in a newline.

    `text_of` gives a setup's text without byte-order marks by the file of its report; where it
    gives none, places have no end and fixes are left out.
    """
    log = {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [_run(reports, rulebook, problems, text_of)],
    }
    return json.dumps(log, indent=2, ensure_ascii=False) + "\n"


def _run(
    reports: Sequence[Report],
    rulebook: Rulebook,
    problems: Sequence[Problem],
    text_of: Texts,
) -> dict[str, Any]:
    places = Places([report.file for report in reports], text_of)
    found: dict[str, list[Finding]] = {}
    for report in reports:
        for finding in report.findings:
            found.setdefault(finding.rule, []).append(finding)
    rules = [rule_of(name, found[name], rulebook) for name in sorted(found)]
    if any(report.errors for report in reports):
        rules.append(unreadable_rule())
    if any(report.required for report in reports):
        rules.append(required_rule())
    indexes = {rule["id"]: at for at, rule in enumerate(rules)}
    results = [
        {**result, "ruleIndex": indexes[result["ruleId"]]}
        for report in reports
        for result in _results(report, places)
    ]
    return {
        "tool": {"driver": _driver(rules, rulebook)},
        "invocations": [_invocation(reports, problems, places)],
        "artifacts": [_artifact(report, places) for report in reports],
        "results": results,
        "columnKind": "unicodeCodePoints",
        # Lines as YAML has them, by which the places are counted.
        "newlineSequences": ["\r\n", "\n", "\r", "\u0085", "\u2028", "\u2029"],
        "defaultEncoding": "utf-8",
        "language": "en-GB",
    }


def _driver(rules: list[dict[str, Any]], rulebook: Rulebook) -> dict[str, Any]:
    books = [{"name": name, "version": version or None} for name, version in rulebook.books]
    return {
        "name": "flockcheck",
        "version": __version__,
        "language": "en-GB",
        "rules": rules,
        "properties": {"rulebooks": books},
    }


def _invocation(
    reports: Sequence[Report], problems: Sequence[Problem], places: Places
) -> dict[str, Any]:
    told = [_notification(f"{problem.about}: {problem.says}.") for problem in problems]
    for report in reports:
        if report.errors:
            many = f"{len(report.errors)} mistakes" if len(report.errors) > 1 else "1 mistake"
            name = "standard input" if report.file == "-" else report.file
            one = _notification(f"{name} was not checked: {many} in it.")
            place = {"physicalLocation": {"artifactLocation": places.artifact(report.file)}}
            told.append({**one, "locations": [place]})
    return {"executionSuccessful": not told, "toolExecutionNotifications": told}


def _notification(says: str) -> dict[str, Any]:
    return {"level": "error", "message": {"text": says}}


def _artifact(report: Report, places: Places) -> dict[str, Any]:
    artifact: dict[str, Any] = {"roles": ["analysisTarget"]}
    if report.file == "-":
        artifact["roles"].append("standardStream")
        artifact["description"] = {"text": "standard input"}
    else:
        artifact["location"] = {"uri": places.artifact(report.file)["uri"]}
    told = setup_data(report)
    return {**artifact, "properties": _known(told, *ANSWER)}


def _results(report: Report, places: Places) -> list[dict[str, Any]]:
    told = setup_data(report)["findings"]
    pairs = zip(report.findings, told, strict=True)
    found = [_result(finding, said, report, places) for finding, said in pairs]
    found += [_required(key, report, places) for key in report.required]
    return found + [_error(fault, report, places) for fault in report.errors]


def _required(key: str, report: Report, places: Places) -> dict[str, Any]:
    """A key that the club requires and the setup lacks: it fails a run, unless the stay is over."""
    return {
        "ruleId": REQUIRED,
        "level": "note" if report.verdict == "over" else "error",
        "message": {"text": f"`{key}` is not written, and the club requires it."},
        "locations": [places.location(report.file, *places.home(report.file, key))],
        "partialFingerprints": {FINGERPRINT: f"{report.file}:{REQUIRED}:{key}"},
        "properties": {"key": key},
    }


def _error(fault: Fault, report: Report, places: Places) -> dict[str, Any]:
    place = places.location(report.file, fault.path, fault.line, fault.column)
    return {
        "ruleId": UNREADABLE,
        "level": "error",
        "message": {"text": fault.says if fault.says[-1:] in ".?!" else f"{fault.says}."},
        "locations": [place],
        "partialFingerprints": {FINGERPRINT: f"{report.file}:{UNREADABLE}:{fault.path}"},
    }


def _result(
    finding: Finding, told: Mapping[str, Any], report: Report, places: Places
) -> dict[str, Any]:
    place = finding.place
    file = report.club if place.club else report.file
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "level": LEVELS[finding.grade],
        "message": {"text": f"{finding.title}. {finding.says}"},
        "locations": [places.location(file, place.path, place.line, place.column)],
        "partialFingerprints": {
            FINGERPRINT: f"{report.file}:{finding.rule}:{finding.about or 'pen'}"
        },
        "properties": _known(told, *MORE),
    }
    pairs = (
        (places.fix(report.file, fix), said)
        for fix, said in zip(finding.fixes, told["fixes"], strict=True)
    )
    fixes = [{**fix, "properties": _known(said, *OF_FIX)} for fix, said in pairs if fix]
    if fixes:
        result["fixes"] = fixes
    accepted = finding.accepted
    if accepted is not None and not finding.counts:
        words = f"{accepted.because.rstrip('.')}. Accepted until {accepted.until.isoformat()}."
        result["suppressions"] = [
            {"kind": "inSource", "status": "accepted", "justification": words}
        ]
    return result


def _known(told: Mapping[str, Any], *keys: str) -> dict[str, Any]:
    """Some of what the JSON report says, without what it leaves open."""
    return {key: told[key] for key in keys if told.get(key) not in (None, "", [])}
