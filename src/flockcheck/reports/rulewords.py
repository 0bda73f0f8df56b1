"""A rule in words for a newcomer: what is looked at, where its limits lie, and when they count.

A comparator in a rule says what must hold; here a limit says when it fails, since that is what a
reader wants to know of it. Quantities stand in both families of units.
"""

from __future__ import annotations

import re
from typing import Any

from flockcheck.checkup.wording import day_words
from flockcheck.measures.graph.spec import Spec
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.model import Expression, Limit, Rule, Term
from flockcheck.rulebook.names import Names
from flockcheck.setup.form import shape_of
from flockcheck.setup.sections import ITEMS
from flockcheck.text.document import Mark
from flockcheck.text.quantities import show
from flockcheck.text.records import NamedTuple

# What a docstring tells programmers only.
_UNITS = re.compile(
    r",? in (?:kg/m2|kg/day|m3/day|kg/ha|kg|m2|m3|m/s|m|N|Pa|V|J|deg C|days)(?=[\s,.;:]|$)"
    r"|, as a tangent"
)
# Where a description goes on to what a sentence can do without.
_ASIDE = re.compile(r"[:;]|, (?:so that|never below|leaving days|by )")
_OF_EACH = {
    "": "the pen",
    "group": "each group of birds",
    "feeder": "each feeder",
    "drinker": "each drinker",
    "guardian": "each guardian",
    "predator": "each predator that is listed",
}
_ON = {
    "out": "on the day they move out",
    "leaves": "on the day they leave",
    "brooding": "about the time in the brooder",
}
_HERE = Mark(1, 1, 0)
_NOT_SO = "it is not so that "


class Words(NamedTuple):
    """A value in words, with its points where it goes along something (x, value), and its table.

    `column` is the table's that is read.
    """

    says: str
    along: str = ""
    points: tuple[tuple[str, str], ...] = ()
    table: str = ""
    column: str = ""


def both(value: Any, dimension: str) -> str:
    """A value as keepers write it, in metric units and (where they differ) in US units."""
    if dimension == "flag" or isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return any_of([str(one) for one in value])
    if dimension == "date":
        from datetime import date

        return day_words(date.fromisoformat(str(value)), year=True)
    if isinstance(value, str) or dimension in ("word", "names", "quantity"):
        return str(value)
    if dimension == "time" and not value:
        return "0 days"
    if dimension in ("number", "share", "count") and _is_part(value):
        return f"1/{round(1 / value)}"
    metric, us = (show(float(value), dimension, family) for family in ("metric", "us"))
    return metric if metric == us or not value else f"{metric} ({us})"


def _is_part(value: float) -> bool:
    """Whether a number is better written as a part of one: a third, a seventh, a ninth."""
    parts = round(1 / value) if 0 < value < 0.4 else 0
    return 3 <= parts <= 20 and parts not in (4, 5, 8, 10, 16, 20) and abs(value * parts - 1) < 1e-9


def any_of(words: list[str]) -> str:
    """Words of which one is meant: fox, mink or rat."""
    return f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else "".join(words)


def measure_words(spec: Spec) -> str:
    """What a measure is, from the first sentence of its docstring: `the live weight on the floor`.

    The unit is left out, since every figure is shown with its own.
    """
    lines = (spec.function.__doc__ or "").strip().splitlines()
    sentence = (lines[0] if lines else spec.name.replace("_", " ")).split(". ")[0]
    return lower_first(_UNITS.sub("", sentence).replace("`", "").strip().rstrip("."))


def key_description(path: str) -> str:
    """What a key of the setup is and how to find it, from the schema; empty for no such key."""
    first, _, rest = path.partition(".")
    if first in ITEMS:
        path = f"{ITEMS[first]}.*" + (f".{rest}" if rest else "")
    shape = shape_of(path)
    return str(shape.get("description", "")) if shape else ""


def lower_first(text: str) -> str:
    """A text that goes on inside a sentence."""
    return text[:1].lower() + text[1:]


