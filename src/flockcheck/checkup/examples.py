"""The examples of a rule file: changes to the book's base setup, and what the rule finds then."""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any

from flockcheck.setup.reader import SetupError, read_setup_text
from flockcheck.setup.written import Setup
from flockcheck.text.document import (
    DocumentError,
    Mapping,
    Scalar,
    Sequence,
    decode,
    plain,
    read_document,
    read_nodes,
)
from flockcheck.text.records import NamedTuple

# What is written for a key that is to be taken away.
LEFT_OUT = "left out"


class ExampleError(ValueError):
    """An example that can't be tried: its changes don't fit the base setup."""

    def __init__(self, says: str) -> None:
        self.says = says
        super().__init__(says)


class Example(NamedTuple):
    """One example of a rule.

    `changes` are keys of the base setup with what they become; `finds` is a grade, nothing, not
    checked or not asked. What the author left out is empty: `first` and `last` (the days of the
    finding), `on` (the one day that `finds` is about), `needs` (the keys that are named as
    missing), `item` (a place in the setup, or a predator) and `standard`. Where that is named,
    `finds` is about its limits in the rule: kept, broken, not checked or not asked.
    """

    line: int
    changes: dict[str, Any]
    finds: str
    first: str
    last: str
    on: str
    needs: tuple[str, ...]
    item: str
    standard: str


def read_examples(data: bytes) -> list[Example]:
    """The examples of a rule file that satisfies the rule schema. Raises DocumentError."""
    root = read_document(decode(data))
    listed = root.entries.get("examples")
    return [
        _example(node)
        for node in (listed.items if isinstance(listed, Sequence) else ())
        if isinstance(node, Mapping)
    ]


def _example(node: Mapping) -> Example:
    told: dict[str, Any] = plain(node)
    needs = told.get("needs", ())
    return Example(
        line=node.start.line,
        changes=told["with"],
        finds=told["finds"],
        first=told.get("from", ""),
        last=told.get("until", ""),
        on=told.get("on", ""),
        needs=(needs,) if isinstance(needs, str) else tuple(needs),
        item=told.get("item", ""),
        standard=told.get("standard", ""),
    )


def base_document(text: str) -> dict[str, Any]:
    """The base setup as dicts, lists and texts. Raises DocumentError."""
    found: dict[str, Any] = plain(read_document(text))
    return found


def changed_setup(base: dict[str, Any], changes: dict[str, Any], file: str) -> Setup:
    """The setup that changes make of the base, read by the ordinary reader.

    Raises ExampleError where a change has no place in the base, and where what comes out is no
    setup.
    """
    document = deepcopy(base)
    for path, value in changes.items():
        _put(document, path, value)
    try:
        # Every JSON text is a YAML text; indented, so that faults have lines of their own.
        return read_setup_text(json.dumps(document, ensure_ascii=False, indent=1), file)
    except SetupError as error:
        first = error.faults[0]
        raise ExampleError(f"this makes no setup ({first.path}): {first.says}") from None


def _put(document: dict[str, Any], path: str, value: Any) -> None:
    parts = path.split(".")
    last = parts[-1]
    here: Any = document
    for part, below in zip(parts[:-1], parts[1:], strict=True):
        here = _below(here, part, path, [] if below.isdigit() else {})
    if value == LEFT_OUT:
        if not _take(here, last):
            raise ExampleError(f"`{path}` is not in the base setup, so it can't be left out")
    elif isinstance(here, dict):
        here[last] = _flow(value, path)
    elif isinstance(here, list) and last.isdigit() and int(last) <= len(here):
        here[int(last) : int(last) + 1] = [_flow(value, path)]
    else:
        raise ExampleError(f"`{path}` has no place in the base setup")


def _below(here: Any, part: str, path: str, fresh: Any) -> Any:
    """What stands under a part of a path; a key or the next item of a list may be new."""
    if isinstance(here, dict):
        return here.setdefault(part, fresh)
    if isinstance(here, list) and part.isdigit() and int(part) <= len(here):
        if int(part) == len(here):
            here.append(fresh)
        return here[int(part)]
    raise ExampleError(f"`{path}` has no place in the base setup")


def _take(here: Any, part: str) -> bool:
    """Take a key or item away; False where it isn't there."""
    if isinstance(here, dict):
        return here.pop(part, None) is not None
    if isinstance(here, list) and part.isdigit() and int(part) < len(here):
        del here[int(part)]
        return True
    return False


def _flow(value: Any, path: str) -> Any:
    """A value as the keeper would write it; a text in brackets or braces is a list or a map."""
    if not isinstance(value, str) or not value.startswith(("[", "{")):
        return value
    try:
        node = read_nodes(value)
    except DocumentError as error:
        raise ExampleError(f"`{path}`: {error.faults[0].says}") from None
    return value if isinstance(node, Scalar) else plain(node)
