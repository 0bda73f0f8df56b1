"""Where on the walk round the pen a rule or a key of the setup belongs, from `stations.yaml`."""

from __future__ import annotations

import os
from collections.abc import Mapping
from functools import cache

from flockcheck.rulebook.model import Rule
from flockcheck.setup.form import leaves
from flockcheck.setup.sections import ITEMS
from flockcheck.text.document import plain, read_nodes
from flockcheck.text.records import NamedTuple

# Whatever is asked is asked for their sake.
_ELSE = "Inside: the birds"


class Station(NamedTuple):
    """A place to stop at on the walk: the keys and topics that belong to it."""

    name: str
    keys: tuple[str, ...]
    topics: tuple[str, ...]


@cache
def stations() -> tuple[Station, ...]:
    """The stations in walking order."""
    path = os.path.join(os.path.dirname(__file__), "stations.yaml")
    with open(path, encoding="utf-8") as file:
        entries = plain(read_nodes(file.read()))
    return tuple(
        Station(one["station"], tuple(one["keys"]), tuple(one["topics"])) for one in entries
    )


def place_of(rule: Rule) -> str:
    """The key of the setup that a rule is about; empty where it names none."""
    terms = [limit.term for limit in rule.limits if limit.term[0] != "measure"]
    keys = [".".join(str(part) for part in term[1:] if part) for term in terms]
    levers = [fix.lever for fix in rule.fixes if fix.lever]
    return _plural(next(filter(None, (rule.at, *keys, *levers, rule.each)), ""))


def _plural(key: str) -> str:
    """A key as a file has it: `drinker.outlet` is `drinkers.outlet`."""
    first, dot, rest = key.partition(".")
    return f"{ITEMS.get(first, first)}{dot}{rest}"


def station_of(place: str, topic: str = "") -> str:
    """The station to which a key belongs, or else a topic."""
    best, found = "", ""
    for station in stations():
        for key in station.keys:
            if len(key) > len(best) and (place == key or place.startswith(f"{key}.")):
                best, found = key, station.name
    if found:
        return found
    own = [station.name for station in stations() if topic in station.topics]
    return own[0] if own else _ELSE


@cache
def _keys() -> Mapping[str, int]:
    return {key.replace(".*", ""): at for at, key in enumerate(leaves())}


def position(place: str) -> int:
    """Where a key stands in the order of the setup format; past its end what is no key."""
    keys = _keys()
    if place in keys:
        return keys[place]
    return next((at for key, at in keys.items() if key.startswith(f"{place}.")), len(keys))