def upper_first(text: str) -> str:
    """A text that begins a sentence."""
    return text[:1].upper() + text[1:]


class RuleWords:
    """The parts of one rule in words."""

    def __init__(self, rule: Rule, book: Rulebook) -> None:
        self._rule = rule
        self._nodes = book.registry.nodes
        self._names = Names(book.registry, {})

    def asked(self) -> str:
        """Of what a rule is asked, when, and where: `of each drinker, where ...`."""
        rule = self._rule
        parts = [f"of {_OF_EACH[rule.each]}"]
        if rule.on in _ON:
            parts.append(_ON[rule.on])
        elif any(self._daily([limit.term, limit.value]) for limit in rule.limits):
            parts.append("for each day of the stay")
        if rule.when is not None:
            parts.append(f"where {self.condition(rule.when)}")
        return ", ".join(parts)

    def looked_at(self, term: Term) -> str:
        """What a limit looks at, as a phrase that begins with the, how or whether."""
        if term[0] == "measure":
            return measure_words(self._nodes[term[1]].spec)
        return lower_first(key_description(_name(term)).rstrip("."))

    def dimension(self, term: Term) -> str:
        """The dimension of what a term names."""
        return self._names.find(_name(term), _HERE, "").dimension

    def fails(self, limit: Limit) -> Words:
        """When a limit fails, as the end of a sentence that begins with "if it is"."""
        wanted = self.value(limit.value, limit.dimension)
        return wanted._replace(says=_failing(limit, wanted.says))

    def value(self, value: Expression, dimension: str) -> Words:
        """What a comparator compares with."""
        kind = value[0]
        if kind == "literal":
            return Words(both(value[1], dimension))
        if kind == "points":
            along = self.looked_at(value[1])
            x = self.dimension(value[1])
            points = tuple((both(a, x), both(b, dimension)) for a, b in value[2])
            return Words("the figure below", along, points)
        if kind == "table":
            says = f"{_times(value[3])}the figure of the table {value[1]}"
            return Words(says, table=value[1], column=value[2])
        if kind == "term":
            named = self._mention(value[1])
            return Words(f"{_times(value[2])}{named}")
        inner = self.value(value[1], dimension)
        of = f" where {self.condition(value[2])}" if value[2] else ""
        return inner._replace(says=f"{inner.says} for each bird{of}")

    def condition(self, condition: Expression, it: Term | None = None) -> str:
        """A condition as the end of a sentence that begins with "where".

        `it` is the term that the sentence has already spoken of.
        """
        kind = condition[0]
        if kind == "all":
            # What must not be so comes last, as an exception: "..., unless a wire tears".
            parts = condition[1]
            before = [it, *(_tested(part) for part in parts)]
            said = [
                self._part(part, last if last and _tested(part) == last else it)
                for part, last in zip(parts, before, strict=False)
            ]
            plain = [one for one in said if not one.startswith(_NOT_SO)]
            unless = [one.removeprefix(_NOT_SO) for one in said if one.startswith(_NOT_SO)]
            if not plain:
                return ", and ".join(said)
            return ", and ".join(plain) + "".join(f", unless {one}" for one in unless)
        if kind == "any" and len(condition[1]) == 1:
            return self.condition(condition[1][0], it)
        if kind == "any":
            return "either " + " or ".join(self._part(part, it) for part in condition[1])
        if kind == "written":
            _, path, word, flag = condition
            name = ".".join(filter(None, (word, path)))
            return f"{self._key(name)} is {'written' if flag else 'left out'}"
        return self._test(condition, it)

    def _part(self, part: Expression, it: Term | None) -> str:
        said = self.condition(part, it)
        return f"({said})" if part[0] in ("all", "any") and len(part[1]) > 1 else said

    def _test(self, condition: Expression, it: Term | None) -> str:
        _, term, comparator, expression = condition
        dimension = self.dimension(term)
        wanted = self.value(expression, dimension).says
        if term[:3] == ["item", "group", "kind"] and expression[0] == "literal":
            return self._birds(comparator, expression[1])
        if dimension == "flag" and comparator == "is" and term[0] == "measure":
            clause = _ASIDE.split(self.looked_at(term).removeprefix("whether "))[0]
            return clause if expression[1] else f"{_NOT_SO}{clause}"
        subject = "it" if term == it else self._mention(term)
        if comparator == "none":
            return _emptiness(subject, bool(expression[1]))
        if dimension == "names" or (
            term[0] == "item" and not term[2] and term[1] != self._rule.each
        ):
            return f"{wanted} is {'not ' if comparator == 'not' else ''}among {subject}"
        return f"{subject} {_VERBS[comparator].format(wanted)}"

    def _birds(self, comparator: str, kinds: Any) -> str:
        """What is said of `group.kind`, the commonest condition of all."""
        found = [f"{kind}s" for kind in (kinds if isinstance(kinds, list) else [kinds])]
        named = any_of(found)
        if comparator == "not":
            return f"the birds are not {named}"
        if self._rule.each == "group":
            return f"the birds are {named}"
        return f"there are {named}"

    def _mention(self, term: Term) -> str:
        """A term inside a sentence: keys by their name, as they stand in the file."""
        if term[0] == "measure":
            return _ASIDE.split(self.looked_at(term))[0]
        return self._key(_name(term))

    def _key(self, name: str) -> str:
        first, _, rest = name.partition(".")
        if first not in ITEMS:
            return name
        who = "the" if first == self._rule.each else "a"
        if not rest:
            return f"the {first if who == 'the' else ITEMS[first]}"
        if self._names.find(name, _HERE, "").dimension in ("flag", "names"):
            # A yes or no has no noun in a sentence: its key stands as the setup file has it.
            return f"{ITEMS[first]}.{rest}"
        return f"{who} {first}'s {rest.replace('_', ' ').replace('.', ' ')}"

    def _daily(self, part: Any) -> bool:
        """Whether some part of a limit changes by day."""
        if not isinstance(part, list) or not part:
            return False
        if part[0] == "measure" and len(part) == 2:
            return bool(self._nodes[part[1]].daily)
        return part[0] == "each_bird" or any(self._daily(one) for one in part)


