"""Setups with slips in them, and bytes of no sense, each made from a seed and a number alone."""

from __future__ import annotations

import contextlib
import json
import re
from collections.abc import Callable
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

from flockcheck.setup.form import leaves, shape_of
from flockcheck.text.document import DocumentError, plain, read_document

ROOT = Path(__file__).parents[2]
# What may stand in place of any value: right for some keys and wrong for most.
VALUES = [
    "", " ", "~", "null", "yes", "no", "true", "0", "1", "-1", "012", "1:30", "0x1F", "1e3",
    "1e999", "nan", ".nan", "inf", "-.inf", "99999", "9" * 30, "0 m", "3 m", "-3 m", "3 km",
    "1e9 m", "30 in", "2 ft 6 in", "5 %", "-5 %", "1000 %", "3 deg", "89 deg", "1 in 16", "45 kg",
    "1 g", "1000000 kg", "12 weeks", "-1 day", "900 years", "3 C", "-90 C", "200 F", "14 m/s",
    "900 mph", "400 N", "6 kV", "0.4 ha", "40 kg/ha", "2027-04-20", "2027-02-30", "1999-12-31",
    "2099-12-31", "20270420", "fox", "duck", "meat chicken", "egg chicken", "turkey", "eu-organic",
    "birds.0", "a" * 81, "a" * 2001, "\u00e9", "\u202e", "\U0001f414", "3\u00a0m", "{", "[", "*a",
    "&a x", "!!int 3", "|", ">-", "# x",
]  # fmt: skip
FACTORS = [0, 1e-9, 0.01, 0.3, 0.5, 0.9, 1.1, 2, 3, 10, 40, 1000, 1e7, -1]
# What texts of YAML are made of, so that random strings meet its grammar and not only noise.
BITS = [
    *"ab1 \n\t:-?,[]{}#&*!|>'\"%@`~<\\\u00e9\u2028\x85\ufeff\x00\x1b",
    *("\n  ", ": ", "- ", "\n- ", "\r\n", "---\n", "...\n", "<<: ", "!!str ", "&a ", "*a", "? "),
    *('"\\x1b"', "\\U00110000", '"\\ud800"', "%YAML 1.2\n", "# x\n", "flockcheck: 1\n", "pen:\n"),
    *("length: 3 m\n", "birds:\n  - kind: turkey\n", "predators: [fox, owl]\n", "count: 3\n"),
]
ENCODINGS = ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-32", "latin-1", "cp1252"]

Document = dict[str, Any]


class Source(NamedTuple):
    """A setup that mutants are made from: its name, its text and what stands in it."""

    name: str
    text: str
    document: Document


@cache
def sources() -> tuple[Source, ...]:
    """The setups that mutants are made from."""
    paths = sorted((ROOT / "fixtures").rglob("*.flock.yaml"))
    found = []
    for path in [*paths, ROOT / "tests" / "setup" / "whole.flock.yaml"]:
        text = path.read_text(encoding="utf-8")
        try:
            root = read_document(text)
        except DocumentError as error:
            # The broken ones have faults of their own, which are as good to begin with.
            if error.root is None:
                continue
            root = error.root  # type: ignore[assignment]  # a mapping, as all of them are
        found.append(Source(path.name.partition(".")[0], text, plain(root)))
    return tuple(found)


def mutant(number: int, seed: int) -> bytes:
    """A setup with one slip or several, in its keys and values or in its text."""
    random = Random(f"mutant {seed} {number}")
    source = random.choice(sources())
    if random.random() < 0.7:
        document: Document = json.loads(json.dumps(source.document))
        gentle = random.random() < 0.7
        for _ in range(random.choice([1, 1, 2, 3, 8])):
            random.choice(_GENTLE if gentle else _SLIPS)(document, random)
        # JSON is YAML, and is written much faster.
        return json.dumps(document, ensure_ascii=False, indent=1).encode("utf-8", "replace")
    text = source.text
    for _ in range(random.choice([1, 1, 2, 4])):
        text = random.choice(_EDITS)(text, random)
    data = text.encode("utf-8", "surrogatepass")
    if random.random() < 0.2:
        data = _spoil(data, random)
    if random.random() < 0.03:
        with contextlib.suppress(UnicodeEncodeError):
            data = text.encode(random.choice(ENCODINGS))
    return data


