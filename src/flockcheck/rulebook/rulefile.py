"""A rule file to a compiled rule: its limits, conditions, texts and fixes, every name resolved."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from flockcheck.rulebook import expressions as ex
from flockcheck.rulebook.names import Names, Slip
from flockcheck.rulebook.tablefile import citation
from flockcheck.setup.form import general, resolve, shape_of
from flockcheck.setup.reader import faults_of, nearest
from flockcheck.setup.sections import ITEMS
from flockcheck.text.document import Mapping, Mark, Node, Scalar, Sequence, plain

# Tells the compiler of a mistake: where, at which key, and what is wrong.
Note = Callable[[Mark, str, str], None]
Cite = Callable[[dict[str, Any], Node], None]


class RuleFile:
    """The nodes of one rule (which satisfy the rule schema), to be compiled.

    `levers` are those of the book so far; mistakes go to `note`, citations to `cite`.
    """

    def __init__(
        self,
        node: Mapping,
        names: Names,
        levers: dict[str, Any],
        note: Note,
        cite: Cite,
    ) -> None:
        self.node = node
        self.entries = node.entries
        self.names = names
        self.levers = levers
        self.note = note
        self.cite = cite
        self.each = text_of(node.entries, "each")

    def compiled(self) -> dict[str, Any]:
        """The rule as the judge's model takes it, but for its topic and book."""
        entries = self.entries
        rule: dict[str, Any] = {
            "name": text_of(entries, "rule"),
            "asks": text_of(entries, "asks"),
            "title": text_of(entries, "title"),
            "each": self.each,
            "on": text_of(entries, "on") or "stay",
            "always": "always" in entries,
            "look": text_of(entries, "look"),
            "why": text_of(entries, "why"),
            "caution": text_of(entries, "caution"),
            "instead_of": plain(entries["instead_of"]) if "instead_of" in entries else [],
            "when": None,
            "says": [],
        }
        if "for" in entries:
            rule["when"] = self._try(ex.condition, entries["for"], self.names, "for", self.each)
        if "says" in entries:
            says = self._try(ex.template, entries["says"], self.each, self.names, "says")
            rule["says"] = says or []
        elif not rule["always"]:
            self._all_say()
        rule["limits"] = self._limits(entries.get("limits"), self.node, "limits")
        rule["otherwise"] = self._otherwise()
        rule["fixes"] = self._fixes()
        rule["at"] = self._at()
        if rule["on"] == "brooding":
            self._undated(rule)
        return rule

    def _try(self, compiler: Any, node: Any, *args: Any) -> Any:
        """What a compiler makes of a node; its mistake is noted and gives None."""
        try:
            return compiler(node, *args)
        except Slip as slip:
            self.note(slip.mark, slip.key, slip.says)
            return None

    def _all_say(self) -> None:
        """Where a rule has no `says`, all its limits but those of standards have their own."""
        limits = _mappings(self.entries.get("limits"))
        for other in _mappings(self.entries.get("otherwise")):
            if "says" not in other.entries:
                limits += _mappings(other.entries["limits"])
        if any("says" not in one.entries and "standard" not in one.entries for one in limits):
            says = "nothing tells the keeper what is wrong; write `says`"
            self.note(self.node.start, "says", says)

    def _limits(self, node: Node | None, subject: Mapping, key: str) -> list[Any]:
        found = []
        for at, item in enumerate(_mappings(node)):
            limit = self._try(self._limit, item, subject, f"{key}.{at}")
            if limit is not None:
                found.append(limit)
        return found

    def _limit(self, item: Mapping, subject: Mapping, key: str) -> list[Any]:
        entries = item.entries
        own = "measure" in entries or "key" in entries
        subject = item if own else subject
        word = next((w for w in ("measure", "key") if w in subject.entries), None)
        if word is None:
            says = "nothing says what is compared: write `measure` or `key`"
            raise Slip(item.start, key, says)
        node, at = subject.entries[word], f"{key}.{word}" if own else word
        found = self.names.find(text_of(subject.entries, word), node.start, at)
        ex.same_item(found, self.each, node, at)
        comparator, wanted = ex.one_comparator(item, key)
        inner = f"{key}.{comparator}"
        ex.check_comparator(comparator, found.dimension, wanted.start, inner)
        asker = ex.Asker(self.each)
        value = ex.comparator_value(comparator, wanted, found, asker, self.names, inner)
        when, says_node = entries.get("if"), entries.get("says")
        cites = citation(item)
        self.cite(cites, item)
        return [
            found.term,
            found.dimension,
            comparator,
            value,
            text_of(entries, "grade"),
            ex.condition(when, self.names, f"{key}.if", self.each) if when else None,
            cites,
            ex.template(says_node, self.each, self.names, f"{key}.says") if says_node else None,
            text_of(entries, "standard"),
            item.start.line,
            text_of(entries, "caution"),
        ]

    def _otherwise(self) -> list[Any]:
        found = []
        for at, item in enumerate(_mappings(self.entries.get("otherwise"))):
            key, entries = f"otherwise.{at}", item.entries
            subject = item if "measure" in entries or "key" in entries else self.node
            says = entries.get("says")
            paths = [self._key_path(part, f"{key}.when") for part in items_of(entries["when"])]
            limits = self._limits(entries["limits"], subject, f"{key}.limits")
            text = (
                self._try(ex.template, says, self.each, self.names, f"{key}.says") if says else None
            )
            found.append([[path for path in paths if path], limits, text])
        return found

    def _key_path(self, node: Node, key: str) -> str | None:
        text = node.text if isinstance(node, Scalar) else ""
        named = self._try(self.names.find, text, node.start, key)
        if named is None:
            return None
        if named.term[0] == "measure":
            self.note(node.start, key, f"`{text}` is a measure; name the key it lacks")
            return None
        return text

    def _fixes(self) -> list[Any]:
        found = []
        for at, item in enumerate(_mappings(self.entries.get("fixes"))):
            key = f"fixes.{at}"
            way = next(word for word in item.entries if word not in ("to", "item"))
            text = text_of(item.entries, way)
            if way == "do":
                found.append(["do", "", None, text])
                continue
            lever = self.levers.get(text)
            if lever is None:
                near = nearest(text, list(self.levers))
                hint = f"; did you mean `{near}`?" if near else ""
                says = self.names.unless_spoiled(f"there is no lever `{text}`{hint}")
                self.note(item.keys[way], f"{key}.{way}", says)
                continue
            to = self._setting(way, text, item, key)
            words = lever["words"].get(way)
            if words is None and way in ("set", "add"):
                words = lever["data"]["do"]
            if words is None:
                says = f"the lever {text} does not say what `{way}` comes to; write `{way}` there"
                self.note(item.keys[way], f"{key}.{way}", says)
                continue
            shown = ", ".join(to) if isinstance(to, list) else to if isinstance(to, str) else ""
            shown = lever["data"].get("called", {}).get(shown, shown)
            words = words.replace("{new}", shown).replace("{which}", "")
            found.append([way, text, to, " ".join(words.split())])
        return found

    def _setting(self, way: str, lever: str, item: Mapping, key: str) -> Any:
        """What a fix sets or adds, held against the setup format."""
        word = {"set": "to", "add": "item"}.get(way)
        if word is None:
            return None
        node = item.entries[word]
        shape = shape_of(starred(lever)) or {}
        if way == "add":
            shape = shape.get("items", {})
        for fault in faults_of(node, resolve(shape), lever.rpartition(".")[2]):
            self.note(Mark(fault.line, fault.column, 0), f"{key}.{word}", fault.says)
        return plain(node)

    def _at(self) -> str:
        """Where a finding points, if the rule says so."""
        text = text_of(self.entries, "at")
        if text and shape_of(starred(text)) is None and shape_of(general(text)) is None:
            self.note(self.entries["at"].start, "at", f"`{text}` is no key of the setup")
        return text

    def _undated(self, rule: dict[str, Any]) -> None:
        """A rule about the brooding can't rest on what is worked out for the days after it."""
        for name in sorted(set(_measures_in([rule["when"], rule["limits"], rule["otherwise"]]))):
            if self.names.registry.nodes[name].daily:
                says = f"`{name}` is worked out from `out` on, which is after the brooding"
                self.note(self.node.keys["on"], "on", says)


def _measures_in(compiled: Any) -> Iterator[str]:
    """Every measure that a compiled condition or limit names."""
    if not isinstance(compiled, list):
        return
    if len(compiled) == 2 and compiled[0] == "measure":
        yield str(compiled[1])
    if compiled and compiled[0] == "table" and compiled[-1]:
        yield str(compiled[-1])
    for part in compiled:
        yield from _measures_in(part)


def starred(path: str) -> str:
    """A path with an item word as the setup format has it: `drinker.form` is `drinkers.*.form`."""
    first, dot, rest = path.partition(".")
    return f"{ITEMS[first]}.*{dot}{rest}" if first in ITEMS else path


def items_of(node: Node | None) -> list[Node]:
    """The items of a list; none of anything else."""
    return node.items if isinstance(node, Sequence) else []


def _mappings(node: Node | None) -> list[Mapping]:
    return [item for item in items_of(node) if isinstance(item, Mapping)]


def text_of(entries: dict[str, Node], key: str) -> str:
    """The text under a key on one line; empty where there is none."""
    node = entries.get(key)
    return " ".join(node.text.split()) if isinstance(node, Scalar) else ""
