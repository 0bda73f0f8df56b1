"""Setups in a keeper's own hand: comments all over, numbers and dates off, words of the format."""

from __future__ import annotations

import re
from datetime import date, timedelta
from random import Random

from tests.fuzz.mutants import sources

_NUMBER = re.compile(r"(?<=[ {\[])[0-9]+(?:\.[0-9]+)?(?=[ ,}\n])")
_DATE = re.compile(r"\b20[0-9]{2}-[0-9]{2}-[0-9]{2}\b")
_BLOCK = re.compile(r"^ *(?:- )?[a-z_]+: (?!\s*[|>{\[\"'&*])[^#\n]*$", re.MULTILINE)
_FACTORS = [0.3, 0.5, 0.8, 0.95, 1.05, 1.3, 2, 3, 5]
_DAYS = [-60, -14, -7, -1, 1, 7, 14, 40]


def keepers_text(number: int, seed: int) -> bytes:
    """A setup of `fixtures/` written on by a keeper, most of which can be read."""
    random = Random(f"keeper {seed} {number}")
    text = random.choice([one for one in sources() if one.name != "typing-errors"]).text
    for _ in range(random.choice([1, 2, 4, 8])):
        text = random.choice([_other_number, _other_number, _other_day, _less])(text, random)
    for _ in range(random.choice([0, 3, 10, 30])):
        text = random.choice([_comment_behind, _comment_above, _quoted])(text, random)
    if random.random() < 0.3:
        text = text.replace("\n", "\r\n")
    if random.random() < 0.2:
        text = text.rstrip("\r\n")
    return text.encode("utf-8-sig" if random.random() < 0.1 else "utf-8")


def _other_number(text: str, random: Random) -> str:
    found = list(_NUMBER.finditer(text))
    one = random.choice(found) if found else None
    if one is None:
        return text
    bent = float(one[0]) * random.choice(_FACTORS)
    new = f"{bent:.3g}" if "." in one[0] else str(max(round(bent), 1))
    return text[: one.start()] + new + text[one.end() :]


def _other_day(text: str, random: Random) -> str:
    found = list(_DATE.finditer(text))
    one = random.choice(found) if found else None
    if one is None:
        return text
    new = date.fromisoformat(one[0]) + timedelta(days=random.choice(_DAYS))
    return text[: one.start()] + new.isoformat() + text[one.end() :]


def _less(text: str, random: Random) -> str:
    """One line taken out."""
    lines = text.splitlines(keepends=True)
    del lines[random.randrange(len(lines))]
    return "".join(lines)


def _comment_behind(text: str, random: Random) -> str:
    one = _line(text, random)
    if one is None:
        return text
    return (
        f"{text[: one.end()]}{' ' * random.choice([1, 2, 9])}{_remark(random)}{text[one.end() :]}"
    )


def _comment_above(text: str, random: Random) -> str:
    one = _line(text, random)
    if one is None:
        return text
    indent = " " * random.choice([0, 1, 2, 4, 6])
    return f"{text[: one.start()]}{indent}{_remark(random)}\n{text[one.start() :]}"


def _quoted(text: str, random: Random) -> str:
    one = _line(text, random)
    if one is None:
        return text
    key, _, value = one[0].partition(": ")
    if not value.strip():
        return text
    sign = random.choice("'\"")
    return f"{text[: one.start()]}{key}: {sign}{value.strip()}{sign}{text[one.end() :]}"


def _line(text: str, random: Random) -> re.Match[str] | None:
    found = list(_BLOCK.finditer(text))
    return random.choice(found) if found else None


def _remark(random: Random) -> str:
    words = ["measured twice", "ask Nan: is it?", "- no", "'so'", "# again", "\u00e9t\u00e9", "{x}"]
    return f"# {random.choice(words)} {random.randrange(10**6)}"
