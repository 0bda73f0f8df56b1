"""Rulebook folders to one compiled book: every file judged by its schema, every name resolved.

All mistakes of all files are collected, each with file, line and key, before anything is refused.
What comes out is plain JSON, so that it can be kept and read back without compiling again.
"""

from __future__ import annotations

import json
import os
from typing import Any, NamedTuple

from flockcheck.measures.graph.registry import Registry
from flockcheck.rulebook import expressions as ex
from flockcheck.rulebook.model import BookFault
from flockcheck.rulebook.tablefile import citation, compile_table
from flockcheck.setup.form import general, kind_of, resolve, shape_of
from flockcheck.setup.reader import nearest
from flockcheck.setup.sections import ITEMS
from flockcheck.text.document import (
    DocumentError,
    Mapping,
    Mark,
    Node,
    Scalar,
    Sequence,
    decode,
    plain,
    read_nodes,
)

BASE = "base.flock.yaml"
_TOP = {"sources.yaml": "sources", "levers.yaml": "levers"}


class RawBook(NamedTuple):
    """A rulebook folder's files: name of the book, and bytes by relative path (with `/`)."""

    name: str
    folder: str
    files: dict[str, bytes]


class Compiling:
    """The work on a stack of books; `faults` by book, `data` the compiled whole."""

    def __init__(self, registry: Registry) -> None:
        self.registry = registry
        self.faults: dict[str, list[BookFault]] = {}
        self.data: dict[str, Any] = {"tables": {}, "rules": {}, "levers": {}, "sources": {}}
        self.names = ex.Names(registry, {})
        self._book = ""
        self._file = ""
        self._judges: dict[str, Any] = {}

    def compile(self, books: list[RawBook]) -> None:
        """Compile books in their order; later ones may replace what they say they replace."""
        parsed = [(book, self._parse(book)) for book in books]
        for kind in ("sources", "table", "levers", "rule"):
            if kind == "levers":
                # Tables are known now, so measures can be held against them before rules use them.
                self.registry.close(self.data["tables"])
                self.names.registry = self.registry
            for book, nodes in parsed:
                for file, node in nodes.items():
                    if _kind_of_file(file) == kind:
                        self._book, self._file = book.name, file
                        self._one(kind, node)
        self._check_across()

    def fault(self, mark: Mark, key: str, says: str) -> None:
        """Keep a mistake of the file at hand."""
        self.faults.setdefault(self._book, []).append(BookFault(self._file, mark.line, key, says))

    def _parse(self, book: RawBook) -> dict[str, Node]:
        self._book = book.name
        self.faults.setdefault(book.name, [])
        nodes: dict[str, Node] = {}
        for file, data in sorted(book.files.items()):
            self._file = file
            if file == BASE:
                continue
            try:
                node = read_nodes(decode(data))
            except DocumentError as error:
                for fault in error.faults:
                    self.fault(Mark(fault.line, fault.column, 0), fault.path, fault.says)
                continue
            if self._judge(_kind_of_file(file), node):
                nodes[file] = node
        return nodes

    def _judge(self, kind: str, node: Node) -> bool:
        """Whether a file satisfies its JSON Schema; what doesn't is kept as faults."""
        if kind not in self._judges:
            from jsonschema import Draft202012Validator

            folder = os.path.join(os.path.dirname(__file__), "schemas")
            with open(os.path.join(folder, f"{kind}.schema.json"), encoding="utf-8") as file:
                self._judges[kind] = Draft202012Validator(json.load(file))
        from jsonschema.exceptions import best_match

        errors = list(self._judges[kind].iter_errors(plain(node)))
        for error in errors:
            deepest = best_match([error]) or error
            path = [str(part) for part in deepest.absolute_path]
            self.fault(_mark_at(node, path), ".".join(path), _schema_words(deepest))
        return not errors

    def _one(self, kind: str, node: Node) -> None:
        try:
            {
                "sources": self._sources,
                "levers": self._levers,
                "table": self._table,
                "rule": self._rule,
            }[kind](node)
        except ex.Slip as slip:
            self.fault(slip.mark, slip.key, slip.says)

    def _sources(self, node: Node) -> None:
        for item in _items(node):
            entry = plain(item)
            self._keep("sources", entry["id"], {**entry, "book": self._book}, item, False)

    def _keep(self, kind: str, name: str, data: Any, node: Node, replaces: bool) -> None:
        """Keep a part under its name; a name twice is a mistake unless it says `replaces: yes`."""
        there = self.data[kind].get(name)
        if there is not None and not (replaces and there["book"] != self._book):
            says = f"`{name}` stands in the book {there['book']} already"
            if there["book"] != self._book and kind in ("rules", "tables"):
                says += "; say `replaces: yes` where it should take its place"
            self.fault(node.start, kind, says)
            return
        self.data[kind][name] = data

    def _levers(self, node: Node) -> None:
        for item in _items(node):
            entry = plain(item)
            path = str(entry["lever"])
            first, _, rest = path.partition(".")
            full = f"{ITEMS[first]}.*.{rest}" if first in ITEMS else path
            if shape_of(full) is None:
                self.fault(item.start, path, f"`{path}` is no key of the setup")
                continue
            words = {
                way: entry[way]
                for way in ("less", "more", "earlier", "later", "set", "add")
                if way in entry
            }
            data = {
                "path": path,
                "kind": entry["kind"],
                "words": words,
                "data": entry,
                "book": self._book,
            }
            self._keep("levers", path, data, item, False)

    def _table(self, node: Node) -> None:
        assert isinstance(node, Mapping)
        table = compile_table(node, self._file)
        for row, data in zip(_items(node.entries["rows"]), table["rows"], strict=True):
            self._cite(data["cites"], row)
        table["book"] = self._book
        replaces = "replaces" in node.entries
        self._keep("tables", table["name"], table, node, replaces)
        self.names.columns[table["name"]] = table["units"]
        self.names.along[table["name"]] = table["along"]

    def _cite(self, cites: dict[str, Any], node: Node) -> None:
        source = cites.get("id")
        if source and source not in self.data["sources"]:
            near = nearest(source, list(self.data["sources"]))
            hint = f"; did you mean `{near}`?" if near else ""
            self.fault(node.start, "source.id", f"no sources.yaml has `{source}`{hint}")

    def _rule(self, node: Node) -> None:
        assert isinstance(node, Mapping)
        entries = node.entries
        name = _text(entries, "rule")
        topic, _, stem = self._file.removesuffix(".yaml").rpartition("/")
        if stem != name:
            self.fault(
                node.keys["rule"], "rule", f"the file is called {stem}.yaml, the rule {name}"
            )
        each = _text(entries, "each")
        rule: dict[str, Any] = {
            "name": name,
            "topic": topic,
            "book": self._book,
            "asks": _text(entries, "asks"),
            "title": _text(entries, "title"),
            "each": each,
            "on": _text(entries, "on") or "stay",
            "always": "always" in entries,
            "look": _text(entries, "look"),
            "why": _text(entries, "why"),
            "caution": _text(entries, "caution"),
            "instead_of": plain(entries["instead_of"]) if "instead_of" in entries else [],
            "when": None,
            "says": [],
        }
        if "for" in entries:
            rule["when"] = self._try(ex.condition, entries["for"], self.names, "for")
        if "says" in entries:
            rule["says"] = self._try(ex.template, entries["says"], each, self.names, "says") or []
        elif not rule["always"] and not self._all_say(entries):
            self.fault(node.start, "says", "nothing tells the keeper what is wrong; write `says`")
        rule["limits"] = self._limits(entries.get("limits"), node, each, "limits")
        rule["otherwise"] = self._otherwise(entries.get("otherwise"), node, each)
        rule["fixes"] = self._fixes(entries.get("fixes"), each)
        rule["at"] = self._at(entries, each, rule["fixes"])
        self._keep("rules", name, rule, node, "replaces" in entries)

    @staticmethod
    def _all_say(entries: dict[str, Node]) -> bool:
        limits = entries.get("limits")
        return limits is not None and all(
            isinstance(item, Mapping) and ("says" in item.entries or "standard" in item.entries)
            for item in _items(limits)
        )

    def _try(self, compiler: Any, node: Any, *args: Any) -> Any:
        """What a compiler makes of a node; its mistake is kept and gives None."""
        try:
            return compiler(node, *args)
        except ex.Slip as slip:
            self.fault(slip.mark, slip.key, slip.says)
            return None

    def _limits(self, node: Node | None, rule: Mapping, each: str, key: str) -> list[Any]:
        found = []
        for at, item in enumerate(_items(node) if node else ()):
            assert isinstance(item, Mapping)
            limit = self._try(self._limit, item, rule, each, f"{key}.{at}")
            if limit is not None:
                found.append(limit)
        return found

    def _limit(self, item: Mapping, rule: Mapping, each: str, key: str) -> list[Any]:
        subject = item if "measure" in item.entries or "key" in item.entries else rule
        word = next((w for w in ("measure", "key") if w in subject.entries), None)
        if word is None:
            raise ex.Slip(
                item.start, key, "nothing says what is compared: write `measure` or `key`"
            )
        node = subject.entries[word]
        found = self.names.find(_text(subject.entries, word), node.start, f"{key}.{word}")
        ex.same_item(found, each, node, f"{key}.{word}")
        comparator, wanted = ex.one_comparator(item, key)
        ex.check_comparator(comparator, found.dimension, wanted.start, f"{key}.{comparator}")
        value = ex.comparator_value(
            comparator, wanted, found, each, self.names, f"{key}.{comparator}"
        )
        when = item.entries.get("if")
        says = item.entries.get("says")
        cites = citation(item)
        self._cite(cites, item)
        return [
            found.term,
            found.dimension,
            comparator,
            value,
            _text(item.entries, "grade"),
            ex.condition(when, self.names, f"{key}.if") if when else None,
            cites,
            ex.template(says, each, self.names, f"{key}.says") if says else None,
            _text(item.entries, "standard"),
            item.start.line,
        ]

    def _otherwise(self, node: Node | None, rule: Mapping, each: str) -> list[Any]:
        found = []
        for at, item in enumerate(_items(node) if node else ()):
            assert isinstance(item, Mapping)
            key = f"otherwise.{at}"
            subject = item if "measure" in item.entries or "key" in item.entries else rule
            says = item.entries.get("says")
            paths = [self._key_path(part, f"{key}.when") for part in _items(item.entries["when"])]
            limits = self._limits(item.entries["limits"], subject, each, f"{key}.limits")
            text = self._try(ex.template, says, each, self.names, f"{key}.says") if says else None
            found.append([[path for path in paths if path], limits, text])
        return found

    def _key_path(self, node: Node, key: str) -> str | None:
        named = self._try(self.names.find, _only_text(node), node.start, key)
        if named is None:
            return None
        if named.term[0] == "measure":
            self.fault(node.start, key, f"`{_only_text(node)}` is a measure; name the key it lacks")
            return None
        return _only_text(node)

    def _fixes(self, node: Node | None, each: str) -> list[Any]:
        found = []
        for at, item in enumerate(_items(node) if node else ()):
            assert isinstance(item, Mapping)
            key = f"fixes.{at}"
            way = next(word for word in item.entries if word not in ("to", "item"))
            text = _text(item.entries, way)
            if way == "do":
                found.append(["do", "", None, text])
                continue
            lever = self.data["levers"].get(text)
            if lever is None:
                near = nearest(text, list(self.data["levers"]))
                hint = f"; did you mean `{near}`?" if near else ""
                self.fault(item.start, f"{key}.{way}", f"there is no lever `{text}`{hint}")
                continue
            to = plain(item.entries["to"]) if "to" in item.entries else None
            to = plain(item.entries["item"]) if "item" in item.entries else to
            self._check_setting(text, to, way, item, key)
            words = str(lever["words"].get(way) or lever["data"]["do"])
            words = words.replace("{new}", to if isinstance(to, str) else "")
            found.append([way, text, to, " ".join(words.split())])
        return found

    def _check_setting(self, lever: str, to: Any, way: str, item: Mapping, key: str) -> None:
        """A value that a fix sets must be one that the setup format knows."""
        if way != "set":
            return
        first, _, rest = lever.partition(".")
        shape = shape_of(f"{ITEMS[first]}.*.{rest}" if first in ITEMS else lever) or {}
        kind = kind_of(shape)
        if kind == "word" and to not in shape["enum"]:
            self.fault(item.start, f"{key}.to", f"`{to}` is no word for {lever}")
        elif kind in ("quantity", "flag", "date"):
            dimension = str(shape.get("dimension", kind))
            self._try(ex.literal, item.entries["to"], dimension, f"{key}.to")

    def _at(self, entries: dict[str, Node], each: str, fixes: list[Any]) -> str:
        """Where a finding points: `at`, or the first lever of the fixes, or the item's list."""
        if "at" in entries:
            text = _text(entries, "at")
            first = text.partition(".")[0]
            path = text.replace(first, ITEMS[first], 1) if first in ITEMS else text
            starred = path if first not in ITEMS else f"{ITEMS[first]}.*{text[len(first) :]}"
            if shape_of(starred) is None and shape_of(general(path)) is None:
                self.fault(entries["at"].start, "at", f"`{text}` is no key of the setup")
            return text
        for way, lever, _, _ in fixes:
            if way != "do":
                return str(lever)
        return ITEMS.get(each, "pen")

    def _check_across(self) -> None:
        """What only the whole can show: rules named by others, words that a table must all have."""
        rules = self.data["rules"]
        for rule in rules.values():
            self._book, self._file = rule["book"], f"{rule['topic']}/{rule['name']}.yaml"
            for other in rule["instead_of"]:
                if other not in rules:
                    self.fault(Mark(1, 1, 0), "instead_of", f"there is no rule `{other}`")
        for table in self.data["tables"].values():
            self._book, self._file = table["book"], f"tables/{table['name']}.yaml"
            if "predator" not in table["by"]:
                continue
            known = resolve((shape_of("predators") or {})["items"])["enum"]
            rows = table["rows"]
            if any("predator" not in row["where"] for row in rows):
                continue
            named = {word for row in rows for word in row["where"]["predator"]}
            for word in known:
                if word not in named:
                    says = (
                        f"the setup format knows the predator {word}, the table has no row for it"
                    )
                    self.fault(Mark(1, 1, 0), "rows", says)


