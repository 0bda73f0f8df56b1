"""Terms, values, conditions and templates of a rulebook, checked and made ready for the judge.

All of them become small tagged lists, which go to the compiled cache as JSON:

    term       ["measure", name] | ["key", path] | ["item", word, key]
    value      ["literal", x] | ["points", term, [[x, y], ...]] | ["table", name, column, times]
               | ["term", term, times] | ["each_bird", value, condition or None]
    condition  ["all", [...]] | ["any", [...]] | ["written", path, item word, flag]
               | ["test", term, comparator, value]
    template   texts and ["put", term or special word, suffix, dimension]
"""

from __future__ import annotations

import re
from datetime import date
from typing import Any

from flockcheck.rulebook.model import Expression, Template
from flockcheck.rulebook.names import Named, Names, Slip
from flockcheck.setup.form import shape_of
from flockcheck.setup.reader import FLAGS, nearest
from flockcheck.setup.sections import ITEMS
from flockcheck.text.document import Mapping, Mark, Node, Scalar, Sequence
from flockcheck.text.quantities import QuantityError, parse_quantity
from flockcheck.text.records import NamedTuple

NUMBERS = ("at_least", "at_most", "over", "under")
COMPARATORS = (*NUMBERS, "is", "one_of", "not", "none")
# Words that a template may put besides measures and keys, and what the text is then.
SPECIAL = ("day", "first_day", "last_day", "limit", "value", "item")
SUFFIXES = ("first", "last", "least", "most")
_PUT = re.compile(r"\{([^{}]*)\}")
# What is no number.
_PLAIN = ("flag", "word", "names", "date")


def literal(node: Node, dimension: str, key: str, words: tuple[str, ...] = ()) -> Any:
    """A value of a dimension from the text of a rule. Raises Slip."""
    if isinstance(node, Sequence):
        return [literal(item, dimension, key, words) for item in node.items]
    if not isinstance(node, Scalar):
        raise Slip(node.start, key, "a value or a list should stand here")
    text = node.text
    if dimension == "flag":
        if text not in FLAGS:
            raise Slip(node.start, key, f"`{text}` is neither `yes` nor `no`")
        return FLAGS[text]
    if dimension in ("word", "names"):
        if words and text not in words:
            near = nearest(text, list(words))
            hint = f"did you mean `{near}`?" if near else f"the words are {', '.join(words)}"
            raise Slip(node.start, key, f"`{text}` is not a word for this; {hint}")
        return text
    if dimension == "date":
        try:
            return date.fromisoformat(text).isoformat()
        except ValueError:
            raise Slip(node.start, key, f"`{text}` is not a date") from None
    # A rule may write a share as a bare number too: `at_least: 1`, `at_most: 1/3`.
    for guess in ("number", dimension) if dimension == "share" else (dimension,):
        try:
            return parse_quantity(text, guess).value
        except QuantityError as error:
            wrong = error
    raise Slip(node.start, key, f"{wrong.says}; it takes {wrong.would_do}")


class Asker(NamedTuple):
    """Who asks for a value: the item word of the rule (or ""), and of a rule around a sum."""

    each: str
    outer: str = ""


def value(node: Node, found: Named, asker: Asker, names: Names, key: str) -> Expression:
    """What a comparator compares `found` with, compiled. Raises Slip."""
    if not isinstance(node, Mapping):
        return ["literal", literal(node, found.dimension, key, found.words)]
    entries = node.entries
    if "each_bird" in entries:
        each_key, inner = f"{key}.each_bird", Asker("group", asker.each)
        of = entries.get("of")
        return [
            "each_bird",
            value(entries["each_bird"], found, inner, names, each_key),
            condition(of, names, f"{key}.of", "group") if of else None,
        ]
    times = float(_text(entries["times"])) if "times" in entries else 1.0
    if "by" in entries:
        by = names.find(_text(entries["by"]), entries["by"].start, f"{key}.by")
        same_item(by, asker.each, entries["by"], f"{key}.by")
        points = _points(entries["points"], by.dimension, found.dimension, f"{key}.points")
        return ["points", by.term, points]
    if "table" in entries:
        return _table(entries, found.dimension, asker, names, key, times)
    word = "measure" if "measure" in entries else "key"
    other = names.find(_text(entries[word]), entries[word].start, f"{key}.{word}")
    agree(other.dimension, found.dimension, entries[word].start, f"{key}.{word}")
    same_item(other, asker.each, entries[word], f"{key}.{word}")
    return ["term", other.term, times]