def random_bytes(number: int, seed: int) -> bytes:
    """Bytes of no sense: noise, pieces of YAML, characters of all planes, or parts of a setup."""
    random = Random(f"bytes {seed} {number}")
    length = random.choice([0, 1, 3, 10, 50, 300, 3000])
    kind = random.randrange(4)
    if kind == 0:
        return random.randbytes(length)
    if kind == 1:
        return "".join(random.choices(BITS, k=length)).encode("utf-8", "surrogatepass")
    if kind == 2:
        most = random.choice([0x7F, 0xFF, 0x2FFF, 0x10FFFF])
        text = "".join(chr(random.randrange(most + 1)) for _ in range(length))
        return text.encode(random.choice(["utf-8", "utf-16", "utf-8-sig"]), "surrogatepass")
    text = random.choice(sources()).text
    begin = random.randrange(len(text))
    return _spoil(text[begin : begin + length].encode(), random)


def _places(document: Document) -> list[tuple[Any, Any, str]]:
    """Every container with each of its keys or positions, and the general path there."""
    found: list[tuple[Any, Any, str]] = []
    waiting: list[tuple[Any, str]] = [(document, "")]
    while waiting:
        node, path = waiting.pop()
        keys = list(node) if isinstance(node, dict) else range(len(node))
        for key in keys:
            inner = f"{path}.{'*' if isinstance(node, list) else key}".strip(".")
            found.append((node, key, inner))
            if isinstance(node[key], (dict, list)):
                waiting.append((node[key], inner))
    return found


def _scalar(document: Document, random: Random) -> tuple[Any, Any, str]:
    found = [one for one in _places(document) if isinstance(one[0][one[1]], str)]
    if not found:
        document["name"] = "x"
    return random.choice(found) if found else (document, "name", "name")


def _drop(document: Document, random: Random) -> None:
    if document:
        node, key, _ = random.choice(_places(document))
        del node[key]


def _rename(document: Document, random: Random) -> None:
    found = [one for one in _places(document) if isinstance(one[0], dict)]
    if found:
        node, key, _ = random.choice(found)
        other = random.choice([key[:-1], key.upper(), "length", "count", "a b", "", key + " "])
        node[other] = node.pop(key)


def _revalue(document: Document, random: Random) -> None:
    node, key, _ = _scalar(document, random)
    node[key] = random.choice(VALUES)


def _word(document: Document, random: Random) -> None:
    """Another word of the same key, or of any."""
    found = [one for one in _places(document) if (shape_of(one[2]) or {}).get("enum")]
    if found and random.random() < 0.8:
        node, key, path = random.choice(found)
        words = (shape_of(path) or {})["enum"]
    else:
        node, key, _ = _scalar(document, random)
        words = random.choice(_words())
    word = random.choice(words)
    node[key] = {True: "yes", False: "no"}.get(word, str(word))


@cache
def _words() -> list[list[Any]]:
    return [shape["enum"] for leaf in leaves() if (shape := shape_of(leaf) or {}).get("enum")]


def _bend(document: Document, random: Random) -> None:
    """A number that is absurd; a date some years away."""
    _change(document, random, FACTORS, [-400, -30, -1, 1, 60, 365, 1000, 9999])


def _nudge(document: Document, random: Random) -> None:
    """A number somewhat off; a date some days away."""
    _change(document, random, [0.5, 0.8, 0.95, 1.05, 1.3, 2, 3], [-30, -7, -1, 1, 3, 14, 60, 300])


def _change(document: Document, random: Random, factors: list[float], days: list[int]) -> None:
    node, key, _ = _scalar(document, random)
    with contextlib.suppress(ValueError, OverflowError):
        later = date.fromisoformat(node[key]) + timedelta(days=random.choice(days))
        node[key] = later.isoformat()
        return
    numbers = re.findall(r"[0-9]+(?:\.[0-9]+)?", node[key])
    if numbers:
        number = random.choice(numbers)
        bent = f"{float(number) * random.choice(factors):.12g}"
        if "." not in number and random.random() < 0.8:
            bent = str(round(float(bent)))
        node[key] = node[key].replace(number, bent, 1)


def _swap(document: Document, random: Random) -> None:
    one, first, _ = _scalar(document, random)
    other, second, _ = _scalar(document, random)
    one[first], other[second] = other[second], one[first]


