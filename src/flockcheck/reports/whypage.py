"""The page on which `flockcheck why` writes: paragraphs within a width."""

from __future__ import annotations

import re
import textwrap

WIDTH = 80
# A number stays on one line with its unit: `33 kg/m2`, `12 May`.
_BESIDE_A_NUMBER = re.compile(r"(?<=\d) (?=\S)")


class Page:
    """Lines of text as they grow, wrapped within a width."""

    def __init__(self, width: int = WIDTH) -> None:
        self.lines: list[str] = []
        self.width = max(40, min(width, WIDTH))

    def head(self, text: str) -> None:
        """A heading, with an empty line above it."""
        self.lines.append("")
        self.para(text, indent=0)

    def para(self, text: str, indent: int = 2, hang: int = 0, first: str = "") -> None:
        """A paragraph; `first` stands before its first line, `hang` more before the others."""
        lines = textwrap.wrap(
            _BESIDE_A_NUMBER.sub("\xa0", text),
            self.width,
            initial_indent=" " * indent + first,
            subsequent_indent=" " * (indent + hang),
            break_long_words=False,
            break_on_hyphens=False,
        )
        self.lines += [line.replace("\xa0", " ") for line in lines]

    def text(self) -> str:
        """All of it, ending in a newline."""
        return "\n".join(self.lines) + "\n"
