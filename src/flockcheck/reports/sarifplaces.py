"""Places and text changes of a setup as SARIF 2.1.0 has them: locations, regions, replacements.

Lines and columns count from 1, in Unicode code points; a region's end column is the one behind it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import quote

from flockcheck.checkup.model import Fix
from flockcheck.setup.reader import SetupError
from flockcheck.setup.rewrite import RewriteError, replacements
from flockcheck.text.document import DocumentError, read_document
from flockcheck.text.layout import BREAKS, Part, line_end, mark_at, next_line, read_layout

Region = dict[str, int]
# A setup's text without byte-order marks, by the name that its report has; None: not to be had.
Texts = Callable[[str], str | None]


class Places:
    """The artifacts of a run, and the texts of those that can be read, each taken apart once."""

    def __init__(self, files: list[str], text_of: Texts) -> None:
        self.files = list(dict.fromkeys(files))
        self._text_of = text_of
        self._texts: dict[str, str | None] = {}
        self._layouts: dict[str, Part | None] = {}

    def text(self, file: str) -> str | None:
        """The text of a file, asked for once."""
        if file not in self._texts:
            self._texts[file] = self._text_of(file)
        return self._texts[file]

    def artifact(self, file: str) -> dict[str, Any]:
        """The location of a file; standard input has no address but a place in the run's list."""
        found: dict[str, Any] = {} if file == "-" else {"uri": uri_of(file)}
        return {**found, "index": self.files.index(file)} if file in self.files else found

    def location(self, file: str, path: str, line: int, column: int) -> dict[str, Any]:
        """A place in a file: what is written there, or up to the end of that line."""
        physical = {
            "artifactLocation": self.artifact(file),
            "region": self.region(file, path, line, column),
        }
        location: dict[str, Any] = {"physicalLocation": physical}
        if path:
            location["logicalLocations"] = [{"fullyQualifiedName": path, "kind": "member"}]
        return location

    def home(self, file: str, key: str) -> tuple[str, int, int]:
        """Where a key would stand that is not written: the nearest part that is, or the start.

        Its path ("" for the start), its line and its column.
        """
        here = key if self.text(file) is not None else ""
        while here := here.rpartition(".")[0]:
            part = self._part(file, here)
            if part is not None:
                return here, part.start.line, part.start.column
        return "", 1, 1

    def region(self, file: str, path: str, line: int, column: int) -> Region:
        """What stands at a place; of a section or list, its first line."""
        start = {"startLine": line, "startColumn": column}
        text = self.text(file)
        if text is None:
            return start
        part = self._part(file, path) if path else None
        if part is not None and (part.start.line, part.start.column) == (line, column):
            return {**start, **_end(text, _extent(text, part))}
        return {**start, **_end(text, line_end(text, _at(text, line, column)))}

    def _part(self, file: str, path: str) -> Part | None:
        part = self._layout(file)
        for name in path.split("."):
            entry = part.entry(name) if part else None
            if entry is None:
                return None
            part = entry.value
        return part

    def _layout(self, file: str) -> Part | None:
        """A file taken apart; None where it holds what is no setup, or no more."""
        if file not in self._layouts:
            text = self.text(file) or ""
            try:
                read_document(text)
                self._layouts[file] = read_layout(text)
            except DocumentError:
                self._layouts[file] = None
        return self._layouts[file]

    def fix(self, file: str, fix: Fix) -> dict[str, Any] | None:
        """A fix as replacements in the file's text; None where they can't be written into it."""
        text = self.text(file)
        if text is None or self._layout(file) is None:
            return None
        try:
            edits = replacements(text, fix.changes)
        except (RewriteError, SetupError):
            return None
        if not edits:
            return None
        changes = [
            {
                "deletedRegion": {**_start(text, edit.start), **_end(text, edit.end)},
                "insertedContent": {"text": edit.text},
            }
            for edit in edits
        ]
        return {
            "description": {"text": fix.says},
            "artifactChanges": [{"artifactLocation": self.artifact(file), "replacements": changes}],
        }


def uri_of(file: str) -> str:
    """A file's name as a URI reference; one from the root of a disk names its scheme."""
    written = quote(file, safe="/~")
    return f"file://{written}" if file.startswith("/") else written


def _extent(text: str, part: Part) -> int:
    """Where what stands at a part ends: a value's end, or that of a section's first line."""
    if part.kind == "scalar":
        # A block text ends with its last letter, not with the line break behind it.
        return part.start.at + len(text[part.start.at : part.end.at].rstrip(" \t" + BREAKS))
    until = line_end(text, part.start.at)
    if part.end.at <= until:
        return part.end.at
    ends = [entry.key.end.at for entry in part.entries[:1] if entry.key]
    parts = [part]
    while parts:
        inner = parts.pop()
        ends.append(inner.end.at)
        parts += [entry.value for entry in inner.entries]
    return max((end for end in ends if end <= until), default=until)


def _at(text: str, line: int, column: int) -> int:
    """Where a line and column stand in a text."""
    at = 0
    for _ in range(line - 1):
        at = next_line(text, at)
    return min(at + column - 1, len(text))


def _start(text: str, at: int) -> Region:
    mark = mark_at(text, at)
    return {"startLine": mark.line, "startColumn": mark.column}


def _end(text: str, at: int) -> Region:
    mark = mark_at(text, at)
    return {"endLine": mark.line, "endColumn": mark.column}
