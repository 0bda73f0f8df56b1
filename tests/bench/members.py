"""Setups of many members, varied and partly faulty, each made from a seed and a number alone.

Each begins as one of the shipped fixtures and differs from it as one keeper's pen does from
another's: its name, its dates, and some of its sizes and counts. About one in thirty has a slip in
it that makes it unreadable.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from random import Random

from flockcheck.setup.reader import SetupError, read_setup_text

ROOT = Path(__file__).resolve().parents[2]
FAULTY = 1 / 30
MOST_EDITS = 8
FACTORS = (0.7, 0.8, 0.9, 0.95, 1.05, 1.1, 1.25, 1.5)
DATE = re.compile(r"\b20[0-9]{2}-[0-9]{2}-[0-9]{2}\b")
# A key with a number and perhaps a unit, as most lines have.
SIZED = re.compile(r"(?m)\b([a-z_]+: )([0-9]+(?:\.[0-9]+)?)(?= |,|\}|$)")


@cache
def kinds() -> tuple[tuple[str, str], ...]:
    """The readable fixtures that members begin as: name and text, in the order of their paths."""
    found = []
    for path in sorted((ROOT / "fixtures").rglob("*.flock.yaml")):
        text = path.read_text(encoding="utf-8")
        if readable(text):
            found.append((path.name.removesuffix(".flock.yaml"), text))
    return tuple(found)


def readable(text: str) -> bool:
    try:
        read_setup_text(text, "member")
    except SetupError:
        return False
    return True


def member(number: int, seed: int = 1) -> str:
    """The text of one member's setup."""
    random = Random(f"member {seed} {number}")
    _, text = random.choice(kinds())
    text = re.sub(r"(?m)^name: .*$", f"name: Member {number}", text, count=1)
    days = timedelta(days=random.randrange(-60, 61))
    text = DATE.sub(lambda found: _later(found.group(), days), text)
    for _ in range(random.randrange(MOST_EDITS + 1)):
        other = _other_size(text, random)
        if readable(other):
            text = other
    return random.choice(SLIPS)(text) if random.random() < FAULTY else text


def write_members(folder: Path, count: int, seed: int = 1) -> list[Path]:
    """Write that many members' files below a folder, a hundred in each of its own folders."""
    paths = []
    for number in range(count):
        path = folder / f"{number // 100:03}" / f"member-{number:05}.flock.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(member(number, seed), encoding="utf-8")
        paths.append(path)
    return paths


def _later(day: str, by: timedelta) -> str:
    return (date.fromisoformat(day) + by).isoformat()


def _other_size(text: str, random: Random) -> str:
    found = [one for one in SIZED.finditer(text) if one.group(1) != "flockcheck: "]
    if not found:
        return text
    one = random.choice(found)
    number = float(one.group(2)) * random.choice(FACTORS)
    shown = f"{number:.3g}" if "." in one.group(2) else str(max(1, round(number)))
    return text[: one.start(2)] + shown + text[one.end(2) :]


def _misspelt(text: str) -> str:
    return text.replace("length:", "lenght:", 1)


def _no_unit(text: str) -> str:
    return re.sub(r"(width: [0-9.]+) [a-z]+", r"\1", text, count=1)


def _twice(text: str) -> str:
    return f"{text}\nflockcheck: 1\n"


SLIPS: tuple[Callable[[str], str], ...] = (_misspelt, _no_unit, _twice)
