"""The formal setup format: the JSON Schema of the package, asked key by key.

The schema is the only place where the format's keys stand. The reader walks it beside the text,
the sections look a key up in it to tell "left out" from "no such key", and the rule compiler asks
it for the dimension of a key.
"""

from __future__ import annotations

import json
import os
from functools import cache, lru_cache
from typing import Any

Shape = dict[str, Any]

# Where absence means none because the key only adds exceptions: nothing to report.
QUIET = frozenset({"standards", "accepted", "birds.*.sexes", "look_ahead"})

# Paths kept at hand: the format has far fewer, but a list in a file may be of any length.
_MOST_PATHS = 4096


@cache
def schema() -> Shape:
    """The JSON Schema of a setup file, format 1."""
    path = os.path.join(os.path.dirname(__file__), "setup.schema.json")
    with open(path, encoding="utf-8") as file:
        loaded: Shape = json.load(file)
    return loaded


# Shapes with a reference, followed once; the schema lives as long as the program.
_followed: dict[int, Shape] = {}


def resolve(shape: Shape) -> Shape:
    """A shape with its `$ref` followed; what stands beside the reference wins."""
    ref = shape.get("$ref")
    if ref is None:
        return shape
    found = _followed.get(id(shape))
    if found is None:
        target = resolve(schema()["$defs"][ref.rpartition("/")[2]])
        found = {**target, **{key: value for key, value in shape.items() if key != "$ref"}}
        # The shape itself is kept too, so that its id is never another's.
        found["$ref-of"] = shape
        _followed[id(shape)] = found
    return found


@lru_cache(maxsize=_MOST_PATHS)
def shape_of(path: str) -> Shape | None:
    """The shape of a key, by its path with `*` (or a number) for list items; None: no such key."""
    here = resolve(schema())
    for part in path.split(".") if path else ():
        if here.get("type") == "array" and (part == "*" or part.isdigit()):
            here = resolve(here["items"])
        elif part in here.get("properties", {}):
            here = resolve(here["properties"][part])
        else:
            return None
    return here


def kind_of(shape: Shape) -> str:
    """What a shape holds.

    One of quantity, flag, date, word, text, integer, number, section, weights, list.
    """
    if "dimension" in shape:
        return "quantity"
    if shape.get("format") == "date":
        return "date"
    if "enum" in shape:
        if any(one is True for one in shape["enum"]):
            return "flag"
        return "integer" if shape.get("type") == "integer" else "word"
    kind = shape.get("type")
    if kind == "object":
        return "section" if "properties" in shape else "weights"
    return {"array": "list", "integer": "integer", "number": "number"}.get(str(kind), "text")


@lru_cache(maxsize=_MOST_PATHS)
def general(path: str) -> str:
    """A path with `*` in place of list positions: `birds.0.count` becomes `birds.*.count`."""
    return ".".join("*" if part.isdigit() else part for part in path.split("."))


def leaves(path: str = "") -> list[str]:
    """Every key that holds a value, as general paths, in the order of the schema."""
    shape = shape_of(path)
    if shape is None:
        return []
    found: list[str] = []
    if shape.get("type") == "array":
        item = resolve(shape["items"])
        return leaves(f"{path}.*") if kind_of(item) == "section" else [path]
    for key, value in shape.get("properties", {}).items():
        inner = f"{path}.{key}" if path else key
        if kind_of(resolve(value)) in ("section", "list"):
            found += leaves(inner)
        else:
            found.append(inner)
    return found
