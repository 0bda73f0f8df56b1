"""How a club stands, for other programs: JSON, and CSV with a row a member."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from datetime import date
from typing import Any

from flockcheck import __version__
from flockcheck.checkup.model import Problem
from flockcheck.reports.clubmodel import WORST_FIRST, Member, Predator, Tally
from flockcheck.rulebook.book import Rulebook
from flockcheck.text.records import NamedTuple

CLUB_REPORT = 1
COLUMNS = (
    "file", "name", "verdict", "ready_until", "looked_until", "asked", "checked", "partly",
    *WORST_FIRST, "accepted", "worst_grade", "worst_rule", "standards_not_met",
    "required_not_written", "error",
)  # fmt: skip
# A cell that begins so may be run as a formula by a spreadsheet, in wide signs as well.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


class About(NamedTuple):
    """What a club's report is about: its file and name ("" for none), and the day it is seen from.

    `folder` is the folder that was looked through, as it was given.
    """

    folder: str
    file: str
    name: str
    on: date | None


def write_json(tally: Tally, about: About, rulebook: Rulebook, problems: Sequence[Problem]) -> str:
    """All of it as one JSON text, ending in a newline; its schema is `clubreport.schema.json`."""
    data = club_data(tally, about, rulebook, problems)
    return json.dumps(data, indent=2, ensure_ascii=False) + "\n"


def club_data(
    tally: Tally, about: About, rulebook: Rulebook, problems: Sequence[Problem]
) -> dict[str, Any]:
    """All of it as plain data."""
    return {
        "flockcheck": {
            "version": __version__,
            "club_report": CLUB_REPORT,
            "rulebooks": [
                {"name": name, "version": version or None} for name, version in rulebook.books
            ],
        },
        "folder": about.folder,
        "club": {"file": about.file, "name": about.name or None} if about.file else None,
        "on": _day(about.on),
        "setups": len(tally.members),
        "verdicts": dict(tally.verdicts),
        "calendar": [
            {
                "day": _day(one.day),
                "file": one.file,
                "name": one.name or None,
                "rules": list(one.rules),
                "open_end": one.open_end,
                "past": about.on is not None and one.day < about.on,
            }
            for one in tally.endings
        ],
        "findings": [
            {
                "rule": one.rule,
                "topic": one.topic,
                "title": one.title,
                "setups": one.setups,
                "findings": one.findings,
                "grades": dict(one.grades),
            }
            for one in tally.common
        ],
        "accepted": [
            {
                "until": _day(one.until),
                "file": one.file,
                "name": one.name or None,
                "rule": one.rule,
                "title": one.title,
                "because": one.because,
                "cut": one.cut or None,
                "about": list(one.about),
                "past": about.on is not None and one.until < about.on,
            }
            for one in tally.risks
        ],
        "predators": [_predator(one) for one in tally.predators],
        "not_checked": [
            {
                "rule": one.rule,
                "asks": rulebook.rules[one.rule].asks,
                "setups": one.setups,
                "not_checked": one.not_checked,
                "partly": one.partly,
            }
            for one in tally.questions
        ],
        "keys": [
            {"key": one.key, "questions": one.questions, "alone": one.alone, "setups": one.setups}
            for one in tally.keys
        ],
        "standards": [
            {
                "name": one.name,
                "met": one.met,
                "not_met": one.not_met,
                "open": one.open,
                "by": [{"rule": rule, "setups": setups} for rule, setups in one.by],
            }
            for one in tally.standards
        ],
        "required": [{"key": key, "setups": setups} for key, setups in tally.required],
        "members": [_member(one) for one in tally.members],
        "problems": [{"about": problem.about, "says": problem.says} for problem in problems],
    }


def _predator(one: Predator) -> dict[str, Any]:
    return {
        "predator": one.name,
        "setups": one.listed,
        "unanswered": [
            {
                "file": member.file,
                "name": member.name or None,
                "grade": member.grade,
                "rules": list(member.rules),
            }
            for member in one.unanswered
        ],
        "accepted": list(one.accepted),
        "unknown": list(one.unknown),
    }


def _member(one: Member) -> dict[str, Any]:
    stands = one.standing
    unreadable = stands.verdict == "unreadable"
    return {
        "file": stands.file,
        "name": stands.name or None,
        "verdict": stands.verdict,
        "ready_until": stands.until or None,
        "looked_until": _day(one.looked_until),
        "asked": one.asked,
        "checked": one.checked,
        "partly": one.partly,
        "counts": dict(zip(WORST_FIRST, stands.counts, strict=True)),
        "accepted": one.accepted,
        "worst": {"grade": stands.open_worst, "rule": stands.worst} if stands.open_worst else None,
        "standards_not_met": list(stands.unmet),
        "required_not_written": list(stands.required),
        "error": stands.worst if unreadable else None,
    }


def write_csv(tally: Tally) -> str:
    """A row a member under a row of heads. What a spreadsheet might run has a `'` before it."""
    text = io.StringIO()
    sheet = csv.writer(text, lineterminator="\n")
    sheet.writerow(COLUMNS)
    for member in tally.members:
        data = _member(member)
        worst = data.pop("worst") or {"grade": None, "rule": None}
        cells: dict[str, Any] = {
            **data,
            **data.pop("counts"),
            "worst_grade": worst["grade"],
            "worst_rule": worst["rule"],
        }
        sheet.writerow([_cell(cells[column]) for column in COLUMNS])
    return text.getvalue()


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, list):
        value = "; ".join(value)
    text = str(value)
    # A sign after blanks is run by some spreadsheets too.
    return f"'{text}" if text.startswith(_FORMULA) or text.lstrip().startswith(_FORMULA) else text


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None
