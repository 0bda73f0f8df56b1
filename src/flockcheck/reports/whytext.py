"""The text of `flockcheck why`: one rule taught, or one word explained, within 80 columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from flockcheck.checkup.wording import club_words, day_words, listed
from flockcheck.reports.glossary import Word
from flockcheck.reports.rulewords import upper_first
from flockcheck.reports.sources import cite_words
from flockcheck.reports.whypage import WIDTH, Page
from flockcheck.reports.workingtext import working
from flockcheck.rulebook.model import Source

_GRADE = 9


def rule_text(data: Mapping[str, Any], width: int = WIDTH) -> str:
    """A lesson as text. `data` is what `lesson.lesson` gives."""
    page = Page(width)
    page.para(data["asks"], indent=0)
    page.para(f"{data['rule']}: {data['title']} (topic {data['topic']})", indent=0)
    page.head("What happens")
    page.para(data["why"])
    if data["reminder"]:
        page.para("This is a reminder: every keeper should hear it once, and it finds nothing.")
    else:
        page.head("What is looked at, and where the limits lie")
        page.para(f"Asked {data['asked']}.")
        _limits(page, data["limits"])
        for other in data["instead"]:
            page.lines.append("")
            keys = " or ".join(other["where_missing"])
            page.para(f"Where {keys} is not written, this is looked at instead.")
            _limits(page, other["limits"])
    _standards(page, data["standards"])
    for table in data["tables"]:
        _table(page, table)
    _advice(page, data)
    if data["setup"] is not None:
        _setup(page, data)
    return page.text()


def _limits(page: Page, limits: Sequence[Mapping[str, Any]]) -> None:
    """The limits, those on one subject together."""
    for subject in dict.fromkeys(one["looks_at"] for one in limits):
        own = [one for one in limits if one["looks_at"] == subject]
        page.lines.append("")
        page.para(f"{upper_first(own[0]['in_words'])}. ({subject})")
        for one in own:
            _limit(page, one, one["grade"].capitalize(), _GRADE)


def _limit(page: Page, one: Mapping[str, Any], label: str, hang: int, head: str = "") -> None:
    where = f", where {one['where']}" if one["where"] else ""
    inside = 2 + hang
    page.para(f"{head}{_if(one)}{where}.", hang=hang, first=f"{label:<{hang}}")
    if one["points"]:
        page.para(f"By {one['along']}:", indent=inside)
        column = max(len(x) for x, _ in one["points"]) + 2
        for x, y in one["points"]:
            page.lines.append(f"{'':<{inside + 2}}{x:<{column}}{y}")
        page.para("In straight lines between these, and the same beyond them.", indent=inside)
    if one["caution"]:
        page.para(f"Take care: {one['caution']}", indent=inside)
    page.para(one["source"]["says"], indent=inside)


def _if(one: Mapping[str, Any]) -> str:
    """When a limit fails, as it is said of its subject."""
    whether = one["in_words"].startswith("whether ")
    if whether and one["fails_if"] in ("yes", "no"):
        return "if so" if one["fails_if"] == "yes" else "if not"
    return f"if {one['fails_if']}" if one["comparator"] == "none" else f"if it is {one['fails_if']}"


def _standards(page: Page, standards: Sequence[Mapping[str, Any]]) -> None:
    if not standards:
        return
    page.head("Standards, judged only where you ask for them")
    hang = max(len(one["standard"]) for one in standards) + 2
    for one in sorted(standards, key=lambda one: str(one["standard"])):
        _limit(page, one, one["standard"], hang, "not met ")


def _table(page: Page, table: Mapping[str, Any]) -> None:
    """The rows of one column: what each is for, its value, and briefly who says so."""
    page.head(f"The table {table['table']} ({table['column']}): {table['says']}")
    goes = {"straight": "in straight lines between these", "smooth": "smoothly between these"}
    if table["along"]:
        way = goes.get(table["between"], "each holds until the next")
        page.para(f"By {table['along']}, {way}.")
    column = min(max(len(_for(row)) for row in table["rows"]) + 2, 22)
    for row in table["rows"]:
        value = row["value"] or ", ".join(f"{y} from {x}" for x, y in row["points"])
        says = "Common practice." if "practice" in row["source"] else row["source"]["says"]
        page.para(f"{value}. {says}", hang=column, first=f"{_for(row):<{column}}")


def _for(row: Mapping[str, Any]) -> str:
    """What a row is for: the words it asks for, or any."""
    return ", ".join(" or ".join(found) for found in row["for"].values()) or "any other"


def _advice(page: Page, data: Mapping[str, Any]) -> None:
    if data["caution"]:
        page.head("Take care")
        page.para(data["caution"])
    if data["helps"]:
        page.head("What helps")
        for one in data["helps"]:
            page.para(one, hang=2, first="- ")
    if data["look"]:
        page.head("What to look at in the pen")
        page.para(data["look"])
    for key, says in (
        ("stood_in_for_by", "Where one of these finds the same, it is told instead of this rule"),
        ("stands_in_for", "Where this rule finds something, it is told instead of these"),
    ):
        if data[key]:
            page.head(says)
            for one in data[key]:
                page.para(f"{one['title']} ({one['rule']})")


def _setup(page: Page, data: Mapping[str, Any]) -> None:
    """What this rule comes to for one setup."""
    setup = data["setup"]
    name = f"{setup['name']} ({setup['file']})" if setup["name"] else setup["file"]
    page.head(f"In {name}")
    if setup["from_club"]:
        page.para(club_words(setup["from_club"]), hang=2)
    if data["reminder"]:
        page.para(
            "It is to be heard here." if setup["reminds"] else "It does not concern this one."
        )
        return
    if not setup["answers"]:
        page.para("There is nothing of the kind that it asks about.")
    for answer in setup["answers"]:
        several = len(setup["answers"]) > 1
        who = f"{upper_first(answer['item'])}: " if several and answer["item"] else ""
        for says in _answer(answer):
            page.para(f"{who}{says}" if who else upper_first(says), hang=2 if several else 0)
            who = ""
    keys = {one["key"]: one["says"] for answer in setup["answers"] for one in answer["needs"]}
    if keys:
        page.head("What to measure for it")
        for key, says in keys.items():
            page.para(says, hang=4, first=f"{key}: ")
    if setup["working"] is not None:
        working(page, setup["working"])


def _answer(answer: Mapping[str, Any]) -> list[str]:
    """What came of one question, in paragraphs."""
    finding, lacks = answer["finding"], _lacks(answer)
    if finding is not None:
        rest = [f"Some of it could not be checked{lacks}."] if lacks else []
        return [_found(finding), *_accepted(finding), *rest]
    instead = listed(answer["said_by"]) if answer["said_by"] else "another rule"
    return [
        {
            "nothing": "finds nothing.",
            "in part": f"finds nothing so far; the rest could not be checked{lacks}.",
            "not asked": "is not asked, since it does not fit this setup (see above).",
            "not checked": f"could not be checked{lacks}.",
            "said by another": f"is told by {instead} instead.",
        }[answer["state"]]
    ]


def _lacks(answer: Mapping[str, Any]) -> str:
    """Why a question, or a part of it, is open."""
    keys = [one["key"] for one in answer["needs"]]
    if keys:
        return f", for want of {listed(keys)}"
    return f": {answer['why']}" if answer["why"] else ""


def _found(finding: Mapping[str, Any]) -> str:
    """A finding in a sentence or two: its grade, its days, and what it says."""
    grade, days = finding["grade"], finding["days"]
    worst = [_span(one["from"], one["to"]) for one in days if one["grade"] == grade]
    milder = [
        f"{one['grade']} {_span(one['from'], one['to'])}" for one in days if one["grade"] != grade
    ]
    when = f", {listed(worst)}" if worst else ""
    before = f" ({', '.join(milder)})" if milder else ""
    return f"{grade}{when}{before}. {finding['says']}"


def _span(first: str, last: str) -> str:
    one, other = (day_words(date.fromisoformat(day)) for day in (first, last))
    return f"on {one}" if one == other else f"{one} to {other}"


def _accepted(finding: Mapping[str, Any]) -> list[str]:
    accepted = finding["accepted"]
    if accepted is None:
        return []
    until = day_words(date.fromisoformat(accepted["until"]))
    return [f"Accepted until {until}: {accepted['because'].rstrip('.')}."]


def word_data(word: Word, sources: Mapping[str, Source]) -> dict[str, Any]:
    """A word of the glossary as plain data."""
    return {
        "word": word.word,
        "also": list(word.also),
        "ours": word.ours,
        "says": word.says,
        "sources": [{**cite, "says": cite_words(cite, sources)} for cite in word.cites],
        "see": list(word.see),
    }


def word_text(data: Mapping[str, Any], width: int = WIDTH) -> str:
    """A word explained. `data` is what `word_data` gives."""
    page = Page(width)
    page.para(data["word"] if "." in data["word"] else upper_first(data["word"]), indent=0)
    if data["also"]:
        page.para(f"Also: {', '.join(data['also'])}")
    page.lines.append("")
    page.para(data["says"])
    for cite in data["sources"]:
        page.para(cite["says"], hang=2)
    if data["see"]:
        page.lines.append("")
        page.para(f"See: {', '.join(data['see'])}")
    return page.text()


def words_text(data: Mapping[str, Any], width: int = WIDTH) -> str:
    """The list of words that can be explained."""
    page = Page(width)
    page.para("Words of the trade and our own; `flockcheck why WORD` explains one.", indent=0)
    page.lines.append("")
    page.para(", ".join(data["words"]))
    page.lines.append("")
    page.para("`flockcheck rules` lists the rules; `flockcheck why RULE` teaches one.", indent=0)
    return page.text()