def _tested(condition: Expression) -> Term | None:
    """The term that a condition tests by itself."""
    if condition[0] == "any" and len(condition[1]) == 1:
        return _tested(condition[1][0])
    found: Term | None = None if condition[0] in ("all", "any", "written") else condition[1]
    return found


def _emptiness(subject: str, none: bool) -> str:
    """What is said of a list that is empty, or is not."""
    if subject.startswith("the names of "):
        subject = subject.removeprefix("the names of ")
        return f"there are {'none' if none else 'any'} of {subject}"
    return f"{'nothing' if none else 'something'} stands under {subject}"


_VERBS = {
    "at_least": "is {} or more",
    "at_most": "is {} or less",
    "over": "is over {}",
    "under": "is under {}",
    "is": "is {}",
    "one_of": "is {}",
    "not": "is not {}",
}


def _failing(limit: Limit, wanted: str) -> str:
    """How a value looks that fails."""
    comparator, dimension = limit.comparator, limit.dimension
    if comparator == "none":
        return "any" if limit.value[1] else "none"
    if dimension == "flag":
        return "no" if wanted == "yes" else "yes"
    if comparator in ("is", "one_of"):
        return f"anything but {wanted}"
    if comparator == "not":
        return wanted
    if dimension == "date":
        return f"{'before' if comparator in ('at_least', 'over') else 'after'} {wanted}"
    return {
        "at_least": f"under {wanted}",
        "at_most": f"over {wanted}",
        "over": f"{wanted} or less",
        "under": f"{wanted} or more",
    }[comparator]


def _times(times: float) -> str:
    return "" if times == 1 else f"{times:g} times "


def _name(term: Term) -> str:
    """The name by which a rule file has a term."""
    return ".".join(str(part) for part in term[1:] if part)


def name_of(term: Term) -> str:
    """The name by which a rule file has a term: `floor_load`, `pen.height`, `drinker.form`."""
    return _name(term)
