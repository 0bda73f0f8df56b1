"""`club.yaml`: what a club asks of its members' setups and gives to them.

It is read as safely as a setup is, judged by `club.schema.json`, and used whole or not at all: a
mistake in it ends the run before any member is judged by half of it.
"""

from __future__ import annotations

import copy
import json
import os
from functools import cache
from typing import Any

from flockcheck.files import inside, os_words, read_start, shown
from flockcheck.rulebook.book import Rulebook
from flockcheck.rulebook.schemawords import complaints
from flockcheck.setup.form import kind_of, leaves, resolve, schema, shape_of
from flockcheck.setup.reader import Part, nearest, read_part
from flockcheck.text.document import (
    MOST_BYTES,
    DocumentError,
    Fault,
    Mapping,
    Mark,
    Node,
    Scalar,
    Sequence,
    decode,
    quoted,
    read_document,
)
from flockcheck.text.records import NamedTuple

# Files that some program might run. None is, but a club should know that it carries them.
CODE = (".bat", ".cmd", ".dll", ".exe", ".js", ".pth", ".py", ".pyc", ".pyd", ".sh", ".so")
# What the reader of setups reads in a club's file, in its own words.
_AS_IN_A_SETUP = ("predators", "weather")


class ClubError(ValueError):
    """A club's file with faults; `faults` holds every one, in the order of the file."""

    def __init__(self, file: str, faults: tuple[Fault, ...]) -> None:
        self.file = file
        self.faults = tuple(sorted(set(faults)))
        super().__init__(f"{file}, line {self.faults[0].line}: {self.faults[0].says}")


class Settings(NamedTuple):
    """What a club's file says.

    `file` is its name in reports, `folder` the whole path of the folder it lies in, `data` its
    bytes. `standards` and `never` have the line of each name. `given` is what the club gives to a
    member: values by the paths of a setup. `rulebooks` and `left_out` are whole paths; `requires`
    are keys with `*` for the entries of a list; `longest` is in days.
    """

    file: str
    folder: str
    data: bytes
    name: str
    standards: dict[str, int]
    least: str
    given: Part
    rulebooks: tuple[str, ...]
    requires: tuple[str, ...]
    longest: int | None
    never: dict[str, int]
    left_out: tuple[str, ...]


@cache
def club_schema() -> dict[str, Any]:
    """The JSON Schema of a club's file, format 1."""
    path = os.path.join(os.path.dirname(__file__), "club.schema.json")
    with open(path, encoding="utf-8") as file:
        loaded: dict[str, Any] = json.load(file)
    return loaded


def read_club(path: str) -> Settings:
    """The settings in a club's file. Raises ClubError with every fault."""
    folder = os.path.dirname(os.path.abspath(path))
    try:
        if not inside(path, folder):
            raise ClubError(shown(path), (Fault(1, 1, "", "it is a link that leads elsewhere"),))
        data = read_start(path, MOST_BYTES + 1, whole=True)
    except OSError as error:
        raise ClubError(shown(path), (Fault(1, 1, "", os_words(error)),)) from None
    return read_club_bytes(data, shown(path), folder)


def read_club_bytes(data: bytes, file: str, folder: str) -> Settings:
    """The settings of a club's file by its bytes, for the folder it lies in. Raises ClubError."""
    try:
        root = read_document(decode(data))
    except DocumentError as error:
        raise ClubError(file, error.faults) from None
    found = complaints(_judge(), root)
    faults = [Fault(one.mark.line, one.mark.column, one.key, one.says) for one in found]
    reading = _Reading(root, folder, faults)
    settings = reading.settings(file, data) if not found else None
    if settings is None or faults:
        reading.given()
        raise ClubError(file, tuple(faults))
    return settings


@cache
def _judge() -> Any:
    """The schema's validator, but for what the reader of setups judges with better words."""
    from jsonschema import Draft202012Validator

    judging = copy.deepcopy(club_schema())
    # An editor's `1` is a number, ours a text.
    judging["properties"]["club"]["enum"] = ["1"]
    for key in _AS_IN_A_SETUP:
        judging["properties"][key] = True
    judging["properties"]["accepting"]["properties"]["longest"] = True
    return Draft202012Validator(judging)


