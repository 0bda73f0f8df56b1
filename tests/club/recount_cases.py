"""How a club stands, counted again in the plainest way from the JSON report of a check."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Any

GRADES = ("stop", "mend", "watch", "tip")
BAD = ("stop", "mend")
VERDICTS = ("ready", "ready until", "not ready", "cannot say", "over", "unreadable")


def open_grade(finding: dict[str, Any], looked_until: str) -> str | None:
    """The worst grade of a finding on the days that are not accepted; None where all are."""
    until = finding["accepted"]["until"] if finding["accepted"] else ""
    spans = finding["days"] or [{"to": looked_until, "grade": finding["grade"]}]
    left = [span["grade"] for span in spans if span["to"] > until]
    return min(left, key=GRADES.index) if left else None


def begins(finding: dict[str, Any], looked_until: str) -> str | None:
    """The first day of a stop or mend that begins later and is not accepted."""
    until = finding["accepted"]["until"] if finding["accepted"] else ""
    after = (date.fromisoformat(until) + timedelta(1)).isoformat() if until else ""
    if not finding["days"]:
        bad = finding["grade"] in BAD and after and after <= looked_until
        return after if bad else None
    days = [
        max(span["from"], after)
        for span in finding["days"]
        if span["grade"] in BAD and span["to"] > until
    ]
    return min(days, default=None)


def recount(run: dict[str, Any], on: str = "") -> dict[str, Any]:
    """What `flockcheck club --format json` should say, from what `flockcheck check` says."""
    setups = run["setups"]
    unopened = [one for one in run["problems"] if one["about"].endswith("flock.yaml")]
    live = [one for one in setups if one["verdict"] not in ("over", "unreadable")]
    verdicts = {verdict: sum(one["verdict"] == verdict for one in setups) for verdict in VERDICTS}
    verdicts["unreadable"] += len(unopened)
    return {
        "setups": len(setups) + len(unopened),
        "verdicts": verdicts,
        "calendar": _calendar(live, on),
        "findings": _findings(live),
        "accepted": _accepted(live, on),
        "predators": _predators(live),
        "not_checked": _not_checked(live),
        "keys": _keys(live),
        "standards": _standards(live),
        "required": {
            key: sum(key in one["required"] for one in live)
            for one in live
            for key in one["required"]
        },
    }


def _calendar(live: list[dict[str, Any]], on: str) -> list[tuple[Any, ...]]:
    found = []
    for one in live:
        if one["verdict"] == "ready until":
            last = one["ready_until"]
            next_day = (date.fromisoformat(last) + timedelta(1)).isoformat()
            rules = [
                finding["rule"]
                for finding in one["findings"]
                if begins(finding, one["looked_until"]) == next_day
            ]
            found.append((last, one["file"], one["name"], sorted(set(rules)), bool(on > last)))
    return sorted(found, key=lambda row: row[:2])


def _findings(live: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for one in live:
        own: dict[str, list[str]] = {}
        for finding in one["findings"]:
            grade = open_grade(finding, one["looked_until"])
            if grade is not None:
                own.setdefault(finding["rule"], []).append(grade)
        for rule, grades in own.items():
            row = found.setdefault(rule, {"setups": 0, "findings": 0, **dict.fromkeys(GRADES, 0)})
            row["setups"] += 1
            row["findings"] += len(grades)
            row[min(grades, key=GRADES.index)] += 1
    return found


def _accepted(live: list[dict[str, Any]], on: str) -> list[tuple[Any, ...]]:
    found: dict[tuple[Any, ...], int] = {}
    for one in live:
        for finding in one["findings"]:
            taken = finding["accepted"]
            if taken:
                key = (taken["until"], one["file"], finding["rule"], taken["because"],
                       taken["cut"], on > taken["until"])  # fmt: skip
                found[key] = found.get(key, 0) + 1
    return sorted((*key, count) for key, count in found.items())


def _predators(live: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for one in live:
        for at, name in enumerate(one["predators"]):
            row = found.setdefault(
                name, {"setups": 0, "unanswered": [], "accepted": [], "unknown": []}
            )
            row["setups"] += 1
            about = f"predators.{at}"
            own = [finding for finding in one["findings"] if finding["about"] == about]
            grades = [open_grade(finding, one["looked_until"]) for finding in own]
            unchecked = [*one["not_checked"], *one["partly_checked"]]
            if any(grade in BAD for grade in grades):
                row["unanswered"].append(one["file"])
            elif any(
                grade is None and finding["grade"] in BAD
                for grade, finding in zip(grades, own, strict=True)
            ):
                row["accepted"].append(one["file"])
            elif any(other["about"] == about for other in unchecked):
                row["unknown"].append(one["file"])
    return found


def _not_checked(live: list[dict[str, Any]]) -> dict[str, tuple[int, int, int]]:
    rules = {
        one["rule"] for setup in live for one in (*setup["not_checked"], *setup["partly_checked"])
    }
    found = {}
    for rule in rules:
        whole = [[one["rule"] for one in setup["not_checked"]].count(rule) for setup in live]
        part = [[one["rule"] for one in setup["partly_checked"]].count(rule) for setup in live]
        setups = sum(bool(a or b) for a, b in zip(whole, part, strict=True))
        found[rule] = (setups, sum(whole), sum(part))
    return found


def _keys(live: list[dict[str, Any]]) -> dict[str, tuple[int, int, int]]:
    needs = [
        (setup["file"], {re.sub(r"\.\d+", "", key) for key in one["needs"]})
        for setup in live
        for one in (*setup["not_checked"], *setup["partly_checked"])
    ]
    return {
        key: (
            sum(key in own for _, own in needs),
            sum(own == {key} for _, own in needs),
            len({file for file, own in needs if key in own}),
        )
        for key in set().union(*(own for _, own in needs))
    }


def _standards(live: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for one in live:
        for standard in one["standards"]:
            row = found.setdefault(standard["name"], {"met": 0, "not_met": 0, "open": 0, "by": {}})
            row[{True: "met", False: "not_met", None: "open"}[standard["met"]]] += 1
            for rule in standard["by"]:
                row["by"][rule] = row["by"].get(rule, 0) + 1
    return found


def told(data: dict[str, Any]) -> dict[str, Any]:
    """The same of a club's JSON report, with what it says besides left out."""
    return {
        "setups": data["setups"],
        "verdicts": data["verdicts"],
        "calendar": [
            (one["day"], one["file"], one["name"], sorted(one["rules"]), one["past"])
            for one in data["calendar"]
        ],
        "findings": {
            one["rule"]: {"setups": one["setups"], "findings": one["findings"], **one["grades"]}
            for one in data["findings"]
        },
        "accepted": [
            (one["until"], one["file"], one["rule"], one["because"], one["cut"], one["past"],
             len(one["about"]))
            for one in data["accepted"]
        ],
        "predators": {
            one["predator"]: {
                "setups": one["setups"],
                "unanswered": sorted(member["file"] for member in one["unanswered"]),
                "accepted": one["accepted"],
                "unknown": one["unknown"],
            }
            for one in data["predators"]
        },
        "not_checked": {
            one["rule"]: (one["setups"], one["not_checked"], one["partly"])
            for one in data["not_checked"]
        },
        "keys": {
            one["key"]: (one["questions"], one["alone"], one["setups"]) for one in data["keys"]
        },
        "standards": {
            one["name"]: {
                "met": one["met"],
                "not_met": one["not_met"],
                "open": one["open"],
                "by": {by["rule"]: by["setups"] for by in one["by"]},
            }
            for one in data["standards"]
        },
        "required": {one["key"]: one["setups"] for one in data["required"]},
    }  # fmt: skip


def sections(text: str) -> dict[str, list[str]]:
    """The text report by its heads: rows without their line breaks, "" for what stands first."""
    found: dict[str, list[str]] = {}
    head = ""
    for part in text.split("\n\n"):
        first, *lines = part.splitlines()
        if not lines or not lines[0].startswith("  "):
            found.setdefault("", []).append(" ".join(part.split()))
            continue
        head = first
        rows = found.setdefault(head, [])
        for line in lines:
            if line.startswith("   "):
                rows[-1] += f" {line.strip()}"
            else:
                rows.append(line.strip())
    return found
