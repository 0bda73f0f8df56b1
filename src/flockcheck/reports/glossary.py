"""The glossary: words of the trade and our own, kept in `glossary.yaml` beside this module."""

from __future__ import annotations

import os
from collections.abc import Mapping
from functools import cache
from typing import Any

from flockcheck.text.document import plain, read_nodes
from flockcheck.text.records import NamedTuple


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
    found = spellings()
    wanted = _spelled(name)
    return words().get(found.get(wanted) or found.get(wanted.removesuffix("s"), ""))


def find_key(name: str) -> Word | None:
    """A key of the setup file as a word: what it is, how to find it, and what it takes.

    It may be named as a file or a report has it: `drinkers.0.holds` or `drinkers.holds`.
    """
    from flockcheck.setup.form import general, leaves, shape_of
    from flockcheck.setup.scalars import would_do

    wanted = general(name.strip()).replace(".*", "")
    path = next((one for one in leaves() if one.replace(".*", "") == wanted), None)
    shape = shape_of(path) if path else None
    if not wanted or shape is None:
        return None
    says = f"{shape['description']} It takes {would_do(shape).replace('`', '')}."
    return Word(wanted, (), True, says, (), ("setup",))


def spellings() -> Mapping[str, str]:
    """Every spelling, in lower case and with spaces, and the word it stands for."""
    others = {_spelled(other): one.word for one in words().values() for other in one.also}
    return {**others, **{_spelled(one): one for one in words()}}


def nearest_names(name: str, known: Mapping[str, str], most: int = 3) -> list[str]:
    """The names most like a wrong one, by their spellings (`known`: spelling to name).

    First slips of the pen, then names that hold it or a part of it.
    """
    wanted = _spelled(name)
    if not wanted or len(wanted) > 60:
        return []
    from difflib import get_close_matches

    parts = [part for part in wanted.split() if len(part) > 3]
    spelled = {_spelled(one): found for one, found in known.items()}
    near = get_close_matches(wanted, list(spelled), most, 0.75)
    near += [one for one in spelled if len(wanted) > 2 and wanted in one]
    near += [one for one in spelled if any(part in one.split() for part in parts)]
    for part in parts:
        near += [one for one in spelled if get_close_matches(part, one.split(), 1, 0.8)]
    near = near or get_close_matches(wanted, list(spelled), most, 0.6)
    return list(dict.fromkeys(spelled[one] for one in near))[:most]


def _spelled(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())