def _kind_of_file(file: str) -> str:
    if file in _TOP:
        return _TOP[file]
    return "table" if file.startswith("tables/") else "rule"


def _items(node: Node) -> list[Node]:
    return node.items if isinstance(node, Sequence) else []


def _text(entries: dict[str, Node], key: str) -> str:
    node = entries.get(key)
    return " ".join(node.text.split()) if isinstance(node, Scalar) else ""


def _only_text(node: Node) -> str:
    return node.text if isinstance(node, Scalar) else ""


def _mark_at(node: Node, path: list[str]) -> Mark:
    """Where a path of keys and positions stands, or as far as it goes."""
    mark = node.start
    for part in path:
        if isinstance(node, Mapping) and part in node.entries:
            mark, node = node.keys[part], node.entries[part]
        elif isinstance(node, Sequence) and part.isdigit() and int(part) < len(node.items):
            node = node.items[int(part)]
            mark = node.start
        else:
            break
    return mark


def _schema_words(error: Any) -> str:
    """A schema's complaint in plain words."""
    keyword, wanted = error.validator, error.validator_value
    if keyword == "additionalProperties":
        extra = [key for key in error.instance if key not in error.schema.get("properties", {})]
        near = nearest(str(extra[0]), list(error.schema.get("properties", {}))) if extra else None
        hint = f"; did you mean `{near}`?" if near else ""
        return f"there is no key `{extra[0] if extra else '?'}` here{hint}"
    if keyword == "required":
        lacking = [key for key in wanted if key not in error.instance]
        return f"`{lacking[0] if lacking else '?'}` is missing"
    if keyword == "enum":
        return f"`{error.instance}` should be one of {', '.join(map(str, wanted))}"
    if keyword == "pattern":
        about = error.schema.get("description") or error.schema.get("title") or "the form it takes"
        return f"`{error.instance}` does not fit: {about}"
    about = error.schema.get("description", "")
    return f"{about or error.message}"
