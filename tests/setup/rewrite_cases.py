"""Setups written in many ways, and changes of them, for the tests that rewrite a text."""

from __future__ import annotations

import functools
import json
import random
from pathlib import Path
from typing import Any

from flockcheck.setup.edits import Write
from flockcheck.setup.form import general, kind_of, leaves, resolve, shape_of
from flockcheck.setup.reader import read_setup_text
from flockcheck.text.document import plain, read_nodes

ROOT = Path(__file__).parents[2]
FILES = [
    *sorted((ROOT / "fixtures" / "good").glob("*.flock.yaml")),
    ROOT / "fixtures" / "minimal.flock.yaml",
    ROOT / "fixtures" / "mixed" / "two-batches.flock.yaml",
    Path(__file__).with_name("whole.flock.yaml"),
]
TEXTS = [path.read_text(encoding="utf-8") for path in FILES]
SAID = ["# ours", "#", "# fox: seen, by 6' 4\" of {mesh} - no [end]", "#! 2 ft # twice"]


class Hand:
    """Writes data as one keeper might: each choice is left to chance."""

    def __init__(self, chances: random.Random) -> None:
        self.chances = chances
        self.indent = chances.randint(1, 4)
        self.dash = chances.choice([0, 2, 3])
        self.newline = chances.choice(["\n", "\r\n"])
        self.width = chances.choice([0, 32])

    def chance(self, of: int) -> bool:
        return self.chances.randint(0, of) == 0

    def text(self, data: dict[str, Any]) -> str:
        """The whole file."""
        if self.chance(12):
            return json.dumps(data, indent=self.chances.choice([None, 2, "\t"]))
        head = ["---"] if self.chance(8) else []
        whole = self.newline.join([*head, *self.section(data, 0)])
        end = self.chances.choice(["", "\n", "\n\n  \n", "\n# end", "\n...\n"])
        return whole + str(end).replace("\n", self.newline)

    def section(self, data: dict[str, Any], column: int) -> list[str]:
        lines: list[str] = []
        for key, value in data.items():
            if self.chance(9):
                lines += ["", " " * self.chances.choice([0, column]) + self.said()]
            lines += self.pair(key, value, column)
        return lines

    def pair(self, key: str, value: Any, column: int) -> list[str]:
        left = " " * column + self.quoted(key, plain_too=8) + ":"
        short = isinstance(value, str) or not value or self.chance(3)
        if short:
            written = self.scalar(value, column) if isinstance(value, str) else self.flow(value)
            if written.startswith(("|", ">")):
                return [f"{left} {written}"]
            return [self.trailed(f"{left} {written}")]
        if isinstance(value, dict):
            return [self.trailed(left), *self.section(value, column + self.indent)]
        lines = [self.trailed(left)]
        for item in value:
            lines += self.item(item, column + self.dash)
        return lines

    def item(self, item: Any, column: int) -> list[str]:
        if isinstance(item, str) or self.chance(3):
            return [self.trailed(" " * column + "- " + self.flow(item))]
        lines = self.section(item, column + 2)
        if lines[0].strip():
            lines[0] = " " * column + "-" + lines[0][column + 1 :]
            return lines
        return [" " * column + "-", *lines]

    def flow(self, value: Any) -> str:
        if isinstance(value, str):
            return self.quoted(value, plain_too=1, bracketed=True)
        if isinstance(value, dict):
            pairs = [f"{self.quoted(key, plain_too=8)}: {self.flow(value[key])}" for key in value]
            return "{" + ", ".join(pairs) + "}"
        return "[" + ", ".join(self.flow(one) for one in value) + "]"

    def scalar(self, text: str, column: int) -> str:
        if self.chance(12) and text:
            head = self.chances.choice(["|-", ">-", "|- # why", ">- # so"])
            return f"{head}{self.newline}{' ' * (column + 2)}{text}"
        return self.quoted(text, plain_too=3)

    def quoted(self, text: str, *, plain_too: int, bracketed: bool = False) -> str:
        fits = text and not set(text) & set(",[]{}#:'\"") and text[0] not in "-&*!|>%@`? "
        if not self.chance(plain_too) and fits:
            return text
        if self.chance(1):
            return json.dumps(text, ensure_ascii=False)
        return "'" + text.replace("'", "''") + "'"

    def said(self) -> str:
        return str(self.chances.choice(SAID))

    def trailed(self, line: str) -> str:
        if self.chance(3):
            return f"{line.ljust(self.width)} {self.said()}"
        return line + " " * (self.chances.randint(0, 3) if self.chance(5) else 0)


def written(seed: int) -> str:
    """A sound setup, written in some hand."""
    return in_some_hand(random.Random(seed).choice(TEXTS), seed)


def in_some_hand(text: str, seed: int) -> str:
    """A setup as another keeper writes it: of its own layout only the data is left."""
    data: Any = plain(read_nodes(text))
    data["notes"] = " ".join(data.get("notes", "none").split())
    return Hand(random.Random(seed)).text(data)


@functools.cache
def pool() -> dict[str, tuple[str, ...]]:
    """Texts that a keeper wrote somewhere, by the general path of their key."""
    found: dict[str, dict[str, None]] = {}
    for text in TEXTS:
        for path, written in read_setup_text(text, "x").values.items():
            found.setdefault(general(path), {})[written.text.strip() or "[]"] = None
    shapes = {path: shape_of(path) or {} for path in leaves()}
    return {
        path: tuple(found[path])
        for path, shape in shapes.items()
        if path in found
        # A date moved by itself may make periods overlap and stays of years; weights are no lever.
        and kind_of(shape) not in ("date", "weights", "text")
        and kind_of(resolve(shape.get("items", {}))) != "section"
        and not path.startswith(("flockcheck", "accepted", "standards", "weather.periods"))
        and path not in ("birds.*.kind", "birds.*.growth")
    }


def changes(seed: int, text: str) -> list[Write]:
    """Some changes of a setup: other values, new keys and sections, a new guardian."""
    chances = random.Random(seed)
    setup = read_setup_text(text, "x")
    wanted: dict[str, Write] = {}
    for path in chances.sample(sorted(pool()), chances.randint(1, 6)):
        of = path.partition(".*")[0]
        if "*" in path and not setup.lists.get(of):
            continue
        own = path.replace("*", str(chances.randrange(setup.lists.get(of, 1) or 1)), 1)
        if "*" not in own:
            wanted[own] = Write(own, chances.choice(pool()[path]))
    if chances.random() < 0.5:
        at = setup.lists.get("guardians", 0)
        item = (("kind", "dog"), ("count", "2"), ("age", chances.choice(["3 years", "1 year"])))
        wanted["guardians"] = Write(f"guardians.{at}", "{kind: dog}", item)
    return list(wanted.values())
