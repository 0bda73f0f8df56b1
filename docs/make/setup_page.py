"""Print the reference page of the setup file, made from its schema.

`python docs/make/setup_page.py > docs/setup-file.md`. Only the opening is written by hand, and it
states nothing about single keys; everything else stands in the schema.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SCHEMA = ROOT / "src" / "flockcheck" / "setup" / "setup.schema.json"
MINIMAL = ROOT / "fixtures" / "minimal.flock.yaml"

Node = dict[str, Any]

OPENING = """\
<!-- Made by docs/make/setup_page.py from the schema: change that, not this page. -->

# The setup file

A setup file says what you have: the pen, the birds, the kit, the ground. It is plain text (YAML)
in a file called `something.flock.yaml`, and a tape measure and ten minutes are enough to write it.
This is a whole one, though the shortest there can be:

```yaml
{minimal}
```

`flockcheck new` writes a longer one for you to fill in.

## Ground rules

- **Write a unit with every quantity**, in the units that you use. You may mix feet and metres. A
  bare number where a unit is due is an error, and the message names the units that would do. The
  [list of units](units.md) has them all.
- **Leave out what you don't know.** A question that lacks a value is reported as *not checked*,
  with the key that it needs; nothing is guessed in your favour. For the few keys marked *left out
  means* below, the cautious reading is taken instead, and the report says so.
- **Spell keys as they stand here.** A key that is not listed, a key written twice, a wrong unit
  and an impossible value are errors. All errors of a file are shown at once, each with its line.
- **A list** starts each entry with a dash, or stands in square brackets: `[fox, mink]`. `[]` is
  an empty list, which says that there is none.
- **Quotation marks** are needed only round a text that holds a colon followed by a space, or that
  begins with a sign such as `[`, `{{` or `*`. A comment starts with ` #` and runs to the end of its
  line. Anchors, aliases, tags and a second document in the same file are refused.

"""


def cell(text: str) -> str:
    return text.replace("|", "\\|")


def code(value: object) -> str:
    return f"`{value}`"


def reading(value: object) -> str:
    """Say what a key that was left out is read as: a word, a quantity, or none of a thing."""
    if value == []:
        return "none"
    if isinstance(value, dict):
        return ", ".join(f"{key} {item}" for key, item in value.items())
    return str(value)


class Page:
    """The page as it grows; `schema` is the whole schema, for looking up its definitions."""

    def __init__(self, schema: Node) -> None:
        self.schema = schema
        self.lines: list[str] = []

    def target(self, node: Node) -> tuple[str, Node]:
        """Return the name and the content of the definition that a node refers to, if it does."""
        name = str(node.get("$ref", "")).removeprefix("#/$defs/")
        return (name, self.schema["$defs"][name]) if name else ("", node)

    def kind(self, node: Node) -> str:
        """Name the kind of value that a node takes, linked to where it is explained."""
        name, target = self.target(node)
        if node.get("type") == "array":
            _, inner = self.target(node["items"])
            return "list of words" if "enum" in inner else "list"
        if "propertyNames" in node:
            keys = self.target(node["propertyNames"])[0]
            values = self.target(node["additionalProperties"])[0]
            return f"pairs of {self.link(keys)} and {self.link(values)}"
        if target.get("properties"):
            return "section"
        if name == "flag" or (name and "enum" not in target):
            return self.link(name)
        if "enum" in target and target["type"] == "string":
            return "word"
        return {"integer": "whole number", "number": "number", "string": "text"}[target["type"]]

    @staticmethod
    def link(name: str) -> str:
        return f"[{name}](#kinds-of-value)"

    def allowed(self, node: Node) -> str:
        """Say which values a node allows, and what leaving it out means."""
        _, target = self.target(node)
        parts = []
        if "least" in node:
            parts.append(f"{node['least']} to {node['most']}")
        elif "minimum" in node:
            parts.append(f"{node['minimum']} to {node['maximum']}")
        elif node.get("type") == "array":
            inner = self.target(node["items"])[1]
            if "enum" in inner:
                parts.append(", ".join(map(code, inner["enum"])))
            else:
                least = f"{node['minItems']} to" if "minItems" in node else "up to"
                parts.append(f"{least} {node['maxItems']} entries")
        elif "propertyNames" in node:
            for inner in (node["propertyNames"], node["additionalProperties"]):
                parts.append(f"{inner['least']} to {inner['most']}")
        elif target.get("type") in ("string", "integer") and "enum" in target:
            parts.append(", ".join(map(code, target["enum"])))
        elif "maxLength" in target:
            parts.append(f"up to {target['maxLength']} characters")
        if "absent" in node:
            parts.append(f"left out means {reading(node['absent'])}")
        return "; ".join(parts)

    def kinds(self) -> None:
        """Write the table of the kinds of value that are not words, numbers or text."""
        self.lines += ["## Kinds of value", "", "| kind | how it is written |", "| --- | --- |"]
        for name, node in self.schema["$defs"].items():
            if "description" in node and "properties" not in node:
                self.lines.append(f"| {name} | {cell(node['description'])} |")
        self.lines.append("")

    def section(self, path: str, node: Node, head: str) -> None:
        """Write one section with its table, then the sections inside it."""
        self.lines += [f"{'###' if '.' in path else '##'} {head}", ""]
        self.lines += ["| key | what | kind | allowed |", "| --- | --- | --- | --- |"]
        needed = node.get("required", [])
        for key, inner in node["properties"].items():
            mark = " (required)" if key in needed else ""
            cells = [f"`{key}`{mark}", inner["description"], self.kind(inner), self.allowed(inner)]
            self.lines.append("| " + " | ".join(map(cell, cells)) + " |")
        self.lines.append("")
        self.conditions(node)
        for key, inner in node["properties"].items():
            below = f"{path}.{key}" if path else key
            listed = inner.get("type") == "array"
            _, target = self.target(inner["items"] if listed else inner)
            if "properties" in target:
                form = ", each entry of the list" if listed else ""
                head = f"{target['title']}\n\n`{below}`{form}: {inner['description']}"
                self.section(below, target, head)

    def conditions(self, node: Node) -> None:
        """Write what a section asks for only where another of its keys has a certain value."""
        for condition in node.get("allOf", []):
            [(asked, only)] = condition["if"]["properties"].items()
            then = condition["then"]
            for key, inner in then["properties"].items():
                start = f"- With `{asked}: {only['const']}`, `{key}` is"
                if not inner["enum"]:
                    self.lines.append(f"{start} left out.")
                    continue
                words = ", ".join(map(code, inner["enum"]))
                must = "required" if key in then.get("required", []) else "one"
                self.lines.append(f"{start} {must}: {words}.")
        if "allOf" in node:
            self.lines.append("")


def page() -> str:
    schema: Node = json.loads(SCHEMA.read_text(encoding="utf-8"))
    made = Page(schema)
    made.kinds()
    made.section("", schema, "The file as a whole")
    minimal = MINIMAL.read_text(encoding="utf-8").rstrip("\n")
    return OPENING.format(minimal=minimal) + "\n".join(made.lines).rstrip("\n") + "\n"


if __name__ == "__main__":
    sys.stdout.write(page())
