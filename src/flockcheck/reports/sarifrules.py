"""Rules as SARIF 2.1.0 has them: what each asks, why, what to beware of, and who says so."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from flockcheck.checkup.model import Finding
from flockcheck.reports.sources import cite_words
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import Rule

LEVELS = {"stop": "error", "mend": "error", "watch": "warning", "tip": "note"}
# What a file is told by that can't be read: no rule of any rulebook, whose names have no slash.
UNREADABLE = "setup/unreadable"
# What a member is told by who left out what the club requires.
REQUIRED = "club/required"
# What Markdown would take for its own.
_MARKS = str.maketrans({sign: f"\\{sign}" for sign in "\\`*_[]<>#|"})


def unreadable_rule() -> dict[str, Any]:
    """The descriptor of what is wrong with a file itself."""
    why = (
        "A setup with a mistake in it is not checked at all, since nobody could tell what was"
        " meant. Put each mistake right where it stands, then check the file again."
    )
    return _own(
        UNREADABLE, "setup", "The setup can't be read", "Is the file a setup that can be read?", why
    )


def required_rule() -> dict[str, Any]:
    """The descriptor of what the club requires and a setup lacks."""
    why = (
        "The club asks every member for some measurements, under requires in its club.yaml, and a"
        " setup without one of them fails the check whatever else is found. Measure it, and write"
        " it into the setup."
    )
    return _own(
        REQUIRED,
        "club",
        "The club requires it, and it is not written",
        "Is everything written that the club requires?",
        why,
    )


def _own(name: str, tag: str, title: str, asks: str, why: str) -> dict[str, Any]:
    """The descriptor of an error that no rule of a rulebook finds."""
    return {
        "id": name,
        "shortDescription": {"text": title},
        "fullDescription": {"text": asks},
        "help": {"text": why, "markdown": why},
        "defaultConfiguration": {"level": "error"},
        "properties": {"tags": [tag]},
    }


def rule_of(name: str, findings: Iterable[Finding], rulebook: Rulebook) -> dict[str, Any]:
    """The descriptor of a rule; one that no rulebook holds is told by what it found."""
    rule = rulebook.rules.get(name)
    if rule is None:
        first = next(iter(findings))
        return _descriptor(
            name, first.title, first.title, first.topic, first.grade, first.why, first.caution, []
        )
    cites = list(_cites(rule))
    grade = rule.grades[0] if rule.grades else "tip"
    told = _descriptor(
        name, rule.title, rule.asks, rule.topic, grade, rule.why, rule.caution, cites, rulebook
    )
    told["properties"]["rulebook"] = rule.book
    return told


def _descriptor(
    name: str,
    title: str,
    asks: str,
    topic: str,
    grade: str,
    why: str,
    caution: str,
    cites: list[dict[str, Any]],
    rulebook: Rulebook | None = None,
) -> dict[str, Any]:
    sources = rulebook.sources if rulebook else {}
    said = {cite_words(cite, sources): _link(cite, rulebook) for cite in cites}
    return {
        "id": name,
        "shortDescription": {"text": title},
        "fullDescription": {"text": asks},
        "help": {
            "text": _text(why, caution, list(said)),
            "markdown": _markdown(why, caution, said),
        },
        "defaultConfiguration": {"level": LEVELS[grade]},
        "properties": {"tags": [topic]},
    }


def _cites(rule: Rule) -> Iterable[dict[str, Any]]:
    """Who says so, in the order of the limits; standards, which are asked apart, last."""
    limits = [*rule.limits, *(limit for other in rule.otherwise for limit in other.limits)]
    for limit in sorted(limits, key=lambda one: bool(one.standard)):
        yield limit.cites


def _link(cite: dict[str, Any], rulebook: Rulebook | None) -> str:
    """Where a source can be read, as the bibliography has it; empty where it names no place."""
    source = rulebook.sources.get(str(cite.get("id", ""))) if rulebook else None
    at = source.at.strip() if source else ""
    if not at or any(sign.isspace() for sign in at) or "." not in at.partition("/")[0]:
        return ""
    return at if at.startswith(("https://", "http://")) else f"https://{at}"


def _text(why: str, caution: str, said: list[str]) -> str:
    parts = [why.strip()]
    if caution:
        parts.append(f"Take care: {caution.strip()}")
    if said:
        parts.append("Sources:\n" + "\n".join(said))
    return "\n\n".join(filter(None, parts))


def _markdown(why: str, caution: str, said: dict[str, str]) -> str:
    parts = [escaped(why.strip())]
    if caution:
        parts.append(f"**Take care:** {escaped(caution.strip())}")
    if said:
        lines = [
            f"- [{escaped(words)}](<{link}>)" if link else f"- {escaped(words)}"
            for words, link in said.items()
        ]
        parts.append("Sources:\n\n" + "\n".join(lines))
    return "\n\n".join(filter(None, parts))


def escaped(text: str) -> str:
    """A text of which Markdown changes nothing."""
    return text.translate(_MARKS)