class _Reading:
    """The work on one file; what is wrong with it is added to `faults`."""

    def __init__(self, root: Mapping, folder: str, faults: list[Fault]) -> None:
        self.root = root
        self.folder = folder
        self.faults = faults

    def settings(self, file: str, data: bytes) -> Settings:
        """What the file says, as far as it can be used; `faults` tell of the remainder."""
        accepting = self.root.entries.get("accepting")
        terms = accepting if isinstance(accepting, Mapping) else Mapping(self.root.start)
        return Settings(
            file=file,
            folder=self.folder,
            data=data,
            name=_text(self.root.entries.get("name")),
            standards={one.text: one.start.line for one in _words(self.root, "standards")},
            least=_text(self.root.entries.get("least")),
            given=self.given(),
            rulebooks=self.folders("rulebooks", there=True),
            requires=self.requires(),
            longest=self.longest(terms),
            never={one.text: one.start.line for one in _words(terms, "never")},
            left_out=self.folders("left_out", there=False),
        )

    def fault(self, mark: Mark, path: str, says: str) -> None:
        """Keep a fault, once."""
        fault = Fault(mark.line, mark.column, path, says)
        if fault not in self.faults:
            self.faults.append(fault)

    def given(self) -> Part:
        """What the club gives to its members, read as in a setup."""
        parts = [
            read_part(self.root.entries[key], resolve(schema()["properties"][key]), key)
            for key in _AS_IN_A_SETUP
            if key in self.root.entries
        ]
        for part in parts:
            for fault in part.faults:
                self.fault(Mark(fault.line, fault.column, 0), fault.path, fault.says)
        return Part(
            {path: one for part in parts for path, one in part.values.items()},
            {path: count for part in parts for path, count in part.lists.items()},
            {path: mark for part in parts for path, mark in part.marks.items()},
            (),
        )

    def longest(self, terms: Mapping) -> int | None:
        """The longest time for which a risk may be accepted, in whole days."""
        node = terms.entries.get("longest")
        if node is None:
            return None
        accepting = club_schema()["properties"]["accepting"]
        part = read_part(node, resolve(accepting["properties"]["longest"]), "accepting.longest")
        self.faults += part.faults
        return int(part.values["accepting.longest"].value) if not part.faults else None

    def requires(self) -> tuple[str, ...]:
        """The keys that every member has to write, with `*` for the entries of a list."""
        found: list[str] = []
        for at, one in enumerate(_words(self.root, "requires")):
            path = general_key(one.text)
            if path:
                found.append(path)
                continue
            keys = [leaf.replace(".*", "") for leaf in leaves()]
            near = nearest(one.text, keys)
            hint = f"did you mean `{near}`?" if near else "docs/setup-file.md has them all"
            says = f"a setup has no key {quoted(one.text)}; {hint}"
            self.fault(one.start, f"requires.{at}", says)
        return tuple(dict.fromkeys(found))

    def folders(self, key: str, *, there: bool) -> tuple[str, ...]:
        """The whole paths of folders, every one of them below the club's own."""
        found: list[str] = []
        for at, one in enumerate(_words(self.root, key)):
            wrong = _misplaced(one.text, self.folder, there)
            if wrong:
                self.fault(one.start, f"{key}.{at}", f"{quoted(one.text)} {wrong}")
            found.append(os.path.normpath(os.path.join(self.folder, one.text)))
        return tuple(found)


def _misplaced(name: str, root: str, there: bool) -> str:
    """What is wrong with a folder that a club names; empty where it lies below the club's own."""
    parts = name.replace("\\", "/").split("/")
    if os.path.isabs(name) or parts[0] == "" or ":" in parts[0]:
        return "is a whole path; name a folder below this one, such as house-rules"
    if ".." in parts:
        return "leads out of the club's folder; name one that lies below it"
    path = os.path.join(root, name)
    if os.path.normpath(path) == os.path.normpath(root):
        return "is the club's whole folder; name one that lies below it"
    if os.path.lexists(path) and not inside(path, root):
        return "is a link that leads out of the club's folder; put the folder itself there"
    if there and not os.path.isdir(path):
        return "is no folder here; make it, or take it out"
    return ""


def general_key(key: str) -> str:
    """A key with `*` after each list of entries: `drinkers.*.holds`; empty where there is none."""
    path = ""
    for part in key.split("."):
        shape = shape_of(path)
        if shape is not None and kind_of(shape) == "list":
            path += ".*"
        path = f"{path}.{part}" if path else part
    return path if shape_of(path) is not None else ""


def _text(node: Node | None) -> str:
    return node.text if isinstance(node, Scalar) else ""


def _words(node: Mapping, key: str) -> list[Scalar]:
    """The words of a list in the order of the file."""
    found = node.entries.get(key)
    items = found.items if isinstance(found, Sequence) else []
    return [item for item in items if isinstance(item, Scalar)]


def unknown_names(settings: Settings, rulebook: Rulebook) -> tuple[Fault, ...]:
    """Names in a club's file that only a rulebook can know: standards, and rules not to accept."""
    faults: list[Fault] = []
    for kind, key, names, known in (
        ("standard", "standards", settings.standards, list(rulebook.standards)),
        ("rule", "accepting.never", settings.never, list(rulebook.rules)),
    ):
        for name, line in names.items():
            if name not in known:
                near = nearest(name, known)
                hint = f"; did you mean `{near}`?" if near else ""
                faults.append(Fault(line, 1, key, f"there is no {kind} {quoted(name)}{hint}"))
    return tuple(faults)


def code_in(folder: str) -> list[str]:
    """Files in a rulebook folder that are code, by their paths in it. Raises nothing."""
    found: list[str] = []
    for here, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        found += [
            os.path.relpath(os.path.join(here, name), folder).replace(os.sep, "/")
            for name in files
            if name.lower().endswith(CODE)
        ]
    return sorted(found)