def same_item(found: Named, each: str, node: Node, key: str) -> None:
    """Raise Slip where a name goes by an item that the rule doesn't ask about."""
    if found.item and found.item != each:
        says = f"`{_text(node)}` goes by {found.item}; the rule asks about {each or 'the pen'}"
        raise Slip(node.start, key, says)


def _table(
    entries: dict[str, Node], dimension: str, asker: Asker, names: Names, key: str, times: float
) -> Expression:
    name = _text(entries["table"])
    mark = entries["table"].start
    if name not in names.columns:
        near = nearest(name, list(names.columns))
        hint = f"; did you mean `{near}`?" if near else ""
        raise Slip(mark, f"{key}.table", names.unless_spoiled(f"there is no table `{name}`{hint}"))
    columns = names.columns[name]
    column = _text(entries["column"]) if "column" in entries else next(iter(columns))
    if column not in columns:
        says = f"the table {name} has no column `{column}`; it has {', '.join(columns)}"
        raise Slip(mark, f"{key}.column", says)
    agree(columns[column], dimension, mark, f"{key}.column")
    for word in names.by.get(name, ()):
        if word.partition(".")[0] not in asker:
            who = " and ".join(filter(None, asker)) or "the pen"
            says = f"the table {name} goes by {word}, which {who} does not tell"
            raise Slip(mark, f"{key}.table", f"{says}; use it in a measure")
    along = names.along.get(name, "")
    if along in names.registry.nodes:
        same_item(names.find(along, mark, key), asker.each, Scalar(along, False, mark, mark), key)
    elif along:
        says = f"the table {name} goes along `{along}`, which is no measure; use it in a measure"
        raise Slip(mark, f"{key}.table", says)
    return ["table", name, column, times, along]


def agree(found: str, wanted: str, mark: Mark, key: str) -> None:
    """Raise Slip unless two dimensions can be compared."""
    loose = {"count": "number", "share": "number"}
    if loose.get(found, found) != loose.get(wanted, wanted):
        raise Slip(mark, key, f"this is a {found}, compared with a {wanted}")


def _points(node: Node, x: str, y: str, key: str) -> list[list[Any]]:
    if not isinstance(node, Sequence) or not node.items:
        raise Slip(node.start, key, "a list of [from, value] pairs should stand here")
    points = []
    for item in node.items:
        if not isinstance(item, Sequence) or len(item.items) != 2:
            raise Slip(item.start, key, "each point is a pair, such as [21 days, 15 C]")
        points.append([literal(item.items[0], x, key), literal(item.items[1], y, key)])
    if any(b[0] <= a[0] for a, b in zip(points, points[1:], strict=False)):
        raise Slip(node.start, key, "the points must go up")
    return points


def condition(node: Node, names: Names, key: str, each: str = "") -> Expression:
    """A condition of a rule that asks about `each`, compiled. Raises Slip."""
    if not isinstance(node, Mapping):
        raise Slip(node.start, key, "a condition is a mapping, such as {weather.rain: yes}")
    parts: list[Expression] = []
    for name, test in node.entries.items():
        mark, inner = node.keys[name], f"{key}.{name}"
        if name == "any":
            if not isinstance(test, Sequence):
                raise Slip(mark, inner, "`any` takes a list of conditions")
            parts.append(["any", [condition(item, names, inner, each) for item in test.items]])
        elif name.startswith("written "):
            parts.append(_written(name[8:].strip(), test, mark, inner))
        else:
            found = names.find(name, mark, inner)
            parts.append(_test(found, test, names, inner, each))
    return parts[0] if len(parts) == 1 else ["all", parts]


