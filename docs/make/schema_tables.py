"""Tables of keys for a reference page, made from a JSON Schema of ours.

A definition with `properties` becomes a section with one row for each key; every other one is a
kind of value. The sentences come from the schema's own titles and descriptions, so that a page
can't say anything else than what is judged.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

PACKAGE = Path(__file__).resolve().parents[2] / "src" / "flockcheck"
# The types of JSON in plain words.
TYPES = {
    "string": "text",
    "integer": "whole number",
    "boolean": "true or false",
    "object": "map",
    "array": "list",
}

Schema = dict[str, Any]


def load(path: str) -> Schema:
    """The schema at a path below the package."""
    found: Schema = json.loads((PACKAGE / path).read_text(encoding="utf-8"))
    return found


def has_section(shape: Schema) -> bool:
    """Whether a definition has keys of its own to list."""
    return "properties" in shape and "title" in shape


def anchor(title: str) -> str:
    """The link to a heading, as code hosts make it."""
    return "#" + re.sub(r"[^a-z0-9 -]", "", title.lower()).replace(" ", "-")


def resolved(shape: Schema, schema: Schema) -> Schema:
    """The definition that a shape refers to, or the shape itself."""
    name = str(shape.get("$ref", "")).removeprefix("#/$defs/")
    found: Schema = schema["$defs"][name] if name else shape
    return found


def code(value: object) -> str:
    """A value as it is written in a file."""
    return f"`{value if isinstance(value, str) else json.dumps(value)}`"


def form(shape: Schema, schema: Schema, by_title: bool) -> str:
    """What a value looks like in a few words, linked where it has a section of its own.

    `by_title` calls a kind of value by its title (the page lists those); else by its JSON types.
    """
    found = resolved(shape, schema)
    if has_section(found):
        return f"[{found['title'].lower()}]({anchor(found['title'])})"
    if "const" in found or "enum" in found:
        return ", ".join(code(value) for value in found.get("enum") or [found["const"]])
    if "anyOf" in found:
        choices = [one for one in found["anyOf"] if one != {"type": "null"}]
        return " or ".join([*(form(one, schema, by_title) for one in choices), "null"])
    if found.get("type") == "array":
        return f"list, each {form(found['items'], schema, by_title)}"
    if "$ref" in shape and by_title:
        return str(found["title"]).lower()
    if "type" not in found and "allOf" in found:
        return form(found["allOf"][0], schema, by_title)
    types: list[str] = found["type"] if isinstance(found["type"], list) else [found["type"]]
    return " or ".join(TYPES.get(one, one) for one in types)


def row(cells: list[str]) -> str:
    """A line of a table."""
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def authors_table(shape: Schema, schema: Schema) -> list[str]:
    """A definition's keys for someone who writes them: titles, examples and which are a must."""
    head = ["key", "what it takes", "what it is", "such as"]
    lines = [row(head), "|" + "---|" * len(head)]
    for key, value in shape["properties"].items():
        needed = " (must)" if key in shape.get("required", ()) else ""
        what = f"*{value['title']}.* {value['description']}"
        such_as = ", ".join(code(one) for one in value["examples"])
        lines.append(row([f"`{key}`{needed}", form(value, schema, True), what, such_as]))
    return [*lines, *conditions(shape, schema), ""]


def readers_table(shape: Schema, schema: Schema) -> list[str]:
    """A definition's keys for someone who reads them, with a word where one may be absent."""
    head = ["key", "what it holds", "what it is"]
    lines = [row(head), "|" + "---|" * len(head)]
    for key, value in shape["properties"].items():
        absent = "" if key in shape.get("required", ()) else " (where it applies)"
        cells = [f"`{key}`{absent}", form(value, schema, False), value["description"]]
        lines.append(row(cells))
    return [*lines, *conditions(shape, schema), ""]


def conditions(shape: Schema, schema: Schema) -> list[str]:
    """The sentences that a schema attaches to what it asks of several keys at once, as a list."""
    found = [one for part in shape.get("allOf", ()) for one in _sentences(part, schema)]
    return ["", *(f"- {one}" for one in dict.fromkeys(found))] if found else []


def _sentences(part: Schema, schema: Schema) -> list[str]:
    part = resolved(part, schema)
    if "description" in part:
        return [str(part["description"])]
    inner = [part[word] for word in ("then", "else", "items") if word in part]
    # A definition may hold itself for a list inside it; its sentence was said outside.
    inner += [one for one in part.get("properties", {}).values() if "$ref" not in str(one)]
    return [one for piece in inner for one in _sentences(piece, schema)]


def kinds_table(schema: Schema, leave_out: set[str]) -> list[str]:
    """The kinds of value that have no keys of their own; nothing where there are none."""
    lines = []
    for name, shape in schema["$defs"].items():
        if name in leave_out or "title" not in shape or has_section(shape):
            continue
        words = f" {form(shape, schema, True)}." if "enum" in shape else ""
        lines.append(row([shape["title"].lower(), shape["description"] + words]))
    return [row(["kind of value", "what it is"]), "|---|---|", *lines, ""] if lines else []
