"""Rulebook folders to one compiled book: every file judged by its schema, every name resolved.

All mistakes of all files are collected, each with file, line and key, before anything is refused.
What comes out is plain JSON, so that it can be kept and read back without compiling again.
"""

from __future__ import annotations

import json
import os
from typing import Any

from flockcheck.measures.graph.registry import Registry, RegistryError
from flockcheck.rulebook.leverfile import compile_lever
from flockcheck.rulebook.model import BookFault
from flockcheck.rulebook.names import Names, Slip
from flockcheck.rulebook.rulefile import RuleFile, items_of
from flockcheck.rulebook.schemawords import complaints
from flockcheck.rulebook.tablefile import compile_table
from flockcheck.setup.form import resolve, shape_of
from flockcheck.setup.reader import nearest
from flockcheck.text.document import DocumentError, Mapping, Mark, Node, decode, plain, read_nodes
from flockcheck.text.records import NamedTuple

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
        self.names = Names(registry, {})
        self._book = ""
        self._file = ""
        self._judges: dict[str, Any] = {}
        # The nodes of each rule and table that was kept, for what is checked across files.
        self._nodes: dict[tuple[str, str], Mapping] = {}

    def compile(self, books: list[RawBook]) -> None:
        """Compile books in their order; later ones may replace what they say they replace."""
        parsed = [(book, self._parse(book)) for book in books]
        for kind in ("sources", "table", "levers", "rule"):
            # What can't be found may stand where something is wrong already: no second mistake.
            self.names.spoiled = any(self.faults.values())
            if kind == "levers" and not self._close():
                return
            for book, nodes in parsed:
                for file, node in nodes.items():
                    if _kind_of_file(file) == kind:
                        self._book, self._file = book.name, file
                        self._one(kind, node)
        self._check_across()

    def _close(self) -> bool:
        """Hold the measures against the tables; False where what is missing may be spoiled."""
        try:
            self.registry.close(self.data["tables"])
        except RegistryError:
            if not self.names.spoiled:
                raise
            return False
        return True

    def fault(self, mark: Mark, key: str, says: str) -> None:
        """Keep a mistake of the file at hand, once; one without words follows from another."""
        fault = BookFault(self._file, mark.line, key, says.rstrip("."))
        own = self.faults.setdefault(self._book, [])
        if says and fault not in own:
            own.append(fault)

    def _slip(self, slip: Slip) -> None:
        self.fault(slip.mark, slip.key, slip.says)

    def _parse(self, book: RawBook) -> dict[str, Node]:
        self._book, self._file = book.name, ""
        self.faults.setdefault(book.name, [])
        if not book.files:
            self.fault(Mark(1, 1, 0), "", "this folder holds no rule, table, levers or sources")
        nodes: dict[str, Node] = {}
        for file, data in sorted(book.files.items()):
            self._file = file
            if file == BASE:
                continue
            if not _kind_of_file(file):
                says = "rules lie in folders named for their topic, tables in `tables`"
                self.fault(Mark(1, 1, 0), "", f"no file of this name belongs here; {says}")
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
        found = complaints(self._judges[kind], node)
        for one in found:
            self.fault(one.mark, one.key, one.says)
        return not found

    def _one(self, kind: str, node: Node) -> None:
        try:
            {
                "sources": self._sources,
                "levers": self._levers,
                "table": self._table,
                "rule": self._rule,
            }[kind](node)
        except Slip as slip:
            self._slip(slip)

    def _sources(self, node: Node) -> None:
        for item in items_of(node):
            entry = plain(item)
            self._keep("sources", entry["id"], {**entry, "book": self._book}, item, False)

    def _keep(self, kind: str, name: str, data: Any, node: Node, replaces: bool) -> None:
        """Keep a part under its name; a name twice is a mistake unless it says `replaces: yes`."""
        there = self.data[kind].get(name)
        if there is not None and not (replaces and there["book"] != self._book):
            says = f"`{name}` stands in the book {there['book']} already"
            if there["book"] != self._book and kind in ("rules", "tables"):
                says += "; say `replaces: yes` where it should take its place"
            key = {"sources": "id", "levers": "lever", "rules": "rule", "tables": "table"}[kind]
            self.fault(node.start, key, says)
            return
        self.data[kind][name] = data
        if isinstance(node, Mapping):
            self._nodes[kind, name] = node

    def _levers(self, node: Node) -> None:
        for item in items_of(node):
            assert isinstance(item, Mapping)
            lever = compile_lever(item, self._slip)
            if lever is not None:
                lever["book"] = self._book
                self._keep("levers", lever["path"], lever, item, False)

    def _table(self, node: Node) -> None:
        assert isinstance(node, Mapping)
        before = len(self.faults[self._book])
        table = compile_table(node, self._file, self._slip)
        sound = len(self.faults[self._book]) == before
        for row, data in zip(items_of(node.entries["rows"]), table["rows"], strict=False):
            self._cite(data["cites"], row)
        table["book"] = self._book
        replaces = "replaces" in node.entries
        name = table["name"]
        if sound and replaces and name in self.data["tables"]:
            says = _unfit_to_replace(self.data["tables"][name], table)
            if says:
                self.fault(node.keys["replaces"], "replaces", says)
                return
        self._keep("tables", name, table, node, replaces)
        self.names.columns[name] = table["units"]
        self.names.along[name] = table["along"]
        told = [word for row in table["rows"] for word in row["where"]]
        self.names.by[name] = tuple(dict.fromkeys(told))

    def _cite(self, cites: dict[str, Any], node: Node) -> None:
        source = cites.get("id")
        if source and source not in self.data["sources"]:
            near = nearest(source, list(self.data["sources"]))
            hint = f"; did you mean `{near}`?" if near else ""
            says = self.names.unless_spoiled(f"no sources.yaml has `{source}`{hint}")
            self.fault(node.start, "source.id", says)

    def _rule(self, node: Node) -> None:
        assert isinstance(node, Mapping)
        topic, _, stem = self._file.removesuffix(".yaml").rpartition("/")
        file = RuleFile(node, self.names, self.data["levers"], self.fault, self._cite)
        rule = {**file.compiled(), "topic": topic, "book": self._book}
        if stem != rule["name"]:
            says = f"the file is called {stem}.yaml, the rule {rule['name']}"
            self.fault(node.keys["rule"], "rule", says)
            # Others may name it by the name of its file.
            self.names.spoiled = True
        self._keep("rules", rule["name"], rule, node, "replaces" in node.entries)

    def _check_across(self) -> None:
        """What only the whole can show: rules named by others, words that a table must all have."""
        rules = self.data["rules"]
        circles: set[frozenset[str]] = set()
        for rule in rules.values():
            for other in rule["instead_of"]:
                says = self._wrong_stand_in(rule["name"], other)
                pair = frozenset((rule["name"], other))
                if says and pair not in circles:
                    circles.add(pair)
                    self._book, self._file = rule["book"], f"{rule['topic']}/{rule['name']}.yaml"
                    mark = self._nodes["rules", rule["name"]].keys["instead_of"]
                    self.fault(mark, "instead_of", says)
        for table in self.data["tables"].values():
            if "predator" not in table["by"]:
                continue
            known = resolve((shape_of("predators") or {})["items"])["enum"]
            rows = table["rows"]
            if any("predator" not in row["where"] for row in rows):
                continue
            named = {word for row in rows for word in row["where"]["predator"]}
            lacking = [word for word in known if word not in named]
            if lacking:
                self._book, self._file = table["book"], f"tables/{table['name']}.yaml"
                says = f"the setup format knows {', '.join(lacking)} among the predators"
                mark = self._nodes["tables", table["name"]].keys["rows"]
                self.fault(mark, "rows", f"{says}; the table has no row for them")

    def _wrong_stand_in(self, name: str, other: str) -> str:
        """What is wrong with a rule's standing in for another; empty where nothing is."""
        rules = self.data["rules"]
        if other == name:
            return "a rule can't stand in for itself"
        if other not in rules:
            near = nearest(other, list(rules))
            hint = f"; did you mean `{near}`?" if near else ""
            return self.names.unless_spoiled(f"there is no rule `{other}`{hint}")
        seen, waiting = set(), [other]
        while waiting:
            at = waiting.pop()
            if at == name:
                return f"`{other}` stands in for this rule in turn; both would be hidden"
            if at in rules and at not in seen:
                seen.add(at)
                waiting += rules[at]["instead_of"]
        return ""


def _unfit_to_replace(old: dict[str, Any], new: dict[str, Any]) -> str:
    """What a table lacks to be read in place of another, by who knows only the other."""
    for column, dimension in old["units"].items():
        if new["units"].get(column) != dimension:
            return f"the table that this one replaces gives `{column}: {dimension}`; give it too"
    if new["along"] != old["along"]:
        goes = f"goes along {old['along']}" if old["along"] else "has plain rows"
        return f"the table that this one replaces {goes}; write this one so too"
    given = {word.partition(".")[0] for word in old["by"]}
    for word in new["by"]:
        if word.partition(".")[0] not in given:
            return f"who reads the table that this one replaces says nothing of `{word}`"
    return ""


def _kind_of_file(file: str) -> str:
    if file in _TOP:
        return _TOP[file]
    folder, slash, _ = file.partition("/")
    return ("table" if folder == "tables" else "rule") if slash else ""