def _retype(document: Document, random: Random) -> None:
    if document:
        node, key, _ = random.choice(_places(document))
        old = node[key]
        node[key] = random.choice([[old], {"length": old}, {}, [], [old, old], "x", "", {"": old}])


def _repeat(document: Document, random: Random) -> None:
    found = [one for one in _places(document) if isinstance(one[0], list)]
    if found:
        node, at, _ = random.choice(found)
        copies = random.choice([1, 1, 2, 5, 30])
        node.extend(json.loads(json.dumps(node[at])) for _ in range(copies))


def _graft(document: Document, random: Random) -> None:
    """A part of another setup in the same place."""
    other = random.choice(sources()).document
    if other:
        key = random.choice(list(other))
        document[key] = json.loads(json.dumps(other[key]))


def _plant(document: Document, random: Random) -> None:
    """A key of the format with some value, where it may or may not belong."""
    maps = [document, *(node[key] for node, key, _ in _places(document))]
    key = random.choice(leaves()).rpartition(".")[2]
    random.choice([one for one in maps if isinstance(one, dict)])[key] = random.choice(VALUES)


# What a keeper changes from batch to batch, and what only goes wrong.
_GENTLE: list[Callable[[Document, Random], None]] = [
    _drop, _word, _word, _nudge, _nudge, _nudge, _nudge, _graft, _graft,
]  # fmt: skip
_SLIPS: list[Callable[[Document, Random], None]] = [
    _drop, _drop, _rename, _revalue, _word, _bend, _bend, _swap, _retype, _repeat, _graft, _plant,
]  # fmt: skip


def _lines(text: str, random: Random) -> str:
    """Some lines taken out, doubled, moved or put in from another setup."""
    lines = text.splitlines(keepends=True)
    at, count = random.randrange(len(lines) + 1), random.choice([1, 1, 2, 5, 20])
    part = lines[at : at + count]
    way = random.randrange(4)
    if way == 0:
        lines[at : at + count] = []
    elif way == 1:
        lines[at:at] = part * random.choice([1, 1, 10])
    elif way == 2:
        lines[at : at + count] = []
        to = random.randrange(len(lines) + 1)
        lines[to:to] = part
    else:
        other = random.choice(sources()).text.splitlines(keepends=True)
        begin = random.randrange(len(other))
        lines[at:at] = other[begin : begin + count]
    return "".join(lines)


def _indent(text: str, random: Random) -> str:
    lines = text.splitlines(keepends=True) or [""]
    at = random.randrange(len(lines))
    by = random.choice(["", " ", "  ", "    ", "\t"])
    lines[at] = by + (lines[at].lstrip() if random.random() < 0.5 else lines[at])
    return "".join(lines)


def _signs(text: str, random: Random) -> str:
    """A slip of the keyboard, or a sign that means something to YAML."""
    at = random.randrange(len(text) + 1)
    return f"{text[:at]}{random.choice([*BITS, ''])}{text[at + random.choice([0, 0, 1, 3]) :]}"


def _cut(text: str, random: Random) -> str:
    at = random.randrange(len(text) + 1)
    return text[:at] if random.random() < 0.7 else text[at:]


def _other_value(text: str, random: Random) -> str:
    found = list(re.finditer(r"(?<=: )[^\s#][^#\n]*?(?=\s*(#.*)?$)", text, re.MULTILINE))
    if not found:
        return text
    one = random.choice(found)
    return f"{text[: one.start()]}{random.choice(VALUES)}{text[one.end() :]}"


def _other_number(text: str, random: Random) -> str:
    found = list(re.finditer(r"(?<![\w.])[0-9]+(?:\.[0-9]+)?", text))
    if not found:
        return text
    one = random.choice(found)
    return (
        text[: one.start()] + f"{float(one[0]) * random.choice(FACTORS):.12g}" + text[one.end() :]
    )


_EDITS: list[Callable[[str, Random], str]] = [
    _lines, _lines, _indent, _signs, _signs, _cut, _other_value, _other_value, _other_number,
    _other_number,
]  # fmt: skip


def _spoil(data: bytes, random: Random) -> bytes:
    """Some bytes replaced by others."""
    spoiled = bytearray(data)
    for _ in range(random.choice([1, 1, 2, 10])):
        if spoiled:
            spoiled[random.randrange(len(spoiled))] = random.randrange(256)
    return bytes(spoiled)


KINDS: dict[str, Callable[[int, int], bytes]] = {"mutants": mutant, "bytes": random_bytes}
