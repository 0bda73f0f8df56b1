"""Fixes, plan and what-if as plain data, for the JSON report."""

from __future__ import annotations

from typing import Any

from flockcheck.checkup.model import Change, Fix, Plan, WhatIf


def fix_data(fix: Fix) -> dict[str, Any]:
    """A fix as plain data."""
    return {
        "says": fix.says,
        "kind": fix.kind,
        "effort": fix.effort,
        "changes": [change_data(one) for one in fix.changes],
        "clears": list(fix.clears),
        "remains": list(fix.remains),
        "brings": list(fix.brings),
        "not_proved_for": list(fix.not_proved_for),
    }


def change_data(change: Change) -> dict[str, Any]:
    """A change: its key, what is written there and what to write; an added item as its keys."""
    to: Any = dict(change.item) if change.item else change.text or None
    return {"path": change.path, "from": change.was or None, "to": to}


def plan_data(plan: Plan | None) -> dict[str, Any] | None:
    """A plan as plain data; None where none was asked for."""
    if plan is None:
        return None
    return {
        "fixes": [fix_data(fix) for fix in plan.fixes],
        "effort": plan.effort,
        "least": plan.least,
        "verdict": plan.verdict,
        "ready_until": plan.ready_until.isoformat() if plan.ready_until else None,
        "remains": list(plan.remains),
        "advice": [{"rule": rule, "says": words} for rule, words in plan.advice],
    }


def what_if_data(what_if: WhatIf | None) -> dict[str, Any] | None:
    """What other values come to, as plain data; None where none were given."""
    if what_if is None:
        return None
    return {
        "changes": [change_data(one) for one in what_if.changes],
        "was": {
            "verdict": what_if.verdict,
            "ready_until": what_if.ready_until.isoformat() if what_if.ready_until else None,
            "counts": dict(what_if.counts),
        },
        "gone": [_about(*one) for one in what_if.gone],
        "new": [_about(*one) for one in what_if.new],
        "graded": [
            {**_about(rule, about, now), "was": was} for rule, about, was, now in what_if.graded
        ],
    }


def _about(rule: str, about: str | None, grade: str) -> dict[str, Any]:
    return {"rule": rule, "about": about, "grade": grade}