def _written(path: str, test: Node, mark: Mark, key: str) -> Expression:
    first, _, rest = path.partition(".")
    word = first if first in ITEMS else ""
    full = f"{ITEMS[word]}.*" + (f".{rest}" if rest else "") if word else path
    if shape_of(full) is None:
        raise Slip(mark, key, f"`{path}` is no key of the setup")
    return ["written", rest if word else path, word, literal(test, "flag", key)]


def _test(found: Named, test: Node, names: Names, key: str, each: str) -> Expression:
    if isinstance(test, Mapping):
        comparator, wanted = one_comparator(test, key)
        if found.dimension != "names" or comparator in NUMBERS:
            check_comparator(comparator, found.dimension, test.start, key)
        inner = comparator_value(
            comparator, wanted, found, Asker(found.item or each), names, f"{key}.{comparator}"
        )
        return ["test", found.term, comparator, inner]
    listed = isinstance(test, Sequence)
    wanted_value = literal(test, found.dimension, key, found.words)
    return ["test", found.term, "one_of" if listed else "is", ["literal", wanted_value]]


def one_comparator(node: Mapping, key: str) -> tuple[str, Node]:
    """The only comparator of a mapping, with what it compares with. Raises Slip."""
    found = [word for word in node.entries if word in COMPARATORS]
    if len(found) != 1:
        says = f"exactly one of {', '.join(COMPARATORS)} should stand here"
        raise Slip(node.start, key, says)
    return found[0], node.entries[found[0]]


def check_comparator(comparator: str, dimension: str, mark: Mark, key: str) -> None:
    """Raise Slip where a comparator makes no sense for what is compared."""
    numeric = dimension not in _PLAIN or dimension == "date"
    if comparator in NUMBERS and not numeric:
        raise Slip(mark, key, f"`{comparator}` compares numbers; this is a {dimension}")
    if (comparator == "none") != (dimension == "names"):
        says = (
            "a list of names can only be `none`" if dimension == "names" else "`none` is for lists"
        )
        raise Slip(mark, key, says)


def comparator_value(
    comparator: str, node: Node, found: Named, asker: Asker, names: Names, key: str
) -> Expression:
    """The value beside a comparator. Raises Slip."""
    if comparator == "none":
        return ["literal", literal(node, "flag", key)]
    return value(node, found, asker, names, key)


def template(node: Node, each: str, names: Names, key: str) -> Template:
    """A text with `{name}` parts, compiled. Raises Slip for a name that does not resolve."""
    text = " ".join(_text(node).split())
    parts: Template = []
    at = 0
    for match in _PUT.finditer(text):
        if match.start() > at:
            parts.append(text[at : match.start()])
        parts.append(_put(match.group(1), node.start, each, names, key))
        at = match.end()
    if at < len(text):
        parts.append(text[at:])
    if any("{" in part or "}" in part for part in parts if isinstance(part, str)):
        raise Slip(node.start, key, "a `{` or `}` stands alone; a name goes between the two")
    return parts


def _put(name: str, mark: Mark, each: str, names: Names, key: str) -> Expression:
    if name in SPECIAL:
        return ["put", name, "", ""]
    base, _, suffix = name.rpartition(".")
    if suffix in SUFFIXES and base:
        found = names.find(base, mark, key)
        if not found.daily:
            raise Slip(mark, key, f"`{base}` is the same every day; `.{suffix}` makes no sense")
    else:
        suffix = ""
        found = names.find(name, mark, key)
    if found.item and found.item != each:
        says = f"`{name}` goes by {found.item}; the rule asks about {each or 'the pen'}"
        raise Slip(mark, key, says)
    return ["put", found.term, suffix, found.dimension]


def _text(node: Node) -> str:
    if not isinstance(node, Scalar):
        raise Slip(node.start, "", "a plain text should stand here")
    return node.text
