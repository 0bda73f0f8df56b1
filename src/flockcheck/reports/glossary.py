"""The glossary: words of the trade and our own, kept in `glossary.yaml` beside this module."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, NamedTuple

from flockcheck.text.document import plain, read_nodes


class Word(NamedTuple):
    """A word explained.

    `also` are other spellings, `ours` tells that flockcheck means something of its own by it,
    `cites` who says so where a figure stands, and `see` what to read next.
    """

    word: str
    also: tuple[str, ...]
    ours: bool
    says: str
    cites: tuple[dict[str, Any], ...]
    see: tuple[str, ...]


@cache
def words() -> Mapping[str, Word]:
    """Every word of the glossary by its name, in alphabetical order."""
    path = os.path.join(os.path.dirname(__file__), "glossary.yaml")
    with open(path, encoding="utf-8") as file:
        entries = plain(read_nodes(file.read()))
    found = [_word(entry) for entry in entries]
    return {one.word: one for one in sorted(found)}


def _word(entry: dict[str, Any]) -> Word:
    cites = list(entry.get("sources", ()))
    if "source" in entry:
        cites.append(entry["source"])
    if "practice" in entry:
        cites.append({"practice": entry["practice"]})
    return Word(
        entry["word"],
        tuple(entry.get("also", ())),
        entry.get("ours") == "yes",
        " ".join(entry["says"].split()),
        tuple(cites),
        tuple(entry.get("see", ())),
    )


def find_word(name: str) -> Word | None:
    """The word meant by a name: its own spelling or another, any case, dashes for spaces."""
    names = {}
    for one in words().values():
        for other in one.also:
            names.setdefault(_spelled(other), one)
    names.update({_spelled(one.word): one for one in words().values()})
    wanted = _spelled(name)
    return names.get(wanted) or names.get(wanted.removesuffix("s"))


def nearest_names(name: str, known: Iterable[str], most: int = 3) -> list[str]:
    """The names most like a wrong one: those that hold it or a part of it, then slips of the pen."""
    wanted = _spelled(name)
    if not wanted or len(wanted) > 60:
        return []
    from difflib import get_close_matches

    spelled = {_spelled(one): one for one in known}
    parts = [part for part in wanted.split() if len(part) > 3]
    near = get_close_matches(wanted, list(spelled), most, 0.7)
    near += [one for one in spelled if len(wanted) > 2 and wanted in one]
    near += [one for one in spelled if any(part in one.split() for part in parts)]
    near += [
        one for one in spelled if any(get_close_matches(part, one.split(), 1, 0.8) for part in parts)
    ]
    near += get_close_matches(wanted, list(spelled), most, 0.55)
    return [spelled[one] for one in list(dict.fromkeys(near))[:most]]


def _spelled(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())
