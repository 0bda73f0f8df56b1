"""The page on which a club's text stands: paragraphs, rows, and members by short names."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence

from flockcheck.checkup.wording import listed
from flockcheck.reports.standing import middle_cut
from flockcheck.text.document import on_screen

# More rows than this nobody hears out; the JSON and CSV reports have them all.
MOST = 10
# Nor more names in a sentence.
_NAMES = 6
_LONGEST_NAME = 40
_COLUMN = 26
_ENDINGS = (".flock.yaml", "/flock.yaml")
# A number stays on one line with what it counts.
_BESIDE_A_NUMBER = re.compile(r"(?<=\d) (?=[A-Za-z%])")


class Page:
    """Lines of at most `width`; `folder` is what the files that are named share."""

    def __init__(self, files: Sequence[str], width: int) -> None:
        self.width = width
        self.lines: list[str] = []
        self.folder = _folder_of(files)

    def para(self, text: str, *, indent: int = 0, hang: int = 0) -> None:
        """A paragraph wrapped within the width; `hang` more for its second line and after."""
        lines = textwrap.wrap(
            _BESIDE_A_NUMBER.sub("\xa0", on_screen(text)),
            self.width,
            initial_indent=" " * indent,
            subsequent_indent=" " * (indent + hang),
            break_on_hyphens=False,
        )
        self.lines += [line.replace("\xa0", " ") for line in lines]

    def head(self, text: str) -> None:
        """What the rows below are about."""
        self.lines.append("")
        self.para(text)

    def rows(self, rows: Sequence[tuple[str, str]], more: str = "more") -> None:
        """Rows of a short text and what is said of it, the first few of them."""
        shown = rows[:MOST]
        column = min(max((len(first) for first, _ in shown), default=0), _COLUMN) + 2
        column = min(column, self.width // 2)
        for first, said in shown:
            if len(first) + 2 > column:
                self.para(first, indent=2)
                self.para(said, indent=2 + column)
            else:
                self.para(f"{first:\xa0<{column}}{said}", indent=2, hang=column)
        if len(rows) > len(shown):
            self.para(f"and {len(rows) - len(shown)} {more}", indent=2)

    def name(self, file: str) -> str:
        """A member's file as it is said: below the folder that all share, without its ending."""
        said = file.removeprefix(self.folder)
        for ending in _ENDINGS:
            if said.endswith(ending) and said != ending:
                said = said.removesuffix(ending)
                break
        return middle_cut(on_screen(said), _LONGEST_NAME)

    def names(self, files: Sequence[str]) -> str:
        """Some members in a sentence, the first few by name."""
        if len(files) <= _NAMES:
            return listed([self.name(file) for file in files])
        few = ", ".join(self.name(file) for file in files[: _NAMES - 1])
        return f"{few} and {len(files) - _NAMES + 1} more"


def _folder_of(files: Sequence[str]) -> str:
    """The folder that all files share, with its slash; empty where they share none."""
    if not files:
        return ""
    shared = files[0].rpartition("/")[0].split("/")
    for file in files:
        parts = file.rpartition("/")[0].split("/")
        same = 0
        while same < min(len(shared), len(parts)) and shared[same] == parts[same]:
            same += 1
        shared = shared[:same]
    # A file that is called flock.yaml is known by its folder.
    if any(file == "/".join([*shared, "flock.yaml"]) for file in files):
        shared = shared[:-1]
    return "".join(f"{part}/" for part in shared)
